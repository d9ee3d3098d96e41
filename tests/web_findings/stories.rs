//! What may not happen, told as it could: by what a tablet kept, by a job file that another shop imports, and by
//! `driploop check` on that file.

use std::process::Command;

use axum::http::StatusCode;
use driploop::job::checked::Checked;
use driploop::job::event::{Mark, Release};
use driploop::job::file::JobFile;
use driploop::job::meter::MeterModel;
use driploop::job::step::Action;
use driploop::job::work::Work;
use driploop::shop::role::Role::{self, Apprentice, Manager, Technician, Viewer};
use serde_json::Value;
use uuid::Uuid;

use crate::boat_shop::{CurrentUser, Shop, all_done, job};
use crate::worker::Worker;

const TEST: &str = "circuit/C01/test";
const FAILED: &str = "Failed test: Navigation lights (C01)";

/// A shop with the boat of these tests finished.
async fn finished() -> Shop {
    Shop::open(JobFile { history: all_done(&job().plan), ..job() }).await
}

fn id() -> String {
    Uuid::now_v7().to_string()
}

/// Sends what a tablet kept for so many minutes.
async fn kept(by: &CurrentUser, path: &str, fields: &[(&str, &str)], minutes: u32) -> StatusCode {
    let (event, waited) = (id(), (minutes * 60_000).to_string());
    let sent = [("event", event.as_str()), ("back", "/"), ("waited_ms", waited.as_str())];
    by.post(path, &[fields, &sent[..]].concat()).await.status()
}

/// A reading that loses four volts on its way.
async fn keep_failing_reading(by: &CurrentUser, minutes: u32) {
    let figures = [("source_v", "12.6"), ("load_v", "8.6"), ("current_a", "1.2")];
    assert_eq!(kept(by, "/circuits/C01/readings", &figures, minutes).await, StatusCode::SEE_OTHER);
}

/// What the floor says of a boat.
async fn floor(by: &CurrentUser, job: u32) -> String {
    let page = by.at("/").await.text().to_owned();
    let rest = page.split_once(&format!("id=\"job-{job}\"")).unwrap().1;
    rest.split_once("</li>\n<li class=\"boat\"").map_or(rest, |(boat, _)| boat).to_owned()
}

/// Imports the boat of a shop into another shop, through its page. Its first job is another boat.
async fn elsewhere(shop: &Shop) -> (Shop, CurrentUser) {
    let file = shop.sign_in(Technician).await.page("/job.json").await.text().to_owned();
    let other = Shop::open(job()).await;
    let cy = other.sign_in(Technician).await;
    cy.import(&file).await.leads_to("/jobs/2");
    (other, cy)
}

/// What `driploop check` prints of an exported file: as text and as JSON, and whether it ends with 1.
async fn check(shop: &Shop) -> (String, Value, bool) {
    let file = shop.sign_in(Technician).await.page("/job.json").await.text().to_owned();
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("boat.json");
    std::fs::write(&path, file).unwrap();
    let run = |more: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_driploop"));
        command.arg("check").arg(&path).args(more).output().unwrap()
    };
    let (text, json) = (run(&[]), run(&["--json"]));
    assert_eq!(text.status, json.status);
    let printed = String::from_utf8(text.stdout).unwrap();
    (printed, serde_json::from_slice(&json.stdout).unwrap(), text.status.code() == Some(1))
}

/// Asserts that a boat with a failed circuit is called so wherever it goes.
async fn assert_failed_everywhere(shop: &Shop) {
    let bo = shop.sign_in(Apprentice).await;
    assert!(floor(&bo, 1).await.contains(FAILED), "{}", floor(&bo, 1).await);
    bo.page("").await.says(&[FAILED]);
    bo.page("/report").await.says(&["Not finished", "Navigation lights (C01)", "1 of 2 circuits"]);
    let (_other, cy) = elsewhere(shop).await;
    assert!(floor(&cy, 2).await.contains(FAILED), "imported: {}", floor(&cy, 2).await);
    cy.at("/jobs/2/report").await.says(&["Not finished", "1 of 2 circuits"]);
    let (printed, json, is_wrong) = check(shop).await;
    assert!(printed.contains(FAILED) && is_wrong, "{printed}");
    assert_eq!(json["history"]["failing"][0], "Navigation lights (C01)");
}

#[tokio::test]
async fn a_failing_reading_on_a_circuit_that_had_passed() {
    let shop = finished().await;
    let bo = shop.sign_in(Apprentice).await;
    assert!(!floor(&bo, 1).await.contains(FAILED));
    keep_failing_reading(&bo, 2).await;
    assert_failed_everywhere(&shop).await;
    let tie = bo.tick("circuit/C01/tie", "done").await;
    tie.is(StatusCode::CONFLICT).says(&["On hold. "]);
}

#[tokio::test]
async fn an_apprentice_who_withdraws_a_failing_reading_proves_nothing() {
    let shop = finished().await;
    let bo = shop.sign_in(Apprentice).await;
    keep_failing_reading(&bo, 9).await;
    let failed = shop.history().await.readings.last().unwrap().id.to_string();
    assert_eq!(kept(&bo, "/ticks", &[("step", TEST), ("mark", "undone")], 8).await, StatusCode::SEE_OTHER);
    assert_eq!(kept(&bo, "/withdrawals", &[("of", &failed)], 7).await, StatusCode::SEE_OTHER);
    assert_eq!(kept(&bo, "/ticks", &[("step", TEST), ("mark", "done")], 6).await, StatusCode::SEE_OTHER);
    bo.page("/phases/power-up-test").await.says(&["it does not count yet. Its latest reading fails."]);
    assert_failed_everywhere(&shop).await;
}

