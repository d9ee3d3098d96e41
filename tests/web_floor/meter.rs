//! The meter's work through the router: tests before power and first power, readings, where a fault is, ties, the bench.

use axum::http::StatusCode;
use driploop::job::event::{History, StepReading};
use driploop::job::file::JobFile;
use driploop::job::phase::Phase;
use driploop::job::plan::{Device, Wiring};
use driploop::shop::role::Role::{Apprentice, Manager, Technician, Viewer};

use crate::event;
use crate::shop::{Shop, all_done, done_before, job, ready_for_circuits};

fn before_power(job: JobFile) -> JobFile {
    JobFile { history: done_before(&job.plan, Phase::PowerUpTest), ..job }
}

fn step_reading(step: &str, field: &'static str, figure: &str) -> Vec<(&'static str, String)> {
    vec![
        ("event", event()),
        ("tick", event()),
        ("step", step.to_owned()),
        (field, figure.to_owned()),
        ("back", "/jobs/1/phases/power-up-test".to_owned()),
    ]
}

#[tokio::test]
async fn nothing_is_powered_that_was_not_proven_dead() {
    let shop = Shop::open(before_power(job())).await;
    let (bo, cy) = (shop.sign_in(Apprentice).await, shop.sign_in(Technician).await);
    let page = bo.page("/phases/power-up-test").await;
    page.says(&[
        "1 Made safe",
        "2 Tests before power",
        "3 First power",
        "4 Circuit by circuit",
        "5 Everything on",
        "On hold. ",
    ]);
    let refused = bo.tick("job/job/first-power", "done").await;
    refused.is(StatusCode::CONFLICT).says(&["battery not connected"]);
    let early = step_reading("job/job/between-poles", "ohm", "22000");
    bo.post("/step-readings", &early).await.is(StatusCode::CONFLICT).says(&["not all switched off"]);
    for step in ["job/job/look-over", "job/job/all-off", "job/job/negative-off"] {
        bo.tick(step, "done")
            .await
            .leads_to(&format!("/jobs/1/phases/power-up-test#step-{}", step.replace('/', "-")));
    }
    bo.tick("job/job/between-poles", "done").await.is(StatusCode::CONFLICT).says(&["Measure it first"]);
    let bad = bo.post("/step-readings", &step_reading("job/job/between-poles", "ohm", "much")).await;
    bad.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["much"]);
    bo.post("/step-readings", &step_reading("job/job/between-poles", "ohm", "0,4")).await;
    bo.page("/phases/power-up-test").await.says(&["something is shorted"]);
    bo.tick("job/job/between-poles", "done").await.is(StatusCode::CONFLICT).says(&["shorted"]);
    let good = step_reading("job/job/between-poles", "ohm", "22000");
    for _ in 0..2 {
        bo.post("/step-readings", &good).await.leads_to("/jobs/1/phases/power-up-test");
    }
    let history = shop.history().await;
    let of_poles = |reading: &&StepReading| reading.step.to_string() == "job/job/between-poles";
    assert_eq!(history.step_readings.iter().filter(of_poles).count(), 2, "sent twice is kept once");
    assert!(
        history.ticks.iter().any(|tick| tick.step.to_string() == "job/job/between-poles"),
        "it passed, so it is done"
    );

    let spare = [
        ("event", &*event()),
        ("step", "job/job/main-fuse-out"),
        ("mark", "not-needed"),
        ("reason", "None"),
        ("back", "/"),
    ];
    bo.post("/ticks", &spare).await.is(StatusCode::FORBIDDEN);
    let connect = "job/job/connect";
    bo.tick("job/job/main-fuse-out", "done").await;
    bo.tick(connect, "done").await.is(StatusCode::CONFLICT).says(&["continuity not measured"]);
    for run in ["feeder/F1", "feeder/F2", "circuit/C01"] {
        bo.post("/step-readings", &step_reading(&format!("{run}/continuity"), "ohm", "0.1")).await;
        bo.tick(&format!("{run}/polarity"), "done").await;
    }
    bo.tick(connect, "done").await.is(StatusCode::CONFLICT).says(&["not measured for a short circuit"]);
    for run in ["feeder/F1", "circuit/C01"] {
        bo.post("/step-readings", &step_reading(&format!("{run}/no-short"), "ohm", "22000")).await;
    }
    let refused = bo.tick(connect, "done").await;
    refused.is(StatusCode::CONFLICT).says(&["C02, Bilge pump: continuity not measured"]);
    bo.tick("circuit/C02/fuse-out", "done").await;
    bo.tick(connect, "done").await.leads_to("/jobs/1/phases/power-up-test#step-job-job-connect");
    bo.tick("circuit/C02/fuse-out", "undone").await.is(StatusCode::CONFLICT).says(&["continuity"]);
    let mut item = vec![("event", event()), ("step", "job/job/first-power".to_owned())];
    item.push(("obstacle", connect.to_owned()));
    cy.post("/releases", &item).await.is(StatusCode::UNPROCESSABLE_ENTITY);
    bo.post("/circuits/C01/readings", &[("event", event()), ("source_v", "12.6".to_owned())])
        .await
        .is(StatusCode::CONFLICT)
        .says(&["fitted fuse not read"]);
    bo.post("/step-readings", &step_reading("circuit/C01/fuse", "rating_a", "5")).await;
    bo.post("/step-readings", &step_reading("job/job/first-power", "v", "12,7"))
        .await
        .leads_to("/jobs/1/phases/power-up-test");
    let figures = [
        ("event", event()),
        ("source_v", "12.65".to_owned()),
        ("load_v", "12.52".to_owned()),
        ("current_a", "1.2".to_owned()),
        ("back", "/".to_owned()),
    ];
    bo.post("/circuits/C01/readings", &figures).await.leads_to("/");
}

