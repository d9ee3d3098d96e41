//! Work without network, and two tablets on one job: what is tapped is kept, sent once, and seen by the other.

use std::time::Duration;

use fantoccini::Locator;
use serde_json::json;

use crate::driver::{Chromium, SIZES, Size};
use crate::shop_server::{DEMO_OWNER, ShopServer};

/// A page of the demo with steps that are open.
const PAGE: &str = "/jobs/3/phases/strip-out";
const TICK: &str = ".tick-open:not(:disabled)";

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_tick_made_without_network_is_kept_and_sent_once() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let phone = open(&server, SIZES[0]).await;
    let before = ticks(&phone).await;
    network(&phone, false).await;
    phone.client.find(Locator::Css(TICK)).await.expect("an open step").click().await.expect("it is tapped");
    wait_for(&phone, "Not sent yet").await;
    phone.picture("not-sent-phone").await;

    // Undone and done again before anything was sent: three events, in this order.
    for _ in 0..2 {
        let undo =
            "document.querySelector('.unsent-mark').closest('.in-hand').querySelector('.tick').click()";
        phone.ask(undo).await;
        tokio::time::sleep(Duration::from_millis(500)).await;
    }
    assert_eq!(unsent(&phone).await, 3);
    network(&phone, true).await;
    phone.client.refresh().await.expect("the page is loaded anew");
    wait_for_sent(&phone).await;
    assert_eq!(ticks(&phone).await, before + 3, "every one arrived, none twice");
    phone.client.refresh().await.expect("the page is loaded anew");
    tokio::time::sleep(Duration::from_secs(1)).await;
    assert_eq!(ticks(&phone).await, before + 3, "nothing is sent a second time");
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

async fn open(server: &ShopServer, size: Size) -> Chromium {
    let chromium = Chromium::start(size).await;
    chromium.resize(size).await;
    chromium.sign_in(&server.address, DEMO_OWNER).await;
    chromium.client.goto(&format!("{}{PAGE}", server.address)).await.expect("the page");
    chromium
}

/// Cuts the browser from the network, or lets it back.
async fn network(chromium: &Chromium, there: bool) {
    chromium.devtools("Network.enable", json!({})).await;
    let conditions =
        json!({"offline": !there, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1});
    chromium.devtools("Network.emulateNetworkConditions", conditions).await;
}

/// How many ticks the shop has of the job.
async fn ticks(chromium: &Chromium) -> u64 {
    let count = "const done = arguments[arguments.length - 1];
        fetch('/jobs/3/job.json').then(a => a.json()).then(j => done((j.history?.ticks ?? []).length)).catch(e => done(String(e)))";
    let count = chromium.client.execute_async(count, vec![]).await.expect("an answer");
    count.as_u64().unwrap_or_else(|| panic!("no count: {count}"))
}

async fn unsent(chromium: &Chromium) -> usize {
    let rows = chromium.client.find_all(Locator::Css("#unsent li")).await.expect("a list");
    rows.len()
}

async fn wait_for(chromium: &Chromium, words: &str) {
    for _ in 0..100 {
        let text = chromium.ask("return document.body.innerText").await;
        if text.as_str().is_some_and(|text| text.contains(words)) {
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("{words:?} never appears: {}", chromium.words().await);
}

async fn wait_for_sent(chromium: &Chromium) {
    for _ in 0..100 {
        if chromium.ask("return document.getElementById('unsent').hidden").await == json!(true)
            && unsent(chromium).await == 0
        {
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("it is never sent: {}", chromium.words().await);
}
