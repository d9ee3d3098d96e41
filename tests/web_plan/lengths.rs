//! Lengths on every page of a job are in the shop's units.

use driploop::shop::demo;
use driploop::shop::role::Role;
use driploop::store::{Actor, JobId, file};
use jiff::Timestamp;

use crate::fixture::Shop;

/// The pages of a job that show lengths.
const PAGES: [&str; 22] = [
    "",
    "/layout",
    "/routes",
    "/one-line",
    "/sizing",
    "/supply",
    "/lights",
    "/bench",
    "/report",
    "/wires",
    "/intake",
    "/plan/locations",
    "/plan/circuits",
    "/plan/feeders",
    "/plan/devices",
    "/phases/strip-out",
    "/phases/mounting",
    "/phases/runs",
    "/phases/terminations",
    "/phases/tie-down",
    "/boards",
    "/labels",
];

/// What has meters in every shop before its number: the limits of the rules for lights, and what people typed.
const BEFORE: [&str; 5] = ["under", "<", ">=", "of", "antenna,"];

/// Settings of the demo boats, typed as the manufacturer's menu has them.
const SETTINGS: [&str; 4] = ["Depth offset", "Keel offset", "Antenna height", "Antenna position"];

/// What follows a length in a formula whose factor is by the meter, or in a rule for lights.
const IN_FORMULA: [&str; 3] = [" x 0.", " / ", " and more"];

/// The text of a page without its tags, and the titles of its drawings.
fn text(page: &str) -> String {
    page.split('<').filter_map(|piece| piece.split_once('>')).map(|(_, text)| format!("{text} ")).collect()
}

/// Every length in a unit, with the words before it.
fn lengths(page: &str, unit: &str) -> Vec<String> {
    let text = text(page).replace("&#60;", "<").replace("&#62;", ">");
    let unit = format!(" {unit}");
    let found = text.match_indices(&unit).filter(|(at, _)| {
        let (before, after) = (&text[..*at], &text[at + unit.len()..]);
        let mut words = before.split_whitespace().rev();
        let is_number = words.next().is_some_and(|word| word.ends_with(|c: char| c.is_ascii_digit()));
        let may = words.next().is_some_and(|word| BEFORE.contains(&word))
            || IN_FORMULA.iter().any(|formula| after.starts_with(formula));
        is_number && !may && !after.starts_with(char::is_alphanumeric)
    });
    let near = |at: usize| text[..at].chars().rev().take(60).collect::<Vec<_>>().into_iter().rev().collect();
    found.map(|(at, _)| near(at)).collect()
}

/// The demo boats in a shop.
async fn boats(shop: &Shop) -> Vec<JobId> {
    let actor = Actor { person: None, name: "Setup".parse().unwrap() };
    let mut write = shop.store.write(&actor, Timestamp::now()).await.unwrap();
    let mut jobs = vec![shop.job];
    for boat in demo::files().unwrap() {
        jobs.push(file::import(&mut write, &boat).await.unwrap());
    }
    write.commit().await.unwrap();
    jobs
}

#[tokio::test]
async fn a_shop_of_feet_sees_no_meters() {
    let shop = Shop::open("us", Role::Technician).await;
    let mut wrong = Vec::new();
    let mut feet = 0;
    for job in boats(&shop).await {
        let plan = driploop::store::plan::load(&mut shop.store.read().await.unwrap(), job).await.unwrap();
        let circuits = plan.circuits.iter().take(4).map(|circuit| format!("/circuits/{}", circuit.id));
        let feeders = plan.feeders.iter().take(2).map(|feeder| format!("/feeders/{}", feeder.id));
        let cables = plan.devices.iter().flat_map(|device| &device.cables).take(3);
        let cables = cables.map(|cable| format!("/wires/{}", cable.id));
        for page in PAGES.map(str::to_owned).into_iter().chain(circuits).chain(feeders).chain(cables) {
            let answer = shop.get(&format!("/jobs/{job}{page}")).await;
            assert_eq!(answer.status, axum::http::StatusCode::OK, "{page}");
            feet += lengths(&answer.page, "in").len() + lengths(&answer.page, "ft").len();
            let typed = |near: &String| SETTINGS.iter().any(|setting| near.contains(setting));
            let meters = lengths(&answer.page, "m").into_iter().filter(|near| !typed(near));
            wrong.extend(meters.map(|length| format!("job {job}{page}: {length} m")));
        }
    }
    assert!(feet > 500, "{feet} lengths in feet");
    assert!(wrong.is_empty(), "{} in meters:\n{}", wrong.len(), wrong.join("\n"));
}
