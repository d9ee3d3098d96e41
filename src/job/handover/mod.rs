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

use super::checked::Checked;
use super::step::StepKey;
use super::steps::Step;
use super::subject::SubjectKind;

/// The name of the thing that a step is done to. Circuits and feeders have their name before their label.
fn called(checked: &Checked, step: &Step) -> String {
    let StepKey { subject, .. } = &step.key;
    let plan = &checked.plan;
    let name = match subject.kind {
        SubjectKind::Circuit => {
            let circuit = plan.circuits.iter().find(|circuit| circuit.id.as_str() == subject.id);
            circuit.map(|circuit| circuit.name_and_label())
        }
        SubjectKind::Feeder => {
            let feeder = plan.feeders.iter().find(|feeder| feeder.id.as_str() == subject.id);
            feeder.map(|feeder| plan.feeder_name_and_label(feeder))
        }
        _ => None,
    };
    name.unwrap_or_else(|| step.about.clone())
}
