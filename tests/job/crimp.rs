//! Sample crimps: what one that fails says of the ends that were made like it.

use driploop::job::checked::Checked;
use driploop::job::event::{CrimpPull, Mark, Release, Tick};
use driploop::job::file::JobFile;
use driploop::job::finding::Finding;
use driploop::job::work::{Verdicts, Work};
use jiff::Timestamp;
use uuid::Uuid;

use crate::fixture::{self, job, told};
use crate::work::findings;

const KEY: &str = "finding/crimp-sample-failed/end/C01-3a";

fn at(second: i64) -> (Uuid, Timestamp) {
    (Uuid::from_u128(u128::try_from(second).unwrap()), Timestamp::from_second(second).unwrap())
}

/// A sample pulled at an end.
fn pull(job: &mut JobFile, end: &str, newton: f64, second: i64) {
    let (id, at) = at(second);
    let (end, force_n) = (end.parse().unwrap(), newton.try_into().unwrap());
    let pull = CrimpPull { id, end, force_n, note: None, by: "Robin".parse().unwrap(), at };
    job.history.crimp_pulls.push(pull);
}

fn made(job: &mut JobFile, end: &str, second: i64) {
    let (id, at) = at(second);
    let step = format!("end/{end}/terminate").parse().unwrap();
    job.history.ticks.push(Tick {
        id,
        step,
        mark: Mark::Done,
        reason: None,
        by: "Robin".parse().unwrap(),
        seen: Default::default(),
        at,
    });
}

/// What the failed sample says, where one is.
fn said(findings: &[Finding]) -> Option<String> {
    let stops = findings.iter().find(|finding| finding.key() == KEY)?;
    assert_eq!(told(stops), "stop crimp-sample-failed end/C01-3a");
    Some(fixture::said(stops))
}

#[test]
fn a_failed_sample_leaves_what_was_made_like_it_unproven() {
    let mut job = job(|_| {});
    assert!(said(&findings(&job)).is_none());
    made(&mut job, "C01-1a", 10);
    // 16 AWG has to hold 15 lbf, 67 N (ABYC E-11, from memory).
    pull(&mut job, "C01-2b", 80.0, 20);
    made(&mut job, "C01-3a", 30);
    made(&mut job, "C01-3b", 31);
    made(&mut job, "F1a", 32);
    pull(&mut job, "C01-3a", 40.0, 40);
    let report = findings(&job);
    let text = said(&report).unwrap();
    assert!(
        text.contains("on 16 AWG, wire of Navigation lights (C01-3a), held 40 N; the requirement is 67 N"),
        "{text}"
    );
    assert!(text.contains("Not passed: C01-3a and C01-3b."), "since the last good one, of that size: {text}");
    pull(&mut job, "C01-4a", 70.0, 50);
    assert!(said(&findings(&job)).is_none(), "a good sample ends it");
}

#[test]
fn without_any_good_sample_all_that_was_made_is_unproven() {
    let mut job = job(|_| {});
    for (end, second) in [("C01-1a", 10), ("C01-3a", 30)] {
        made(&mut job, end, second);
    }
    pull(&mut job, "C01-3a", 40.0, 40);
    assert!(said(&findings(&job)).unwrap().contains("Not passed: C01-1a and C01-3a."));
}

#[test]
fn a_release_covers_the_failure_it_was_given_for_and_no_later_one() {
    let mut job = job(|_| {});
    pull(&mut job, "C01-3a", 40.0, 40);
    let (id, at) = at(50);
    let step = "end/C01-4a/terminate".parse().unwrap();
    let reason = "Test rig at fault, tool sent in".parse().unwrap();
    let (obstacle, by) = (KEY.to_owned(), "Ana".parse().unwrap());
    job.history.releases.push(Release { id, step, obstacle, reason, by, at });
    assert!(!waits(&job));
    pull(&mut job, "C01-3a", 41.0, 60);
    assert!(waits(&job));
}

/// Whether the released end waits for a sample.
fn waits(job: &JobFile) -> bool {
    let checked = Checked::of(job.plan.clone());
    let verdicts = Verdicts::of(&checked, &job.history);
    let work = Work::of(&checked, &job.history, &verdicts);
    let holds = work.on_hold(&"end/C01-4a/terminate".parse().unwrap());
    holds.iter().any(|hold| hold.obstacle.key().as_deref() == Some(KEY))
}
