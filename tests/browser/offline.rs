//! Work without network, and two tablets on one job: what is tapped is kept, sent once, and seen by the other.

use std::time::Duration;

use fantoccini::Locator;
use serde_json::{Value, json};
use uuid::Uuid;

use crate::driver::{Chromium, SIZES, Size};
use crate::shop_server::{Browser, DEMO_OWNER, ShopServer};

/// Another of the demo's people, a technician.
const ROLF: (&str, &str) = ("Rolf Haddenquist", "two ends on every wire");

/// A page of the demo with steps that are open.
const PAGE: &str = "/jobs/3/phases/strip-out";
pub const TICK: &str = ".tick-open:not(:disabled)";
/// A step of that page that waits for the isolation, and a raceway with an open step there.
const STRIP: &str = "location/bow/strip";
const TUBE: &str = "tube-stbd";
/// A page of the finished boat, where every circuit may be measured again.
const PROVEN: &str = "/jobs/4/phases/power-up-test";
/// A page of the demo with wires to pull.
const RUNS: &str = "/jobs/2/phases/runs";

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_tick_made_without_network_is_kept_and_sent_once() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let phone = open(&server, SIZES[0]).await;
    let before = ticks(&phone, 3).await;
    network(&phone, false).await;
    phone.client.find(Locator::Css(TICK)).await.expect("an open step").click().await.expect("it is tapped");
    wait_for(&phone, "Not sent yet").await;
    phone.picture("not-sent-phone").await;

    // Undone and done again before anything was sent: three events, in this order.
    for _ in 0..2 {
        // A tick takes no second tap for a second.
        tokio::time::sleep(Duration::from_millis(1300)).await;
        let undo =
            "document.querySelector('.unsent-mark').closest('.in-hand').querySelector('.tick').click()";
        phone.ask(undo).await;
    }
    wait_for(&phone, "Not sent yet: 3").await;
    assert_eq!(unsent(&phone).await, 3);
    network(&phone, true).await;
    phone.client.refresh().await.expect("the page is loaded anew");
    wait_for_sent(&phone).await;
    assert_eq!(ticks(&phone, 3).await, before + 3, "every one arrived, none twice");
    phone.client.refresh().await.expect("the page is loaded anew");
    tokio::time::sleep(Duration::from_secs(1)).await;
    assert_eq!(ticks(&phone, 3).await, before + 3, "nothing is sent a second time");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn two_tablets_on_one_job_see_what_the_other_does() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let (one, other) = (open(&server, SIZES[1]).await, open(&server, SIZES[0]).await);
    other.ask("window.notReloaded = true").await;
    let progress = "return document.querySelector('#progress .lead').innerText";
    let before = other.ask(progress).await;
    one.client.find(Locator::Css(TICK)).await.expect("an open step").click().await.expect("it is tapped");
    for _ in 0..100 {
        if other.ask(progress).await != before {
            assert_eq!(other.ask("return window.notReloaded").await, json!(true), "without loading it anew");
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("the other tablet heard nothing: {}", other.words().await);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_reading_made_without_network_outlives_a_reload_and_is_sent_once() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let phone = open_page(&server, SIZES[0], DEMO_OWNER, PROVEN).await;
    let at_12_62 = |readings: &[Value]| readings.iter().filter(|one| one["source_v"] == json!(12.62)).count();
    let before = history(&phone, 4, "readings").await;
    network(&phone, false).await;
    let again = Locator::Css("details:has(> form[action$='/readings']) > summary");
    phone.client.find(again).await.expect("a test").click().await.expect("it opens");
    let form = "details[open] > form[action$='/readings']";
    let field = phone.client.find(Locator::Css(&format!("{form} [name=source_v]"))).await.expect("a field");
    field.send_keys("12,62").await.expect("typed");
    let button = phone.client.find(Locator::Css(&format!("{form} .actions button"))).await.expect("a button");
    button.click().await.expect("it is tapped");
    wait_for(&phone, "At the source 12,62").await;
    phone.client.refresh().await.expect("the page is loaded anew");
    wait_for(&phone, "At the source 12,62").await;
    phone.picture("reading-not-sent-phone").await;

    network(&phone, true).await;
    for _ in 0..2 {
        phone.client.refresh().await.expect("the page is loaded anew");
        wait_for_sent(&phone).await;
        let readings = history(&phone, 4, "readings").await;
        assert_eq!(readings.len(), before.len() + 1, "it arrived, and not twice");
        assert_eq!(at_12_62(&readings), at_12_62(&before) + 1, "as it was typed");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_tick_made_without_network_is_stored_on_hold_and_does_not_count() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let phone = open(&server, SIZES[0]).await;
    let before = ticks(&phone, 3).await;
    network(&phone, false).await;
    // Another person ends the isolation. The phone does not hear of it, and one more location is stripped.
    let other = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    assert!(other.tick(&server.address, 3, "job/job/isolate", "undone", Uuid::now_v7()).await);
    let stripped = format!("form:has([value='{STRIP}']) > {TICK}");
    let tick = phone.client.find(Locator::Css(&stripped)).await.expect("an open step");
    tick.click().await.expect("it is tapped");
    wait_for(&phone, "Not sent yet").await;
    // What waited this long keeps its place after what was done before it.
    tokio::time::sleep(Duration::from_secs(3)).await;
    network(&phone, true).await;
    phone.client.refresh().await.expect("the page is loaded anew");
    wait_for_sent(&phone).await;
    assert_eq!(ticks(&phone, 3).await, before + 2, "both are stored");
    wait_for(&phone, "Done: Ines Tarrowby").await;
    wait_for(&phone, "Recorded, but it does not count yet: The boat is not isolated.").await;
    phone.picture("stored-on-hold-phone").await;
    let open =
        format!("return document.querySelectorAll(\"form:has([value='{STRIP}']) > .tick-open\").length");
    assert_eq!(phone.ask(&open).await, json!(1), "the step is open");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_tick_that_is_refused_when_it_arrives_says_why_and_is_not_lost() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let phone = open(&server, SIZES[0]).await;
    let before = ticks(&phone, 3).await;
    network(&phone, false).await;
    let string = format!("form:has([value='raceway/{TUBE}/pull-string']) > {TICK}");
    let tick = phone.client.find(Locator::Css(&string)).await.expect("an open step");
    tick.click().await.expect("it is tapped");
    wait_for(&phone, "Not sent yet").await;

    // Another person removes the raceway from the plan, and with it the step.
    let other = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    let remove = format!("/jobs/3/plan/raceways/{TUBE}/remove");
    let answer = other.post(&server.address, &remove, &[("version", "1")]).await.expect("an answer");
    assert_eq!(answer.status(), 303);
    network(&phone, true).await;
    phone.client.refresh().await.expect("the page is loaded anew");
    wait_for(&phone, "Refused:").await;
    phone.client.refresh().await.expect("the page is loaded anew");
    wait_for(&phone, "refused: 1").await;
    wait_for(&phone, "No such step here").await;
    phone.picture("refused-late-phone").await;
    assert_eq!(ticks(&phone, 3).await, before, "it was not stored");

    let undo = "return document.querySelector(\"form[action^='/jobs/3/log/']\").getAttribute('action')";
    let undo = phone.ask(undo).await;
    let undo = undo.as_str().expect("an address");
    let answer = other.post(&server.address, undo, &[("back", "/")]).await.expect("an answer");
    assert_eq!(answer.status(), 303);
    phone.ask("[...document.querySelectorAll('#unsent button')].find(one => one.textContent === 'Send again').click()").await;
    wait_for_sent(&phone).await;
    assert_eq!(ticks(&phone, 3).await, before + 1);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn where_two_contradict_each_other_both_are_kept_and_what_was_said_last_counts() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let rolf = open_page(&server, SIZES[0], ROLF, RUNS).await;
    let ines = open_page(&server, SIZES[1], DEMO_OWNER, RUNS).await;
    let step = rolf.ask(&format!("return document.querySelector('{TICK}').form.elements.step.value")).await;
    let step = step.as_str().expect("a step").to_owned();
    network(&rolf, false).await;
    rolf.client.find(Locator::Css(TICK)).await.expect("an open step").click().await.expect("it is tapped");
    wait_for(&rolf, "Not sent yet").await;
    tokio::time::sleep(Duration::from_millis(500)).await;

    let (event, path) = (Uuid::now_v7().to_string(), "/jobs/2/ticks");
    let reason = ("reason", "The old one stays");
    let fields = [("event", event.as_str()), ("step", &step), ("mark", "not-needed"), reason, ("back", "/")];
    let by_ines = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    let answer = by_ines.post(&server.address, path, &fields).await.expect("an answer");
    assert_eq!(answer.status(), 303);
    // What waited this long keeps its place before what was said meanwhile.
    tokio::time::sleep(Duration::from_secs(3)).await;
    network(&rolf, true).await;
    rolf.client.refresh().await.expect("the page is loaded anew");
    wait_for_sent(&rolf).await;
    for tablet in [&rolf, &ines] {
        wait_for(tablet, "Before that, Rolf Haddenquist: done").await;
        wait_for(tablet, "Not needed: Ines Tarrowby").await;
    }
    ines.picture("contradicted-tablet").await;
    let ticks = history(&ines, 2, "ticks").await;
    let of_step: Vec<&Value> = ticks.iter().filter(|tick| tick["step"] == json!(step)).collect();
    assert_eq!(of_step.len(), 2, "both are kept: {of_step:?}");
}

async fn open(server: &ShopServer, size: Size) -> Chromium {
    open_page(server, size, DEMO_OWNER, PAGE).await
}

async fn open_page(server: &ShopServer, size: Size, who: (&str, &str), page: &str) -> Chromium {
    let chromium = Chromium::start(size).await;
    chromium.resize(size).await;
    chromium.sign_in(&server.address, who).await;
    chromium.client.goto(&format!("{}{page}", server.address)).await.expect("the page");
    chromium
}

/// Cuts the browser from the network, or lets it back.
pub async fn network(chromium: &Chromium, there: bool) {
    chromium.devtools("Network.enable", json!({})).await;
    let conditions =
        json!({"offline": !there, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1});
    chromium.devtools("Network.emulateNetworkConditions", conditions).await;
}

/// How many ticks the shop has of a job.
pub async fn ticks(chromium: &Chromium, job: u64) -> usize {
    history(chromium, job, "ticks").await.len()
}

/// What the shop has of a job's history.
pub async fn history(chromium: &Chromium, job: u64, what: &str) -> Vec<Value> {
    let ask = format!(
        "const done = arguments[arguments.length - 1];
        fetch('/jobs/{job}/job.json').then(a => a.json()).then(j => done(j.history?.{what} ?? [])).catch(e => done(String(e)))"
    );
    let events = chromium.client.execute_async(&ask, vec![]).await.expect("an answer");
    events.as_array().cloned().unwrap_or_else(|| panic!("no history: {events}"))
}

async fn unsent(chromium: &Chromium) -> usize {
    let rows = chromium.client.find_all(Locator::Css("#unsent li")).await.expect("a list");
    rows.len()
}

pub async fn wait_for(chromium: &Chromium, words: &str) {
    for _ in 0..300 {
        let text = chromium.ask("return document.body.innerText").await;
        if text.as_str().is_some_and(|text| text.contains(words)) {
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("{words:?} never appears: {}", chromium.words().await);
}

/// Waits until these words stand nowhere on the page any more.
pub async fn wait_until_gone(chromium: &Chromium, words: &str) {
    for _ in 0..300 {
        let text = chromium.ask("return document.body?.innerText ?? ''").await;
        if text.as_str().is_some_and(|text| !text.is_empty() && !text.contains(words)) {
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("{words:?} never goes: {}", chromium.words().await);
}

pub async fn wait_for_sent(chromium: &Chromium) {
    for _ in 0..300 {
        if chromium.ask("return document.getElementById('unsent').hidden").await == json!(true)
            && unsent(chromium).await == 0
        {
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("it is never sent: {}", chromium.words().await);
}
