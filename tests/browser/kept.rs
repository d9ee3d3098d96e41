//! Pages that the worker keeps: they open without network, for the one person they were shown to.

use std::time::Duration;

use fantoccini::Locator;
use serde_json::Value;

use crate::driver::{Chromium, SIZES};
use crate::offline::{network, ticks, wait_for, wait_for_sent, wait_until_gone};
use crate::shop_server::{DEMO_OWNER, ShopServer};
use crate::wifi::WiFi;

const SEEN: &str = "/jobs/2/wires";
/// Never opened: the worker gets it because the page above leads to it.
const AHEAD: &str = "/jobs/2/phases/runs";
/// Somebody else of the shop, with the PIN.
const JUNO: (&str, &str) = ("Juno Pellwick", "9136");

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn pages_seen_and_pages_ahead_open_without_network_and_ticks_on_them_are_sent_once() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let wifi = WiFi::to(&server.address).await;
    let phone = Chromium::start(SIZES[0]).await;
    phone.resize(SIZES[0]).await;
    phone.sign_in(&wifi.address, DEMO_OWNER).await;
    open(&phone, &wifi, SEEN).await;
    let next = phone.ask("return document.querySelector('.onward').getAttribute('href')").await;
    let next = next.as_str().expect("the next wire").to_owned();
    wait_until_kept(&phone, AHEAD).await;
    wait_until_kept(&phone, &next).await;
    let before = ticks(&phone, 2).await;

    network(&phone, false).await;
    wifi.set(false);
    for path in [AHEAD, SEEN, &next] {
        open(&phone, &wifi, path).await;
        wait_for(&phone, "Page from").await;
        wait_for(&phone, "no network").await;
    }
    phone.client.find(Locator::Css(".now-tick")).await.expect("a step").click().await.expect("it is tapped");
    wait_for(&phone, "Not sent yet: 1").await;
    phone.client.refresh().await.expect("the page is loaded anew");
    wait_for(&phone, "Not sent yet: 1").await;
    phone.picture("seen-without-network-phone").await;
    open(&phone, &wifi, "/jobs/2/energy").await;
    wait_for(&phone, "was not opened on this tablet before").await;
    phone.picture("never-seen-phone").await;
    open(&phone, &wifi, &next).await;
    wait_for(&phone, "Not sent yet: 1").await;

    wifi.set(true);
    network(&phone, true).await;
    wait_for_sent(&phone).await;
    assert_eq!(ticks(&phone, 2).await, before + 1, "it arrived, and not twice");
    wait_until_gone(&phone, "Page from").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn what_one_person_saw_is_kept_from_the_next() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let wifi = WiFi::to(&server.address).await;
    let tablet = Chromium::start(SIZES[1]).await;
    tablet.sign_in(&wifi.address, DEMO_OWNER).await;
    open(&tablet, &wifi, SEEN).await;
    wait_until_kept(&tablet, AHEAD).await;

    open(&tablet, &wifi, "/switch").await;
    tablet.ask(&format!("document.querySelectorAll('[name=person]').forEach(one => {{ if (one.parentElement.textContent.includes('{}')) one.click(); }})", JUNO.0)).await;
    tablet.fill("pin", JUNO.1).await;
    tablet
        .client
        .find(Locator::Css("main [name=pin]"))
        .await
        .expect("a field")
        .send_keys("\u{e007}")
        .await
        .expect("sent");
    tablet.leave("/switch").await;
    open(&tablet, &wifi, SEEN).await;
    wait_until_kept(&tablet, SEEN).await;
    assert_eq!(whose(&tablet).await, [JUNO.0], "nothing of the manager's is left");

    open(&tablet, &wifi, "/switch").await;
    tablet.press("Sign out this tablet").await;
    tablet.leave("/switch").await;
    wait_for(&tablet, "Passphrase").await;
    assert_eq!(whose(&tablet).await, [""; 0], "nothing is left of anybody's");
    wifi.set(false);
    open(&tablet, &wifi, SEEN).await;
    wait_for(&tablet, "was not opened on this tablet before").await;
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn nothing_shows_when_somebody_goes_back_after_a_sign_out() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let tablet = Chromium::start(SIZES[1]).await;
    tablet.sign_in(&server.address, DEMO_OWNER).await;
    for path in ["/people", "/jobs/2", SEEN] {
        tablet.client.goto(&format!("{}{path}", server.address)).await.expect("a page");
        wait_for(&tablet, "Sign out").await;
    }
    tablet
        .client
        .find(Locator::Css(".leave button"))
        .await
        .expect("it is on the page")
        .click()
        .await
        .expect("pressed");
    tablet.leave(SEEN).await;
    wait_for(&tablet, "Passphrase").await;
    for _ in 0..3 {
        tablet.client.back().await.expect("the browser goes back");
        wait_for(&tablet, "Passphrase").await;
        let page = tablet.client.source().await.expect("a page");
        assert!(!page.contains("data-user"), "{page}");
    }
    assert_eq!(whose(&tablet).await, [""; 0], "and nothing is kept on the tablet");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_help_opens_without_network_though_nobody_opened_it() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let wifi = WiFi::to(&server.address).await;
    let phone = Chromium::start(SIZES[0]).await;
    phone.resize(SIZES[0]).await;
    phone.sign_in(&wifi.address, DEMO_OWNER).await;
    open(&phone, &wifi, SEEN).await;
    wait_until_kept(&phone, "/help/fuses").await;
    wait_until_kept(&phone, "/help").await;

    network(&phone, false).await;
    wifi.set(false);
    open(&phone, &wifi, "/help/fuses#interrupt-rating").await;
    wait_for(&phone, "Time-current curve").await;
    open(&phone, &wifi, "/help").await;
    wait_for(&phone, "Search the help").await;
    assert_eq!(phone.ask("return document.querySelectorAll('.user').length").await, 0, "it names nobody");
}

async fn open(chromium: &Chromium, wifi: &WiFi, path: &str) {
    chromium.client.goto(&format!("{}{path}", wifi.address)).await.expect("a page");
}

async fn wait_until_kept(chromium: &Chromium, path: &str) {
    let script = format!(
        "const done = arguments[arguments.length - 1]; caches.match('{path}').then(kept => done(Boolean(kept)))"
    );
    for _ in 0..450 {
        if chromium.client.execute_async(&script, vec![]).await.expect("an answer") == Value::Bool(true) {
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    let there = "const done = arguments[arguments.length - 1]; (async () => {
        const kept = [];
        for (const name of await caches.keys())
            for (const request of await (await caches.open(name)).keys()) kept.push(new URL(request.url).pathname);
        const worker = await navigator.serviceWorker.getRegistration();
        done([location.href, Boolean(navigator.serviceWorker.controller), worker?.active?.state, worker?.installing?.state, kept]);
    })()";
    let there = chromium.client.execute_async(there, vec![]).await;
    panic!("{path} is never kept: {there:?}");
}

/// Whose pages are kept, each name once.
async fn whose(chromium: &Chromium) -> Vec<String> {
    let script = "const done = arguments[arguments.length - 1];
        (async () => {
            const names = new Set();
            for (const name of await caches.keys()) {
                const cache = await caches.open(name);
                for (const request of await cache.keys()) {
                    const text = await (await cache.match(request)).text();
                    const whose = text.match(/data-user-name=\"([^\"]*)\"/);
                    if (whose) names.add(whose[1]);
                }
            }
            return [...names].sort();
        })().then(done)";
    let names = chromium.client.execute_async(script, vec![]).await.expect("an answer");
    serde_json::from_value(names).expect("names")
}
