//! An event that waited on the tablet: it is stored even if it is on hold, and the page says why it does not count.

use axum::http::StatusCode;
use driploop::job::file::JobFile;
use driploop::job::phase::Phase;
use driploop::shop::role::Role::{Apprentice, Manager, Technician};

use crate::event;
use crate::shop::{CurrentUser, Shop, done_before, job, ready_for_circuits};

const STERN: &str = "location/stern/strip";
const POWER_UP: &str = "/jobs/1/phases/power-up-test";

/// Marks a step after the tick waited so long.
async fn tick(by: &CurrentUser, step: &str, mark: &str, waited_ms: &str) -> crate::shop::Answer {
    let event = event();
    let fields = [
        ("event", event.as_str()),
        ("step", step),
        ("mark", mark),
        ("reason", "Not on this boat"),
        ("back", "/"),
        ("waited_ms", waited_ms),
    ];
    by.post("/ticks", &fields).await
}

fn between_poles(waited_ms: &str) -> Vec<(&'static str, String)> {
    vec![
        ("event", event()),
        ("tick", event()),
        ("step", "job/job/between-poles".to_owned()),
        ("ohm", "22000".to_owned()),
        ("back", POWER_UP.to_owned()),
        ("waited_ms", waited_ms.to_owned()),
    ]
}

fn reading(waited_ms: &str) -> Vec<(&'static str, String)> {
    let figures = [("source_v", "12.65"), ("load_v", "12.52"), ("current_a", "1.2")];
    let figures = figures.map(|(field, figure)| (field, figure.to_owned()));
    let sent = [("event", event()), ("back", POWER_UP.to_owned()), ("waited_ms", waited_ms.to_owned())];
    figures.into_iter().chain(sent).collect()
}

#[tokio::test]
async fn a_tick_that_waited_is_stored_on_hold_and_says_why_it_does_not_count() {
    let shop = Shop::open(job()).await;
    let bo = shop.sign_in(Apprentice).await;
    for at_once in ["", "0", "1999", "-60000", "long"] {
        let refused = tick(&bo, STERN, "done", at_once).await;
        refused.is(StatusCode::CONFLICT).says(&["The boat is not isolated"]);
    }
    assert!(shop.history().await.ticks.is_empty());
    tick(&bo, STERN, "done", "60000").await.leads_to("/");
    assert_eq!(shop.history().await.ticks.len(), 1);
    let page = bo.page("/phases/strip-out").await;
    page.says(&["Done: Bo", "it does not count yet: The boat is not isolated.", "0 of "]);
    assert_eq!(page.count("tick-done"), 0, "no step is closed");
}

#[tokio::test]
async fn a_tick_that_waited_longer_than_a_tablet_keeps_it_is_stored_too() {
    let shop = Shop::open(job()).await;
    let bo = shop.sign_in(Apprentice).await;
    let forty_days = 40_i64 * 24 * 3_600_000;
    tick(&bo, STERN, "done", &forty_days.to_string()).await.leads_to("/");
    bo.page("/phases/strip-out").await.says(&["it does not count yet: The boat is not isolated."]);
}

