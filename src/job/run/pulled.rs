//! What is pulled together along one route.

use uom::si::f64::Length;

use super::cable::DeviceCable;
use crate::job::conductor::Of;
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::conductor::Size;
use crate::trade::route::settle::Girth;

/// How many current-carrying conductors a lead or harness counts for.
const IN_A_LEAD: usize = 2;

/// The wires of a circuit or feeder that begin and end together, or one cable.
#[derive(Debug, Clone, PartialEq)]
pub enum Run<'a> {
    /// One wire, or a pair.
    Wires {
        /// Their circuit or feeder.
        of: Of,
        /// Their indexes in the list of all conductors.
        at: Vec<usize>,
        /// Whether they are in one jacket.
        jacketed: bool,
    },
    /// The cable of a device.
    Cable(DeviceCable<'a>),
}

impl Run<'_> {
    /// The subject of a finding about it: its circuit, its feeder, or the device of its cable.
    pub fn subject(&self) -> Subject {
        match self {
            Self::Wires { of, .. } => of.subject(),
            Self::Cable(own) => Subject::new(SubjectKind::Device, &own.device.id),
        }
    }

    /// The indexes of its wires in the list of all conductors; none for a cable.
    pub fn wires(&self) -> &[usize] {
        match self {
            Self::Wires { at, .. } => at,
            Self::Cable(_) => &[],
        }
    }

    /// The cable, if the run is one.
    pub fn cable(&self) -> Option<DeviceCable<'_>> {
        match self {
            Self::Wires { .. } => None,
            Self::Cable(own) => Some(*own),
        }
    }

    /// How many current-carrying conductors it counts for.
    pub fn carrying(&self) -> usize {
        match self {
            Self::Wires { at, .. } => at.len(),
            Self::Cable(own) if own.cable.kind.carries_current() => IN_A_LEAD,
            Self::Cable(_) => 0,
        }
    }

    /// The widest part that must pass a raceway with it, if it is wider than the run itself.
    pub fn widest(&self) -> Option<Length> {
        self.cable().and_then(|own| own.cable.hauled_mm()).map(|width| width.quantity())
    }

    /// The outside diameters of what is pulled: one for a cable or jacket, otherwise one for each wire. `sizes`
    /// has the sizes of all conductors.
    pub fn girth(&self, sizes: &[Option<Size>]) -> Girth {
        let (at, jacketed) = match self {
            Self::Wires { at, jacketed, .. } => (at, *jacketed),
            Self::Cable(own) => return Some(vec![own.cable.outside()]),
        };
        let sizes = at.iter().map(|at| sizes.get(*at).copied().flatten());
        let sizes: Vec<Size> = sizes.collect::<Option<_>>()?;
        if jacketed && sizes.len() == 2 {
            return Some(vec![sizes.into_iter().max()?.duplex_diameter()]);
        }
        Some(sizes.into_iter().map(Size::outside_diameter).collect())
    }
}
