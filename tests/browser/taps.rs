//! Two quick taps on one spot never record two acts, and the last acts can be undone.

use std::time::Duration;

use fantoccini::Locator;
use serde_json::{Value, json};

use crate::driver::{Chromium, SIZES, Size};
use crate::offline::{TICK, history, ticks, wait_for};
use crate::shop_server::{DEMO_OWNER, ShopServer};

const WIRES: &str = "/jobs/2/wires";
const RUNS: &str = "/jobs/2/phases/runs";
/// The time between two taps.
const APART: [u64; 4] = [150, 300, 500, 900];
/// Longer than a button takes no tap after an act.
const AFTER: Duration = Duration::from_millis(2500);

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn two_quick_taps_on_the_big_tick_record_one_act() {
    for size in [SIZES[0], SIZES[1]] {
        let (_data, server, tablet) = open(size, WIRES).await;
        tablet.client.find(Locator::Css(".onward")).await.expect("a task").click().await.expect("tapped");
        tablet.client.wait().for_element(Locator::Css(".now-tick")).await.expect("the big tick");
        // The link that led here was a tap as well.
        let before = ticks(&tablet, 2).await;
        tap(&tablet, spot(&tablet, ".now-tick").await).await;
        tokio::time::sleep(AFTER).await;
        assert_eq!(ticks(&tablet, 2).await, before, "{} px: a tap right after the link", size.1);
        for apart in APART {
            let before = ticks(&tablet, 2).await;
            let spot = awake(&tablet, ".now-tick").await;
            tap(&tablet, spot).await;
            tokio::time::sleep(Duration::from_millis(apart)).await;
            tap(&tablet, spot).await;
            tokio::time::sleep(AFTER).await;
            let after = ticks(&tablet, 2).await;
            assert_eq!(after, before + 1, "{} px, {apart} ms apart", size.1);
            let (x, y) = spot;
            let there = format!("return document.elementFromPoint({x}, {y})?.closest('.now-tick') !== null");
            assert_eq!(tablet.ask(&there).await, json!(true), "{} px: the button stays at {spot:?}", size.1);
        }
        drop(server);
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn two_quick_taps_on_a_step_of_a_phase_do_not_undo_it() {
    for size in [SIZES[0], SIZES[1]] {
        let (_data, _server, tablet) = open(size, RUNS).await;
        for apart in APART {
            let before = ticks(&tablet, 2).await;
            let spot = awake(&tablet, TICK).await;
            tap(&tablet, spot).await;
            tokio::time::sleep(Duration::from_millis(apart)).await;
            tap(&tablet, spot).await;
            tokio::time::sleep(AFTER).await;
            let history = history(&tablet, 2, "ticks").await;
            assert_eq!(history.len(), before + 1, "{} px, {apart} ms apart", size.1);
            assert_eq!(history.last().expect("a tick")["mark"], json!("done"));
        }
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_last_acts_on_a_tablet_are_named_and_each_can_be_undone() {
    let (_data, _server, tablet) = open(SIZES[1], WIRES).await;
    tablet.client.find(Locator::Css(".onward")).await.expect("a task").click().await.expect("tapped");
    for _ in 0..12 {
        tablet.client.wait().for_element(Locator::Css(".now-tick")).await.expect("the big tick");
        let before = ticks(&tablet, 2).await;
        let spot = awake(&tablet, ".now-tick").await;
        tap(&tablet, spot).await;
        for _ in 0..50 {
            if ticks(&tablet, 2).await == before + 1 {
                break;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
    }
    wait_for(&tablet, "Undo: last acts on this tablet (10)").await;
    let history_before = history(&tablet, 2, "ticks").await;
    let tenth = history_before[history_before.len() - 10].clone();
    tablet.ask("document.querySelector('#last-acts details').open = true").await;
    let names =
        tablet.ask("return [...document.querySelectorAll('#last-acts li p')].map(p => p.textContent)").await;
    let names: Vec<String> = serde_json::from_value(names).expect("names");
    assert!(names.len() == 10 && names.iter().all(|name| name.contains(": ")), "{names:?}");
    tablet.picture("last-acts-tablet").await;
    tablet.ask("document.querySelector('#last-acts li:last-child button').click()").await;
    wait_for(&tablet, "Undo: last acts on this tablet (9)").await;
    let last = history(&tablet, 2, "ticks").await.pop().expect("a tick");
    assert_eq!((&last["mark"], &last["step"]), (&json!("undone"), &tenth["step"]));
}

async fn open(size: Size, page: &str) -> (tempfile::TempDir, ShopServer, Chromium) {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let tablet = Chromium::start(size).await;
    tablet.resize(size).await;
    tablet.devtools("Emulation.setTouchEmulationEnabled", json!({"enabled": true})).await;
    tablet.sign_in(&server.address, DEMO_OWNER).await;
    tablet.client.goto(&format!("{}{page}", server.address)).await.expect("the page");
    (data, server, tablet)
}

/// The middle of the first of these on the page, in the window.
async fn spot(tablet: &Chromium, what: &str) -> (f64, f64) {
    // The big tick is where it is when the page opens.
    let block = if what == TICK { "center" } else { "nearest" };
    let ask = format!(
        "const one = document.querySelector('{what}'); one.scrollIntoView({{block: '{block}'}});
        const box = one.getBoundingClientRect(); return [box.x + box.width / 2, box.y + box.height / 2]"
    );
    let spot: Value = tablet.ask(&ask).await;
    serde_json::from_value(spot).expect("a spot")
}

/// The same, once nothing on the page rests any more.
async fn awake(tablet: &Chromium, what: &str) -> (f64, f64) {
    for _ in 0..100 {
        let rests = tablet.ask("return document.querySelector('[data-resting]') !== null").await;
        if rests == json!(false) {
            return spot(tablet, what).await;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("the page rests for ever");
}

/// One touch of a finger.
async fn tap(tablet: &Chromium, (x, y): (f64, f64)) {
    let touch = |kind: &str, points: Value| json!({"type": kind, "touchPoints": points});
    tablet.devtools("Input.dispatchTouchEvent", touch("touchStart", json!([{"x": x, "y": y}]))).await;
    tablet.devtools("Input.dispatchTouchEvent", touch("touchEnd", json!([]))).await;
}
