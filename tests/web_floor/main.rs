//! The pages of the work, asked through the router by people of each role.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

mod electrics;
mod fuse_out;
#[path = "../hard_shapes/mod.rs"]
mod hard_shapes;
mod heavy;
mod meter;
mod mounting;
mod moved;
mod my_work;
mod offline;
mod open_items;
mod opens;
mod report;
#[path = "../boat_shop/mod.rs"]
mod shop;
mod sizing;
mod undo;
mod wires;

use axum::http::StatusCode;
use driploop::job::check::check;
use driploop::job::event::Mark;
use driploop::job::file::JobFile;
use driploop::job::phase::Phase;
use driploop::job::step::Action;
use driploop::shop::role::Role::{Apprentice, Manager, Technician, Viewer};
use uuid::Uuid;

use shop::{Shop, done_before, job, ready_for_circuits};

const STERN: &str = "location/stern/strip";

/// The shop with the boat isolated.
async fn isolated() -> Shop {
    let mut job = job();
    job.history = shop::worked(&job.plan, |step| step.action == Action::Isolate);
    Shop::open(job).await
}

fn event() -> String {
    Uuid::now_v7().to_string()
}

#[tokio::test]
async fn a_step_is_done_undone_and_held_not_to_be_needed_with_who_and_why() {
    let shop = isolated().await;
    let bo = shop.sign_in(Apprentice).await;
    bo.tick(STERN, "done").await.leads_to("/jobs/1/phases/strip-out#step-location-stern-strip");
    bo.page("/phases/strip-out").await.says(&["Done: Bo", "2 of 5 steps done"]);
    bo.tick(STERN, "undone").await.leads_to("/jobs/1/phases/strip-out#step-location-stern-strip");
    bo.page("/phases/strip-out").await.says(&["Undone: Bo", "1 of 5 steps done"]);

    let back = "/jobs/1/phases/strip-out";
    let bare =
        [("event", &*event()), ("step", STERN), ("mark", "not-needed"), ("reason", " "), ("back", back)];
    let refused = bo.post("/ticks", &bare).await;
    refused.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["Required.", "Reason"]);
    let why = [
        ("event", &*event()),
        ("step", STERN),
        ("mark", "not-needed"),
        ("reason", "New hull"),
        ("back", back),
    ];
    bo.post("/ticks", &why).await.leads_to(back);
    bo.page("/phases/strip-out").await.says(&["Not needed: Bo", "New hull", "1 not needed"]);
    let marks: Vec<Mark> = shop.history().await.ticks.iter().map(|tick| tick.mark).collect();
    assert_eq!(marks, [Mark::Done, Mark::Done, Mark::Undone, Mark::NotNeeded]);
}

#[tokio::test]
async fn a_form_sent_twice_is_stored_once_and_cannot_say_something_else() {
    let shop = isolated().await;
    let bo = shop.sign_in(Apprentice).await;
    let id = event();
    let form =
        |mark| [("event", id.clone()), ("step", STERN.to_owned()), ("mark", mark), ("back", "/".to_owned())];
    for _ in 0..2 {
        bo.post("/ticks", &form("done".to_owned())).await.leads_to("/");
    }
    assert_eq!(shop.history().await.ticks.len(), 2);
    bo.post("/ticks", &form("undone".to_owned())).await.is(StatusCode::CONFLICT);
    assert_eq!(shop.history().await.ticks.len(), 2);
}

#[tokio::test]
async fn what_no_page_sends_is_refused() {
    let shop = Shop::open(job()).await;
    let bo = shop.sign_in(Apprentice).await;
    let send = async |event: &str, step: &str, mark: &str| {
        bo.post("/ticks", &[("event", event), ("step", step), ("mark", mark), ("back", "/")]).await.status()
    };
    assert_eq!(send("7", STERN, "done").await, StatusCode::BAD_REQUEST);
    assert_eq!(send(&event(), "stern", "done").await, StatusCode::BAD_REQUEST);
    assert_eq!(send(&event(), STERN, "half").await, StatusCode::BAD_REQUEST);
    assert_eq!(send(&event(), "location/attic/strip", "done").await, StatusCode::NOT_FOUND);
    bo.page("/phases/varnish").await.is(StatusCode::NOT_FOUND);
    bo.page("/circuits/C99").await.is(StatusCode::NOT_FOUND);
    bo.page("/feeders/F99").await.is(StatusCode::NOT_FOUND);
}

