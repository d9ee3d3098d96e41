//! The tests of the runs in one raceway.

use crate::job::step::StepKey;

/// The tests of the runs in one raceway.
#[derive(Debug, Default)]
pub(super) struct Beside {
    /// Those that are open now.
    pub(super) open: Vec<StepKey>,
    /// Those that were never closed.
    pub(super) never: Vec<StepKey>,
}
