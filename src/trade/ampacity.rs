//! The ampacity of a conductor: the table's figure, and what is left of it after derating for heat and
//! bundling.
//!
//! - US rules: table 5 of 33 CFR 183.425. In an engine space, the factor of note 1 applies. In a bundle of
//!   three or more current-carrying conductors *at 50 V and more*, the factor of note 2 applies. The law does
//!   not derate a bundle under 50 V.
//! - ISO rules: the table of ISO 13297 annex A and its engine-space factors, from memory. The tables at hand
//!   have no bundle factor for direct current, so none is applied. The working says so.
//!
//! Both tables are for 30 C around the conductor. Where it is hotter, the ampacity falls with the square root
//! of the temperature rise that the copper still has left. The engine-space factors of the law are the same
//! square root at 50 C, rounded. This is how they are checked.
//!
//! An insulation rated between two columns is read in the lower column. A size of the other system is read as
//! the thickest size of the table that has no more copper. A size too thin for the table has no ampacity:
//! that is a finding, not a pass.

mod tables;

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ThermodynamicTemperature};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::conductor::Size;
use super::finding::{Code, RuleFinding};
use super::insulation::Insulation;
use super::rules::RuleSet;
use super::say::{Statement, say};
use super::source::{
    AMBIENT_CORRECTION, CFR_425_B, CFR_425_C, CFR_435_B, ISO_13297_AMPACITY, ISO_13297_ENGINE_SPACE, Source,
    WARM_CONDUCTOR,
};
use super::units::{amps, celsius};
use super::working::{Working, figure, keeps_to};
use crate::trade::quantity::Quantity;

/// The ambient temperature that both tables are for, C.
const TABLE_AMBIENT_C: f64 = 30.0;
/// The law derates a bundle from this voltage up (33 CFR 183.435).
const BUNDLE_FROM_V: f64 = 50.0;

/// The conditions around a conductor that affect its temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// The rule set whose tables are used.
    pub rules: RuleSet,
    /// The insulation's temperature rating.
    pub insulation: Option<Insulation>,
    /// The temperature around the conductor outside an engine space.
    pub ambient: ThermodynamicTemperature,
    /// Whether any part of it is in an engine space.
    pub engine_space: bool,
    /// Nominal voltage of the system.
    pub nominal_voltage: Option<ElectricPotential>,
    /// How many current-carrying conductors are bundled, this one included. Needed at 50 V and more.
    pub bundle: Option<usize>,
}

/// The ampacity of a conductor.
#[derive(Debug, Clone, PartialEq)]
pub struct Ampacity {
    /// The table's figure. The law limits the fuse rating by this figure.
    pub table: ElectricCurrent,
    /// The figure after derating for an engine space or a bundle. The load must not exceed it.
    pub derated: ElectricCurrent,
    /// The steps from the table's figure to the derated figure.
    pub workings: Vec<Working>,
}

/// One rule set's table with its factors.
struct Table {
    columns: &'static [u16],
    engine_space: &'static [Option<f64>],
    name: &'static str,
    source: &'static Source,
    engine_source: &'static Source,
    ambient_source: &'static Source,
}

impl Table {
    fn of(rules: RuleSet) -> Self {
        match rules {
            RuleSet::Us => Self {
                columns: &tables::CFR_COLUMNS,
                engine_space: &tables::CFR_ENGINE_SPACE,
                name: "table 5",
                source: &CFR_425_B,
                engine_source: &CFR_425_C,
                ambient_source: &AMBIENT_CORRECTION,
            },
            RuleSet::Iso => Self {
                columns: &tables::ISO_COLUMNS,
                engine_space: &tables::ISO_ENGINE_SPACE,
                name: "annex A",
                source: &ISO_13297_AMPACITY,
                engine_source: &ISO_13297_ENGINE_SPACE,
                ambient_source: &WARM_CONDUCTOR,
            },
        }
    }
}

