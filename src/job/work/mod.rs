//! The status of every step of a job, derived from its plan and all its records together.
//!
//! This is the only place that decides what is done, what is proven, what is on hold, and who may mark, release or
//! waive it. Pages, the shop floor, the report, the check of a job file and the write path of the store ask it.
//!
//! The order in which records arrive never matters. The latest tick of a step decides, by the time it was made and
//! then by its id. A tick counts only if what its step waits for was there, and if nothing that it rests on was
//! opened since. Nothing is written when the plan changes, so undoing the change restores the status.

mod beside;
mod events;
mod findings;
mod handover;
mod hold;
mod holding;
mod judge;
mod lack;
mod need;
mod overall;
mod place;
mod proof;
mod punch_list;
pub mod seen;
mod status;
mod stops;
mod summary;
mod table;
mod ties;
mod unsettled;
mod verdict;

pub use events::Moment;
pub use handover::{Handover, HandoverState};
pub use hold::{Hold, Obstacle};
pub use holding::Holding;
pub use lack::{Lack, remarks};
pub use need::Who;
pub use overall::{Refusal, Work, test_of};
pub use place::Place;
pub use status::{Opening, Reopened, StepCount, StepState, StepStatus};
pub use summary::{Reason, Summary};
pub use verdict::{Verdicts, expected};
