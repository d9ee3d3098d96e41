//! The standard conductor sizes, AWG and square millimeters, with their areas and resistances.
//!
//! Areas of AWG sizes follow the diameter rule of [ASTM B258](super::source::ASTM_B258). The nominal area of
//! a metric size is its name. Cable built to SAE J1128 is some 6 to 12 % thinner than AWG of the same number;
//! these figures are not for it. Resistances are of stranded *tinned* copper, because bare copper must not be
//! used on a boat.

use std::cmp::Ordering;
use std::f64::consts::FRAC_PI_4;
use std::fmt;
use std::str::FromStr;
use std::sync::LazyLock;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::area::square_millimeter;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{Area, ElectricalResistance, Length, ThermodynamicTemperature};
use uom::si::length::{foot, kilometer, meter, millimeter};
use uom::si::thermodynamic_temperature::degree_celsius;

/// A system of conductor sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum System {
    /// American wire gauge.
    Awg,
    /// Square millimeters.
    Metric,
}

/// How a size is defined, with the resistance from its standard.
#[derive(Debug, Clone, Copy)]
enum Made {
    /// Gauge number (1/0 is 0, 4/0 is -3) and ohms per 1000 ft at 75 C, stranded coated copper.
    Gauge(f64, f64),
    /// Gauge number of a size too thin for that table.
    ThinGauge(f64),
    /// Area in square millimeters and largest ohms per kilometer at 20 C, class 5 tinned.
    Metric(f64, f64),
}
use Made::{Gauge, Metric, ThinGauge};

impl Made {
    fn area(self) -> Area {
        Area::new::<square_millimeter>(match self {
            Gauge(number, _) | ThinGauge(number) => FRAC_PI_4 * diameter_mm(number).powi(2),
            Metric(mm2, _) => mm2,
        })
    }
}

/// Declares the sizes of both systems, each system from thin to thick.
macro_rules! sizes {
    ($($name:ident = $text:literal, $made:expr;)+) => {
        /// A standard conductor size. Written and read as `14 AWG`, `2/0 AWG` or `2.5 mm2`.
        ///
        /// Sizes are ordered by area across both systems: `2.5 mm2` is thicker than `14 AWG`.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub enum Size { $(#[doc = $text] $name),+ }

        impl Size {
            /// Every size the program knows, AWG first, each system from thin to thick.
            pub const ALL: &'static [Size] = &[$(Size::$name),+];

            /// The size as written in files and on pages.
            pub fn text(self) -> &'static str {
                match self { $(Self::$name => $text,)+ }
            }

            fn made(self) -> Made {
                match self { $(Self::$name => $made,)+ }
            }
        }
    };
}

sizes! {
    Awg22 = "22 AWG", ThinGauge(22.0);
    Awg20 = "20 AWG", ThinGauge(20.0);
    Awg18 = "18 AWG", Gauge(18.0, 8.45);
    Awg16 = "16 AWG", Gauge(16.0, 5.29);
    Awg14 = "14 AWG", Gauge(14.0, 3.26);
    Awg12 = "12 AWG", Gauge(12.0, 2.05);
    Awg10 = "10 AWG", Gauge(10.0, 1.29);
    Awg8 = "8 AWG", Gauge(8.0, 0.809);
    Awg6 = "6 AWG", Gauge(6.0, 0.51);
    Awg4 = "4 AWG", Gauge(4.0, 0.321);
    Awg3 = "3 AWG", Gauge(3.0, 0.254);
    Awg2 = "2 AWG", Gauge(2.0, 0.201);
    Awg1 = "1 AWG", Gauge(1.0, 0.16);
    Awg1_0 = "1/0 AWG", Gauge(0.0, 0.127);
    Awg2_0 = "2/0 AWG", Gauge(-1.0, 0.101);
    Awg3_0 = "3/0 AWG", Gauge(-2.0, 0.0797);
    Awg4_0 = "4/0 AWG", Gauge(-3.0, 0.0626);
    Mm0_5 = "0.5 mm2", Metric(0.5, 40.1);
    Mm0_75 = "0.75 mm2", Metric(0.75, 26.7);
    Mm1 = "1 mm2", Metric(1.0, 20.0);
    Mm1_5 = "1.5 mm2", Metric(1.5, 13.7);
    Mm2_5 = "2.5 mm2", Metric(2.5, 8.21);
    Mm4 = "4 mm2", Metric(4.0, 5.09);
    Mm6 = "6 mm2", Metric(6.0, 3.39);
    Mm10 = "10 mm2", Metric(10.0, 1.95);
    Mm16 = "16 mm2", Metric(16.0, 1.24);
    Mm25 = "25 mm2", Metric(25.0, 0.795);
    Mm35 = "35 mm2", Metric(35.0, 0.565);
    Mm50 = "50 mm2", Metric(50.0, 0.393);
    Mm70 = "70 mm2", Metric(70.0, 0.277);
    Mm95 = "95 mm2", Metric(95.0, 0.21);
    Mm120 = "120 mm2", Metric(120.0, 0.164);
}