/// The ampacity of `size` under `conditions`.
///
/// # Errors
///
/// Returns a finding. `input-missing`: an input that the tables need is not given. `no-ampacity`: the tables
/// have no figure for the size, or for this insulation in an engine space.
pub fn allowable(size: Size, conditions: &Conditions) -> Result<Ampacity, Box<RuleFinding>> {
    let insulation =
        conditions.insulation.ok_or_else(|| missing("the insulation temperature rating", "the ampacity"))?;
    let table = Table::of(conditions.rules);
    let no_figure = || no_ampacity(size, &table);
    let column = insulation.column(table.columns).ok_or_else(no_figure)?;
    let (row, amperes) = read(conditions.rules, size, column).ok_or_else(no_figure)?;

    let mut workings = vec![table_working(&table, size, row, column, amperes)];
    let mut left = amperes;
    if conditions.engine_space {
        let factor = table.engine_space[column].ok_or_else(|| too_hot(insulation, &table))?;
        workings.push(engine_working(&table, column, left, factor));
        left *= factor;
    }
    let ambient = conditions.ambient.get::<degree_celsius>();
    let stays = ambient_factor(f64::from(table.columns[column]), ambient);
    if stays <= 0.0 {
        return Err(hotter_than_insulation(insulation, ambient, &table));
    }
    // The engine-space factor may already reduce it more.
    if !keeps_to(left, stays * amperes) {
        workings.push(ambient_working(&table, column, amperes, ambient, stays));
        left = stays * amperes;
    }
    if let Some((factor, working)) = bundle_step(conditions, left)? {
        workings.push(working);
        left *= factor;
    }
    Ok(Ampacity {
        table: ElectricCurrent::new::<ampere>(amperes),
        derated: ElectricCurrent::new::<ampere>(left),
        workings,
    })
}

/// Whether a design current is within the conductor's ampacity.
pub fn judge(design_current: ElectricCurrent, size: Size, ampacity: &Ampacity) -> Option<RuleFinding> {
    let (current, allowed) = (design_current.get::<ampere>(), ampacity.derated.get::<ampere>());
    if keeps_to(current, allowed) {
        return None;
    }
    let text = say!(
        "{} is over {}, the ampacity of {} here. Use a thicker conductor or a higher insulation temperature rating.",
        amps(current).beside(allowed),
        amps(allowed),
        size
    );
    let finding = RuleFinding::new(Code::CurrentOverAmpacity, text).against(current, allowed, "A");
    Some(match ampacity.workings.last() {
        Some(working) => finding.working(working.clone()),
        None => finding,
    })
}

/// The row in which `size` is read, and its figure.
fn read(rules: RuleSet, size: Size, column: usize) -> Option<(Size, f64)> {
    match rules {
        RuleSet::Us => look_up(&tables::CFR_TABLE_5, size, column),
        RuleSet::Iso => look_up(&tables::ISO_TABLE, size, column),
    }
}

fn look_up<const N: usize>(rows: &[(Size, [f64; N])], size: Size, column: usize) -> Option<(Size, f64)> {
    let row = size.thickest_within(rows.iter().map(|(row, _)| *row))?;
    rows.iter().find(|(made, _)| *made == row).map(|(_, figures)| (row, figures[column]))
}

/// The bundle factor with its working, where the rules have one for this case.
fn bundle_step(conditions: &Conditions, left: f64) -> Result<Option<(f64, Working)>, Box<RuleFinding>> {
    if conditions.rules == RuleSet::Iso {
        return Ok(conditions.bundle.filter(|&count| count > 1).map(|count| (1.0, iso_bundle(count, left))));
    }
    let voltage =
        conditions.nominal_voltage.ok_or_else(|| missing("the nominal voltage", "the bundle factor"))?;
    let derates = keeps_to(BUNDLE_FROM_V, voltage.get::<volt>());
    match (derates, conditions.bundle) {
        (true, None) => Err(missing("the number of conductors in the bundle", "the bundle factor")),
        (true, Some(count)) => Ok(Some((bundle_factor(count), note_2(count, left)))),
        (false, Some(count)) if count > 2 => Ok(Some((1.0, under_50_v(count, voltage, left)))),
        (false, _) => Ok(None),
    }
}

/// The share of a table's figure that is left at a higher ambient temperature. Heat leaves a conductor in
/// proportion to its temperature rise over its surroundings. Heat is generated in proportion to the square of
/// the current.
fn ambient_factor(insulation_c: f64, ambient_c: f64) -> f64 {
    let (left, whole) = (insulation_c - ambient_c, insulation_c - TABLE_AMBIENT_C);
    (left / whole).clamp(0.0, 1.0).sqrt()
}

fn bundle_factor(count: usize) -> f64 {
    let band = tables::CFR_BUNDLE.iter().rev().find(|(from, _)| count >= *from);
    band.map_or(1.0, |(_, factor)| *factor)
}

