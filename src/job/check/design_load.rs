//! The design load of a feeder, at which its drop is judged.
//!
//! Not everything is on at once. Continuous loads count whole. Of the short-time loads count the largest, or a
//! tenth of all of them, whichever is more (from memory).

use uom::si::electric_current::ampere;
use uom::si::f64::ElectricCurrent;

use super::circuit_size;
use super::context::{CheckContext, amperes};
use crate::job::plan::Circuit;
use crate::trade::quantity::Quantity;
use crate::trade::source::DESIGN_LOAD;
use crate::trade::working::{Working, figure};

/// Share of the sum of the short-time loads that counts at least (from memory).
const SHORT_TIME_SHARE: f64 = 0.1;

/// The design load of the circuits that may draw through a feeder; `None` if the current of one is not known.
/// A charging current that is larger counts instead.
pub(super) fn of(
    context: &CheckContext<'_>,
    drawn: &[&Circuit],
    charge: Option<f64>,
) -> Option<(ElectricCurrent, Working)> {
    let (mut steady, mut short) = (Vec::new(), Vec::new());
    for circuit in drawn {
        let current = amperes(circuit_size::design_current(context, circuit))?;
        if context.short_time().has(circuit) { short.push(current) } else { steady.push(current) }
    }
    Some(of_currents(&steady, &short, charge))
}

/// The design load of these continuous and short-time currents, in A. A charging current that is larger counts
/// instead.
pub(in crate::job) fn of_currents(
    steady: &[f64],
    short: &[f64],
    charge: Option<f64>,
) -> (ElectricCurrent, Working) {
    let largest = short.iter().copied().fold(0.0, f64::max);
    let tenth = SHORT_TIME_SHARE * short.iter().sum::<f64>();
    let load = steady.iter().sum::<f64>() + largest.max(tenth);
    let terms = |currents: &[f64]| match currents {
        [] => "0".to_owned(),
        _ => currents.iter().map(|current| figure(*current)).collect::<Vec<_>>().join(" + "),
    };
    let mut numbers = format!(
        "continuous {} A; short-time: largest {} A, a tenth of all {} A",
        terms(steady),
        figure(largest),
        figure(tenth)
    );
    if let Some(charge) = charge {
        numbers.push_str(&format!("; charged with {} A", figure(charge)));
    }
    let most = load.max(charge.unwrap_or_default());
    let working = Working {
        what: Quantity::DesignLoad,
        formula: "continuous loads + the larger of the largest short-time load and 10 % of all of them",
        numbers: numbers.into(),
        result: format!("{} A", figure(most)).into(),
        source: &DESIGN_LOAD,
    };
    (ElectricCurrent::new::<ampere>(most), working)
}