#[tokio::test]
async fn one_sentence_releases_one_step_from_one_item() {
    let shop = Shop::open(job()).await;
    let (cy, plan) = (shop.sign_in(Technician).await, job().plan);
    let checked = Checked::of(plan);
    let held = |history: &driploop::job::event::History| {
        let mut worker = Worker::new();
        worker.history.clone_from(history);
        let count = |work: &Work<'_>| {
            let steps = checked.steps.all().iter();
            steps
                .map(|step| work.on_hold(&step.key).iter().filter(|hold| hold.can_be_released()).count())
                .sum::<usize>()
        };
        worker.status(&checked, count)
    };
    let before = held(&shop.history().await);
    assert!(before > 20, "{before}");
    let (step, obstacle) = ("device/nav/mount", "location/bow/strip");
    let fields = [("step", step), ("obstacle", obstacle), ("reason", "The bow stays as it is")];
    let (event, back) = (id(), "/");
    let sent = [&fields[..], &[("event", event.as_str()), ("back", back)]].concat();
    cy.post("/releases", &sent).await.leads_to("/");
    assert_eq!(held(&shop.history().await), before - 1);

    // In another shop it counts for nothing until a manager there confirms it.
    let (other, there) = elsewhere(&shop).await;
    there.at("/jobs/2/releases").await.says(&["imported, not confirmed", "The bow stays as it is"]);
    let ana = other.sign_in(Manager).await;
    ana.at("/jobs/2/releases").await.says(&["Confirm"]);
    let (printed, json, _) = check(&shop).await;
    assert!(
        printed.contains("Not confirmed, so they do not count: releases 1, waivers 0, judgments 0"),
        "{printed}"
    );
    assert_eq!(
        (&json["history"]["read_as"], &json["history"]["releases_not_confirmed"]),
        (&"imported".into(), &1.into())
    );
}

#[tokio::test]
async fn a_file_whose_releases_are_made_up_finishes_nothing() {
    let checked = Checked::of(job().plan);
    let mut worker = Worker::new();
    // Every step that waits for another is released from it, all with one reason.
    let pairs = worker.status(&checked, |work| {
        let steps = checked.steps.all().iter();
        let held = steps.flat_map(|step| {
            let holds = work.on_hold(&step.key).into_iter().filter_map(|hold| hold.obstacle.key());
            holds.map(|obstacle| (step.key.clone(), obstacle))
        });
        held.collect::<Vec<_>>()
    });
    for (step, obstacle) in pairs {
        let (id, at) = worker.next();
        let (reason, by) = ("all fine".parse().unwrap(), "Robin".parse().unwrap());
        worker.history.releases.push(Release { id, step, obstacle, reason, by, at });
    }
    for step in checked.steps.all().iter().filter(|step| step.key.action != Action::Isolate) {
        worker.mark(&checked, &step.key, Mark::Done);
    }
    let shop = Shop::open(job()).await;
    let cy = shop.sign_in(Technician).await;
    let file = JobFile { history: worker.history, ..job() };
    cy.import(&file.write()).await.leads_to("/jobs/2");
    assert!(floor(&cy, 2).await.contains(" steps open"), "{}", floor(&cy, 2).await);
    cy.at("/jobs/2/report").await.says(&["Not finished", "0 of 2 circuits are powered and measured"]);
    let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report);
    assert!(meter.is_ok(), "the boat could be measured, and was not");
}

#[tokio::test]
async fn the_report_of_an_imported_boat_says_what_its_records_show() {
    let begun = crate::boat_shop::worked(&job().plan, |step| {
        step.action.phase() == driploop::job::phase::Phase::StripOut
    });
    let shop = Shop::open(JobFile { history: begun, ..job() }).await;
    let (_other, cy) = elsewhere(&shop).await;
    let report = cy.at("/jobs/2/report").await;
    report.says(&["Not finished", "0 of 2 circuits are powered and measured"]);
    for said in ["very conductor was pulled", "very circuit was"] {
        report.lacks(said);
    }
    let finished = finished().await;
    let (_other, cy) = elsewhere(&finished).await;
    cy.at("/jobs/2/report").await.lacks("0 of 2 circuits");
}

#[tokio::test]
async fn a_viewer_sees_no_imported_boat_and_sends_nothing_a_tablet_kept() {
    let shop = finished().await;
    let (other, _) = elsewhere(&shop).await;
    let ron = other.sign_in(Viewer).await;
    ron.at("/jobs/1").await.is(StatusCode::OK);
    for path in ["", "/report", "/log", "/job.json", "/findings", "/releases"] {
        ron.at(&format!("/jobs/2{path}")).await.is(StatusCode::NOT_FOUND);
    }
    assert!(!ron.at("/").await.text().contains("/jobs/2"));
    ron.import(&job().write()).await.is(StatusCode::FORBIDDEN);
    let tick = [("step", "location/bow/strip"), ("mark", "done")];
    assert_eq!(kept(&ron, "/ticks", &tick, 5).await, StatusCode::FORBIDDEN);
    for role in Role::ALL.into_iter().filter(|role| *role != Viewer) {
        other.sign_in(role).await.at("/jobs/2").await.is(StatusCode::OK);
    }
}
