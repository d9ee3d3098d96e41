//! What was done on a job, in words: changes of the plan from its log, and what people ticked and measured.

use std::cmp::Reverse;

use jiff::Timestamp;

use super::opened::Opened;
use super::page::Frame;
use crate::job::event::{Mark, Reading, Release, Tick};
use crate::job::step::StepKey;
use crate::job::subject::Subject;
use crate::store::log::{Change, Line};

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
    /// The moment itself.
    pub when: Timestamp,
}

impl Happened {
    /// A line of the log in words.
    pub fn new(line: &Line, frame: &Frame) -> Self {
        Self::said(&line.by, what(line.change, &line.subject), line.at, frame)
    }

    fn tick(tick: &Tick, frame: &Frame) -> Self {
        let verb = match tick.mark {
            Mark::Done => "ticked",
            Mark::Undone => "took back",
            Mark::NotNeeded => "marked not needed",
        };
        Self::said(tick.by.as_str(), format!("{verb} {}", step(&tick.step)), tick.at, frame)
    }

    fn reading(reading: &Reading, frame: &Frame) -> Self {
        Self::said(reading.by.as_str(), format!("measured circuit {}", reading.circuit), reading.at, frame)
    }

    fn release(release: &Release, frame: &Frame) -> Self {
        let what = format!("released {} into {}", release.obstacle, release.into.title());
        Self::said(release.by.as_str(), what, release.at, frame)
    }

    fn said(by: &str, what: String, when: Timestamp, frame: &Frame) -> Self {
        Self { by: by.to_owned(), what, at: frame.moment(when), ago: frame.ago(when), when }
    }
}

/// The last things done on a job, the newest first.
///
/// What people ticked and measured comes from the job's own history, which an imported job brings along;
/// the log tells the rest.
pub fn latest(job: &Opened, most: usize, frame: &Frame) -> Vec<Happened> {
    let mut done: Vec<Happened> = all(job, frame).map(|(_, done)| done).collect();
    done.sort_by_key(|done| Reverse(done.when));
    done.truncate(most);
    done
}

/// The last thing that was done to the boat or its plan; reading a job in is no work on it.
pub fn work(job: &Opened, frame: &Frame) -> Option<Happened> {
    let work = all(job, frame).filter(|(change, _)| *change != Some(Change::Imported));
    work.map(|(_, done)| done).max_by_key(|done| done.when)
}

/// What people ticked of some things, the latest first.
pub fn ticks_of(job: &Opened, frame: &Frame, is_meant: impl Fn(&Subject) -> bool) -> Vec<Happened> {
    let ticks = job.history.ticks.iter().filter(|tick| is_meant(&tick.step.subject));
    let mut done: Vec<Happened> = ticks.map(|tick| Happened::tick(tick, frame)).collect();
    done.sort_by_key(|done| Reverse(done.when));
    done
}

/// Everything done on a job, in no order, with what the log calls it where it comes from there.
fn all<'a>(job: &'a Opened, frame: &'a Frame) -> impl Iterator<Item = (Option<Change>, Happened)> + 'a {
    let history = &job.history;
    let ticks = history.ticks.iter().map(|tick| Happened::tick(tick, frame));
    let readings = history.readings.iter().map(|reading| Happened::reading(reading, frame));
    let releases = history.releases.iter().map(|release| Happened::release(release, frame));
    let events = ticks.chain(readings).chain(releases).map(|done| (None, done));
    let lines = job.log.iter().filter(|line| !is_event(line.change));
    events.chain(lines.map(|line| (Some(line.change), Happened::new(line, frame))))
}

/// Whether a line of the log repeats an event of the history.
fn is_event(change: Change) -> bool {
    matches!(change, Change::Ticked | Change::Measured | Change::Released)
}

fn step(key: &StepKey) -> String {
    format!("{} {}: {}", key.subject.kind.word(), key.subject.id, key.action.word())
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
        Change::Photographed => "took a photo of",
        Change::Noted => "noted something at",
        Change::Withdrawn => "took back a record of",
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
