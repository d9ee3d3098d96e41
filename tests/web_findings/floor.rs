//! The status of boats on the floor: the worst first, right after each act, whatever the database has stored.

use driploop::job::checked::Checked;
use driploop::job::event::Mark;
use driploop::job::file::JobFile;
use driploop::job::meter::MeterModel;
use driploop::job::step::Action;
use driploop::shop::role::Role::Manager;
use driploop::store::{Actor, JobId, deletion, doctor};
use jiff::Timestamp;
use uuid::Uuid;

use crate::shop::{Shop, job};
use crate::worker::Worker;

/// The first reason of a boat whose first circuit fails.
const FAILED: &str = "<ul class=\"reasons\">\n<li><a href=\"/jobs/1/phases/power-up-test?step=circuit/C01/test#step-circuit-C01-test\">\
     Failed test: Navigation lights (C01)</a></li>";

const KEPT: &str = "SELECT count(*) FROM job_summary";

/// The job with everything done, and the worker who did it.
fn done() -> (JobFile, Worker, Checked) {
    let job = job();
    let checked = Checked::of(job.plan.clone());
    let mut worker = Worker::new();
    worker.work(&checked, |_| true);
    (JobFile { history: worker.history.clone(), ..job }, worker, checked)
}

async fn tick(shop: &Shop, step: &str, mark: &str) {
    let event = Uuid::now_v7().to_string();
    let fields = [("event", event.as_str()), ("step", step), ("mark", mark), ("back", "/")];
    shop.post("/jobs/1/ticks", &fields).await;
}

#[tokio::test]
async fn a_failing_reading_on_a_circuit_that_had_passed_is_named_first() {
    let (job, mut worker, checked) = done();
    let passed = Shop::open(std::slice::from_ref(&job), Manager).await;
    assert!(!passed.status().await.contains("Failed test"));

    let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).unwrap();
    worker.read(&meter, &checked.plan.circuits[0], None, 4.0);
    let failed = Shop::open(&[JobFile { history: worker.history, ..job }], Manager).await;
    let status = failed.status().await;
    let first = status.split_once("</svg>").map_or(status.as_str(), |(_, rest)| rest);
    assert!(first.starts_with(&format!("Stop</span> {FAILED}")), "{status}");
    assert!(status.contains("Stop"), "{status}");
    let overview = failed.page("/jobs/1").await;
    let holds = crate::shop::between(&overview, "What holds it</h3>", "</ul>");
    assert!(holds.trim_start().starts_with(FAILED), "{holds}");
    assert!(!overview.contains("All steps done"));
}

#[tokio::test]
async fn the_worst_comes_first() {
    let (checked, mut worker) = (Checked::of(job().plan), Worker::new());
    worker.work(&checked, |_| true);
    let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).unwrap();
    worker.read(&meter, &checked.plan.circuits[0], None, 4.0);
    worker.mark(&checked, &"location/stern/strip".parse().unwrap(), Mark::Undone);
    // The same records on a plan whose fuse is too large for its wire.
    let mut plan = job().plan;
    plan.circuits[1].protection.as_mut().unwrap().rating_a = Some(100.0.try_into().unwrap());
    let changed = Checked::of(plan);
    let lines = worker.status(&changed, |work| work.summary().reasons());
    let place = |part: &str| {
        lines.iter().position(|line| line.text.contains(part)).unwrap_or_else(|| panic!("{part}: {lines:?}"))
    };
    let order = [
        place("Failed test: Navigation lights (C01)"),
        place("1 stop finding, do not power up: "),
        place("to fix"),
        place("Strip-out: "),
        place("Power-up test: "),
        place("On hold: "),
    ];
    assert!(order.is_sorted(), "{lines:?}");
    assert_eq!(order[0], 0, "{lines:?}");
}

/// The links of a page's reasons: address and text.
fn links(page: &str) -> Vec<(String, String)> {
    let lists = page.split("<ul class=\"reasons\">").skip(1).map(|rest| rest.split("</ul>").next().unwrap());
    let links = lists.flat_map(|list| list.split("<a href=\"").skip(1));
    links
        .map(|link| {
            let (href, rest) = link.split_once("\">").unwrap();
            (href.replace("&#38;", "&"), rest.split('<').next().unwrap().to_owned())
        })
        .collect()
}

