//! Every page of the demo on three sizes of screen: axe-core finds nothing, nothing runs off the side.

use serde_json::Value;

use crate::driver::{Chromium, SIZES};
use crate::shop_server::{Browser, DEMO_OWNER, QUIET_JOB, ShopServer};

/// The pages of a full job, beside those of the shop.
const PAGES: &[(&str, &str)] = &[
    ("floor", "/"),
    ("intake", "/jobs/new"),
    ("overview", "/jobs/1"),
    ("strip-out", "/jobs/1/phases/strip-out"),
    ("mounting", "/jobs/1/phases/mounting"),
    ("my work", "/my-work"),
    ("open items", "/jobs/1/open-items"),
    ("found something", "/jobs/1/open-items/new?thing=circuit/C01"),
    ("runs", "/jobs/1/phases/runs"),
    ("terminations", "/jobs/1/phases/terminations"),
    ("switches", "/jobs/1/phases/switches"),
    ("power-up-test", "/jobs/1/phases/power-up-test"),
    ("tie-down", "/jobs/1/phases/tie-down"),
    ("setup", "/jobs/1/phases/setup"),
    ("circuit", "/jobs/1/circuits/C01"),
    ("feeder", "/jobs/1/feeders/F1"),
    ("register", "/jobs/1/plan/removed"),
    ("new-removed", "/jobs/1/plan/new/removed"),
    ("boat-plan", "/jobs/1/layout"),
    ("routes", "/jobs/1/routes"),
    ("routes lit", "/jobs/1/routes?run=C01-3"),
    ("location", "/jobs/1/plan/locations/helm"),
    ("raceway", "/jobs/1/plan/raceways/tube-main"),
    ("wires", "/jobs/1/wires?at=helm"),
    ("wires found", "/jobs/1/wires?q=light"),
    ("wire", "/jobs/1/wires/C01-1"),
    ("end", "/jobs/1/wires/C01-1/b"),
    ("cable", "/jobs/1/wires/radar"),
    ("locations", "/jobs/1/plan/locations"),
    ("points", "/jobs/1/plan/points"),
    ("wishes", "/jobs/1/plan/wishes"),
    ("devices", "/jobs/1/plan/devices"),
    ("circuits", "/jobs/1/plan/circuits"),
    ("feeders", "/jobs/1/plan/feeders"),
    ("modes", "/jobs/1/plan/modes"),
    ("new-circuit", "/jobs/1/plan/new/circuit"),
    ("new-battery", "/jobs/1/plan/new/point?kind=battery"),
    ("new-device", "/jobs/1/plan/new/device"),
    ("device with a cable", "/jobs/1/plan/devices/vhf-antenna"),
    ("from-file", "/jobs/from-file"),
    ("people", "/people"),
    ("sign-ins", "/sign-ins"),
    ("backups", "/backups"),
    ("trust without TLS", "/trust"),
    ("help", "/help"),
    ("help found", "/help?q=interrupt"),
    ("help page", "/help/fuses"),
    ("help with wide code", "/help/security"),
    ("one-line diagram", "/jobs/1/one-line"),
    ("supply", "/jobs/1/supply"),
    ("energy", "/jobs/1/energy"),
    ("load worksheet", "/jobs/1/worksheet"),
    ("lights", "/jobs/1/lights"),
    ("sizing", "/jobs/1/sizing"),
    ("boards", "/jobs/1/boards"),
    ("board", "/jobs/1/boards/console-inside"),
    ("new-board", "/jobs/1/plan/new/board"),
    ("labels", "/jobs/1/labels"),
    ("wrap labels", "/jobs/1/labels?stock=letter-wrap-7x7&start=10&wires=pulled"),
    ("label rule", "/labels"),
    ("bench", "/jobs/1/bench"),
    ("diagnosis", "/jobs/1/diagnosis"),
    ("report", "/jobs/1/report"),
    ("log", "/jobs/1/log"),
    ("state", "/jobs/1/state"),
    ("releases", "/jobs/1/releases"),
    ("release", "/jobs/1/release?step=circuit/C01/continuity"),
    ("release of nothing", "/jobs/1/release?step=conductor/C01-3/pull"),
    ("strip-out under way", "/jobs/3/phases/strip-out"),
    ("switches under way", "/jobs/3/phases/switches"),
    ("power-up-test on hold", "/jobs/3/phases/power-up-test"),
    ("shop", "/shop"),
    ("shop log", "/log"),
    ("confirm", "/confirm"),
];

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn every_page_is_accessible_and_fits_every_screen() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let chromium = Chromium::start(SIZES[1]).await;
    chromium.client.goto(&format!("{}/sign-in", server.address)).await.expect("the sign-in page");
    let mut wrong = look(&chromium, "sign-in").await;
    chromium.sign_in(&server.address, DEMO_OWNER).await;
    for (name, path) in PAGES {
        chromium.client.goto(&format!("{}{path}", server.address)).await.expect("a page");
        wrong.extend(look(&chromium, name).await);
    }
    chromium.client.goto(&judgment(&chromium, &server.address).await).await.expect("a page");
    wrong.extend(look(&chromium, "judgment").await);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The page that judges a stop finding: the quiet boat gets a circuit with a thin wire and a large fuse.