/// The form that releases a step from an open item.
fn release(step: &str, obstacle: &str, reason: &str) -> Vec<(&'static str, String)> {
    vec![
        ("event", event()),
        ("step", step.to_owned()),
        ("obstacle", obstacle.to_owned()),
        ("reason", reason.to_owned()),
        ("back", "/jobs/1/phases/mounting".to_owned()),
    ]
}

#[tokio::test]
async fn a_hold_point_refuses_until_somebody_who_may_releases_one_step_from_one_item() {
    let mut job = job();
    job.history = done_before(&job.plan, Phase::Mounting);
    let shop = Shop::open(job).await;
    let (ron, bo, cy) =
        (shop.sign_in(Viewer).await, shop.sign_in(Apprentice).await, shop.sign_in(Technician).await);
    ron.post("/ticks", &[("event", &*event())]).await.is(StatusCode::FORBIDDEN);
    bo.tick("location/bow/strip", "undone").await;
    bo.page("/phases/mounting").await.says(&["On hold: ", "Bow: not stripped", "holds 4 steps"]);
    let refused = bo.tick("device/nav/mount", "done").await;
    refused.is(StatusCode::CONFLICT).says(&["Not marked.", "Sidelights", "On hold. Bow: not stripped."]);

    let (step, strip) = ("device/nav/mount", "location/bow/strip");
    bo.page("/release?step=device/nav/mount").await.is(StatusCode::FORBIDDEN);
    cy.page("/release?step=device/nav/mount").await.says(&["Release one step", "Bow: not stripped"]);
    bo.post("/releases", &release(step, strip, "Open tray")).await.is(StatusCode::FORBIDDEN);
    let refused = cy.post("/releases", &release(step, strip, "")).await;
    refused.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["Required."]);
    let refused = cy.post("/releases", &release(step, "", "For a laugh")).await;
    refused.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["Choose the item to release."]);
    let given = release(step, strip, "The bow stays as it is");
    for _ in 0..2 {
        cy.post("/releases", &given).await.leads_to("/jobs/1/phases/mounting");
    }
    assert_eq!(shop.history().await.releases.len(), 1);
    cy.page("/releases").await.says(&["in force", "The bow stays as it is", "Cy"]);
    let names = "Sidelights: Fastened";
    let log = cy.page("/log").await;
    log.says(&["released ", names, "although Bow: not stripped"]).lacks("device/nav");
    cy.page("").await.says(&["released ", names, "although Bow: not stripped"]).lacks("location/bow");
    bo.tick(step, "done").await.leads_to("/jobs/1/phases/mounting#step-device-nav-mount");
    bo.tick("device/nav/back", "done").await.is(StatusCode::CONFLICT).says(&["Bow: not stripped"]);
    let refused = cy.post("/releases", &release("device/nav/back", "location/stern/strip", "Reason")).await;
    refused.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["does not hold the step any more"]);
}

#[tokio::test]
async fn a_stop_finding_is_passed_only_by_a_judgment_that_a_manager_records() {
    let mut job = job();
    let pump = &mut job.plan.circuits[1];
    pump.size = Some("18 AWG".parse().unwrap());
    pump.protection.as_mut().unwrap().rating_a = Some(40.0.try_into().unwrap());
    job.history = shop::worked(&job.plan, |step| {
        step.action.phase() < Phase::PowerUpTest
            || (step.action.phase() == Phase::PowerUpTest && step.action < Action::Connect)
    });
    let shop = Shop::open(job).await;
    let (cy, ana) = (shop.sign_in(Technician).await, shop.sign_in(Manager).await);
    let refused = ana.tick("job/job/connect", "done").await;
    refused.is(StatusCode::CONFLICT).says(&["Bilge pump (C02)"]);
    let keys: Vec<String> = check(&shop.export().await.plan)
        .findings
        .iter()
        .filter(|finding| finding.level == driploop::trade::finding::Level::Stop)
        .map(|finding| finding.key())
        .collect();
    assert!(!keys.is_empty());
    for key in &keys {
        let given = release("job/job/connect", key, "Bench supply, limited to 5 A");
        cy.post("/releases", &given).await.is(StatusCode::FORBIDDEN);
        ana.post("/releases", &given).await.is(StatusCode::FORBIDDEN);
        let judgment = |qualification: &str| {
            [
                ("event", event()),
                ("finding", key.clone()),
                ("judge", "Ada Marsh".to_owned()),
                ("qualification", qualification.to_owned()),
                ("reason", "The manufacturer rates this wire for it".to_owned()),
            ]
        };
        cy.post("/judgments", &judgment("marine electrician")).await.is(StatusCode::FORBIDDEN);
        ana.post("/judgments", &judgment("")).await.is(StatusCode::UNPROCESSABLE_ENTITY);
        ana.post("/judgments", &judgment("marine electrician")).await.leads_to("/jobs/1/releases");
    }
    ana.tick("job/job/connect", "done").await.leads_to("/jobs/1/phases/power-up-test#step-job-job-connect");
    ana.page("/releases").await.says(&["Judgment", "Ada Marsh, marine electrician"]);
    let log = ana.page("/log").await;
    log.says(&["recorded a judgment of: Bilge pump (C02): ", "by Ada Marsh, marine electrician"])
        .lacks("finding/");
    ana.page("/report").await.says(&["set aside by judgment", "Ada Marsh, marine electrician"]);
}

