//! A list of wishes: read, chosen, added as one change, and undone.

use axum::http::StatusCode;
use driploop::job::plan::Plan;
use driploop::shop::role::Role;

use crate::fixture::{Answer, Shop, shop};

const LIST: &str = "4 courtesy lights, at the bow\r\nVHF radio at the helm\r\nraddar\r\nkeep the horn\r\n\
     battery at the stern\r\nflux capacitor\r\n10 A breaker";

async fn read(shop: &Shop, list: &str) -> Answer {
    shop.post("wishes", &[("wishes", list), ("act", "read")]).await
}

async fn add(shop: &Shop, page: &Answer, list: &str, chosen: &[(&str, &str)]) -> Answer {
    let fields: Vec<(&str, &str)> =
        [("wishes", list), ("act", "add")].into_iter().chain(chosen.iter().copied()).collect();
    shop.send("wishes", &page.fields(), &fields).await
}

/// What the text area holds.
fn list_of(answer: &Answer) -> Vec<String> {
    let area = answer.page.split("<textarea ").nth(1).unwrap().split("</textarea>").next().unwrap();
    area.split_once('>').unwrap().1.lines().filter(|line| !line.is_empty()).map(str::to_owned).collect()
}

fn names(plan: &Plan) -> Vec<&str> {
    plan.devices.iter().map(|device| device.name.as_str()).collect()
}

#[tokio::test]
async fn a_list_is_read_chosen_added_and_undone() {
    let shop = shop().await;
    let page = read(&shop, LIST).await;
    assert_eq!(page.status, StatusCode::OK, "{}", page.page);
    for text in [
        "4 \u{d7} Courtesy light",
        "Not certain",
        "Not understood. The line stays in the list.",
        "Not added: it belongs to a wire.",
        "Add 6 devices and 1 distribution point",
        "Nothing is measured.",
    ] {
        assert!(page.says(text), "{text}: {}", page.page);
    }
    assert_eq!(page.field("location[1]"), "bow");
    assert_eq!((page.field("kept[4]"), page.field("location[4]")), ("yes".to_owned(), String::new()));
    assert_eq!(names(&shop.plan().await), ["Sidelights", "Bilge pump", "Horn"], "nothing is saved yet");

    let chosen = [("kind[3]", "radar"), ("location[3]", "helm"), ("location[4]", "bow")];
    let added = add(&shop, &page, LIST, &chosen).await;
    assert_eq!(added.status, StatusCode::OK, "{}", added.page);
    assert!(added.says("Added: 7 devices and 1 distribution point"), "{}", added.page);
    assert_eq!(list_of(&added), ["flux capacitor", "10 A breaker"]);
    assert!(!added.says("value=\"add\""), "nothing is left to add: {}", added.page);

    let plan = shop.plan().await;
    let new = &plan.devices[3..];
    let lights: Vec<String> = (1..=4).map(|number| format!("Courtesy light {number}")).collect();
    assert_eq!(names(&plan)[3..7], lights);
    assert_eq!(names(&plan)[7..], ["VHF radio", "Radar", "Horn 1"]);
    let ids: Vec<&str> = new.iter().map(|device| device.id.as_str()).collect();
    assert_eq!(ids, ["D01", "D02", "D03", "D04", "D05", "D06", "D07"]);
    let at: Vec<&str> = new.iter().map(|device| device.location.as_str()).collect();
    assert_eq!(at, ["bow", "bow", "bow", "bow", "helm", "helm", "bow"]);
    assert!(new.iter().all(|device| device.load.is_some() && device.kept == (device.id.as_str() == "D07")));
    assert!(new.iter().all(|device| device.ignition_protected.is_none()), "nobody read a mark");
    let battery = plan.points.last().unwrap();
    assert_eq!((battery.id.as_str(), battery.location.as_str()), ("bat1", "stern"));

    // All of it is one change and one undo. Ids are not used again.
    shop.post("/jobs/1/log/2/undo", &[("back", "/jobs/1/log")]).await.saved("/log");
    let plan = shop.plan().await;
    assert_eq!(names(&plan), ["Sidelights", "Bilge pump", "Horn"]);
    assert!(plan.points.iter().all(|point| point.id.as_str() != "bat1"));
    let again = "horn at the bow\r\nhorn at the helm";
    add(&shop, &read(&shop, again).await, again, &[]).await.saved("/plan/devices#D08");
    assert_eq!(names(&shop.plan().await)[3..], ["Horn 1", "Horn 2"]);
}

#[tokio::test]
async fn a_list_of_points_leads_to_distribution_and_a_set_is_its_parts() {
    let shop = shop().await;
    let bar = "negative bus at the helm";
    add(&shop, &read(&shop, bar).await, bar, &[]).await.saved("/plan/points#neg2");
    let lights = "navigation lights at the bow";
    add(&shop, &read(&shop, lights).await, lights, &[]).await.saved("/plan/devices#D01");
    assert_eq!(names(&shop.plan().await)[3..], ["Sidelights 1", "All-round white light"]);
}

