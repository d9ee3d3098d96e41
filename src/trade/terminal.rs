//! The end of a conductor: terminal, stud, heat shrink, and the force that the crimp must hold.
//!
//! Colors, studs and tube diameters are common practice. Pull forces are those of ABYC E-11, from memory,
//! listed with those of other standards. A metric size is read as the thickest gauge that has no more copper.
//! If no standard part fits, that is a finding; the nearest part is not used instead.

use std::fmt;
use std::str::FromStr;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::f64::{Force, Length};
use uom::si::force::pound_force;
use uom::si::length::millimeter;

use super::conductor::Size::{self, *};
use super::finding::{Code, RuleFinding};
use super::say::{Part, Statement, say};
use super::source::{CRIMP_ABYC_E11, CRIMP_NASA, CRIMP_UL_486A, HEAT_SHRINK, Source, TERMINALS};
use super::working::{Working, figure};
use crate::trade::quantity::Quantity;

/// A kind of terminal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TerminalKind {
    /// Closed ring on a stud: the preferred terminal wherever there is a stud.
    Ring,
    /// Captive fork, for terminal strips whose screws do not come out.
    Fork,
    /// Push-on blade, for switches and lights with blades.
    PushOn,
    /// Joins two conductors end to end.
    Butt,
}

impl TerminalKind {
    /// The name of the kind.
    pub fn words(self) -> &'static str {
        match self {
            Self::Ring => "ring terminal",
            Self::Fork => "captive fork terminal",
            Self::PushOn => "push-on terminal",
            Self::Butt => "butt connector",
        }
    }

    fn sits_on_stud(self) -> bool {
        matches!(self, Self::Ring | Self::Fork)
    }
}

/// The barrel that takes the conductor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Barrel {
    /// Insulated, red: 22 to 16 AWG.
    Red,
    /// Insulated, blue: 16 to 14 AWG.
    Blue,
    /// Insulated, yellow: 12 to 10 AWG.
    Yellow,
    /// Bare tinned lug for exactly one gauge, 8 AWG and thicker.
    Lug,
}

impl Barrel {
    /// The barrel as text, with its range.
    pub fn words(self) -> &'static str {
        match self {
            Self::Red => "red, 22 to 16 AWG",
            Self::Blue => "blue, 16 to 14 AWG",
            Self::Yellow => "yellow, 12 to 10 AWG",
            Self::Lug => "tinned lug",
        }
    }

    /// The barrel for a conductor. 16 AWG fits red and blue. It gets red, the tighter barrel.
    pub fn of(size: Size) -> Self {
        match gauge(size) {
            Some(Awg22 | Awg20 | Awg18 | Awg16) | None => Self::Red,
            Some(Awg14) => Self::Blue,
            Some(Awg12 | Awg10) => Self::Yellow,
            Some(_) => Self::Lug,
        }
    }

    /// The studs that its rings and forks fit.
    fn studs(self, size: Size) -> &'static [Stud] {
        match self {
            Self::Red => &[Stud::No6, Stud::No8, Stud::No10, Stud::Quarter, Stud::FiveSixteenths],
            Self::Blue | Self::Yellow => {
                &[Stud::No6, Stud::No8, Stud::No10, Stud::Quarter, Stud::FiveSixteenths, Stud::ThreeEighths]
            }
            Self::Lug if size <= Awg4 => {
                &[Stud::No10, Stud::Quarter, Stud::FiveSixteenths, Stud::ThreeEighths, Stud::Half]
            }
            Self::Lug => &[Stud::Quarter, Stud::FiveSixteenths, Stud::ThreeEighths, Stud::Half],
        }
    }
}

/// Declares the studs with their thread and the metric thread that fits the same terminals.
macro_rules! studs {
    ($($name:ident = $text:literal, $metric:literal, $mm:literal;)+) => {
        /// A stud or screw for terminals. Written `#10`, `1/4 in`. `M5`, `M6` and so on are read as the inch
        /// stud that fits the same terminal.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(try_from = "String", into = "String")]
        pub enum Stud { $(#[doc = $text] $name),+ }

        impl Stud {
            /// Every stud from thin to thick.
            pub const ALL: &'static [Stud] = &[$(Stud::$name),+];

            /// The stud as written in files and on pages.
            pub fn text(self) -> &'static str {
                match self { $(Self::$name => $text,)+ }
            }

            /// The metric thread that fits the same terminal.
            pub fn metric(self) -> &'static str {
                match self { $(Self::$name => $metric,)+ }
            }

            /// The diameter of the thread.
            pub fn diameter(self) -> Length {
                Length::new::<millimeter>(match self { $(Self::$name => $mm,)+ })
            }
        }
    };
}

