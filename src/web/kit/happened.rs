//! One thing that somebody did on a job, in plain text: a change of the plan, a tick, a reading, a release.

use jiff::Timestamp;
use serde_json::Value;

use super::frame::Frame;
use crate::job::event::{Mark, Reading, Release, Tick};
use crate::job::step::StepKey;
use crate::job::subject::Subject;
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
        Self::said(&line.by, what(line), line.at, frame)
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

    /// A release in plain text; `what` is the step and the item that it passed.
    pub fn release(release: &Release, what: &str, frame: &Frame) -> Self {
        let what = format!("released {what}");
        Self::said(release.by.as_str(), what, release.at, frame)
    }

    fn said(by: &str, what: String, when: Timestamp, frame: &Frame) -> Self {
        Self { by: by.to_owned(), what, at: frame.moment(when), ago: frame.ago(when), when }
    }
}

fn step(key: &StepKey) -> String {
    format!("{}: {}", key.subject.words(), key.action.word())
}

fn what(line: &LogLine) -> String {
    let verb = match line.change {
        Change::Added => "added",
        Change::Changed => "changed",
        Change::Removed => "removed",
        Change::Imported => "imported",
        Change::Closed => "closed",
        Change::PutAside => "put aside",
        Change::Reopened => "reopened",
        Change::Granted => "granted this boat to",
        Change::GrantEnded => "ended the grant of this boat to",
        Change::Ticked => "ticked",
        Change::Measured => "measured",
        Change::Photographed => "took a photo of",
        Change::Repaired => "repaired",
        Change::Found => "found something on",
        Change::Settled => "closed",
        Change::Withdrawn => "undid a record of",
        Change::Released => "released",
        Change::SignedIn => "signed in",
        Change::PassphraseSet => "set a new passphrase for",
        Change::PassphraseReset => "reset the passphrase of",
        Change::PassphraseGiven => "gave the passphrase of",
        Change::Switched => "took over",
        Change::SignedOut => "signed out",
    };
    format!("{verb} {}", thing(line))
}

/// What a line is about. A person is called by name where the line has it, and else by number.
fn thing(line: &LogLine) -> String {
    let named = |side: &Option<Value>| match side.as_ref()? {
        Value::String(name) => Some(name.clone()),
        fields => Some(fields.get("name")?.as_str()?.to_owned()),
    };
    let is_about_sign_in = matches!(line.change, Change::SignedIn | Change::SignedOut);
    let name = match line.subject.split_once('/') {
        Some(("shop", "1")) => Some("the settings of the shop".to_owned()),
        Some(("shop", "mark")) => Some("the mark of the shop".to_owned()),
        Some(("labels", _)) => Some("the label settings".to_owned()),
        // A sign-in has the name of a device instead.
        Some(("person", _)) if !is_about_sign_in => named(&line.after).or_else(|| named(&line.before)),
        _ => None,
    };
    let subject = || line.subject.parse::<Subject>().map(|subject| subject.words());
    name.or_else(|| subject().ok()).unwrap_or_else(|| line.subject.replace('/', " "))
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn said(change: Change, subject: &str, after: Option<Value>) -> String {
        let line = LogLine {
            id: 1,
            at: Timestamp::UNIX_EPOCH,
            by: "Ana".to_owned(),
            person: None,
            job: None,
            change,
            subject: subject.to_owned(),
            before: None,
            after,
            no: None,
            undoes: None,
        };
        what(&line)
    }

    #[test]
    fn a_line_reads_as_a_sentence() {
        assert_eq!(said(Change::Added, "circuit/C01", Some(json!({"name": "Bilge"}))), "added circuit C01");
        assert_eq!(said(Change::Granted, "person/4", Some(json!("Rae"))), "granted this boat to Rae");
        assert_eq!(said(Change::Added, "person/4", Some(json!({"name": "Rae"}))), "added Rae");
        assert_eq!(said(Change::SignedIn, "person/4", Some(json!("Firefox on iPad"))), "signed in person 4");
        assert_eq!(said(Change::Changed, "shop/mark", Some(json!("ab12"))), "changed the mark of the shop");
        assert_eq!(said(Change::Ticked, "job/job", None), "ticked the boat");
        assert_eq!(step(&"circuit/C01/test".parse().unwrap()), "circuit C01: test");
        assert_eq!(step(&"job/job/isolate".parse().unwrap()), "the boat: isolate");
    }
}