#[tokio::test]
async fn every_reason_leads_to_a_page_that_shows_it() {
    let (checked, mut worker) = (Checked::of(job().plan), Worker::new());
    worker.work(&checked, |step| step.action == Action::Isolate);
    let begun = JobFile { history: worker.history.clone(), ..job() };
    worker.work(&checked, |_| true);
    let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).unwrap();
    worker.read(&meter, &checked.plan.circuits[0], None, 4.0);
    worker.mark(&checked, &"location/stern/strip".parse().unwrap(), Mark::Undone);
    let mut failing = JobFile { history: worker.history, ..job() };
    failing.plan.circuits[1].protection.as_mut().unwrap().rating_a = Some(100.0.try_into().unwrap());
    let shop = Shop::open(&[job(), begun, failing], Manager).await;
    let mut seen = links(&shop.page("/").await);
    for number in 1..=3 {
        let reasons = links(&shop.page(&format!("/jobs/{number}")).await);
        assert!(!reasons.is_empty(), "job {number}");
        seen.extend(reasons);
    }
    for kind in ["Failed test: ", "stop finding", "to fix: ", " open", "On hold: ", " more"] {
        assert!(seen.iter().any(|(_, text)| text.contains(kind)), "{kind}: {seen:#?}");
    }
    for (href, text) in seen {
        let (path, anchor) = href.split_once('#').unwrap_or((&href, ""));
        let page = shop.page(path).await;
        assert!(anchor.is_empty() || page.contains(&format!("id=\"{anchor}\"")), "{text}: {href}");
        if text.contains("to fix") || text.contains("stop finding") {
            let name = text.split_once(": ").unwrap().1.split([',', '(']).next().unwrap();
            assert!(page.contains(name.trim()), "{text}: {href}");
        }
    }
}

#[tokio::test]
async fn a_finding_to_fix_is_named_on_a_boat_that_is_done() {
    let (job, worker, checked) = done();
    let fixes = worker.status(&checked, |work| work.summary().fixes);
    assert!(fixes > 0, "the job of these tests has some");
    let shop = Shop::open(&[job], Manager).await;
    let status = shop.status().await;
    assert!(status.contains("to fix: ") && !status.contains("All steps done"), "{status}");
    assert!(status.contains("/jobs/1/findings?level=fix"), "{status}");
    assert!(shop.page("/jobs/1").await.contains("/jobs/1/findings?level=fix"));
}

#[tokio::test]
async fn no_findings_is_said_only_when_it_is_so() {
    let (_, worker, checked) = done();
    let (summary, findings) = worker.status(&checked, |work| (work.summary(), work.findings().to_vec()));
    let (reasons, words) = (summary.reasons(), summary.without_lines());
    assert_eq!(words.ends_with("no findings"), findings.is_empty(), "{words}");
    let fresh = Worker::new().status(&checked, |work| work.summary());
    assert!(!fresh.reasons().is_empty());
    // A note holds nothing, but it is not passed over.
    let noted = driploop::job::work::Summary { notes: 2, judged: 1, has_steps: true, ..Default::default() };
    assert!(noted.reasons().is_empty());
    assert_eq!(noted.without_lines(), "All steps done. 1 stop finding set aside by judgment, 2 notes");
    assert_eq!(driploop::job::work::Summary::default().without_lines(), "No steps planned, no findings");
    assert!(reasons.iter().all(|reason| !reason.text.contains("open")), "{reasons:?}");
}

#[tokio::test]
async fn the_floor_shows_what_was_just_done() {
    let (plan, mut worker) = (job(), Worker::new());
    worker.work(&Checked::of(plan.plan.clone()), |step| step.action == Action::Isolate);
    let shop = Shop::open(&[JobFile { history: worker.history, ..plan }], Manager).await;
    let before = shop.page("/").await;
    assert_eq!(shop.number(KEPT).await, 1);
    tick(&shop, "location/stern/strip", "done").await;
    let after = shop.page("/").await;
    assert!(before.contains("Strip-out: 4 steps open"), "{before}");
    assert!(after.contains("Strip-out: 3 steps open"), "{after}");
    assert!(after.contains("Ana <span class=\"aside\">"), "the last activity is shown");
    assert_eq!(shop.number(KEPT).await, 1);
}