async fn judgment(chromium: &Chromium, address: &str) -> String {
    let manager = Browser::sign_in(address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    let thin = [("version", "1"), ("size", "18 AWG"), ("length_m", "4 m"), ("rating_a", "40")];
    let path = format!("/jobs/{QUIET_JOB}/circuits/C1/what-if");
    let answer = manager.post(address, &path, &thin).await.expect("an answer");
    assert_eq!(answer.status(), 303, "it is saved");
    chromium.client.goto(&format!("{address}/jobs/{QUIET_JOB}/releases")).await.expect("a page");
    let link = "return document.querySelector(\"main a[href*='/judgment?finding=']\").href";
    chromium.ask(link).await.as_str().expect("a stop finding to judge").to_owned()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_page_that_tells_how_to_trust_the_shop_is_accessible_and_fits_every_screen() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start_with_tls(data.path());
    let chromium = Chromium::start(SIZES[1]).await;
    chromium.client.goto(&format!("{}/trust", server.address)).await.expect("the page");
    let mut wrong = look(&chromium, "trust").await;
    chromium.sign_in(&server.address, DEMO_OWNER).await;
    chromium.client.goto(&format!("{}/trust", server.address)).await.expect("the page");
    wrong.extend(look(&chromium, "trust signed in").await);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Looks at the open page in every size, and keeps a picture of each.
async fn look(chromium: &Chromium, name: &str) -> Vec<String> {
    let mut wrong = Vec::new();
    for size in SIZES {
        chromium.resize(size).await;
        chromium.picture(&format!("{name}-{}", size.0)).await;
        let over = chromium.ask("return document.documentElement.scrollWidth - window.innerWidth").await;
        if over.as_i64().is_none_or(|pixels| pixels > 0) {
            wrong.push(format!("{name} on a {}: {over} px run off the side", size.0));
        }
        wrong.extend(axe(chromium).await.into_iter().map(|text| format!("{name} on a {}: {text}", size.0)));
    }
    wrong
}

/// What axe-core finds on the open page, by the rules of WCAG 2.2 A and AA.
async fn axe(chromium: &Chromium) -> Vec<String> {
    let file = std::env::var("DRIPLOOP_AXE").expect("DRIPLOOP_AXE names axe.min.js: start this by tests/run");
    let axe = std::fs::read_to_string(file).expect("tests/run installs axe-core");
    chromium.client.execute(&axe, vec![]).await.expect("axe-core loads");
    let run = "const done = arguments[arguments.length - 1];
        axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})
            .then(result => done(result.violations.map(v => v.id + ': ' + v.help + ' at ' + v.nodes.slice(0, 3).map(n => n.target.join(' ')).join(', '))))
            .catch(error => done(['axe-core failed: ' + error]));";
    let found = chromium.client.execute_async(run, vec![]).await.expect("axe-core answers");
    let texts = found.as_array().cloned().unwrap_or_default();
    texts.iter().filter_map(Value::as_str).map(str::to_owned).collect()
}
