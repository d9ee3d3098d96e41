//! One boat, from intake to the report its manager takes home, by hand on a tablet.

use std::time::Duration;

use fantoccini::Locator;
use fantoccini::elements::Element;
use fantoccini::error::{CmdError, ErrorStatus};

use crate::driver::{Chromium, SIZES};
use crate::offline::wait_for_sent;
use crate::shop_server::{DEMO_OWNER, ShopServer};

/// The phases and the thing that is in hand in each, in order.
const PHASES: [&str; 8] =
    ["strip-out", "mounting", "runs", "terminations", "switches", "power-up-test", "tie-down", "setup"];

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_boat_is_taken_in_planned_wired_proven_and_handed_over() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let chromium = Chromium::start(SIZES[1]).await;
    chromium.resize(SIZES[1]).await;
    chromium.sign_in(&server.address, DEMO_OWNER).await;

    let job = take_in(&chromium, &server.address).await;
    plan(&chromium, &job).await;
    check(&chromium, &job).await;
    for phase in PHASES {
        work(&chromium, &job, phase).await;
    }
    report(&chromium, &job).await;
}

/// The boat comes in; returns the address of its job.
async fn take_in(chromium: &Chromium, address: &str) -> String {
    chromium.open(&format!("{address}/jobs/new")).await;
    for (field, text) in [
        ("boat.name", "Gray Wagtail"),
        ("boat.length_m", "5.4 m"),
        ("boat.fuel", "gasoline"),
        ("boat.engine", "outboard"),
        ("customer.name", "Tamsin Oddlake"),
        ("job.name", "Lights and a pump"),
        ("job.rules", "us"),
        ("job.nominal_v", "12"),
        ("job.ambient_c", "30"),
        ("job.budget", "900"),
        ("job.wishes", "A light that is seen and a pump that runs."),
    ] {
        chromium.fill(field, text).await;
    }
    chromium.press("Create job").await;
    chromium.leave("/new").await;
    let there = chromium.client.current_url().await.expect("an address").to_string();
    assert!(there.contains("/jobs/") && !there.ends_with("/new"), "the job has a page: {there}");
    assert!(chromium.client.source().await.expect("a page").contains("Gray Wagtail"));
    chromium.picture("walk-1-taken-in").await;
    there.split(['?', '#']).next().unwrap_or(&there).trim_end_matches('/').to_owned()
}

/// Everything the boat gets is planned on the pages.
async fn plan(chromium: &Chromium, job: &str) {
    for (id, name) in [("bow", "Bow"), ("helm", "Helm console"), ("stern", "Stern locker")] {
        add(chromium, job, "location", &[("id", id), ("name", name)]).await;
    }
    let battery = [
        ("id", "house"),
        ("location", "stern"),
        ("open_circuit_v", "12.7"),
        ("internal_mohm", "6"),
        ("capacity_ah", "90"),
        ("chemistry", "agm"),
    ];
    add(chromium, job, "point?kind=battery", &battery).await;
    let block = [("id", "fb1"), ("location", "helm"), ("rating_a", "100"), ("positions", "6")];
    add(chromium, job, "point?kind=fuse-block", &block).await;
    let bus = [("id", "neg1"), ("location", "helm"), ("rating_a", "100"), ("positions", "10")];
    add(chromium, job, "point?kind=negative-bus", &bus).await;
    let panel = [
        ("id", "panel"),
        ("location", "helm"),
        ("rating_a", "50"),
        ("positions[0].label", "NAV"),
        ("positions[0].rating_a", "15"),
    ];
    add(chromium, job, "point?kind=switch-panel", &panel).await;

    let out = [
        ("id", "F1"),
        ("polarity", "positive"),
        ("from", "house"),
        ("to", "fb1"),
        ("size", "8 AWG"),
        ("length_m", "2.5 m"),
        ("insulation_c", "105"),
        ("protection.kind", "bolt-down-fuse"),
        ("protection.rating_a", "40"),
        ("protection.from_source_m", "7 in"),
        ("protection.interrupt_a", "5000"),
    ];
    add(chromium, job, "feeder", &out).await;
    let back = [
        ("id", "F2"),
        ("polarity", "negative"),
        ("from", "neg1"),
        ("to", "house"),
        ("size", "8 AWG"),
        ("length_m", "2.5 m"),
        ("insulation_c", "105"),
    ];
    add(chromium, job, "feeder", &back).await;

    let light = [
        ("id", "side"),
        ("name", "Side light"),
        ("location", "bow"),
        ("load.kind", "constant-current"),
        ("load.figure", "0,8"),
        ("drop_limit_pct", "3"),
        ("settings[0].name", "Visible arc checked from ahead"),
    ];
    add(chromium, job, "device", &light).await;
    let circuit = [
        ("id", "C01"),
        ("name", "Navigation light"),
        ("legs[0].device", "side"),
        ("from", "fb1"),
        ("switch", "panel:1"),
        ("return", "neg1"),
        ("protection.kind", "blade-fuse"),
        ("protection.rating_a", "3"),
        ("protection.from_source_m", "0 m"),
        ("size", "16 AWG"),
        ("length_m", "4.2 m"),
        ("insulation_c", "105"),
    ];
    add(chromium, job, "circuit", &circuit).await;
}

