//! One boat, from intake to the report its manager takes home, by hand on a tablet.

use std::time::Duration;

use fantoccini::Locator;
use fantoccini::elements::Element;
use fantoccini::error::{CmdError, ErrorStatus};

use crate::driver::{Chromium, SIZES};
use crate::offline::wait_for_sent;
use crate::shop_server::{DEMO_OWNER, ShopServer};

/// The phases in the order of work. The jumper ends on the boat wait until the panel is fitted, so the phase of the
/// terminations is worked on twice. So is setup: one person did all the work, and has to waive the second look.
const PHASES: [&str; 10] = [
    "strip-out",
    "mounting",
    "runs",
    "terminations",
    "switches",
    "terminations",
    "power-up-test",
    "tie-down",
    "setup",
    "setup",
];

/// The steps that may be open after a phase was worked on for the first time, and what holds them.
const HELD: [(&str, &str); 2] = [("terminations", "not fitted"), ("setup", "did most of the work")];

/// A step that can be marked as done. A fuse is recorded as out only if it is.
const OPEN: &str = "main form:not(:has([name='step'][value$='/fuse-out'])) > button.tick[value='done']";

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
    nothing_is_stripped_before_the_boat_is_isolated(&chromium, &job).await;
    for (turn, phase) in PHASES.into_iter().enumerate() {
        let is_last = !PHASES[turn + 1..].contains(&phase);
        work(&chromium, &job, phase, is_last).await;
        if phase == "setup" && !is_last {
            waive_the_second_look(&chromium).await;
        }
    }
    for phase in PHASES {
        chromium.open(&format!("{job}/phases/{phase}")).await;
        assert_eq!(open(&chromium).await, 0, "nothing of {phase} was opened again");
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

/// The boat comes in with its batteries on: nothing can be marked before zero volts were read.
async fn nothing_is_stripped_before_the_boat_is_isolated(chromium: &Chromium, job: &str) {
    chromium.open(&format!("{job}/phases/strip-out")).await;
    let words = chromium.words().await;
    assert!(words.contains("The boat is not isolated"), "the page tells what holds it: {words}");
    assert!(open(chromium).await > 0, "there are steps to do");
    let ready = Locator::Css("main button.tick[value='done']:not([disabled])");
    assert!(chromium.client.find_all(ready).await.expect("ticks").is_empty(), "none of them can be marked");
}

/// A shop of one person has nobody for the second look. Its manager says so, and the report prints it.
async fn waive_the_second_look(chromium: &Chromium) {
    let step = "#step-job-job-second-look";
    for part in ["details.spare summary", "details.spare [name='reason']"] {
        let field = chromium.client.find(Locator::Css(&format!("{step} {part}"))).await.expect("a waiver");
        field.click().await.expect("a tap");
    }
    let field = Locator::Css("#step-job-job-second-look details.spare [name='reason']");
    let field = chromium.client.find(field).await.expect("a field");
    field.send_keys("One person works in this shop\u{e007}").await.expect("sent");
    settle(chromium).await;
}

/// How many steps on the page are open.
async fn open(chromium: &Chromium) -> usize {
    chromium.client.find_all(Locator::Css(OPEN)).await.expect("ticks").len()
}

/// One phase: what can be marked is marked, what can be measured is measured, until nothing is left to do.
async fn work(chromium: &Chromium, job: &str, phase: &str, is_last: bool) {
    let address = format!("{job}/phases/{phase}");
    chromium.open(&address).await;
    chromium.picture(&format!("walk-3-{phase}")).await;
    let mut idle = 0;
    for _ in 0..90 {
        settle(chromium).await;
        chromium.open(&address).await;
        if mark(chromium).await || measure(chromium).await || read(chromium, &address).await {
            idle = 0;
            continue;
        }
        // A tick that is on its way is shown as done already. What it opens comes with the next look.
        idle += 1;
        if idle < 3 {
            continue;
        }
        chromium.picture(&format!("walk-4-{phase}-done")).await;
        let words = chromium.words().await;
        if open(chromium).await > 0 {
            let held = HELD.iter().find(|(held, _)| !is_last && *held == phase);
            let (_, why) = held.unwrap_or_else(|| panic!("steps of {phase} stay open: {words}"));
            assert!(
                words.contains("On hold") && words.contains(why),
                "the page tells what holds it: {words}"
            );
        }
        return;
    }
    panic!("{phase} never comes to an end: {}", chromium.words().await);
}

/// The first of these that can be seen.
async fn first(chromium: &Chromium, selector: &str) -> Option<Element> {
    for element in chromium.client.find_all(Locator::Css(selector)).await.expect("a page") {
        if element.is_displayed().await.unwrap_or(false) {
            return Some(element);
        }
    }
    None
}

/// Marks the first step that can be marked as done.
async fn mark(chromium: &Chromium) -> bool {
    let Some(button) = first(chromium, &format!("{OPEN}:not([disabled])")).await else { return false };
    tap(&button).await;
    true
}

/// Types the first measurement of a step that is asked for: volts, ohms, or the rating of a fuse.
async fn measure(chromium: &Chromium) -> bool {
    let field = "main details[open] > form[action$='/step-readings'] input.number";
    let Some(field) = first(chromium, field).await else { return false };
    let id = field.attr("id").await.expect("an id").expect("an id");
    let asked = format!("const field = document.getElementById('{id}'); ");
    let step = chromium.ask(&format!("{asked} return field.form.elements.step.value")).await;
    let expected = format!("{asked} return document.getElementById('{id}-expected').innerText");
    let expected = chromium.ask(&expected).await;
    let (step, expected) = (step.as_str().expect("a step"), expected.as_str().expect("a text"));
    let figure = match step.rsplit('/').next().expect("an action") {
        "isolate" => "0".to_owned(),
        // From pole to pole nothing should conduct; a negative is a piece of wire.
        "between-poles" | "no-short" => "2200".to_owned(),
        "continuity" => "0,1".to_owned(),
        "first-power" => "12,7".to_owned(),
        // With everything on, the meter and the fuse show what the page expects.
        "all-on" | "test" | "fuse" => figure_of(expected),
        other => panic!("nothing is measured for {other}"),
    };
    field.send_keys(&figure).await.expect("typed");
    match step {
        "job/job/first-power" => chromium.picture("walk-3-first-power").await,
        "job/job/between-poles" => chromium.picture("walk-3-dead").await,
        _ => {}
    }
    field.send_keys("\u{e007}").await.expect("sent");
    true
}

/// The first figure in a text, as the keys of a tablet give it.
fn figure_of(expected: &str) -> String {
    let figure = expected.split(' ').find(|word| word.parse::<f64>().is_ok());
    figure.unwrap_or_else(|| panic!("a figure in {expected}")).replace('.', ",")
}

/// Takes the reading of the circuit that is next: the meter at the source and at the light.
async fn read(chromium: &Chromium, address: &str) -> bool {
    let form = "main details[open] > form[action$='/readings']";
    if first(chromium, &format!("{form} [name='source_v']")).await.is_none() {
        return false;
    }
    let passed = "return document.querySelectorAll('main .measured .verdict').length";
    if chromium.ask(passed).await != 0 {
        return false;
    }
    for (field, text) in [("source_v", "12,62"), ("load_v", "12,54"), ("current_a", "0,8")] {
        chromium.fill(field, text).await;
    }
    let button = first(chromium, &format!("{form} .actions button:first-child")).await.expect("a button");
    button.click().await.expect("the reading is sent");
    settle(chromium).await;
    chromium.open(address).await;
    let verdict = chromium.client.find(Locator::Css("main .measured .verdict")).await.expect("a verdict");
    let verdict = verdict.text().await.expect("its text").to_lowercase();
    assert!(verdict.contains("pass"), "{verdict}");
    true
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

/// The report tells what was fitted and how it was proven.
async fn report(chromium: &Chromium, job: &str) {
    chromium.open(&format!("{job}/report")).await;
    let words = chromium.words().await;
    let waived = "looked over by a second person. It was waived";
    for expected in ["Navigation light", "12.54", "Side light", "C01", "Finished", "Handed over by", waived] {
        assert!(words.contains(expected), "the report tells {expected}: {words}");
    }
    chromium.picture("walk-5-report").await;
}
