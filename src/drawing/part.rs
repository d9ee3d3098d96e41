//! The parts a drawing can lead to, and who says where.

use crate::job::value::{CircuitId, DeviceId, FeederId, PointId};

/// A part of the job that stands on a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DrawnPart<'a> {
    /// A point.
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

/// Says where a part leads: a drawing knows no addresses of its own.
pub type PartLink<'a> = dyn Fn(DrawnPart<'_>) -> Option<String> + 'a;
