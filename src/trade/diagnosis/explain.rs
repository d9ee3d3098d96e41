//! Locates the excess resistance: turns the fits into the places that they name.

use serde::Serialize;

use super::fit::{self, ExcessFit};
use super::place::Places;
use super::reading::{SuspectStretch, Taken};
use super::rows::{self, Equations, dot};

/// How much chi-squared must fall before one more fault is accepted.
const WORTH_A_FAULT: f64 = 16.0;

/// The largest number of explanations reported.
const MOST_TOLD: usize = 6;

/// Where the excess resistance is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Diagnosis {
    /// How many readings were used.
    pub readings: usize,
    /// How far the readings are from the network without any excess. Where there is no fault, it is about the
    /// number of figures read.
    pub amiss: f64,
    /// The figures read.
    pub figures: usize,
    /// The possible explanations, the most likely first, all with the fewest faults that are sufficient.
    /// Empty where the readings need no explanation.
    pub explanations: Vec<Explanation>,
    /// Stretches where no reading would show an excess.
    pub unseen: Vec<usize>,
}

/// One set of places that together explain the readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Explanation {
    /// Each place with its excess, the one with the largest extra drop first.
    pub faults: Vec<Excess>,
    /// How far the readings still are from this explanation, measured as [`Diagnosis::amiss`].
    pub amiss: f64,
    /// Its likelihood among the explanations given, from 0 to 1.
    pub share: f64,
}

/// An excess resistance in one place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Excess {
    /// The stretches that the readings cannot distinguish, the best fit first. Each has the milliohms that it
    /// would need to have.
    pub stretches: Vec<(usize, f64)>,
    /// The extra drop of the best fit on the circuit that it affects most, in V.
    pub costs_v: f64,
}

/// Locates the excess resistance that explains the readings.
///
/// Readings without a current are left out, because a circuit without current has no drop. Readings whose
/// [`signs`] already show a fault of another kind are left out too.
pub fn diagnose(stretches: &[SuspectStretch], readings: &[Taken]) -> Diagnosis {
    let told: Vec<&Taken> = readings.iter().filter(|taken| rows::is_weighed(taken)).collect();
    let rows = Equations::of(stretches, &told);
    let places = Places::of(&rows);
    let levels = fit::levels(&rows, &places);
    let chosen = fewest(&levels, rows.amiss());
    Diagnosis {
        readings: told.len(),
        amiss: rows.amiss(),
        figures: rows.figures(),
        explanations: chosen.map_or_else(Vec::new, |level| explanations(&rows, &places, level)),
        unseen: places.unseen,
    }
}

/// The smallest number of faults at which one more fault does not improve the fit sufficiently.
fn fewest(levels: &[Vec<ExcessFit>], amiss: f64) -> Option<&[ExcessFit]> {
    let mut best = (None, amiss);
    for level in levels {
        let Some(first) = level.first().filter(|first| best.1 - first.amiss >= WORTH_A_FAULT) else { break };
        best = (Some(level.as_slice()), first.amiss);
    }
    best.0
}

/// The fits as explanations. Of all fits that name the same places, only the best is reported.
fn explanations(rows: &Equations, places: &Places, level: &[ExcessFit]) -> Vec<Explanation> {
    let mut told: Vec<(Vec<usize>, &ExcessFit)> = Vec::new();
    for fit in level {
        let named = named(places, fit);
        if told.iter().all(|(known, _)| *known != named) {
            told.push((named, fit));
        }
        if told.len() == MOST_TOLD {
            break;
        }
    }
    let least = told.first().map_or(0.0, |(_, first)| first.amiss);
    let weight = |fit: &ExcessFit| (-(fit.amiss - least) / 2.0).exp();
    let whole: f64 = told.iter().map(|(_, fit)| weight(fit)).sum();
    let explained = told.iter().map(|(_, fit)| {
        let mut faults: Vec<Excess> =
            (0..fit.at.len()).map(|fault| excess(places, rows, fit, fault)).collect();
        faults.sort_by(|one, other| other.costs_v.total_cmp(&one.costs_v));
        Explanation { faults, amiss: fit.amiss, share: weight(fit) / whole }
    });
    explained.collect()
}

/// The places that a fit names, in order.
fn named(places: &Places, fit: &ExcessFit) -> Vec<usize> {
    let mut named: Vec<usize> = fit.at.iter().map(|at| places.of[*at]).collect();
    named.sort_unstable();
    named
}

/// One fault of a fit: the excess that each stretch of its place would need to have, the best fit first.
fn excess(places: &Places, rows: &Equations, fit: &ExcessFit, fault: usize) -> Excess {
    let place = places.of[fit.at[fault]];
    let left = left(places, rows, fit, fault);
    let in_place = places.alike.iter().zip(&places.of).filter(|(_, of)| **of == place);
    let mut each: Vec<(usize, f64, f64)> = in_place
        .flat_map(|(stretches, _)| stretches)
        .map(|stretch| {
            let column = &rows.columns[*stretch];
            let (along, length) = (dot(column, &left).max(0.0), dot(column, column));
            (*stretch, along / length, along * along / length)
        })
        .collect();
    each.sort_by(|one, other| other.2.total_cmp(&one.2));
    let costs_v = each.first().map_or(0.0, |(stretch, ohms, _)| ohms * rows.most_a[*stretch]);
    Excess { stretches: each.into_iter().map(|(stretch, ohms, _)| (stretch, 1e3 * ohms)).collect(), costs_v }
}

/// The error left in the readings after the excess of every other fault of the fit is subtracted.
fn left(places: &Places, rows: &Equations, fit: &ExcessFit, fault: usize) -> Vec<f64> {
    let mut left = rows.off.clone();
    let others = fit.at.iter().zip(&fit.ohms).enumerate().filter(|(index, _)| *index != fault);
    for (_, (at, ohms)) in others {
        let column = &rows.columns[places.alike[*at][0]];
        left.iter_mut().zip(column).for_each(|(left, does)| *left -= ohms * does);
    }
    left
}
