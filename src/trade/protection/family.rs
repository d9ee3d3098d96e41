//! The kinds of fuse and breaker, and the standard ratings of each.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential};

use crate::trade::working::keeps_to;

/// A kind of fuse or breaker, with its standard ratings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Family {
    /// The standard blade fuse, as used in fuse blocks.
    BladeFuse,
    /// The smaller blade fuse.
    MiniBladeFuse,
    /// The large blade fuse.
    LargeBladeFuse,
    /// Strip fuse bolted between two studs, small pattern.
    BoltDownFuse,
    /// Strip fuse bolted between two studs, large pattern.
    LargeBoltDownFuse,
    /// Fast fuse with a high interrupt rating, for banks that can supply thousands of amperes.
    ClassTFuse,
    /// Manually reset, trip-free breaker.
    Breaker,
}

impl Family {
    /// Every family.
    pub const ALL: [Self; 7] = [
        Self::BladeFuse,
        Self::MiniBladeFuse,
        Self::LargeBladeFuse,
        Self::BoltDownFuse,
        Self::LargeBoltDownFuse,
        Self::ClassTFuse,
        Self::Breaker,
    ];

    /// The name of the family.
    pub fn words(self) -> &'static str {
        match self {
            Self::BladeFuse => "blade fuse",
            Self::MiniBladeFuse => "mini blade fuse",
            Self::LargeBladeFuse => "large blade fuse",
            Self::BoltDownFuse => "bolt-down fuse",
            Self::LargeBoltDownFuse => "large bolt-down fuse",
            Self::ClassTFuse => "class T fuse",
            Self::Breaker => "breaker",
        }
    }

    /// The standard ratings, in amperes, rising ([`MADE_RATINGS`](crate::trade::source::MADE_RATINGS)).
    /// Breakers are as in NEC 240.6, plus the small ratings of switch panels.
    pub fn made(self) -> &'static [f64] {
        match self {
            Self::BladeFuse => &[1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0],
            Self::MiniBladeFuse => &[2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0],
            Self::LargeBladeFuse => &[20.0, 30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0],
            Self::BoltDownFuse => &[30.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0, 125.0, 150.0, 175.0, 200.0],
            Self::LargeBoltDownFuse => {
                &[100.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0, 450.0, 500.0]
            }
            Self::ClassTFuse => &[110.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0],
            Self::Breaker => &[
                5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0,
                110.0, 125.0, 150.0, 175.0, 200.0, 225.0, 250.0, 300.0, 350.0, 400.0,
            ],
        }
    }

    /// Whether a rating is standard in this family.
    pub fn makes(self, rating: ElectricCurrent) -> bool {
        let amperes = rating.get::<ampere>();
        self.made().iter().any(|made| keeps_to(*made, amperes) && keeps_to(amperes, *made))
    }

    /// The voltage that parts of the family are usually rated for; common practice, no source.
    pub fn usual_voltage(self) -> ElectricPotential {
        let volts = match self {
            Self::ClassTFuse => 125.0,
            Self::Breaker => 48.0,
            _ => 32.0,
        };
        ElectricPotential::new::<volt>(volts)
    }

    /// The usual interrupt rating of the family, where all its parts have the same one; from memory. For
    /// bolt-down fuses and breakers it differs: read it on the part.
    pub fn usual_interrupt(self) -> Option<ElectricCurrent> {
        let amperes = match self {
            Self::BladeFuse | Self::MiniBladeFuse | Self::LargeBladeFuse => 1000.0,
            Self::ClassTFuse => 20_000.0,
            Self::BoltDownFuse | Self::LargeBoltDownFuse | Self::Breaker => return None,
        };
        Some(ElectricCurrent::new::<ampere>(amperes))
    }
}
