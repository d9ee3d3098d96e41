//! Lines of the log in words.

use crate::store::log::{Change, Line};
use crate::web::page::Frame;

/// One thing that somebody did, for a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Happened {
    /// Who.
    pub by: String,
    /// What, as the rest of a sentence: `added circuit C01`.
    pub what: String,
    /// When, in the shop's time zone.
    pub at: String,
    /// When, in words.
    pub ago: String,
}

impl Happened {
    /// A line of the log in words.
    pub fn new(line: &Line, frame: &Frame) -> Self {
        Self {
            by: line.by.clone(),
            what: what(line.change, &line.subject),
            at: frame.moment(line.at),
            ago: frame.ago(line.at),
        }
    }
}

fn what(change: Change, subject: &str) -> String {
    let verb = match change {
        Change::Added => "added",
        Change::Changed => "changed",
        Change::Removed => "removed",
        Change::Imported => "read in",
        Change::Closed => "closed",
        Change::Reopened => "opened again",
        Change::Ticked => "ticked",
        Change::Measured => "measured",
        Change::Released => "released",
        Change::SignedIn => "signed in",
        Change::Switched => "switched to",
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
        assert_eq!(what(Change::Ticked, "circuit/C01/test"), "ticked circuit C01 test");
    }
}
