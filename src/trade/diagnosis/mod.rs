//! Where the fault is: from the readings of several circuits to the stretch of wire that explains them.
//!
//! Each circuit is measured alone on: volts where it begins, volts at its load, amperes, and the ohms of its
//! return when dead. [`signs`] reads off what needs no arithmetic: crossed, open, short, swapped, fed twice,
//! drawing too much or too little. What is left is a matter of milliohms, and [`diagnose`] places it: every
//! [`Stretch`] is given the solved network's share of each circuit's current, and the excess resistance is
//! sought, on as few stretches as will do, that turns what the network says into what the meter said.
//!
//! # What a place is
//!
//! Readings cannot tell apart what they see alike: a fuse holder and the crimp behind it carry the same
//! current between the same two probes. A *place* is therefore a set of stretches, and which stretches go
//! into one set follows from the readings that were taken and the meter, before any figure is looked at:
//! two stretches are one place when an excess that is just [worth looking for](WORTH_V) would move no reading by
//! more than [`APART`] times its noise whichever of the two held it. More readings make smaller places, and a
//! larger excess tells more: within a place the stretch that fits best stands first. A
//! stretch on which such an excess would show in no reading is listed as [unseen](Diagnosis::unseen): nothing
//! is said of it.
//!
//! # What it does not do
//!
//! It does not know the wire: an answer is the likeliest place to open first, never a proof. It takes each
//! circuit as measured alone, at rest, with the sources' voltage free within [`REST_V`]. It finds at most
//! [`MOST_FAULTS`] places at once. The bounds below are common practice, no source; the meter's share is that
//! of an ordinary 0.5 % instrument.

mod fit;
mod place;
mod rows;
pub mod signs;

use serde::Serialize;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance};

pub use signs::{Sign, signs};

/// What an excess must cost while its circuit is on, to be worth looking for, in V.
pub const WORTH_V: f64 = 0.36;
/// By how many times the noise two stretches must differ to be two places.
pub const APART: f64 = 4.0;
/// How far a source at rest may be from what was planned, in V: charge, temperature, a charger just off.
pub const REST_V: f64 = 0.4;
/// How many places are sought at once.
pub const MOST_FAULTS: usize = 3;
/// By how much chi-squared must fall for one more fault to be believed.
const WORTH_A_FAULT: f64 = 16.0;
/// How many explanations are given.
const MOST_TOLD: usize = 6;

/// A piece of the way that may hold an excess: a conductor with its two ends, a fuse in its holder, the
/// inside of a battery with its posts.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// Its name, for people.
    pub name: String,
    /// What it should have.
    pub design: ElectricalResistance,
}

/// A stretch on a reading's way, and the share of the circuit's current that passes it, by the solved network.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passed {
    /// The stretch, by its number in the list.
    pub stretch: usize,
    /// The current in it over that of the circuit; below nothing against the way.
    pub share: f64,
}

/// One reading: one circuit alone on, measured at one of its loads.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// The circuit.
    pub of: String,
    /// Which supply it hangs on; readings on the same one share its voltage at rest.
    pub supply: usize,
    /// Volts where the circuit begins with nothing on, as planned.
    pub rest: ElectricPotential,
    /// From the source to where the circuit begins, out and back.
    pub before: Vec<Passed>,
    /// From where the circuit begins to the load.
    pub out: Vec<Passed>,
    /// From the load back to where the return lands.
    pub back: Vec<Passed>,
    /// What the network says of it.
    pub expected: Expected,
    /// What the meter said.
    pub meter: Meter,
}

/// What the solved network says of a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Expected {
    /// Volts where the circuit begins.
    pub source: ElectricPotential,
    /// Volts at the load.
    pub load: ElectricPotential,
    /// The circuit's current.
    pub current: ElectricCurrent,
    /// The rating of its fuse or breaker.
    pub fuse: Option<ElectricCurrent>,
}

/// What the meter said; `None`: not measured.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Meter {
    /// Volts where the circuit begins.
    pub source: Option<ElectricPotential>,
    /// Volts at the load.
    pub load: Option<ElectricPotential>,
    /// Amperes.
    pub current: Option<ElectricCurrent>,
    /// Ohms of the return, dead.
    pub back: Option<ElectricalResistance>,
    /// Volts at the load with the circuit off.
    pub load_off: Option<ElectricPotential>,
    /// Amperes with the circuit off.
    pub current_off: Option<ElectricCurrent>,
}

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
pub fn diagnose(stretches: &[Stretch], readings: &[Taken]) -> Diagnosis {
    let told: Vec<&Taken> = readings.iter().filter(|taken| rows::is_weighed(taken)).collect();
    let rows = rows::Rows::of(stretches, &told);
    let places = place::Places::of(&rows);
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
fn fewest(levels: &[Vec<fit::Fit>], amiss: f64) -> Option<&[fit::Fit]> {
    let mut best = (None, amiss);
    for level in levels {
        let Some(first) = level.first().filter(|first| best.1 - first.amiss >= WORTH_A_FAULT) else { break };
        best = (Some(level.as_slice()), first.amiss);
    }
    best.0
}

/// The fits in words of places: of all that name the same places only the best is told.
fn explanations(rows: &rows::Rows, places: &place::Places, level: &[fit::Fit]) -> Vec<Explanation> {
    let mut told: Vec<(Vec<usize>, &fit::Fit)> = Vec::new();
    for fit in level {
        let named = places.named(fit);
        if told.iter().all(|(known, _)| *known != named) {
            told.push((named, fit));
        }
        if told.len() == MOST_TOLD {
            break;
        }
    }
    let least = told.first().map_or(0.0, |(_, first)| first.amiss);
    let weight = |fit: &fit::Fit| (-(fit.amiss - least) / 2.0).exp();
    let whole: f64 = told.iter().map(|(_, fit)| weight(fit)).sum();
    let explained = told.iter().map(|(_, fit)| {
        let mut faults: Vec<Excess> =
            (0..fit.at.len()).map(|fault| places.excess(rows, fit, fault)).collect();
        faults.sort_by(|one, other| other.costs_v.total_cmp(&one.costs_v));
        Explanation { faults, amiss: fit.amiss, share: weight(fit) / whole }
    });
    explained.collect()
}
