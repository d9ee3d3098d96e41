//! The boat plan under mouse and keys: what is moved stays where it was put.

use std::time::Duration;

use fantoccini::Locator;
use fantoccini::actions::{InputSource, MOUSE_BUTTON_LEFT, MouseActions, PointerAction};
use fantoccini::key::Key;

use crate::driver::{Chromium, SIZES};
use crate::shop_server::{DEMO_OWNER, ShopServer};

/// Where a place is by the page: metres ahead of the transom and to starboard.
async fn spot(chromium: &Chromium, place: &str) -> (f64, f64) {
    let script = format!(
        "const place = document.querySelector('.boat-plan [data-place={place}]');
         return [Number(place.dataset.ahead), Number(place.dataset.starboard)]"
    );
    let spot = chromium.ask(&script).await;
    (spot[0].as_f64().expect("a number"), spot[1].as_f64().expect("a number"))
}

/// Waits until the page says that a place is elsewhere than it was.
async fn moved(chromium: &Chromium, place: &str, from: (f64, f64)) -> (f64, f64) {
    for _ in 0..100 {
        let now = spot(chromium, place).await;
        if now != from {
            return now;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("{place} stays at {from:?}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_place_is_dragged_and_stepped_and_stays_there() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let chromium = Chromium::start(SIZES[2]).await;
    chromium.sign_in(&server.address, DEMO_OWNER).await;
    let plan = format!("{}/jobs/1/layout", server.address);
    chromium.client.goto(&plan).await.expect("the boat plan");

    let before = spot(&chromium, "leaning-post").await;
    let mark = Locator::Css(".boat-plan.wide [data-place=leaning-post] circle");
    let mark = chromium.client.find(mark).await.expect("the mark of the place");
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

    let link = Locator::Css(".boat-plan.wide a:has([data-place=leaning-post])");
    let link = chromium.client.find(link).await.expect("the link of the place");
    let keys = [Key::Right, Key::Right, Key::Down].map(|key| String::from(char::from(key))).concat();
    link.send_keys(&keys).await.expect("arrow keys");
    let stepped = moved(&chromium, "leaning-post", dragged).await;
    assert!((stepped.0 - dragged.0 - 0.10).abs() < 0.006, "two steps ahead: {dragged:?} {stepped:?}");
    assert!((stepped.1 - dragged.1 - 0.05).abs() < 0.006, "one step to starboard: {dragged:?} {stepped:?}");

    chromium.client.goto(&plan).await.expect("the boat plan again");
    assert_eq!(spot(&chromium, "leaning-post").await, stepped, "it is stored");
}
