//! What a network needs of the sizes and ratings that the program chooses.

use std::collections::BTreeMap;

use uom::si::electric_current::ampere;
use uom::si::f64::ElectricCurrent;

use crate::job::subject::Subject;
use crate::trade::conductor::Size;
use crate::trade::finding::Code;

/// What the network needs of the sizes and ratings that the program chooses.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Needed {
    pub(super) sizes: BTreeMap<Subject, Size>,
    pub(super) ratings: BTreeMap<Subject, f64>,
    pub(super) unmet: BTreeMap<(Subject, Code), f64>,
}

impl Needed {
    /// The thinnest size to choose for a circuit or feeder.
    pub(super) fn size(&self, subject: &Subject) -> Option<Size> {
        self.sizes.get(subject).copied()
    }

    /// The smallest rating to choose for its fuse or breaker.
    pub(super) fn rating(&self, subject: &Subject) -> Option<ElectricCurrent> {
        self.ratings.get(subject).copied().map(ElectricCurrent::new::<ampere>)
    }

    /// The value that is left with the thickest sizes, for a limit that no sizes keep.
    pub(super) fn unmet(&self, subject: &Subject, code: Code) -> Option<f64> {
        self.unmet.get(&(subject.clone(), code)).copied()
    }
}
