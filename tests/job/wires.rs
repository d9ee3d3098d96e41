//! A wire in the hand: found by what is typed, and what comes next for the location of the user.

use driploop::job::checked::Checked;
use driploop::job::event::History;
use driploop::job::find::{self, Fit};
use driploop::job::next;
use driploop::job::phase::Phase;
use driploop::job::wiring::Conductors;
use driploop::job::work::{Verdicts, Work};

use crate::fixture::job;
use crate::worker::Worker;

/// What is found for what was typed: ids, and the end where the label names one.
fn found(typed: &str) -> Vec<String> {
    let plan = job(|_| {}).plan;
    let conductors = Conductors::of(&plan);
    let hits = find::pieces(&plan, &conductors, typed);
    let name = |hit: &find::Hit<'_>| match hit.end {
        Some(end) => hit.piece.ends()[end].label.clone(),
        None => hit.piece.label().to_owned(),
    };
    hits.iter().map(name).collect()
}

#[test]
fn a_label_is_found_however_thumbs_type_it() {
    for typed in ["C01-3b", "c01-3b", "C013B", "c01 3b", "co1-3b", " C01.3b ", "c1-3b", "c13b"] {
        assert_eq!(found(typed), ["C01-3b"], "{typed}");
    }
    assert_eq!(found("f1"), ["F1"]);
    assert_eq!(found("c01-2"), ["C01-2"]);
}

#[test]
fn a_wire_is_found_by_the_label_that_the_shop_gave_its_circuit() {
    let plan = job(|job| job["circuits"][0]["label"] = serde_json::json!("NAV")).plan;
    let conductors = Conductors::of(&plan);
    let found =
        |typed| find::meant(&find::pieces(&plan, &conductors, typed)).map(|hit| hit.piece.id().to_owned());
    assert_eq!(found("nav3"), Some("C01-3".to_owned()), "the id stays what records name it by");
    assert_eq!(found("c013"), None);
}

#[test]
fn the_beginning_of_a_label_finds_all_that_begin_so() {
    assert_eq!(found("c01").len(), 6, "{:?}", found("c01"));
    assert_eq!(found("F"), ["F1", "F2"]);
}

#[test]
fn words_about_a_wire_find_it() {
    assert_eq!(found("stern light"), ["C01-5", "C01-6"]);
    assert_eq!(found("house feeder"), ["F1", "F2"]);
    assert_eq!(found("nav bow black"), ["C01-4", "C01-6"]);
    assert!(found("windlass").is_empty() && found("  - ").is_empty());
}

#[test]
fn a_label_that_leaves_no_doubt_is_the_one_that_was_meant() {
    let plan = job(|_| {}).plan;
    let conductors = Conductors::of(&plan);
    let meant = |typed| find::meant(&find::pieces(&plan, &conductors, typed)).map(|hit| (hit.fit, hit.end));
    assert_eq!(meant("C01-3a"), Some((Fit::Label, Some(0))));
    assert_eq!(meant("c1-3"), Some((Fit::WithoutZeros, None)));
    assert_eq!(meant("c01"), None, "the beginning of six");
    assert_eq!(meant("stern light"), None);
}

/// What a worker did in these phases.
fn done(phases: &[Phase]) -> History {
    let checked = Checked::of(job(|_| {}).plan);
    let mut worker = Worker::new();
    worker.work(&checked, |key| phases.contains(&key.action.phase()));
    worker.history
}

/// The order of work from a location.
fn order(history: &History, here: Option<&str>) -> Vec<String> {
    let checked = Checked::of(job(|_| {}).plan);
    let verdicts = Verdicts::of(&checked, history);
    let work = Work::of(&checked, history, &verdicts);
    let here = here.map(|id| id.parse().unwrap());
    let steps = next::on_pieces(&checked.plan, &checked.conductors, &work, here.as_ref());
    steps.iter().map(|step| step.key.to_string()).collect()
}

#[test]
fn every_wire_is_pulled_before_any_is_crimped() {
    let order = order(&History::default(), Some("helm"));
    let first_crimp = order.iter().position(|step| step.ends_with("/terminate")).unwrap();
    assert!(order[..first_crimp].iter().all(|step| step.ends_with("/pull") || step.ends_with("/label")));
    assert!(order[first_crimp..].iter().all(|step| step.ends_with("/terminate")));
    assert_eq!(order[..2], ["conductor/F1/pull", "conductor/F1/label"], "{order:?}");
}

#[test]
fn all_ends_at_the_location_where_one_is_come_first_block_by_block() {
    let pulled = done(&[Phase::StripOut, Phase::Mounting, Phase::Runs]);
    let at_helm = order(&pulled, Some("helm"));
    let helm = [
        "end/C01-1a/terminate",
        "end/F1b/terminate",
        "end/C01-4a/terminate",
        "end/F2b/terminate",
        "end/C01-1b/terminate",
        "end/C01-2a/terminate",
        "end/C01-2b/terminate",
        "end/C01-3a/terminate",
    ];
    assert_eq!(at_helm[..8], helm, "{at_helm:?}");
    assert!(at_helm[8].contains("F1a"), "then the stern, then the bow: {at_helm:?}");
    assert_eq!(order(&pulled, None), at_helm, "the first place of the plan, where none is named");
    let at_bow = order(&pulled, Some("bow"));
    assert!(at_bow[0].contains("C01-3b"), "{at_bow:?}");
    assert_eq!(at_bow[4], "end/C01-1a/terminate", "after the last location the first: {at_bow:?}");
}

#[test]
fn what_is_done_is_not_next() {
    assert!(order(&done(&Phase::ALL[..5]), Some("helm")).is_empty());
}