/// A thousandth of an inch, in mm.
const MIL_MM: f64 = 0.0254;
/// The resistance of copper falls with temperature on a straight line. The line would reach zero at -234.5 C.
const INFERRED_ZERO_C: f64 = -234.5;
/// Annealed copper at 20 C, ohm mm2 / km (IEC 60028: 1/58 ohm mm2 / m).
const ANNEALED_OHM_MM2_PER_KM: f64 = 17.241;
/// Strands are twisted in a spiral, so they are longer than the conductor.
const LAY: f64 = 1.02;
/// Tin conducts less than the copper that it replaces. The effect is largest in thin strands.
const TIN: f64 = 1.04;
/// Ratio of the diameter of a stranded conductor to a solid one with the same copper; common practice.
const STRANDING: f64 = 1.2;

/// A resistance as its standard gives it: for this length, at this temperature.
struct Stated {
    ohms: f64,
    over: Length,
    at_celsius: f64,
}

impl Size {
    /// The sizes of one system from thin to thick.
    pub fn all(system: System) -> impl DoubleEndedIterator<Item = Size> + Clone {
        Self::ALL.iter().copied().filter(move |size| size.system() == system)
    }

    /// The sizes of one system that shops commonly can buy as boat cable, from thin to thick.
    ///
    /// 22 and 20 AWG and 0.5 mm2 come inside cables and devices, and 3 AWG is seldom in stock. Such sizes are
    /// read, judged and solved, but never chosen. Common practice, no source.
    pub fn stocked(system: System) -> impl DoubleEndedIterator<Item = Size> + Clone {
        Self::all(system).filter(|size| !matches!(size, Self::Awg22 | Self::Awg20 | Self::Awg3 | Self::Mm0_5))
    }

    /// The system the size belongs to.
    pub fn system(self) -> System {
        match self.made() {
            Gauge(..) | ThinGauge(_) => System::Awg,
            Metric(..) => System::Metric,
        }
    }

    /// The area of copper.
    pub fn area(self) -> Area {
        // Areas are computed once: sizes are compared often, and the area of a gauge needs a power function.
        static AREAS: LazyLock<Vec<Area>> =
            LazyLock::new(|| Size::ALL.iter().map(|size| size.made().area()).collect());
        AREAS[self as usize]
    }

    /// The area in circular mils, the unit of the US drop formula.
    pub fn circular_mils(self) -> f64 {
        // A circular mil is the area of a circle one mil across. The constant for it in uom is rounded.
        self.area().get::<square_millimeter>() / (FRAC_PI_4 * MIL_MM * MIL_MM)
    }

    /// The resistance of one meter of one conductor at the temperature of its copper.
    pub fn resistance_per_meter(self, copper: ThermodynamicTemperature) -> ElectricalResistance {
        let stated = self.stated_resistance();
        let per_meter = ElectricalResistance::new::<ohm>(stated.ohms / stated.over.get::<meter>());
        let stated_at = ThermodynamicTemperature::new::<degree_celsius>(stated.at_celsius);
        at_temperature(per_meter, stated_at, copper)
    }

    /// The resistance of a length of one conductor at the temperature of its copper.
    pub fn resistance(self, length: Length, copper: ThermodynamicTemperature) -> ElectricalResistance {
        self.resistance_per_meter(copper) * length.get::<meter>()
    }

    /// The diameter over the insulation of boat cable, within about a tenth. Strands take 1.2 times the
    /// diameter of their copper. Walls are those of [`UL_1426_WALL`]. Use it for tubes and heat shrink;
    /// measure a cable that is at hand.
    ///
    /// [`UL_1426_WALL`]: super::source::UL_1426_WALL
    pub fn outside_diameter(self) -> Length {
        let solid_mm = (self.area().get::<square_millimeter>() / FRAC_PI_4).sqrt();
        let wall_mm = match self {
            size if size <= Self::Mm6 => 0.76,
            size if size <= Self::Mm10 => 1.14,
            size if size <= Self::Mm35 => 1.52,
            _ => 2.03,
        };
        Length::new::<millimeter>(STRANDING * solid_mm + 2.0 * wall_mm)
    }

