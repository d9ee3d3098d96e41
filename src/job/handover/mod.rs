//! What the report for the customer may say about the work.
//!
//! A [`Claim`] is one sentence about one kind of work, made from the records. It says that everything is done only if
//! every step that it speaks of is done. Otherwise it counts, and names what is open. An [`Exception`] is a release,
//! a waiver, a judgment, or a step that was not needed, with its reason.

mod claim;
mod exception;
mod result;
mod topic;

pub use claim::{Claim, Thing, claims};
pub use exception::{Exception, ExceptionKind, exceptions};
pub use result::{fuse_result, fuses_out, mounting_result, setting_result, test_result};
pub use topic::Topic;