fn reading(figures: [&str; 3]) -> Vec<(&'static str, String)> {
    let [source, load, current] = figures.map(str::to_owned);
    vec![
        ("event", event()),
        ("device", "nav".to_owned()),
        ("source_v", source),
        ("load_v", load),
        ("current_a", current),
        ("back", "/jobs/1/phases/power-up-test#circuit-C01".to_owned()),
    ]
}

#[tokio::test]
async fn a_circuit_is_passed_on_the_strength_of_its_readings() {
    let mut job = job();
    job.history = ready_for_circuits(&job.plan);
    let shop = Shop::open(job).await;
    let (bo, cy, ana) =
        (shop.sign_in(Apprentice).await, shop.sign_in(Technician).await, shop.sign_in(Manager).await);
    let test = "circuit/C01/test";
    bo.tick(test, "done").await.is(StatusCode::CONFLICT).says(&["Not measured. Measure it first."]);

    let typed = bo.post("/circuits/C01/readings", &reading(["12.6", "bright", "1.2"])).await;
    typed.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["reading in volts from -80 to 80", "bright"]);
    let nothing = bo.post("/circuits/C01/readings", &reading(["", "", ""])).await;
    nothing.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["Nothing was entered"]);
    assert!(shop.history().await.readings.is_empty());

    bo.post("/circuits/C01/readings", &reading(["12,65", "11,9", "1,2"])).await;
    bo.page("/phases/power-up-test").await.says(&["Fail", "The drop from source to load is 0.75 V"]);
    bo.tick(test, "done").await.is(StatusCode::CONFLICT).says(&["Its latest reading fails"]);
    let waive = |step: &str| {
        [
            ("event", event()),
            ("step", step.to_owned()),
            ("mark", "not-needed".to_owned()),
            ("reason", "New lamps come".to_owned()),
            ("back", "/".to_owned()),
        ]
    };
    cy.post("/ticks", &waive(test)).await.is(StatusCode::FORBIDDEN);

    let good = reading(["12.65", "12.52", "1.2"]);
    for _ in 0..2 {
        bo.post("/circuits/C01/readings", &good).await.leads_to("/jobs/1/phases/power-up-test#circuit-C01");
    }
    assert_eq!(shop.history().await.readings.len(), 2, "a retest is another reading, sent twice it is one");
    bo.page("/phases/power-up-test").await.says(&["Pass", "Earlier readings"]);
    bo.tick(test, "done").await.leads_to("/jobs/1/phases/power-up-test#step-circuit-C01-test");

    let pump = "circuit/C02/test";
    bo.post("/ticks", &waive(pump)).await.is(StatusCode::FORBIDDEN);
    ana.post("/ticks", &waive(pump)).await.leads_to("/");
    ana.page("/releases").await.says(&["Waiver", "in force", "New lamps come"]);
    ana.page("/report").await.says(&["waived by Ana: New lamps come", "12.52 V"]);
}

#[tokio::test]
async fn no_reading_is_accepted_behind_a_hold_point() {
    let shop = Shop::open(job()).await;
    let bo = shop.sign_in(Apprentice).await;
    let refused = bo.post("/circuits/C01/readings", &reading(["12.6", "12.5", "1.2"])).await;
    refused.is(StatusCode::CONFLICT).says(&["Do not energize"]);
    assert!(shop.history().await.readings.is_empty());
}