    /// The larger side of a flat cable of two such conductors in one jacket (duplex). Both conductors are
    /// side by side in a jacket with the thickness from [`UL_1426_JACKET`].
    ///
    /// [`UL_1426_JACKET`]: super::source::UL_1426_JACKET
    pub fn duplex_diameter(self) -> Length {
        let core_mm = 2.0 * self.outside_diameter().get::<millimeter>();
        let jacket_mm = match core_mm {
            core if core <= 10.8 => 0.76,
            core if core <= 17.8 => 1.14,
            _ => 1.52,
        };
        Length::new::<millimeter>(core_mm + 2.0 * jacket_mm)
    }

    /// The thickest of `sizes` that has no more copper than this one. Used to read a size of one system in a
    /// table of the other, so that its ampacity is never overstated.
    pub fn thickest_within(self, sizes: impl IntoIterator<Item = Size>) -> Option<Size> {
        sizes.into_iter().filter(|&size| size <= self).max()
    }

    /// Gauges follow [`NEC_9_8`](super::source::NEC_9_8), thinner ones
    /// [`ANNEALED_COPPER`](super::source::ANNEALED_COPPER), metric sizes
    /// [`IEC_60228`](super::source::IEC_60228).
    fn stated_resistance(self) -> Stated {
        match self.made() {
            Gauge(_, ohms) => Stated { ohms, over: Length::new::<foot>(1000.0), at_celsius: 75.0 },
            ThinGauge(_) => Stated {
                ohms: ANNEALED_OHM_MM2_PER_KM / self.area().get::<square_millimeter>() * LAY * TIN,
                over: Length::new::<kilometer>(1.0),
                at_celsius: 20.0,
            },
            Metric(_, ohms) => Stated { ohms, over: Length::new::<kilometer>(1.0), at_celsius: 20.0 },
        }
    }
}

/// The diameter of a solid wire of this gauge in millimeters (ASTM B258).
fn diameter_mm(gauge: f64) -> f64 {
    0.127 * 92_f64.powf((36.0 - gauge) / 39.0)
}

/// Converts a copper resistance from one temperature to another (FAA AC 43.13-1B chapter 11, where T0 is 20
/// C).
pub fn at_temperature(
    resistance: ElectricalResistance,
    known_at: ThermodynamicTemperature,
    wanted_at: ThermodynamicTemperature,
) -> ElectricalResistance {
    let above_zero = |t: ThermodynamicTemperature| t.get::<degree_celsius>() - INFERRED_ZERO_C;
    resistance * (above_zero(wanted_at) / above_zero(known_at))
}

impl PartialOrd for Size {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// Ordered by area. No gauge has exactly the area of a metric size, so only equal sizes compare as equal.
impl Ord for Size {
    fn cmp(&self, other: &Self) -> Ordering {
        self.area().value.total_cmp(&other.area().value)
    }
}

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.text())
    }
}

/// Text that is not a conductor size.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "size `{0}`: expected AWG from `22 AWG` to `4/0 AWG` or square millimeters from `0.5 mm2` to \
     `120 mm2`, written as `14 AWG`, `2/0 AWG` or `2.5 mm2`; made sizes are {made}",
    made = made_sizes()
)]
pub struct SizeError(String);

fn made_sizes() -> String {
    Size::ALL.iter().map(|size| size.text()).collect::<Vec<_>>().join(", ")
}

impl FromStr for Size {
    type Err = SizeError;

    fn from_str(text: &str) -> Result<Self, SizeError> {
        let named = Self::ALL.iter().find(|size| size.text() == text.trim());
        named.copied().ok_or_else(|| SizeError(text.to_owned()))
    }
}

impl TryFrom<String> for Size {
    type Error = SizeError;

    fn try_from(text: String) -> Result<Self, SizeError> {
        text.parse()
    }
}

impl From<Size> for String {
    fn from(size: Size) -> Self {
        size.text().to_owned()
    }
}

impl JsonSchema for Size {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Size".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let names: Vec<&str> = Self::ALL.iter().map(|size| size.text()).collect();
        schemars::json_schema!({
            "type": "string",
            "description": "Conductor size in AWG or square millimeters",
            "enum": names,
        })
    }
}
