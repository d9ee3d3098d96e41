//! What a report says about the work, as rows: the sentences are made by `job::handover`.

use crate::job::handover::{Claim, Topic};
use crate::web::kit::frame::Frame;

/// One sentence about the work.
#[derive(Debug)]
pub struct Said {
    /// The phase, on its first row.
    pub phase: Option<&'static str>,
    /// The sentence.
    pub sentence: String,
    /// Whether everything that it speaks of is done.
    pub is_full: bool,
    /// The first open things.
    pub left: Vec<String>,
    /// How many more are open.
    pub more: usize,
    /// Who did it.
    pub by: String,
    /// The day on which the last of it was done.
    pub last: String,
}

/// All sentences, phase by phase.
pub fn rows(claims: &[Claim], frame: &Frame) -> Vec<Said> {
    let mut before = None;
    let mut row = |claim: &Claim| {
        let phase = claim.topic.phase();
        let is_first = before.replace(phase) != Some(phase);
        let (left, more) = claim.left();
        Said {
            phase: is_first.then(|| phase.title()),
            sentence: claim.sentence(),
            is_full: claim.is_full(),
            left,
            more,
            by: claim.by.join(", "),
            last: claim.last.map_or_else(String::new, |at| frame.local(at).date().to_string()),
        }
    };
    claims.iter().map(&mut row).collect()
}

/// The sentence about one kind of work; nothing if the plan has none of it.
pub fn sentence(claims: &[Claim], topic: Topic) -> Option<String> {
    claims.iter().find(|claim| claim.topic == topic).map(Claim::sentence)
}