#[tokio::test]
async fn a_measurement_that_waited_is_stored_on_hold_and_does_not_close_its_step() {
    let job = job();
    let shop = Shop::open(JobFile { history: done_before(&job.plan, Phase::PowerUpTest), ..job }).await;
    let bo = shop.sign_in(Apprentice).await;
    bo.post("/step-readings", &between_poles("1500")).await.is(StatusCode::CONFLICT).says(&["On hold"]);
    let before = shop.history().await;
    let late = between_poles("60000");
    for _ in 0..2 {
        bo.post("/step-readings", &late).await.leads_to(POWER_UP);
    }
    let history = shop.history().await;
    assert_eq!(history.step_readings.len(), before.step_readings.len() + 1, "sent twice is stored once");
    assert_eq!(history.ticks.len(), before.ticks.len() + 1, "it passed, so its step was marked");
    let page = bo.page("/phases/power-up-test").await;
    page.says(&["22000 \u{3a9}", "it does not count yet: ", "not all switched off and 1 more"]);
    bo.tick("job/job/main-fuse-out", "done").await.is(StatusCode::CONFLICT).says(&["not measured"]);
    // When all is off, the measurement counts: it was made with the boat isolated.
    for step in ["job/job/look-over", "job/job/all-off", "job/job/negative-off"] {
        bo.tick(step, "done").await.is(StatusCode::SEE_OTHER);
    }
    bo.tick("job/job/main-fuse-out", "done").await.is(StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_reading_that_waited_is_stored_on_hold_and_does_not_prove_its_circuit() {
    let shop = Shop::open(job()).await;
    let (bo, ana) = (shop.sign_in(Apprentice).await, shop.sign_in(Manager).await);
    let address = "/circuits/C01/readings";
    bo.post(address, &reading("0")).await.is(StatusCode::CONFLICT).says(&["Do not energize"]);
    assert!(shop.history().await.readings.is_empty());
    bo.post(address, &reading("60000")).await.leads_to(POWER_UP);
    assert_eq!(shop.history().await.readings.len(), 1);
    let page = bo.page("/phases/power-up-test").await;
    page.says(&["12.52 V", "The reading does not count yet: the test is on hold.", "On hold. "]);
    bo.tick("circuit/C01/test", "done").await.is(StatusCode::CONFLICT).says(&["On hold. "]);
    ana.page("/report").await.says(&["0 of 2 circuits are powered and measured"]);
}

#[tokio::test]
async fn a_waiver_that_waited_needs_its_role_like_any_other() {
    let shop = Shop::open(job()).await;
    let (bo, ana) = (shop.sign_in(Apprentice).await, shop.sign_in(Manager).await);
    tick(&bo, "circuit/C01/test", "not-needed", "60000").await.is(StatusCode::FORBIDDEN);
    assert!(shop.history().await.ticks.is_empty());
    tick(&ana, "circuit/C01/test", "not-needed", "60000").await.leads_to("/");
}

/// The job with everything done that comes before the first circuit is powered.
async fn ready() -> Shop {
    let job = job();
    Shop::open(JobFile { history: ready_for_circuits(&job.plan), ..job }).await
}

/// A reading of a circuit that waited so long.
fn of_circuit(figures: &[(&'static str, &str)], waited_ms: &str) -> Vec<(&'static str, String)> {
    let figures = figures.iter().map(|(field, figure)| (*field, (*figure).to_owned()));
    let sent = [("event", event()), ("back", POWER_UP.to_owned()), ("waited_ms", waited_ms.to_owned())];
    figures.chain(sent).collect()
}

const READINGS: &str = "/circuits/C01/readings";
const C01_TEST: &str = "circuit/C01/test";

#[tokio::test]
async fn an_odd_reading_that_waited_is_stored_and_passes_nothing() {
    let shop = ready().await;
    let bo = shop.sign_in(Apprentice).await;
    let odd = [("source_v", "26.5"), ("load_v", "26.4"), ("current_a", "1.2")];
    let asked = bo.post(READINGS, &of_circuit(&odd, "0")).await;
    asked.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["26.5 V?"]);
    let before = shop.history().await.readings.len();
    let late = of_circuit(&odd, "60000");
    for _ in 0..2 {
        bo.post(READINGS, &late).await.leads_to(POWER_UP);
    }
    assert_eq!(shop.history().await.readings.len(), before + 1, "sent twice is stored once");
    bo.page("/phases/power-up-test").await.says(&["26.5 V at the source: too much for 12 V"]);
    bo.tick(C01_TEST, "done").await.is(StatusCode::CONFLICT).says(&["Its latest reading fails."]);
}

#[tokio::test]
async fn an_odd_measurement_that_waited_is_stored_and_closes_no_step() {
    let job = job();
    let history = done_before(&job.plan, Phase::PowerUpTest);
    let shop = Shop::open(JobFile { history, ..job }).await;
    let bo = shop.sign_in(Apprentice).await;
    for step in ["job/job/look-over", "job/job/all-off", "job/job/negative-off"] {
        bo.tick(step, "done").await.is(StatusCode::SEE_OTHER);
    }
    let poles = |waited: &str| {
        let mut form = between_poles(waited);
        form.retain(|(field, _)| *field != "ohm");
        form.push(("ohm", "22".to_owned()));
        form
    };
    bo.post("/step-readings", &poles("0")).await.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["22 ohm?"]);
    let before = shop.history().await;
    bo.post("/step-readings", &poles("60000")).await.leads_to(POWER_UP);
    let after = shop.history().await;
    assert_eq!(after.step_readings.len(), before.step_readings.len() + 1);
    assert_eq!(after.ticks, before.ticks, "it closes nothing by itself");
}

#[tokio::test]
async fn a_tick_that_waited_and_lacks_its_reason_is_stored_and_counts_once_the_reason_is_written() {
    let shop = ready().await;
    let (bo, tess) = (shop.sign_in(Apprentice).await, shop.sign_in(Technician).await);
    let without_current = [("source_v", "12.65"), ("load_v", "12.62")];
    bo.post(READINGS, &of_circuit(&without_current, "120000")).await.leads_to(POWER_UP);
    bo.tick(C01_TEST, "done").await.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["Required."]);
    let sent = |reason: &str, waited: &str| {
        let fields = [
            ("event", event()),
            ("step", C01_TEST.to_owned()),
            ("mark", "done".to_owned()),
            ("back", POWER_UP.to_owned()),
        ];
        let more = [("reason", reason.to_owned()), ("waited_ms", waited.to_owned())];
        fields.into_iter().chain(more).collect::<Vec<_>>()
    };
    let before = shop.history().await.ticks.len();
    bo.post("/ticks", &sent("", "60000")).await.leads_to(POWER_UP);
    assert_eq!(shop.history().await.ticks.len(), before + 1);
    let page = bo.page("/phases/power-up-test").await;
    page.says(&[
        "Done: Bo",
        "it does not count yet. Check again: The current was not measured",
        "No reason was written.",
    ]);
    tess.page("/report").await.says(&["0 of 2 circuits are powered and measured"]);
    tess.post("/ticks", &sent("The clamp is at the other boat", "0")).await.leads_to(POWER_UP);
    tess.page("/report").await.says(&["1 of 2 circuits is powered and measured"]);
}

#[tokio::test]
async fn a_tick_that_waited_for_a_step_that_the_plan_lost_is_stored() {
    let shop = ready().await;
    let bo = shop.sign_in(Apprentice).await;
    tick(&bo, "location/attic/strip", "done", "0").await.is(StatusCode::NOT_FOUND);
    let before = shop.history().await.ticks.len();
    tick(&bo, "location/attic/strip", "done", "60000").await.leads_to("/");
    assert_eq!(shop.history().await.ticks.len(), before + 1);
    bo.page("/findings").await.says(&["attic"]);
}

#[tokio::test]
async fn a_figure_that_waited_and_cannot_be_read_is_kept_as_a_note() {
    let shop = ready().await;
    let bo = shop.sign_in(Apprentice).await;
    let typed = [("source_v", "12.6"), ("load_v", "1255"), ("current_a", "1,2"), ("note", "at dusk")];
    bo.post(READINGS, &of_circuit(&typed, "0")).await.is(StatusCode::UNPROCESSABLE_ENTITY);
    bo.post(READINGS, &of_circuit(&typed, "60000")).await.leads_to(POWER_UP);
    let history = shop.history().await;
    let reading = history.readings.last().unwrap();
    assert_eq!((reading.source_v, reading.load_v), (None, None), "no figure counts without the others");
    let note = reading.note.as_ref().unwrap().as_str();
    assert_eq!(
        note,
        "Kept on a tablet, not readable: source v 12.6, load v 1255, current a 1,2, note at dusk"
    );
    bo.tick(C01_TEST, "done").await.is(StatusCode::CONFLICT).says(&["Measure both"]);

    let mut fuse = between_poles("60000");
    fuse.retain(|(field, _)| !["ohm", "step"].contains(field));
    fuse.extend([("step", "circuit/C02/fuse".to_owned()), ("rating_a", "ten".to_owned())]);
    bo.post("/step-readings", &fuse).await.leads_to(POWER_UP);
    let history = shop.history().await;
    let note = history.step_readings.last().unwrap().note.as_ref().unwrap().as_str();
    assert_eq!(note, "Kept on a tablet, not readable: rating a ten");
}