#[tokio::test]
async fn a_summary_is_stored_without_a_line_in_the_log_and_read_again() {
    let shop = Shop::open(&[job()], Manager).await;
    let lines = "SELECT count(*) FROM log";
    let before = shop.number(lines).await;
    let first = shop.status().await;
    assert_eq!((shop.number(KEPT).await, shop.number(lines).await), (1, before));
    // A row that fits is what the floor shows: nothing is calculated for it.
    shop.run("UPDATE job_summary SET body = json_set(body, '$.holds.stops', 77)").await;
    assert!(shop.status().await.contains("77 stop findings"));
    shop.run("DELETE FROM job_summary").await;
    assert_eq!(shop.status().await, first);
}

#[tokio::test]
async fn an_old_or_unreadable_row_is_not_trusted() {
    let shop = Shop::open(&[job()], Manager).await;
    let right = shop.status().await;
    for wrong in [
        "UPDATE job_summary SET change_no = change_no - 1, body = json_set(body, '$.holds.stops', 77)",
        "UPDATE job_summary SET record_no = record_no + 1, body = json_set(body, '$.holds.stops', 77)",
        "UPDATE job_summary SET build = 'another', body = json_set(body, '$.holds.stops', 77)",
        "UPDATE job_summary SET body = '{}'",
    ] {
        shop.run(wrong).await;
        assert_eq!(shop.status().await, right, "{wrong}");
        // A busy database is not waited for: the next page stores the row then.
        let old = "SELECT count(*) FROM job_summary WHERE json_extract(body, '$.holds.stops') = 77";
        for _ in 0..100 {
            if shop.number(old).await > 0 {
                shop.status().await;
            }
        }
        assert_eq!(shop.number(old).await, 0, "{wrong}");
    }
}

#[tokio::test]
async fn a_busy_database_does_not_keep_the_floor_from_being_read() {
    let shop = Shop::open(&[job()], Manager).await;
    let mut other = shop.raw().await;
    sqlx::query("BEGIN IMMEDIATE").execute(&mut other).await.unwrap();
    let status = shop.status().await;
    assert!(status.contains("Strip-out: 5 steps open"), "{status}");
    sqlx::query("ROLLBACK").execute(&mut other).await.unwrap();
    assert_eq!(shop.status().await, status);
}

#[tokio::test]
async fn a_page_calculates_so_many_summaries_and_says_which_are_left() {
    let jobs: Vec<JobFile> = std::iter::repeat_with(job).take(26).collect();
    let shop = Shop::open(&jobs, Manager).await;
    let left = "Being checked. Load this page again.";
    let first = shop.page("/").await;
    assert_eq!(first.matches(left).count(), 2);
    assert!(shop.number(KEPT).await >= 24, "the others are stored");
    assert_eq!(first.matches("All steps done").count(), 0);
    assert_eq!(shop.page("/").await.matches(left).count(), 0);
}

#[tokio::test]
async fn a_deleted_job_takes_its_summary_along_and_doctor_finds_nothing_wrong() {
    let shop = Shop::open(&[job()], Manager).await;
    shop.status().await;
    let folder = shop.store.folder().root().to_owned();
    assert!(doctor::examine(&folder).await.unwrap().is_well());
    shop.run("UPDATE job_summary SET record_no = 99").await;
    assert!(doctor::examine(&folder).await.unwrap().is_well());
    let setup = Actor { person: None, name: "Setup".parse().unwrap() };
    let mut write = shop.store.write(&setup, Timestamp::now()).await.unwrap();
    deletion::delete(&mut write, shop.store.folder(), JobId::from(1)).await.unwrap();
    write.commit().await.unwrap();
    assert_eq!(shop.number(KEPT).await, 0);
}
