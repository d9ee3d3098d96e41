//! One thing that somebody did on a job, in plain text: a change of the plan, a tick, a reading, a release.

use jiff::Timestamp;

use super::frame::Frame;
use crate::job::event::{Mark, Reading, Release, Tick};
use crate::job::step::StepKey;
use crate::store::log::{Change, LogLine};

/// One thing that somebody did, for a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Happened {
    /// Who.
    pub by: String,
    /// What, as the rest of a sentence: `added circuit C01`.
    pub what: String,
    /// When, in the shop's time zone.
    pub at: String,
    /// How long ago, in plain text.
    pub ago: String,
    /// The moment itself.
    pub when: Timestamp,
}

impl Happened {
    /// A line of the log in plain text.
    pub fn new(line: &LogLine, frame: &Frame) -> Self {
        Self::said(&line.by, what(line.change, &line.subject), line.at, frame)
    }

    /// A tick in plain text.
    pub fn tick(tick: &Tick, frame: &Frame) -> Self {
        let verb = match tick.mark {
            Mark::Done => "ticked",
            Mark::Undone => "undid",
            Mark::NotNeeded => "marked not needed",
        };
        Self::said(tick.by.as_str(), format!("{verb} {}", step(&tick.step)), tick.at, frame)
    }

    /// A reading in plain text.
    pub fn reading(reading: &Reading, frame: &Frame) -> Self {
        Self::said(reading.by.as_str(), format!("measured circuit {}", reading.circuit), reading.at, frame)
    }

    /// A release in plain text.
    pub fn release(release: &Release, frame: &Frame) -> Self {
        let what = format!("released {} from {}", release.step, release.obstacle);
        Self::said(release.by.as_str(), what, release.at, frame)
    }

    fn said(by: &str, what: String, when: Timestamp, frame: &Frame) -> Self {
        Self { by: by.to_owned(), what, at: frame.moment(when), ago: frame.ago(when), when }
    }
}

fn step(key: &StepKey) -> String {
    format!("{} {}: {}", key.subject.kind.word(), key.subject.id, key.action.word())
}

fn what(change: Change, subject: &str) -> String {
    let verb = match change {
        Change::Added => "added",
        Change::Changed => "changed",
        Change::Removed => "removed",
        Change::Imported => "imported",
        Change::Closed => "closed",
        Change::Reopened => "reopened",
        Change::Ticked => "ticked",
        Change::Measured => "measured",
        Change::Photographed => "took a photo of",
        Change::Noted => "noted something at",
        Change::Withdrawn => "undid a record of",
        Change::Released => "released",
        Change::SignedIn => "signed in",
        Change::Switched => "took over",
        Change::SignedOut => "signed out",
    };
    format!("{verb} {}", subject.replace('/', " "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_reads_as_a_sentence() {
        assert_eq!(what(Change::Added, "circuit/C01"), "added circuit C01");
        assert_eq!(step(&"circuit/C01/test".parse().unwrap()), "circuit C01: test");
    }
}
