//! A conductor: one piece of wire with two ends, its role in a circuit or feeder, and what each end lands on.

use std::borrow::Borrow;
use std::fmt;
use std::sync::Arc;

use serde::Serialize;
use uom::si::f64::Length;

use super::plan::{ConductorOverride, Plan, Polarity};
use super::subject::{Subject, SubjectKind};
use super::value::{CircuitId, DeviceId, FeederId, LengthM, LocationId, PointId};
use crate::trade::conductor::Size;

/// The id of a conductor: `C01-3`, or the id of its feeder. Records use it, and it never changes.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(into = "String")]
pub struct ConductorId(Arc<str>);

impl ConductorId {
    pub(super) fn new(text: impl Into<Arc<str>>) -> Self {
        Self(text.into())
    }

    /// The text itself.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl From<ConductorId> for String {
    fn from(id: ConductorId) -> Self {
        id.0.as_ref().to_owned()
    }
}

impl Borrow<str> for ConductorId {
    fn borrow(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for ConductorId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// What a conductor is part of.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Of {
    /// A circuit.
    Circuit(CircuitId),
    /// A feeder, which is one conductor.
    Feeder(FeederId),
}

impl Of {
    /// The circuit or feeder as a subject.
    pub fn subject(&self) -> Subject {
        match self {
            Self::Circuit(id) => Subject::new(SubjectKind::Circuit, id),
            Self::Feeder(id) => Subject::new(SubjectKind::Feeder, id),
        }
    }
}

/// The role of a conductor in its circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ConductorRole {
    /// From the source to the switch.
    FuseToSwitch,
    /// From the source to the junction bar, without a switch.
    FuseToJunction,
    /// From the switch to the junction bar.
    SwitchToJunction,
    /// Out to the float switch at a device, past the switch of the circuit.
    ToFloat,
    /// Out to a device.
    ToDevice,
    /// From one device to the next, on either side.
    BetweenDevices,
    /// Back from a device.
    Return,
    /// Between two points.
    Feeder,
}

impl ConductorRole {
    /// The role as a text.
    pub fn words(self) -> &'static str {
        match self {
            Self::FuseToSwitch => "fuse to switch",
            Self::FuseToJunction => "fuse to junction bar",
            Self::SwitchToJunction => "switch to junction bar",
            Self::ToFloat => "to float switch",
            Self::ToDevice => "to device",
            Self::BetweenDevices => "between devices",
            Self::Return => "return",
            Self::Feeder => "feeder",
        }
    }

    /// Whether it connects two distribution points on the positive side of a circuit.
    pub fn is_jumper(self) -> bool {
        matches!(self, Self::FuseToSwitch | Self::FuseToJunction | Self::SwitchToJunction)
    }
}

/// What an end of a conductor lands on.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Landing {
    /// On a distribution point, at a position of it if that is known.
    Point {
        /// The distribution point.
        id: PointId,
        /// The position, from 1.
        position: Option<u16>,
    },
    /// On a device.
    Device(DeviceId),
}

impl Landing {
    /// The id of the distribution point or device.
    pub fn id(&self) -> &str {
        match self {
            Self::Point { id, .. } => id.as_str(),
            Self::Device(id) => id.as_str(),
        }
    }

    /// The distribution point or device.
    pub fn subject(&self) -> Subject {
        match self {
            Self::Point { id, .. } => Subject::new(SubjectKind::Point, id),
            Self::Device(id) => Subject::new(SubjectKind::Device, id),
        }
    }

    /// Its location, if the plan has the distribution point or device.
    pub fn location<'a>(&self, plan: &'a Plan) -> Option<&'a LocationId> {
        match self {
            Self::Point { id, .. } => plan.point(id).map(|point| &point.location),
            Self::Device(id) => plan.device(id).map(|device| &device.location),
        }
    }

    pub(super) fn point(id: &PointId) -> Self {
        Self::Point { id: id.clone(), position: None }
    }
}

impl fmt::Display for Landing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Point { id, position: Some(position) } => write!(f, "{id} {position}"),
            _ => f.write_str(self.id()),
        }
    }
}

/// One piece of wire with two ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Conductor {
    /// Its id.
    pub id: ConductorId,
    /// Its printed text: like its id, but with the label of its circuit or feeder.
    pub label: String,
    /// Its circuit or feeder.
    pub of: Of,
    /// Its polarity.
    pub polarity: Polarity,
    /// Its role.
    pub role: ConductorRole,
    /// Where the current comes from.
    pub from: Landing,
    /// Where the current goes.
    pub to: Landing,
    /// The entered size; `None` if the program chooses it.
    pub size: Option<Size>,
    /// Its length, entered or taken from its circuit; `None` if not known.
    pub length: Option<Length>,
    /// Whether the length was entered for this conductor itself.
    pub measured: bool,
    /// Whether it is pulled through the boat, and not laid on the bench within one location.
    pub pulled: bool,
    /// Whether any of it lies in an engine space.
    pub engine_space: bool,
    /// How many current-carrying conductors are in the fullest raceway on its route, including itself; `None` if
    /// it has no route along raceways.
    pub company: Option<usize>,
}

/// One end of a conductor.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct End {
    /// Its id: the conductor's with `a` at the source side and `b` at the far side.
    pub id: String,
    /// Its printed text: the conductor's label with the same letter.
    pub label: String,
    /// What it lands on.
    pub at: Landing,
}

impl Conductor {
    /// Both ends, the one nearer the source first.
    pub fn ends(&self) -> [End; 2] {
        let (near, far) = match self.polarity {
            Polarity::Positive => (&self.from, &self.to),
            Polarity::Negative => (&self.to, &self.from),
        };
        [('a', near), ('b', far)].map(|(side, at)| End {
            id: format!("{}{side}", self.id),
            label: format!("{}{side}", self.label),
            at: at.clone(),
        })
    }

    /// Its two ends as a text: `fb1 -> panel 3`.
    pub fn way(&self) -> String {
        format!("{} \u{2192} {}", self.from, self.to)
    }

    /// Applies the data entered for this conductor itself.
    pub(super) fn apply(&mut self, given: &ConductorOverride) {
        self.size = given.size.or(self.size);
        self.length = given.length_m.map(LengthM::quantity);
        self.measured = given.length_m.is_some();
    }
}
