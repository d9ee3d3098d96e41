//! The boat plan under mouse, keys and a finger: what is moved stays where it was put.

use std::time::Duration;

use fantoccini::Locator;
use fantoccini::actions::{InputSource, MOUSE_BUTTON_LEFT, MouseActions, PointerAction, TouchActions};
use fantoccini::key::Key;
use serde_json::json;

use crate::driver::{Chromium, SIZES};
use crate::shop_server::{DEMO_OWNER, ShopServer};

/// Where a location is by the page: meters ahead of the transom and to starboard.
async fn spot(chromium: &Chromium, location: &str) -> (f64, f64) {
    let script = format!(
        "const location = document.querySelector('.boat-plan [data-location={location}]');
         return [Number(location.dataset.ahead), Number(location.dataset.starboard)]"
    );
    let spot = chromium.ask(&script).await;
    (spot[0].as_f64().expect("a number"), spot[1].as_f64().expect("a number"))
}

/// Waits until the page says that a location is elsewhere than it was.
async fn moved(chromium: &Chromium, location: &str, from: (f64, f64)) -> (f64, f64) {
    for _ in 0..100 {
        let now = spot(chromium, location).await;
        if now != from {
            return now;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("{location} stays at {from:?}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_location_is_dragged_and_stepped_and_stays_there() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let chromium = Chromium::start(SIZES[2]).await;
    chromium.sign_in(&server.address, DEMO_OWNER).await;
    let plan = format!("{}/jobs/1/layout", server.address);
    chromium.client.goto(&plan).await.expect("the boat plan");

    let before = spot(&chromium, "leaning-post").await;
    let mark = Locator::Css(".boat-plan.wide [data-location=leaning-post] circle");
    let mark = chromium.client.find(mark).await.expect("the mark of the location");
    let while_moving = Some(Duration::from_millis(200));
    let drag = MouseActions::new("mouse".to_owned())
        .then(PointerAction::MoveToElement { element: mark, duration: while_moving, x: 0.0, y: 0.0 })
        .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
        .then(PointerAction::MoveBy { duration: while_moving, x: 60.0, y: 0.0 })
        .then(PointerAction::MoveBy { duration: while_moving, x: 0.0, y: -30.0 })
        .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
    chromium.client.perform_actions(drag).await.expect("a drag");
    let dragged = moved(&chromium, "leaning-post", before).await;
    assert!(dragged.0 > before.0 + 0.2, "ahead is to the right: {before:?} {dragged:?}");
    assert!(dragged.1 < before.1 - 0.1, "up the sheet is to port: {before:?} {dragged:?}");
    assert_eq!(chromium.client.current_url().await.expect("an address").path(), "/jobs/1/layout");

    let link = Locator::Css(".boat-plan.wide a:has([data-location=leaning-post])");
    let link = chromium.client.find(link).await.expect("the link of the location");
    let keys = [Key::Right, Key::Right, Key::Down].map(|key| String::from(char::from(key))).concat();
    link.send_keys(&keys).await.expect("arrow keys");
    let stepped = moved(&chromium, "leaning-post", dragged).await;
    assert!((stepped.0 - dragged.0 - 0.10).abs() < 0.006, "two steps ahead: {dragged:?} {stepped:?}");
    assert!((stepped.1 - dragged.1 - 0.05).abs() < 0.006, "one step to starboard: {dragged:?} {stepped:?}");

    chromium.client.goto(&plan).await.expect("the boat plan again");
    assert_eq!(spot(&chromium, "leaning-post").await, stepped, "it is stored");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_finger_drags_a_location_on_a_phone_and_its_next_tap_counts() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let chromium = Chromium::start(SIZES[0]).await;
    chromium.sign_in(&server.address, DEMO_OWNER).await;
    chromium.resize(SIZES[0]).await;
    let touch = json!({"enabled": true, "maxTouchPoints": 2});
    chromium.devtools("Emulation.setTouchEmulationEnabled", touch).await;
    chromium.client.goto(&format!("{}/jobs/1/layout", server.address)).await.expect("the boat plan");

    let location = ".boat-plan.narrow [data-location=leaning-post]";
    let into_view = format!("document.querySelector('{location}').scrollIntoView({{block: 'center'}})");
    chromium.ask(&into_view).await;
    // What stands above the plan may grow once the change is stored: it counts where the eye has the plan.
    let plan_top =
        "return Math.round(document.querySelector('.boat-plan.narrow').getBoundingClientRect().top)";
    let stood = chromium.ask(plan_top).await;
    let before = spot(&chromium, "leaning-post").await;
    let mark = format!("{location} circle");
    let on_it = async || {
        let mark = chromium.client.find(Locator::Css(&mark)).await.expect("the mark of the location");
        PointerAction::MoveToElement { element: mark, duration: None, x: 0.0, y: 0.0 }
    };
    let slow = Some(Duration::from_millis(200));
    let drag = TouchActions::new("finger".to_owned())
        .then(on_it().await)
        .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
        .then(PointerAction::MoveBy { duration: slow, x: 0.0, y: -60.0 })
        .then(PointerAction::MoveBy { duration: slow, x: 30.0, y: 0.0 })
        .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
    chromium.client.perform_actions(drag).await.expect("a drag");
    moved(&chromium, "leaning-post", before).await;
    // The last of the finger's moves arrive after the driver has sent them all.
    tokio::time::sleep(Duration::from_millis(500)).await;
    let dragged = spot(&chromium, "leaning-post").await;
    assert!(dragged.0 > before.0 + 0.2, "ahead is up: {before:?} {dragged:?}");
    assert!(dragged.1 > before.1 + 0.1, "to the right is to starboard: {before:?} {dragged:?}");
    assert_eq!(chromium.ask(plan_top).await, stood, "the page stays where it was");
    assert_eq!(chromium.client.current_url().await.expect("an address").path(), "/jobs/1/layout");

    // Once it is stored the plan is drawn again.
    tokio::time::sleep(Duration::from_millis(2000)).await;
    chromium.ask(&into_view).await;
    let tap = TouchActions::new("finger".to_owned())
        .then(on_it().await)
        .then(PointerAction::Down { button: MOUSE_BUTTON_LEFT })
        .then(PointerAction::Up { button: MOUSE_BUTTON_LEFT });
    chromium.client.perform_actions(tap).await.expect("a tap");
    chromium.leave("/layout").await;
    let form = chromium.client.current_url().await.expect("an address");
    assert_eq!(form.path(), "/jobs/1/plan/locations/leaning-post");
}