fn figures(circuit: &[(&'static str, &str)]) -> Vec<(&'static str, String)> {
    let fields = circuit.iter().map(|(name, value)| (*name, (*value).to_owned()));
    fields.chain([("event", event()), ("back", "/".to_owned())]).collect()
}

#[tokio::test]
async fn a_slip_of_the_finger_is_asked_about_and_never_refused() {
    let mut job = job();
    job.history = ready_for_circuits(&job.plan);
    let shop = Shop::open(job).await;
    let bo = shop.sign_in(Apprentice).await;
    let slip = figures(&[("source_v", "12.65"), ("load_v", "12.5"), ("current_a", "120")]);
    let asked = bo.post("/circuits/C01/readings", &slip).await;
    asked
        .is(StatusCode::UNPROCESSABLE_ENTITY)
        .says(&["120 A?", "Checked again: this is what the meter shows"]);
    assert!(shop.history().await.readings.is_empty());
    let mut sure = slip.clone();
    sure.push(("sure", "yes".to_owned()));
    bo.post("/circuits/C01/readings", &sure).await.leads_to("/");
    assert_eq!(shop.history().await.readings.len(), 1);
    let only_off = figures(&[("load_off_v", "12.1"), ("current_off_a", "0.4")]);
    bo.post("/circuits/C02/readings", &only_off).await.leads_to("/");
    bo.page("/phases/power-up-test").await.says(&["fed from elsewhere", "runs the battery down"]);
}

#[tokio::test]
async fn what_the_dead_check_and_first_power_expect_opens_on_its_sum() {
    let shop = Shop::open(JobFile { history: ready_for_circuits(&job().plan), ..job() }).await;
    let page = shop.sign_in(Apprentice).await.page("/phases/power-up-test").await;
    let ohms = page.how("C02-negative,-power-off");
    assert!(ohms.contains("sum of its wires with both their ends") && ohms.contains("ohm (C02-4)"), "{ohms}");
    let volts = page.how("job-first-power");
    // 12 V times 1.055: a full flooded battery of 12 V has 12.65 V at rest, from memory.
    assert!(volts.contains("12 V x 1.055 = 12.66 V"), "{volts}");
    page.opens();
}

#[tokio::test]
async fn what_to_expect_follows_the_volts_that_were_measured() {
    let mut job = job();
    job.history = ready_for_circuits(&job.plan);
    let shop = Shop::open(job).await;
    let bo = shop.sign_in(Apprentice).await;
    let mut asks = figures(&[("source_v", "11,8")]);
    asks.push(("expect", "yes".to_owned()));
    let page = bo.post("/circuits/C02/readings", &asks).await;
    // 40 W at a little under 11.8 V: 3.4 A where 12.7 V would give 3.2.
    page.is(StatusCode::OK).says(&["fed with 11.8 V", "expected 3.4"]);
    page.says(&[
        "C02 at pump, load: ",
        "volts expected at the load",
        "current expected",
        "maximum voltage drop",
        "resistance of the return",
    ]);
    // Fed with what was measured, the source is no sum of ours.
    page.lacks("how-C02-at-pump-source");
    assert!(shop.history().await.readings.is_empty(), "nothing was kept");
}

#[tokio::test]
async fn a_fault_is_placed_repaired_and_measured_again() {
    let mut job = job();
    job.history = all_done(&job.plan);
    job.history.readings.clear();
    let shop = Shop::open(job).await;
    let (ron, bo) = (shop.sign_in(Viewer).await, shop.sign_in(Apprentice).await);
    ron.page("/diagnosis").await.is(StatusCode::OK).says(&["No reading yet"]);
    bo.post(
        "/circuits/C01/readings",
        &figures(&[("source_v", "12.68"), ("load_v", "12.6"), ("current_a", "1.2"), ("return_ohm", "0.15")]),
    )
    .await;
    bo.post(
        "/circuits/C02/readings",
        &figures(&[("source_v", "12.66"), ("load_v", "11.2"), ("current_a", "3.6"), ("return_ohm", "0.55")]),
    )
    .await;
    let page = ron.page("/diagnosis").await;
    page.says(&[
        "Most likely",
        "C02-4",
        "m\u{3a9}",
        "Its ring on the negative bus first".trim_start_matches("Its "),
    ]);
    bo.page("/circuits/C02").await.is(StatusCode::OK);

    let repair = [
        ("event", event()),
        ("circuit", "C02".to_owned()),
        ("where", "C02-4, ring on the bar".to_owned()),
        ("found", String::new()),
        ("back", "/jobs/1/diagnosis".to_owned()),
    ];
    bo.post("/repairs", &repair).await.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["Required."]);
    let mut repair = repair;
    repair[3].1 = "Crimped on the insulation; cut back and crimped again".to_owned();
    ron.post("/repairs", &repair).await.is(StatusCode::FORBIDDEN);
    for _ in 0..2 {
        bo.post("/repairs", &repair).await.leads_to("/jobs/1/diagnosis");
    }
    assert_eq!(shop.history().await.repairs.len(), 1, "sent twice is kept once");
    bo.page("/diagnosis").await.says(&["Repairs", "cut back and crimped again", "Bo"]).lacks("Most likely");
    bo.tick("circuit/C02/test", "done").await.is(StatusCode::CONFLICT).says(&["continuity not measured"]);
    let early = figures(&[("source_v", "12.66"), ("load_v", "12.5"), ("current_a", "3.2")]);
    bo.post("/circuits/C02/readings", &early)
        .await
        .is(StatusCode::CONFLICT)
        .says(&["continuity not measured"]);
    let other = figures(&[("source_v", "12.68"), ("load_v", "12.6"), ("current_a", "1.2")]);
    bo.post("/circuits/C01/readings", &other).await.is(StatusCode::CONFLICT).says(&["battery not connected"]);
    bo.tick("circuit/C02/fuse-out", "done").await;
    bo.post("/circuits/C01/readings", &other).await.leads_to("/");
    bo.post("/step-readings", &step_reading("job/job/isolate", "v", "0")).await;
    bo.tick("circuit/C02/polarity", "done")
        .await
        .leads_to("/jobs/1/phases/power-up-test#step-circuit-C02-polarity");
    bo.post("/step-readings", &step_reading("circuit/C02/continuity", "ohm", "0.1")).await;
    bo.post("/step-readings", &step_reading("circuit/C02/no-short", "ohm", "22000")).await;
    bo.tick("circuit/C02/test", "done").await.is(StatusCode::CONFLICT).says(&["The boat is isolated"]);
    bo.tick("job/job/connect", "done").await.leads_to("/jobs/1/phases/power-up-test#step-job-job-connect");
    bo.tick("circuit/C02/fuse-out", "undone").await;
    bo.tick("circuit/C02/test", "done").await.is(StatusCode::CONFLICT).says(&["Measure it again"]);
    bo.tick("circuit/C02/tie", "done").await.is(StatusCode::CONFLICT).says(&["C02"]);
    bo.post(
        "/circuits/C02/readings",
        &figures(&[("source_v", "12.66"), ("load_v", "12.5"), ("current_a", "3.2")]),
    )
    .await;
    bo.tick("circuit/C02/test", "done").await.leads_to("/jobs/1/phases/power-up-test#step-circuit-C02-test");
    bo.page("/log").await.says(&["repaired, C02-4"]);
}

#[tokio::test]
async fn a_run_is_tied_when_its_own_circuits_are_proven() {
    let mut job = job();
    let whole: History = all_done(&job.plan);
    let open = |step: &str| step == "circuit/C02/test" || step.ends_with("/tie");
    let ticks = whole.ticks.iter().filter(|tick| !open(&tick.step.to_string())).cloned().collect();
    job.history = History { ticks, ..whole };
    let shop = Shop::open(job).await;
    let (bo, cy) = (shop.sign_in(Apprentice).await, shop.sign_in(Technician).await);
    bo.page("/phases/tie-down").await.says(&[
        "Supplies for the whole boat",
        "strain reliefs",
        "not tested with everything on",
    ]);
    let refused = bo.tick("circuit/C02/tie", "done").await;
    refused.is(StatusCode::CONFLICT).says(&["C02, Bilge pump: not tested"]);
    let refused = bo.tick("feeder/F1/tie", "done").await;
    refused.is(StatusCode::CONFLICT);
    bo.tick("circuit/C02/test", "done").await;
    bo.tick("circuit/C01/tie", "done").await.leads_to("/jobs/1/phases/tie-down#step-circuit-C01-tie");
    bo.tick("circuit/C02/tie", "done").await.leads_to("/jobs/1/phases/tie-down#step-circuit-C02-tie");
    bo.tick("end/C01-1a/terminate", "undone").await;
    bo.page("/phases/tie-down").await.says(&["Not passed yet", "Opened again: end C01-1a was undone by Bo"]);
    cy.page("/releases").await.says(&["No releases, waivers or judgments."]);
}

#[tokio::test]
async fn home_runs_are_measured_one_by_one() {
    let mut job = job();
    let first = job.plan.circuits[0].legs[0].device.clone();
    let lamp = job.plan.device(&first).unwrap().clone();
    let second = Device { id: "second".parse().unwrap(), name: "Second lamp".parse().unwrap(), ..lamp };
    job.plan.devices.push(second);
    let fed = job.plan.circuits[0].devices().cloned().collect::<Vec<_>>();
    job.plan.circuits[0].feed(fed.into_iter().chain(["second".parse().unwrap()]));
    job.plan.circuits[0].wiring = Wiring::HomeRuns;
    job.history = ready_for_circuits(&job.plan);
    let shop = Shop::open(job).await;
    let bo = shop.sign_in(Apprentice).await;
    let at = |device: &'static str| {
        figures(&[("device", device), ("source_v", "12.65"), ("load_v", "12.5"), ("current_a", "2.4")])
    };
    bo.post("/circuits/C01/readings", &at("second")).await.leads_to("/");
    let name = shop.export().await.plan.device(&first).unwrap().name.to_string();
    let early = bo.tick("circuit/C01/test", "done").await;
    early.is(StatusCode::CONFLICT).says(&["Not measured at", &name]);
    let first: &'static str = Box::leak(first.to_string().into_boxed_str());
    bo.post("/circuits/C01/readings", &at(first)).await.leads_to("/");
    bo.tick("circuit/C01/test", "done").await.leads_to("/jobs/1/phases/power-up-test#step-circuit-C01-test");
}

