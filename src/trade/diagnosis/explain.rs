//! Where the excess is: from the fits to the places that they name.

use serde::Serialize;

use super::fit::{self, ExcessFit};
use super::place::Places;
use super::reading::{SuspectStretch, Taken};
use super::rows::{self, Equations, dot};

/// By how much chi-squared must fall for one more fault to be believed.
const WORTH_A_FAULT: f64 = 16.0;

/// How many explanations are given.
const MOST_TOLD: usize = 6;

/// Where the excess is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Diagnosis {
    /// How many readings were weighed.
    pub readings: usize,
    /// How far the readings are from the network without any excess: about the number of figures read where
    /// nothing is amiss.
    pub amiss: f64,
    /// The figures read.
    pub figures: usize,
    /// What would explain them, the likeliest first, all with the fewest faults that will do; empty where
    /// nothing needs explaining.
    pub explanations: Vec<Explanation>,
    /// Stretches on which no reading would show an excess.
    pub unseen: Vec<usize>,
}

/// One set of places that together explain the readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Explanation {
    /// Each place with its excess, the one that costs most first.
    pub faults: Vec<Excess>,
    /// How far the readings still are from it, as [`Diagnosis::amiss`] counts.
    pub amiss: f64,
    /// How likely it is among the explanations given, from 0 to 1.
    pub share: f64,
}

/// An excess resistance on one place.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Excess {
    /// The stretches that the readings cannot tell apart, the one that fits best first, with the milliohms
    /// that each would have to hold.
    pub stretches: Vec<(usize, f64)>,
    /// What the best of them costs on the circuit it costs most, in V.
    pub costs_v: f64,
}

/// Places the excess resistance that explains the readings.
///
/// Readings without a current, and those whose [`signs`] already tell a fault of another kind, are left out:
/// what draws nothing loses nothing.
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

/// The smallest number of faults to which one more adds nothing worth believing.
fn fewest(levels: &[Vec<ExcessFit>], amiss: f64) -> Option<&[ExcessFit]> {
    let mut best = (None, amiss);
    for level in levels {
        let Some(first) = level.first().filter(|first| best.1 - first.amiss >= WORTH_A_FAULT) else { break };
        best = (Some(level.as_slice()), first.amiss);
    }
    best.0
}

/// The fits in words of places: of all that name the same places only the best is told.
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

/// The places that a fit is about, in order.
fn named(places: &Places, fit: &ExcessFit) -> Vec<usize> {
    let mut named: Vec<usize> = fit.at.iter().map(|at| places.of[*at]).collect();
    named.sort_unstable();
    named
}

/// One fault of a fit: the excess that every stretch of its place would have to hold, the best first.
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

/// What the readings are off once every other fault of the fit holds its excess.
fn left(places: &Places, rows: &Equations, fit: &ExcessFit, fault: usize) -> Vec<f64> {
    let mut left = rows.off.clone();
    let others = fit.at.iter().zip(&fit.ohms).enumerate().filter(|(index, _)| *index != fault);
    for (_, (at, ohms)) in others {
        let column = &rows.columns[places.alike[*at][0]];
        left.iter_mut().zip(column).for_each(|(left, does)| *left -= ohms * does);
    }
    left
}