studs! {
    No6 = "#6", "M3.5", 3.51;
    No8 = "#8", "M4", 4.17;
    No10 = "#10", "M5", 4.83;
    Quarter = "1/4 in", "M6", 6.35;
    FiveSixteenths = "5/16 in", "M8", 7.94;
    ThreeEighths = "3/8 in", "M10", 9.53;
    Half = "1/2 in", "M12", 12.7;
}

/// Text that is not a stud.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "stud `{0}`: expected one of #6, #8, #10, 1/4 in, 5/16 in, 3/8 in, 1/2 in, M3.5, M4, M5, M6, M8, M10, M12"
)]
pub struct StudError(String);

impl FromStr for Stud {
    type Err = StudError;

    fn from_str(text: &str) -> Result<Self, StudError> {
        let wanted = text.trim();
        let named = Self::ALL.iter().find(|stud| stud.text() == wanted || stud.metric() == wanted);
        named.copied().ok_or_else(|| StudError(text.to_owned()))
    }
}

impl TryFrom<String> for Stud {
    type Error = StudError;

    fn try_from(text: String) -> Result<Self, StudError> {
        text.parse()
    }
}

impl From<Stud> for String {
    fn from(stud: Stud) -> Self {
        stud.text().to_owned()
    }
}

impl fmt::Display for Stud {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.text())
    }
}

impl JsonSchema for Stud {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Stud".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let names: Vec<&str> = Self::ALL.iter().flat_map(|stud| [stud.text(), stud.metric()]).collect();
        schemars::json_schema!({
            "type": "string",
            "description": "Stud or screw that a terminal sits on",
            "enum": names,
        })
    }
}

/// A terminal for one end.
#[derive(Debug, Clone, PartialEq)]
pub struct Terminal {
    /// Its kind.
    pub kind: TerminalKind,
    /// Its barrel.
    pub barrel: Barrel,
    /// The stud, for a ring or a fork.
    pub stud: Option<Stud>,
    /// The tube over barrel and insulation; `None` where no standard tube shrinks tight.
    pub heat_shrink: Option<Length>,
    /// The force that the crimp must hold, the standard for boats first.
    pub pulls: Vec<LeastPull>,
    /// How terminal and tube were chosen.
    pub workings: Vec<Working>,
}

/// The minimum force that a crimp must hold.
#[derive(Debug, Clone, PartialEq)]
pub struct LeastPull {
    /// The force.
    pub least: Force,
    /// The standard that requires it.
    pub source: &'static Source,
}

/// The terminal for a conductor on a stud, a blade or another conductor.
///
/// # Errors
///
/// `input-missing` without the stud of a ring or fork. `no-standard-terminal` where there is none for this
/// conductor and stud.
pub fn choose(kind: TerminalKind, size: Size, stud: Option<Stud>) -> Result<Terminal, Box<RuleFinding>> {
    let barrel = Barrel::of(size);
    let stud = if kind.sits_on_stud() { Some(fitting_stud(kind, size, stud)?) } else { None };
    if barrel == Barrel::Lug && matches!(kind, TerminalKind::PushOn | TerminalKind::Fork) {
        return Err(not_made(
            kind,
            size,
            stud,
            say!("From 8 AWG on there are ring terminals and butt connectors only."),
        ));
    }
    let heat_shrink = heat_shrink(size);
    let mut workings = vec![barrel_working(kind, size, barrel)];
    workings.extend(heat_shrink.map(|tube| tube_working(size, tube)));
    Ok(Terminal { kind, barrel, stud, heat_shrink, pulls: pulls(size), workings })
}

fn fitting_stud(kind: TerminalKind, size: Size, stud: Option<Stud>) -> Result<Stud, Box<RuleFinding>> {
    let stud =
        stud.ok_or_else(|| Box::new(RuleFinding::missing("the stud", say!("the {}", kind.words()))))?;
    let made = Barrel::of(size).studs(size);
    if made.contains(&stud) {
        return Ok(stud);
    }
    let list = Part::any(made.iter().map(|stud| stud.text()));
    Err(not_made(kind, size, Some(stud), say!("Use a stud of {}.", list)))
}

fn not_made(kind: TerminalKind, size: Size, stud: Option<Stud>, instead: Statement) -> Box<RuleFinding> {
    let text = match stud {
        Some(stud) => {
            say!("No standard {} fits {} on a {} stud. {}", kind.words(), size, stud.text(), instead)
        }
        None => say!("No standard {} fits {}. {}", kind.words(), size, instead),
    };
    let working = barrel_working(kind, size, Barrel::of(size));
    Box::new(RuleFinding::new(Code::NoStandardTerminal, text).working(working))
}

/// The gauge that a size is read as.
fn gauge(size: Size) -> Option<Size> {
    size.thickest_within(Size::all(super::conductor::System::Awg))
}