#[tokio::test]
async fn nothing_is_lost_or_added_when_a_row_is_wrong() {
    let shop = shop().await;
    let page = read(&shop, LIST).await;
    let chosen = [("kind[3]", "radar"), ("location[3]", "helm"), ("kept[1]", "yes")];
    let refused = add(&shop, &page, LIST, &chosen).await;
    refused.refused("location[4]", "Choose where it is mounted.");
    assert!(refused.says("Location, line 4: Choose where it is mounted."), "{}", refused.page);
    assert_eq!(list_of(&refused), LIST.lines().collect::<Vec<_>>());
    assert_eq!((refused.field("kind[3]"), refused.field("location[3]")), ("radar".into(), "helm".into()));
    assert_eq!(refused.field("kept[1]"), "yes");

    let wrong = [("location[4]", "moon"), ("kind[3]", "piano"), ("location[3]", "helm")];
    let answer = add(&shop, &page, LIST, &wrong).await;
    answer.refused("location[4]", "Expected a location of this boat, not \u{2018}moon\u{2019}.");
    answer.refused("kind[3]", "Expected one of the list, not \u{2018}piano\u{2019}.");
    assert_eq!(shop.plan().await.devices.len(), 3);
}

#[tokio::test]
async fn what_was_chosen_stays_with_its_line_while_the_list_changes() {
    let shop = shop().await;
    let page = read(&shop, "keep the horn\r\nwindlass").await;
    let moved = "VHF radio at the helm\r\nkeep the horn";
    let fields = [("wishes", moved), ("act", "read"), ("location[1]", "bow"), ("kept[1]", "")];
    let again = shop.send("wishes", &page.fields(), &fields).await;
    assert_eq!((again.field("location[2]"), again.field("location[1]")), ("bow".into(), "helm".into()));
    assert!(!again.fields().iter().any(|(name, _)| name.starts_with("kept")), "{}", again.page);

    let unread = add(&shop, &again, "VHF radio at the helm\r\n2 horns at the bow", &[]).await;
    unread.refused("wishes", "Line 2 was not read yet.");
    assert!(unread.says("2 \u{d7} Horn"), "{}", unread.page);
    assert_eq!(shop.plan().await.devices.len(), 3);
}

#[tokio::test]
async fn a_form_that_is_sent_twice_adds_once() {
    let shop = shop().await;
    let list = "horn at the bow\r\nflux capacitor";
    let page = read(&shop, list).await;
    assert!(add(&shop, &page, list, &[]).await.says("Added: 1 device"));
    let twice = add(&shop, &page, list, &[]).await;
    assert_eq!(twice.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(twice.says("The plan changed after these wishes were read."), "{}", twice.page);
    assert_eq!(list_of(&twice), ["horn at the bow", "flux capacitor"]);
    assert_eq!(shop.plan().await.devices.len(), 4);
}

#[tokio::test]
async fn lists_that_are_empty_or_too_long_are_refused() {
    let shop = shop().await;
    read(&shop, " \r\n").await.refused("wishes", "Write at least one wish.");
    let long = "horn at the bow\r\n".repeat(301);
    let answer = read(&shop, &long).await;
    answer.refused("wishes", "the wishes have 301 lines; at most 300 are read");
    assert_eq!(list_of(&answer).len(), 301);
    let many = ["99 horns at the bow"; 6].join("\r\n");
    let answer = add(&shop, &read(&shop, &many).await, &many, &[]).await;
    answer.refused("wishes", "These lines add 594 devices and points; at most 500 are added at once.");
    let nothing = "flux capacitor";
    add(&shop, &read(&shop, nothing).await, nothing, &[])
        .await
        .refused("wishes", "No line names a kind that can be added.");
    assert_eq!(shop.plan().await.devices.len(), 3);
}

#[tokio::test]
async fn the_customers_wishes_of_the_intake_begin_a_list() {
    let shop = shop().await;
    assert_eq!(list_of(&shop.get("wishes").await), Vec::<String>::new());
    assert_eq!(list_of(&shop.get("wishes?from=intake").await), ["Keep the horn.", "New lights."]);
}

#[tokio::test]
async fn a_viewer_sees_no_form_and_adds_nothing() {
    let shop = Shop::open("us", Role::Viewer).await;
    let page = shop.get("wishes").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(
        !page.says("name=\"wishes\"") && page.says("Only those who may change this plan"),
        "{}",
        page.page
    );
    let fields = [("wishes", "horn at the bow"), ("line[1]", "horn at the bow"), ("act", "add")];
    assert_eq!(shop.post("wishes", &fields).await.status, StatusCode::FORBIDDEN);
    assert_eq!(shop.plan().await.devices.len(), 3);
}
