//! What sizing together comes to, as pages and files show it.

use crate::job::subject::Subject;
use crate::job::value::{CircuitId, PointId};
use crate::trade::conductor::Size;
use crate::trade::working::Working;
use serde::Serialize;

/// What sizing together comes to, battery by battery.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JointReport {
    /// Each battery with its feeders and branches.
    pub trees: Vec<TreeReport>,
    /// What could not be part of it, and why.
    pub left_out: Vec<LeftOut>,
}

/// Something that sizing together leaves as it is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeftOut {
    /// What.
    #[serde(flatten)]
    pub subject: Subject,
    /// Why.
    pub why: String,
}

/// All that hangs on one battery.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TreeReport {
    /// The battery.
    pub source: PointId,
    /// With the sizes that the plan gives kept, and the rest chosen.
    pub planned: Option<TreeOutcome>,
    /// With every size chosen anew.
    pub anew: Option<TreeOutcome>,
}

/// Sizes that cost least together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TreeOutcome {
    /// Copper of all wires of the tree.
    pub copper_kg: f64,
    /// No sizes at all that keep the limits take less than this.
    pub lower_bound_kg: f64,
    /// Copper with each wire sized by itself, its share of the limit by its length; none where that way
    /// finds no sizes.
    pub alone_kg: Option<f64>,
    /// What sizing together saves.
    pub saved_kg: Option<f64>,
    /// Each wire.
    pub wires: Vec<WireSize>,
    /// Circuits whose limit no size keeps; they get the least that can be lost.
    pub unmet: Vec<UnmetLimit>,
    /// How it came about.
    pub working: Working,
}

/// One wire with its sizes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WireSize {
    /// The feeder or circuit.
    #[serde(flatten)]
    pub subject: Subject,
    /// The size chosen together.
    pub size: Size,
    /// Whether it was kept as the plan gives it.
    pub given: bool,
    /// The size it has when each is sized by itself.
    pub alone: Option<Size>,
    /// How that came about.
    pub alone_working: Option<Working>,
    /// Meters of conductor.
    pub copper_m: f64,
    /// What it carries.
    pub current_a: f64,
    /// How that came about, of a feeder.
    pub current_working: Option<Working>,
    /// Lost from the battery to its far end and back.
    pub lost_v: f64,
    /// What may be lost there.
    pub limit_v: Option<f64>,
    /// How what is lost came about.
    pub working: Working,
}

/// A limit that no size keeps.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UnmetLimit {
    /// The circuit.
    pub circuit: CircuitId,
    /// What may be lost.
    pub limit_v: f64,
    /// What is lost at the least.
    pub least_v: f64,
}
