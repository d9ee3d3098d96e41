//! The result of sizing together, as pages and files show it.

use crate::job::subject::Subject;
use crate::job::value::{CircuitId, PointId};
use crate::trade::conductor::Size;
use crate::trade::working::Working;
use serde::Serialize;

/// The result of sizing together, battery by battery.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JointReport {
    /// The tree of each battery: its feeders and branches.
    pub trees: Vec<TreeReport>,
    /// What could not be sized together, and why.
    pub left_out: Vec<LeftOut>,
}

/// Something that sizing together does not change.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeftOut {
    /// The feeder, circuit or point.
    #[serde(flatten)]
    pub subject: Subject,
    /// The reason.
    pub why: String,
}

/// Everything downstream of one battery.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TreeReport {
    /// The battery.
    pub source: PointId,
    /// The result with the sizes of the plan kept, and the others chosen.
    pub planned: Option<TreeOutcome>,
    /// The result with every size chosen again.
    pub anew: Option<TreeOutcome>,
}

/// The sizes with the least copper in total.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TreeOutcome {
    /// Mass of the copper of all wires in the tree.
    pub copper_kg: f64,
    /// Lower bound: no set of sizes that keeps the limits uses less copper than this.
    pub lower_bound_kg: f64,
    /// Copper with each wire sized by itself, with a share of the drop limit by its length. `None` if no
    /// sizes are found like this.
    pub alone_kg: Option<f64>,
    /// How much copper sizing together saves.
    pub saved_kg: Option<f64>,
    /// Each wire.
    pub wires: Vec<WireSize>,
    /// Circuits whose limit no size keeps; they get the sizes with the least drop.
    pub unmet: Vec<UnmetLimit>,
    /// How the result was calculated.
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
    /// Whether the plan gives this size and it was kept.
    pub given: bool,
    /// The size it has when each is sized by itself.
    pub alone: Option<Size>,
    /// How that size was calculated.
    pub alone_working: Option<Working>,
    /// Meters of conductor.
    pub copper_m: f64,
    /// The current it carries.
    pub current_a: f64,
    /// How the current of a feeder was calculated.
    pub current_working: Option<Working>,
    /// Drop from the battery to its far end and back.
    pub lost_v: f64,
    /// The maximum drop there.
    pub limit_v: Option<f64>,
    /// How the drop was calculated.
    pub working: Working,
}

/// A limit that no size keeps.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UnmetLimit {
    /// The circuit.
    pub circuit: CircuitId,
    /// The maximum drop.
    pub limit_v: f64,
    /// The smallest drop that is possible.
    pub least_v: f64,
}