#[tokio::test]
async fn the_bench_list_takes_one_length_for_all_that_have_none() {
    let mut job = job();
    job.plan.circuits[1].conductors.clear();
    let shop = Shop::open(job).await;
    let (ron, cy) = (shop.sign_in(Viewer).await, shop.sign_in(Technician).await);
    let page = ron.page("/bench").await;
    page.is(StatusCode::OK).says(&[
        "C01-1",
        "C02-1",
        "0.5 m",
        "measure",
        "Connect in the boat",
        "Connect <a",
    ]);
    ron.post("/bench", &[("feed_m", "0.6")]).await.is(StatusCode::FORBIDDEN);
    cy.post("/bench", &[("feed_m", "")])
        .await
        .is(StatusCode::UNPROCESSABLE_ENTITY)
        .says(&["Nothing was entered"]);
    cy.post("/bench", &[("feed_m", "0,6")]).await.leads_to("/jobs/1/bench");
    let plan = shop.export().await.plan;
    let lengths: Vec<f64> =
        plan.circuits.iter().map(|circuit| circuit.conductors[0].length_m.unwrap().number()).collect();
    assert_eq!(lengths, [0.5, 0.6], "what has a length of its own keeps it");
}

#[tokio::test]
async fn a_circuit_is_hung_on_a_position() {
    let shop = Shop::open(job()).await;
    let (bo, ana) = (shop.sign_in(Apprentice).await, shop.sign_in(Manager).await);
    let swap = [("circuit", "C02"), ("at", "panel:1")];
    bo.post("/switches", &swap).await.is(StatusCode::FORBIDDEN);
    ana.post("/switches", &swap).await.leads_to("/jobs/1/phases/switches#switch-C02");
    let page = ana.page("/phases/switches").await;
    page.says(&["label-wrong", "Move it to Panel 2, BILGE", "switch-shared", "positions are free"]);
    ana.post("/switches", &[("circuit", "C02"), ("at", "")])
        .await
        .leads_to("/jobs/1/phases/switches#switch-C02");
    ana.page("/phases/switches").await.says(&["No panel switch works Bilge pump (C02)"]);
    ana.post("/switches", &[("circuit", "C02"), ("at", "panel:9")]).await.is(StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn what_deserves_a_look_is_passed_with_a_reason_only() {
    let mut job = job();
    job.history = ready_for_circuits(&job.plan);
    let shop = Shop::open(job).await;
    let bo = shop.sign_in(Apprentice).await;
    let odd = figures(&[("source_v", "12.66"), ("load_v", "12.5"), ("current_a", "4.4")]);
    bo.post("/circuits/C02/readings", &odd).await.leads_to("/");
    bo.page("/phases/power-up-test").await.says(&["Check again: 4.4 A where", "Reason to accept it"]);
    let test = "circuit/C02/test";
    bo.tick(test, "done").await.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["Required."]);
    let pass = |reason: &str| {
        [
            ("event", event()),
            ("step", test.to_owned()),
            ("mark", "done".to_owned()),
            ("reason", reason.to_owned()),
            ("back", "/".to_owned()),
        ]
    };
    bo.post("/ticks", &pass(" ")).await.is(StatusCode::UNPROCESSABLE_ENTITY);
    bo.post("/ticks", &pass("A pump that lifts two meters draws more")).await.leads_to("/");
    let history = shop.history().await;
    let tick = history.ticks.last().unwrap();
    assert_eq!(
        (tick.by.as_str(), tick.reason.as_ref().map(|why| why.as_str())),
        ("Bo", Some("A pump that lifts two meters draws more"))
    );
    bo.page("/phases/power-up-test").await.says(&["A pump that lifts two meters draws more"]);
    bo.page("/report").await.says(&["passed by Bo: A pump that lifts"]);

    let good = figures(&[("source_v", "12.68"), ("load_v", "12.6"), ("current_a", "1.2")]);
    bo.post("/circuits/C01/readings", &good).await;
    bo.tick("circuit/C01/test", "done").await.leads_to("/jobs/1/phases/power-up-test#step-circuit-C01-test");
}

#[tokio::test]
async fn a_figure_read_dead_is_asked_about_and_never_refused() {
    let shop = Shop::open(before_power(job())).await;
    let bo = shop.sign_in(Apprentice).await;
    for step in ["job/job/look-over", "job/job/all-off", "job/job/negative-off"] {
        bo.tick(step, "done").await;
    }
    let mut slip = step_reading("job/job/between-poles", "ohm", "22");
    let asked = bo.post("/step-readings", &slip).await;
    asked
        .is(StatusCode::UNPROCESSABLE_ENTITY)
        .says(&["kilohm or megohm", "Checked again: this is what the meter shows"]);
    let of_poles = |reading: &&StepReading| reading.step.to_string() == "job/job/between-poles";
    assert_eq!(shop.history().await.step_readings.iter().filter(of_poles).count(), 0);
    slip.push(("sure", "yes".to_owned()));
    bo.post("/step-readings", &slip).await.leads_to("/jobs/1/phases/power-up-test");
    let step = "job/job/between-poles";
    bo.tick(step, "done").await.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["something is still on"]);
    let back = bo.post("/step-readings", &step_reading("circuit/C01/continuity", "ohm", "9")).await;
    back.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["is the point where it belongs?"]);
}

#[tokio::test]
async fn a_repair_that_waited_keeps_its_own_time() {
    let mut job = job();
    job.history = all_done(&job.plan);
    let shop = Shop::open(job).await;
    let bo = shop.sign_in(Apprentice).await;
    bo.page("/diagnosis").await.says(&["id=\"mend-form\"", "data-quick data-onward"]);
    let before = jiff::Timestamp::now();
    let repair = [
        ("event", event()),
        ("circuit", "C02".to_owned()),
        ("where", "C02-4".to_owned()),
        ("found", "Ring crimped again".to_owned()),
        ("waited_ms", "3600000".to_owned()),
        ("back", "/jobs/1/diagnosis".to_owned()),
    ];
    bo.post("/repairs", &repair).await.leads_to("/jobs/1/diagnosis");
    let at = shop.history().await.repairs[0].at;
    let waited = before.duration_since(at);
    assert!((3590..3610).contains(&waited.as_secs()), "{waited:?}");
}
