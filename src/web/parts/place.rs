//! The address of a place where something is shown and can be corrected.

use super::finding::page_of_key;
use super::step::anchor;
use crate::job::step::StepKey;
use crate::job::work::Place;

/// The address of a place on the job at this address; `None` if no page shows it.
pub fn href(job: &str, place: &Place) -> Option<String> {
    match place {
        Place::Step(step) => Some(step_page(job, step)),
        Place::Phase(phase) => Some(format!("{job}/phases/{phase}")),
        Place::Finding(key) => page_of_key(job, key),
        Place::Findings(level) => Some(format!("{job}/findings?level={}", level.word())),
        Place::OpenItems => Some(format!("{job}/open-items")),
        Place::OpenItem(id) => Some(format!("{job}/open-items#item-{id}")),
    }
}

/// The address of a step on the page of its phase.
pub fn step_page(job: &str, step: &StepKey) -> String {
    format!("{}#{}", phase_page(job, step), anchor(step))
}

/// The page of a phase that has a step. A long phase has several pages.
pub fn phase_page(job: &str, step: &StepKey) -> String {
    format!("{job}/phases/{}?step={step}", step.action.phase())
}
