//! The current that a device draws from the supply.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use thiserror::Error;
use uom::si::f64::{ElectricCurrent, ElectricPotential};

use super::value::{CurrentA, LoadOhm, PowerW};

/// How the current of a device depends on the voltage.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "Written", into = "Written")]
#[schemars(with = "Written")]
pub enum Load {
    /// The same current at any voltage.
    ConstantCurrent(CurrentA),
    /// The same power at any voltage: less voltage, more current.
    ConstantPower(PowerW),
    /// A resistance: less voltage, less current.
    Resistance(LoadOhm),
}

impl Load {
    /// The current at a voltage.
    pub fn current_at(self, voltage: ElectricPotential) -> ElectricCurrent {
        match self {
            Self::ConstantCurrent(current) => current.quantity(),
            Self::ConstantPower(power) => power.quantity() / voltage,
            Self::Resistance(resistance) => voltage / resistance.quantity(),
        }
    }
}

/// A load in the job file: its kind, and the one figure of that kind.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Written {
    /// Its kind.
    kind: Kind,
    /// Amperes of a constant current.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    a: Option<CurrentA>,
    /// Watts of a constant power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    w: Option<PowerW>,
    /// Ohms of a resistance.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    ohm: Option<LoadOhm>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
enum Kind {
    ConstantCurrent,
    ConstantPower,
    Resistance,
}

/// A load with a figure that does not belong to its kind.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("a load of this kind takes the field '{0}' and no other figure")]
struct WrongFigure(&'static str);

impl TryFrom<Written> for Load {
    type Error = WrongFigure;

    fn try_from(written: Written) -> Result<Self, WrongFigure> {
        match written {
            Written { kind: Kind::ConstantCurrent, a: Some(a), w: None, ohm: None } => {
                Ok(Self::ConstantCurrent(a))
            }
            Written { kind: Kind::ConstantPower, a: None, w: Some(w), ohm: None } => {
                Ok(Self::ConstantPower(w))
            }
            Written { kind: Kind::Resistance, a: None, w: None, ohm: Some(ohm) } => Ok(Self::Resistance(ohm)),
            Written { kind: Kind::ConstantCurrent, .. } => Err(WrongFigure("a")),
            Written { kind: Kind::ConstantPower, .. } => Err(WrongFigure("w")),
            Written { kind: Kind::Resistance, .. } => Err(WrongFigure("ohm")),
        }
    }
}

impl From<Load> for Written {
    fn from(load: Load) -> Self {
        let none = Self { kind: Kind::ConstantCurrent, a: None, w: None, ohm: None };
        match load {
            Load::ConstantCurrent(a) => Self { a: Some(a), ..none },
            Load::ConstantPower(w) => Self { kind: Kind::ConstantPower, w: Some(w), ..none },
            Load::Resistance(ohm) => Self { kind: Kind::Resistance, ohm: Some(ohm), ..none },
        }
    }
}