/// Tab widths that push-on terminals fit, mm ([`TERMINALS`]; IEC 61210, from memory).
pub const TABS_MM: [f64; 4] = [2.8, 4.8, 6.3, 9.5];

/// Whether a push-on terminal fits a tab of this width, to a tenth of a millimeter.
pub fn is_made_for_tab(width: Length) -> bool {
    TABS_MM.iter().any(|made| (width.get::<millimeter>() - made).abs() < 0.1)
}

/// Inner diameters of 3:1 tube as supplied, mm ([`HEAT_SHRINK`]).
const TUBES_MM: [f64; 8] = [3.2, 4.8, 6.4, 9.5, 12.7, 19.1, 25.4, 39.0];
/// Ratio of a terminal barrel's diameter to that of the insulation in it, approximate.
const BARREL_OVER_INSULATION: f64 = 1.25;
/// The tube's shrunk diameter as a share of its supplied diameter.
const SHRUNK: f64 = 1.0 / 3.0;

/// The narrowest standard tube that slides over the barrel and shrinks tight on the insulation.
pub fn heat_shrink(size: Size) -> Option<Length> {
    let over = size.outside_diameter().get::<millimeter>();
    let fits = |tube: &f64| *tube >= over * BARREL_OVER_INSULATION && tube * SHRUNK < over;
    TUBES_MM.iter().copied().find(fits).map(Length::new::<millimeter>)
}

/// ABYC E-11: pounds of force that a crimp holds for one minute.
const ABYC_E11_LBF: [(Size, f64); 15] = [
    (Awg18, 10.0),
    (Awg16, 15.0),
    (Awg14, 30.0),
    (Awg12, 35.0),
    (Awg10, 40.0),
    (Awg8, 45.0),
    (Awg6, 50.0),
    (Awg4, 70.0),
    (Awg3, 80.0),
    (Awg2, 90.0),
    (Awg1, 100.0),
    (Awg1_0, 125.0),
    (Awg2_0, 150.0),
    (Awg3_0, 175.0),
    (Awg4_0, 225.0),
];

/// UL 486A: pounds of force before the conductor pulls out.
const UL_486A_LBF: [(Size, f64); 17] = [
    (Awg22, 8.0),
    (Awg20, 13.0),
    (Awg18, 20.0),
    (Awg16, 30.0),
    (Awg14, 50.0),
    (Awg12, 70.0),
    (Awg10, 80.0),
    (Awg8, 90.0),
    (Awg6, 100.0),
    (Awg4, 140.0),
    (Awg3, 160.0),
    (Awg2, 180.0),
    (Awg1, 200.0),
    (Awg1_0, 250.0),
    (Awg2_0, 300.0),
    (Awg3_0, 350.0),
    (Awg4_0, 450.0),
];

/// NASA-STD-8739.4 table 13-1, grounding lead: the only gauge in it that boats use.
const NASA_LBF: [(Size, f64); 1] = [(Awg22, 13.0)];

/// The force that a crimp on this conductor must hold. The standard for boats comes first, then the other
/// standards for the same gauge. Empty below 22 AWG. Without ABYC E-11 below 18 AWG, where it has no figure.
pub fn pulls(size: Size) -> Vec<LeastPull> {
    let tables: [(&[(Size, f64)], &'static Source); 3] =
        [(&ABYC_E11_LBF, &CRIMP_ABYC_E11), (&UL_486A_LBF, &CRIMP_UL_486A), (&NASA_LBF, &CRIMP_NASA)];
    let gauge = gauge(size);
    let row = |table: &[(Size, f64)]| table.iter().find(|(made, _)| Some(*made) == gauge).map(|row| row.1);
    let pull = |lbf: f64, source| LeastPull { least: Force::new::<pound_force>(lbf), source };
    tables.into_iter().filter_map(|(table, source)| row(table).map(|lbf| pull(lbf, source))).collect()
}

fn barrel_working(kind: TerminalKind, size: Size, barrel: Barrel) -> Working {
    Working {
        what: Quantity::Terminal,
        formula: "barrel by the conductor's size",
        numbers: size.to_string().into(),
        result: format!("{}, {}", kind.words(), barrel.words()).into(),
        source: &TERMINALS,
    }
}

fn tube_working(size: Size, tube: Length) -> Working {
    let over = size.outside_diameter().get::<millimeter>();
    Working {
        what: Quantity::HeatShrink,
        formula: "narrowest 3:1 tube over 1.25 x diameter over insulation",
        numbers: format!("1.25 x {} mm ({size})", figure(over)).into(),
        result: format!("{} mm tube", figure(tube.get::<millimeter>())).into(),
        source: &HEAT_SHRINK,
    }
}