fn missing(input: &'static str, needed_for: &'static str) -> Box<RuleFinding> {
    Box::new(RuleFinding::missing(input, needed_for))
}

fn no_ampacity(size: Size, table: &Table) -> Box<RuleFinding> {
    let text = say!("{} has no ampacity for {}. Use a thicker conductor.", table.source.title, size);
    without_figure(text, size.to_string(), table.source)
}

fn too_hot(insulation: Insulation, table: &Table) -> Box<RuleFinding> {
    let text = say!(
        "{} has no engine-space factor for insulation rated {}. Use insulation rated 70 \u{b0}C or more.",
        table.engine_source.title,
        insulation
    );
    without_figure(text, format!("{insulation} in an engine space"), table.engine_source)
}

fn hotter_than_insulation(insulation: Insulation, ambient: f64, table: &Table) -> Box<RuleFinding> {
    let text = say!(
        "At {} insulation rated {} has no ampacity left. Use insulation with a higher rating.",
        celsius(ambient),
        insulation
    );
    without_figure(text, format!("{insulation} at {} C", figure(ambient)), table.ambient_source)
}

fn without_figure(text: Statement, numbers: String, source: &'static Source) -> Box<RuleFinding> {
    let formula = "table by size and insulation temperature, 30 C ambient";
    let result = "no figure in the table".to_owned();
    let working =
        Working { what: Quantity::Ampacity, formula, numbers: numbers.into(), result: result.into(), source };
    Box::new(RuleFinding::new(Code::NoAmpacity, text).working(working))
}

fn table_working(table: &Table, size: Size, row: Size, column: usize, amperes: f64) -> Working {
    let read_as = if row == size { String::new() } else { format!(" read as {row}") };
    Working {
        what: Quantity::Ampacity,
        formula: "table by size and insulation temperature, 30 C ambient",
        numbers: format!("{}: {size}{read_as}, {} C column", table.name, table.columns[column]).into(),
        result: format!("{} A", figure(amperes)).into(),
        source: table.source,
    }
}

fn engine_working(table: &Table, column: usize, before: f64, factor: f64) -> Working {
    Working {
        what: Quantity::AmpacityInEngineSpace,
        formula: "I x engine-space factor",
        numbers: format!("{} A x {factor} ({} C column)", figure(before), table.columns[column]).into(),
        result: format!("{} A", figure(before * factor)).into(),
        source: table.engine_source,
    }
}

fn ambient_working(table: &Table, column: usize, amperes: f64, ambient: f64, factor: f64) -> Working {
    let column = table.columns[column];
    Working {
        what: Quantity::AmpacityInHeat,
        formula: "I x sqrt((insulation - ambient) / (insulation - 30 C))",
        numbers: format!(
            "{} A x sqrt(({column} - {ambient}) / ({column} - 30))",
            figure(amperes),
            ambient = figure(ambient)
        )
        .into(),
        result: format!("{} A", figure(amperes * factor)).into(),
        source: table.ambient_source,
    }
}

fn note_2(count: usize, before: f64) -> Working {
    let factor = bundle_factor(count);
    Working {
        what: Quantity::AmpacityInBundle,
        formula: "I x note 2 factor",
        numbers: format!("{} A x {factor} ({count} current-carrying conductors)", figure(before)).into(),
        result: format!("{} A", figure(before * factor)).into(),
        source: &CFR_435_B,
    }
}

fn under_50_v(count: usize, voltage: ElectricPotential, before: f64) -> Working {
    let volts = figure(voltage.get::<volt>());
    Working {
        what: Quantity::AmpacityInBundle,
        formula: "unchanged: note 2 applies at 50 V and more",
        numbers: format!("{} A, {count} current-carrying conductors at {volts} V", figure(before)).into(),
        result: format!("{} A", figure(before)).into(),
        source: &CFR_435_B,
    }
}

fn iso_bundle(count: usize, before: f64) -> Working {
    Working {
        what: Quantity::AmpacityInBundle,
        formula: "unchanged: the table at hand has no bundle factor for direct current",
        numbers: format!("{} A, {count} current-carrying conductors", figure(before)).into(),
        result: format!("{} A", figure(before)).into(),
        source: &ISO_13297_AMPACITY,
    }
}
