//! The result of the diagnosis.

use serde::Serialize;

use crate::job::subject::Subject;
use crate::job::value::CircuitId;

/// The result of the diagnosis.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct DiagnosisReport {
    /// How many readings were used.
    pub readings: usize,
    /// Faults that need no calculation.
    pub signs: Vec<Told>,
    /// Where excess resistance is, the most likely explanation first.
    pub explanations: Vec<Explained>,
    /// Parts of the boat that these readings do not cover.
    pub unseen: Vec<Suspect>,
    /// Circuits whose readings have no current, so that they cannot locate a fault.
    pub without_current: Vec<CircuitId>,
}

impl DiagnosisReport {
    /// Whether the readings show no fault.
    pub fn is_clear(&self) -> bool {
        self.signs.is_empty() && self.explanations.is_empty()
    }

    /// The signs and faults of a circuit: those about the circuit itself, and those on its path.
    pub fn of_circuit(&self, id: &CircuitId) -> (Vec<&Told>, Vec<&LikelyFault>) {
        let signs = self.signs.iter().filter(|told| told.circuits.contains(id)).collect();
        let likeliest = self.explanations.first().map_or(&[][..], |first| &first.faults);
        (signs, likeliest.iter().filter(|fault| fault.circuits.contains(id)).collect())
    }
}

/// One sign as text.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Told {
    /// The circuits that it is about.
    pub circuits: Vec<CircuitId>,
    /// The text of the sign.
    pub text: String,
    /// What to check, in this order.
    pub look: Vec<String>,
}

/// One set of locations that would explain the readings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Explained {
    /// The locations, the one with the largest extra drop first.
    pub faults: Vec<LikelyFault>,
    /// Its probability among the given explanations, from 0 to 1.
    pub share: f64,
    /// The remaining difference between the readings and this explanation: chi-squared.
    pub amiss: f64,
}

/// Excess resistance at one location: positions that the readings cannot separate.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LikelyFault {
    /// The positions, in the order in which to check them.
    pub spots: Vec<Suspect>,
    /// The measured circuits whose current passes this location.
    pub circuits: Vec<CircuitId>,
    /// The extra drop on the circuit with the largest one, in V.
    pub costs_v: f64,
    /// What to check, in this order.
    pub look: Vec<String>,
}

/// A conductor, a fuse in its holder, or a source with its posts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Suspect {
    /// What it is part of.
    #[serde(flatten)]
    pub subject: Subject,
    /// Its name, for people.
    pub name: String,
    /// Its excess resistance, if it is the fault; `None` for a position that is only named.
    pub milliohm: Option<f64>,
    #[serde(skip)]
    pub(super) kind: What,
}

/// The kind of a possible fault location.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) enum What {
    Fuse,
    Jumper,
    Lead,
    Return,
    Feeder,
    Source,
}

impl What {
    /// Where to check it first. Common practice, no source.
    pub(super) fn look(self) -> &'static str {
        match self {
            Self::Fuse => {
                "the fuse in its holder: pull it, look for heat and green on both clips, press it home"
            }
            Self::Jumper => "the jumper at the panel: tug both its terminals, tighten the switch and the bar",
            Self::Lead => "the crimps of the positive wire, at the bar and at the load",
            Self::Return => "the crimps of the negative wire, its ring on the negative bus first",
            Self::Feeder => "the lugs of the feeder: tight, clean, crimped all around",
            Self::Source => "the battery\u{2019}s posts, then its charge and its age",
        }
    }
}
