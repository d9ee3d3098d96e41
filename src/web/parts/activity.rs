//! What was done on a job, the latest first.

use std::cmp::Reverse;

use crate::job::called::{open_item, step_line};
use crate::job::subject::Subject;
use crate::store::log::Change;
use crate::web::kit::frame::Frame;
use crate::web::kit::happened::Happened;
use crate::web::kit::opened::Opened;

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
    let releases = history.releases.iter().map(|release| {
        let although = open_item(job, job.findings(), &release.obstacle, job.units);
        let what = format!("{}, although {although}", step_line(job, &release.step));
        Happened::release(release, &what, frame)
    });
    let events = ticks.chain(readings).chain(releases).map(|done| (None, done));
    let lines = job.log.iter().filter(|line| !is_event(line.change));
    events.chain(lines.map(|line| (Some(line.change), Happened::new(line, frame))))
}

/// Whether a line of the log repeats an event of the history.
fn is_event(change: Change) -> bool {
    matches!(change, Change::Ticked | Change::Measured | Change::Released)
}
