//! An event that waited on the tablet: it is stored even if it is on hold, and the page says why it does not count.

use axum::http::StatusCode;
use driploop::job::file::JobFile;
use driploop::job::phase::Phase;
use driploop::shop::role::Role::{Apprentice, Manager};

use crate::event;
use crate::shop::{CurrentUser, Shop, done_before, job};

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
