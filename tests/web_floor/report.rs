//! The report for the customer: nothing done, half done, finished, waived, with a stop finding that is judged or not.

use driploop::job::checked::Checked;
use driploop::job::event::Mark;
use driploop::job::file::JobFile;
use driploop::job::phase::Phase;
use driploop::shop::role::Role::{Manager, Viewer};

use crate::event;
use crate::shop::{Answer, Shop, all_done, done_before, job};
use crate::worker::Worker;

const SIGNATURES: &str = "<h2 id=\"sign-title\">Handover</h2>";
const ALL_LABELED: &str = "All 6 wires and cables are labeled at both ends.";

async fn report(job: JobFile) -> Answer {
    Shop::open(job).await.sign_in(Viewer).await.page("/report").await
}

/// The status on the first page.
fn status(page: &Answer) -> String {
    page.after("<h2 id=\"status-title\">", "</h2>")
}

#[tokio::test]
async fn the_report_of_a_job_that_was_not_begun_claims_nothing() {
    let page = report(job()).await;
    assert_eq!(status(&page), "Not finished");
    page.says(&[
        "This is not a handover.",
        "0 of 2 circuits are powered and measured at source and load, and passed.",
        "The boat is not recorded as isolated.",
        "Sidelights (not mounted yet)",
        "House battery (not mounted yet)",
        "not set yet",
        "planned; not read yet",
    ]);
    page.lacks("All ");
    page.lacks(SIGNATURES);
}

#[tokio::test]
async fn the_report_of_a_job_half_done_claims_only_what_is_done() {
    let mut job = job();
    job.history = done_before(&job.plan, Phase::Terminations);
    let page = report(job).await;
    assert_eq!(status(&page), "Not finished");
    page.says(&[
        "All 3 locations are stripped of old wiring.",
        "ends are fitted with terminal or connector, tugged and covered.",
        ": not terminated</li>",
        "more</li>",
        "0 of 2 circuits are",
    ]);
    page.lacks(SIGNATURES);
    page.lacks("Sidelights (not mounted yet)");
}

#[tokio::test]
async fn the_report_of_a_finished_job_is_a_handover() {
    let mut job = job();
    job.history = all_done(&job.plan);
    let page = report(job).await;
    assert_eq!(status(&page), "Finished");
    page.says(&[
        SIGNATURES,
        "Both circuits are powered and measured at source and load, and passed.",
        "read: equal to the plan",
        "Tests on the water are not part of this report.",
        "Ana",
    ]);
    page.lacks("not a handover");
    page.lacks("not mounted yet");
}

#[tokio::test]
async fn a_waived_test_is_listed_and_not_claimed() {
    let mut job = job();
    job.history = all_done(&job.plan);
    let shop = Shop::open(job).await;
    let ana = shop.sign_in(Manager).await;
    let form = [
        ("event", &*event()),
        ("step", "circuit/C02/test"),
        ("mark", "not-needed"),
        ("reason", "Measured by the engine shop"),
        ("back", "/"),
    ];
    ana.post("/ticks", &form).await.leads_to("/");
    let page = ana.page("/report").await;
    assert_eq!(status(&page), "Finished");
    page.says(&[
        "1 of 2 circuits is powered and measured at source and load, and passed. 1 waived or not needed.",
        "What was not done as planned is listed in this report with its reason.",
        "Measured by the engine shop",
        "waived by Ana",
        SIGNATURES,
    ]);
}

#[tokio::test]
async fn a_test_that_fails_later_is_named_on_the_first_page() {
    let mut job = job();
    job.history = all_done(&job.plan);
    let shop = Shop::open(job).await;
    let ana = shop.sign_in(Manager).await;
    ana.page("/report").await.lacks("Failed tests");
    let form =
        [("event", &*event()), ("back", "/"), ("source_v", "12.6"), ("load_v", "3"), ("current_a", "1")];
    ana.post("/circuits/C02/readings", &form).await.leads_to("/");
    let page = ana.page("/report").await;
    assert_eq!(status(&page), "Not finished");
    page.says(&[
        "Do not use these before they are repaired and measured again: Bilge pump (C02).",
        "1 of 2 circuits is powered and measured at source and load, and passed. 1 open.",
    ]);
    page.lacks(SIGNATURES);
}

#[tokio::test]
async fn one_step_undone_takes_its_sentence_and_the_signatures_away() {
    let mut job = job();
    let checked = Checked::of(job.plan.clone());
    let mut worker = Worker::new();
    worker.work(&checked, |_| true);
    let label = checked.steps.in_phase(Phase::Runs).iter().find(|step| step.key.action.word() == "label");
    worker.mark(&checked, &label.unwrap().key, Mark::Undone);
    job.history = worker.history;
    let page = report(job).await;
    assert_eq!(status(&page), "Not finished");
    page.says(&["5 of 6 wires and cables are labeled at both ends. 1 open.", ": not labeled</li>"]);
    page.lacks(ALL_LABELED);
    page.lacks(SIGNATURES);
}

#[tokio::test]
async fn a_stop_finding_is_not_safe_until_it_is_judged() {
    let mut job = job();
    let pump = &mut job.plan.circuits[1];
    pump.size = Some("18 AWG".parse().unwrap());
    pump.protection.as_mut().unwrap().rating_a = Some(40.0.try_into().unwrap());
    job.history = all_done(&job.plan);
    let shop = Shop::open(job).await;
    let ana = shop.sign_in(Manager).await;
    let page = ana.page("/report").await;
    assert_eq!(status(&page), "Not safe to use");
    page.says(&["<h3>Stop findings</h3>", "Read before the boat leaves, the customer"]);
    page.lacks(SIGNATURES);

    let checked = Checked::of(shop.export().await.plan);
    let stops = checked.report.findings.iter().filter(|finding| finding.level.word() == "stop");
    for stop in stops {
        let (id, key) = (event(), stop.key());
        let form = [
            ("event", &*id),
            ("finding", &*key),
            ("judge", "Pat Wellick"),
            ("qualification", "marine electrician"),
            ("reason", "Wire is rated higher by its manufacturer"),
            ("back", "/"),
        ];
        ana.post("/judgments", &form).await;
    }
    let page = ana.page("/report").await;
    assert_ne!(status(&page), "Not safe to use");
    page.says(&[
        "Stop findings set aside by judgment",
        "Pat Wellick, marine electrician",
        "Wire is rated higher by its manufacturer",
    ]);
    let judged = page.text().find("Pat Wellick").unwrap();
    assert!(judged < page.text().find("id=\"boat-title\"").unwrap(), "on the first page");
}