/// Fills one form of the plan and sees it saved.
async fn add(chromium: &Chromium, job: &str, kind: &str, fields: &[(&str, &str)]) {
    chromium.open(&format!("{job}/plan/new/{kind}")).await;
    for (field, text) in fields {
        chromium.fill(field, text).await;
    }
    chromium.press("Save").await;
    chromium.leave("/new/").await;
}

/// The circuit's page shows the calculated values and opens their working.
async fn check(chromium: &Chromium, job: &str) {
    chromium.open(&format!("{job}/circuits/C01")).await;
    let words = chromium.words().await;
    for expected in ["Navigation light", "16", "AWG"] {
        assert!(words.contains(expected), "the page tells {expected}: {words}");
    }
    let page = chromium.client.source().await.expect("a page");
    assert!(page.contains("10.75"), "the working shows the handbook's constant");
    chromium.picture("walk-2-circuit").await;
}

/// One phase, thing by thing, until nothing is left to tick.
async fn work(chromium: &Chromium, job: &str, phase: &str) {
    let address = format!("{job}/phases/{phase}");
    chromium.open(&address).await;
    if phase == "power-up-test" {
        before_power(chromium, &address).await;
        // The location to write stands open for the circuit that is next, and can be opened for any other.
        let more = Locator::Css("main .measured > details.trial-more:not([open]) > summary");
        for summary in chromium.client.find_all(more).await.expect("a page") {
            summary.click().await.expect("it opens");
        }
        for (field, text) in [("source_v", "12,62"), ("load_v", "12,54"), ("current_a", "0,8")] {
            chromium.fill(field, text).await;
        }
        let selector = Locator::Css("main form[action$='/readings'] .actions button:first-child");
        chromium.client.find(selector).await.expect("a button").click().await.expect("the reading is sent");
        settle(chromium).await;
        chromium.open(&address).await;
        assert!(chromium.words().await.to_lowercase().contains("pass"), "{}", chromium.words().await);
    }
    chromium.picture(&format!("walk-3-{phase}")).await;
    let open = Locator::Css("main button.tick[value='done']");
    for _ in 0..60 {
        let Some(button) = chromium.client.find_all(open).await.expect("ticks").into_iter().next() else {
            chromium.picture(&format!("walk-4-{phase}-done")).await;
            return;
        };
        tap(&button).await;
        settle(chromium).await;
        chromium.open(&address).await;
    }
    panic!("{phase} never comes to an end: {}", chromium.words().await);
}

/// Waits until what was tapped is kept and sent.
async fn settle(chromium: &Chromium) {
    tokio::time::sleep(Duration::from_millis(300)).await;
    wait_for_sent(chromium).await;
}

/// Taps a tick, unless the page has just put a newer one in its place: then it is looked for again.
async fn tap(button: &Element) {
    match button.click().await {
        Err(CmdError::Standard(error)) if error.error == ErrorStatus::StaleElementReference => {}
        tapped => tapped.expect("a tick is one tap"),
    }
}

/// The stages before any circuit is powered: what can be ticked is ticked, what is measured is measured.
async fn before_power(chromium: &Chromium, address: &str) {
    for _ in 0..40 {
        settle(chromium).await;
        chromium.open(address).await;
        let tick = Locator::Css("main .stage[open] button.tick[value='done']:not([disabled])");
        if let Some(button) = chromium.client.find_all(tick).await.expect("ticks").into_iter().next() {
            tap(&button).await;
            continue;
        }
        let figure =
            Locator::Css("main .stage[open] details[open] > form[action$='/step-readings'] input.number");
        let Some(field) = chromium.client.find_all(figure).await.expect("fields").into_iter().next() else {
            // A tick that is on its way stands as done already; what it opens comes with the next look.
            let circuits = Locator::Css("main [name='source_v']");
            if chromium.client.find_all(circuits).await.expect("fields").is_empty() {
                continue;
            }
            return;
        };
        let volts = field.attr("name").await.expect("a name").as_deref() == Some("v");
        let step = chromium
            .ask("return document.querySelector(\"main .stage[open] details[open] > form[action$='/step-readings']\").elements.step.value")
            .await;
        // From pole to pole nothing should conduct; a return is a piece of wire.
        let ohms =
            if step.as_str().is_some_and(|step| step.ends_with("/continuity")) { "0,1" } else { "2200" };
        field.send_keys(if volts { "12,7" } else { ohms }).await.expect("typed");
        chromium.picture(if volts { "walk-3-first-power" } else { "walk-3-dead" }).await;
        field.send_keys("\u{e007}").await.expect("sent");
    }
    panic!("the stages never come to an end: {}", chromium.words().await);
}

/// The report tells what was fitted and how it was proven.
async fn report(chromium: &Chromium, job: &str) {
    chromium.open(&format!("{job}/report")).await;
    let words = chromium.words().await;
    for expected in ["Navigation light", "12.54", "Side light", "C01"] {
        assert!(words.contains(expected), "the report tells {expected}: {words}");
    }
    chromium.picture("walk-5-report").await;
}
