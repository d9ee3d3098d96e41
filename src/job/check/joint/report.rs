//! The sizes of a plan beside those with every size chosen again, as pages and files show it.

use crate::job::subject::Subject;
use crate::trade::conductor::Size;
use crate::trade::working::Working;
use serde::Serialize;

/// The sizes of a plan, and the sizes with every one of them chosen again.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JointReport {
    /// Each circuit and feeder that has a length.
    pub wires: Vec<WireSize>,
    /// Mass of the copper as planned, in kg: sizes of the plan kept, the others chosen.
    pub planned_kg: f64,
    /// Mass of the copper with every size chosen again.
    pub anew_kg: f64,
    /// Mass of the copper with the smallest size that the rules allow for each wire by itself. No sizes that
    /// keep the limits use less.
    pub lower_bound_kg: f64,
    /// How the mass of the copper was calculated.
    pub working: Working,
}

/// One circuit or feeder with its sizes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WireSize {
    /// The circuit or feeder.
    #[serde(flatten)]
    pub subject: Subject,
    /// Meters of its conductors.
    pub copper_m: f64,
    /// Its size as planned: given, or chosen with the given ones.
    pub planned: Option<Size>,
    /// Whether the plan gives this size.
    pub given: bool,
    /// The size with every size chosen again.
    pub anew: Option<Size>,
    /// The smallest size that the rules allow for the wire by itself.
    pub smallest: Option<Size>,
}