#[tokio::test]
async fn a_circuit_page_shows_the_figures_of_the_check() {
    let shop = Shop::open(job()).await;
    let ron = shop.sign_in(Viewer).await;
    let report = check(&job().plan);
    for (id, circuit) in &report.circuits {
        let page = ron.page(&format!("/circuits/{id}")).await;
        let drop = |volts: Option<f64>, percent: Option<f64>| {
            format!("{:.2} V ({:.1} %)", volts.unwrap(), percent.unwrap())
        };
        page.says(&[
            &drop(circuit.conductor.handbook_drop_v, circuit.conductor.handbook_drop_pct),
            &drop(circuit.conductor.solved_drop_v, circuit.conductor.solved_drop_pct),
            &circuit.conductor.size.unwrap().to_string(),
            "E = K I L / CM",
            "checked against the text",
            "Voltage along",
        ]);
        for finding in report.findings.iter().filter(|finding| finding.subject.id == id.as_str()) {
            page.says(&[finding.code.phrase()]);
        }
    }
    ron.page("/circuits/C01").await.says(&["Bilge pump (C02)", "Fuse block \u{2192} Panel 1", "C01-1a"]);
    ron.page("/feeders/F1").await.says(&["House battery", "6 AWG red", "Navigation lights (C01)"]);
}

#[tokio::test]
async fn what_if_saves_nothing_until_it_is_asked_to() {
    let shop = Shop::open(job()).await;
    let (ron, cy) = (shop.sign_in(Viewer).await, shop.sign_in(Technician).await);
    let asked = "/circuits/C01?size=18+AWG&length_m=9&rating_a=5&load.nav=2";
    let page = ron.page(asked).await;
    page.says(&["What if", "14 AWG", "18 AWG", "drop-over-limit"]);
    page.lacks("Save this as the plan");
    ron.page("/circuits/C01?length_m=far")
        .await
        .is(StatusCode::UNPROCESSABLE_ENTITY)
        .says(&["Expected a length"]);
    assert_eq!(shop.export().await.plan, job().plan);

    let form =
        [("version", "1"), ("size", "10 AWG"), ("length_m", "4.2"), ("rating_a", "5"), ("load.nav", "1.5")];
    ron.post("/circuits/C01/what-if", &form).await.is(StatusCode::FORBIDDEN);
    cy.post("/circuits/C01/what-if", &form).await.leads_to("/jobs/1/circuits/C01");
    let plan = shop.export().await.plan;
    assert_eq!(plan.circuits[0].size.unwrap().to_string(), "10 AWG");
    let load = serde_json::to_value(plan.devices[0].load).unwrap();
    assert_eq!(load["a"], 1.5);
    let stale =
        cy.post("/circuits/C01/what-if", &[("version", "1"), ("size", "8 AWG"), ("length_m", "4.2")]).await;
    stale.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["Somebody else saved this"]);
}

#[tokio::test]
async fn a_report_lists_every_circuit_and_says_what_is_not_done() {
    let shop = Shop::open(job()).await;
    let ron = shop.sign_in(Viewer).await;
    let page = ron.page("/report").await;
    page.says(&["Not finished", "0 of 2 circuits are powered and measured", "not recorded as isolated"]);
    for circuit in &job().plan.circuits {
        page.says(&[circuit.id.as_str(), circuit.name.as_str()]);
    }
    page.says(&["House battery", "Float height", "Odd Ferrylane"]);
}

#[tokio::test]
async fn a_report_of_a_finished_job_speaks_of_nothing_left() {
    let mut job = job();
    job.history = shop::all_done(&job.plan);
    let shop = Shop::open(job).await;
    let ron = shop.sign_in(Viewer).await;
    let page = ron.page("/report").await;
    page.lacks("Not finished");
    page.says(&["Both circuits are powered and measured"]);
}

#[tokio::test]
async fn the_log_tells_who_did_what_when_by_the_shops_clock() {
    let shop = isolated().await;
    let (bo, cy) = (shop.sign_in(Apprentice).await, shop.sign_in(Technician).await);
    bo.tick(STERN, "done").await;
    let form =
        [("version", "1"), ("size", "12 AWG"), ("length_m", "4.2"), ("rating_a", "5"), ("load.nav", "1.2")];
    cy.post("/circuits/C01/what-if", &form).await;
    let page = bo.page("/log").await;
    page.says(&[
        "<strong>Bo</strong> ticked",
        "Old wiring removed",
        "<strong>Cy</strong> changed circuit C01",
        "14 AWG",
        "12 AWG",
    ]);
}

#[tokio::test]
async fn every_phase_has_its_page_and_its_caution() {
    let shop = Shop::open(JobFile { history: done_before(&job().plan, Phase::Setup), ..job() }).await;
    let ron = shop.sign_in(Viewer).await;
    for phase in Phase::ALL {
        let page = ron.page(&format!("/phases/{phase}")).await;
        page.is(StatusCode::OK).says(&["caution-here", phase.title()]);
        assert_eq!(page.count("<h1"), 1, "{phase}");
    }
    ron.page("/phases/switches").await.says(&["NAV", "BILGE", "<svg"]);
}
#[path = "../worker/mod.rs"]
mod worker;
