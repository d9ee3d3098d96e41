//! Whether a discharged bank can still start the engine.

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::milliohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio};
use uom::si::ratio::percent;

use super::bank::{Bank, Starting};
use super::battery::{self, Chemistry};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::say::say;
use crate::trade::source::{CRANKING_VOLTAGE, SAE_J537, Source};
use crate::trade::units::{percent as percent_of, volts as volts_of};
use crate::trade::working::{Working, figure};

/// Minimum share of nominal voltage at the posts while cranking: 9.6 V of 12 V.
pub const LEAST_SHARE: f64 = 9.6 / 12.0;
/// The drop allowed by a cold-cranking rating of a 12 V battery: from 12.6 V at rest to 7.2 V.
const RATING_VOLTS: f64 = 12.6 - 7.2;

/// Checks the voltage at the posts while the starter turns, at the lowest state of charge of the use pattern.
pub(super) fn check(
    bank: &Bank,
    chemistry: Chemistry,
    lowest: Ratio,
    findings: &mut Vec<RuleFinding>,
) -> Option<Working> {
    let Starting::FromBank { demand, rating } = bank.starting else { return None };
    let mut missing = |what| {
        findings.push(RuleFinding::missing(what, "whether the engine starts at the lowest state of charge"));
        None
    };
    let Some(demand) = demand else { return missing("the current of the starter") };
    let Some(rest) = battery::rest_voltage(chemistry, lowest, bank.nominal) else {
        return missing("the rest voltage of lithium iron phosphate");
    };
    let Some((resistance, source)) = resistance(bank, rating) else {
        return missing("the internal resistance or the cold-cranking rating of the bank");
    };
    let volts = rest - demand * resistance;
    let least = bank.nominal * LEAST_SHARE;
    let working = working(rest, demand, resistance, volts, source);
    if volts < least {
        let text = say!(
            "At the lowest state of charge, {}, the starter pulls the bank down to {}; the limit is {}. Use a separate \
             starting battery or a larger bank.",
            percent_of(lowest.get::<percent>()),
            volts_of(volts.get::<volt>()).beside(least.get::<volt>()),
            volts_of(least.get::<volt>())
        );
        let finding = RuleFinding::new(Code::CrankingVoltageLow, text)
            .against(volts.get::<volt>(), least.get::<volt>(), "V")
            .working(working.clone());
        findings.push(finding);
    }
    Some(working)
}

/// The internal resistance as given, or the largest that is consistent with the cold-cranking rating.
fn resistance(
    bank: &Bank,
    rating: Option<ElectricCurrent>,
) -> Option<(ElectricalResistance, &'static Source)> {
    let from_rating = || {
        let volts = ElectricPotential::new::<volt>(RATING_VOLTS) * (bank.nominal.get::<volt>() / 12.0);
        rating.map(|rating| (volts / rating, &SAE_J537))
    };
    bank.internal.map(|resistance| (resistance, &CRANKING_VOLTAGE)).or_else(from_rating)
}

fn working(
    rest: ElectricPotential,
    demand: ElectricCurrent,
    resistance: ElectricalResistance,
    volts: ElectricPotential,
    source: &'static Source,
) -> Working {
    Working {
        what: Quantity::LowestCrankingVoltage,
        formula: "V = rest voltage - I R; R as given, or (12.6 V - 7.2 V) / cold-cranking rating",
        numbers: format!(
            "{} V - {} A x {} mohm",
            figure(rest.get::<volt>()),
            figure(demand.get::<ampere>()),
            figure(resistance.get::<milliohm>())
        )
        .into(),
        result: format!("{} V", figure(volts.get::<volt>())).into(),
        source,
    }
}
