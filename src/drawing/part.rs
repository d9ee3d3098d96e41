//! The parts that a drawing can link to, and the source of the links.

use crate::job::value::{CircuitId, DeviceId, FeederId, PointId};

/// A part of the job on a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrawnPart<'a> {
    /// A distribution point.
    Point(&'a PointId),
    /// A feeder.
    Feeder(&'a FeederId),
    /// A circuit.
    Circuit(&'a CircuitId),
    /// A device.
    Device(&'a DeviceId),
    /// A position of a switch panel, from 1.
    Position(&'a PointId, u16),
}

/// Returns the link of a part. A drawing itself has no addresses.
pub type PartLink<'a> = dyn Fn(DrawnPart<'_>) -> Option<String> + 'a;
