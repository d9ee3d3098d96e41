//! Undo: changes of the plan, and releases.

use axum::http::StatusCode;
use driploop::job::phase::Phase;
use driploop::shop::role::Role::{Apprentice, Manager, Technician};

use super::shop::{Answer, CurrentUser, Shop, all_done, done_before, job};
use crate::event;

/// Undoes what a page says was done last.
async fn undo(user: &CurrentUser, page: &str) -> (String, Answer) {
    let line = user.page(page).await.says(&["just now", "Undo"]).after("/jobs/1/log/", "/undo");
    let address = format!("/log/{line}/undo");
    let answer = user.post(&address, &[("back", format!("/jobs/1{page}"))]).await;
    (address, answer)
}

#[tokio::test]
async fn a_circuit_hung_wrong_hangs_as_before_and_its_ticks_count_again() {
    let mut file = job();
    file.history = all_done(&file.plan);
    let shop = Shop::open(file).await;
    let (cy, bo, ana) =
        (shop.sign_in(Technician).await, shop.sign_in(Apprentice).await, shop.sign_in(Manager).await);
    let before = shop.export().await.plan;
    cy.page("/phases/switches").await.lacks("Undo");
    cy.post("/switches", &[("circuit", "C01"), ("at", "")]).await;
    cy.page("/phases/switches").await.says(&["You changed circuit C01"]);
    cy.page("/phases/terminations").await.says(&["Opened again: the plan changed, the connection is"]);
    for other in [&bo, &ana] {
        other.page("/phases/switches").await.lacks("You changed");
    }
    let (address, answer) = undo(&cy, "/phases/switches").await;
    answer.leads_to("/jobs/1/phases/switches");
    assert_eq!(shop.export().await.plan, before);
    cy.post(&address, &[("back", "/")]).await.leads_to("/");
    assert_eq!(shop.export().await.plan, before, "sent twice is done once");
    cy.page("/phases/terminations").await.lacks("the plan changed");
    bo.post(&address, &[("back", "/")]).await.is(StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn any_of_the_last_changes_is_undone_from_the_log_by_whoever_may_plan() {
    let shop = Shop::open(job()).await;
    let (cy, bo, ana) =
        (shop.sign_in(Technician).await, shop.sign_in(Apprentice).await, shop.sign_in(Manager).await);
    let before = shop.export().await.plan;
    cy.post("/switches", &[("circuit", "C01"), ("at", "")]).await;
    let spot = [("version", "1"), ("ahead_m", "2"), ("starboard_m", "0")];
    cy.post("/plan/locations/helm/spot", &spot).await.leads_to("/jobs/1/layout");
    bo.page("/log").await.says(&["changed circuit C01"]).lacks("Undo");
    ana.page("/log").await.says(&["/jobs/1/log/2/undo", "/jobs/1/log/3/undo"]);
    ana.post("/log/2/undo", &[("back", "/jobs/1/log")]).await.leads_to("/jobs/1/log");
    cy.post("/log/3/undo", &[("back", "/jobs/1/log")]).await.leads_to("/jobs/1/log");
    assert_eq!(shop.export().await.plan, before);
    ana.page("/log").await.says(&["by undoing an earlier change"]).lacks("/jobs/1/log/2/undo");
}

#[tokio::test]
async fn a_location_dragged_and_a_circuit_removed_are_as_before() {
    let mut file = job();
    file.history = all_done(&file.plan);
    let shop = Shop::open(file).await;
    let cy = shop.sign_in(Technician).await;
    let before = shop.export().await;
    let spot = [("version", "1"), ("ahead_m", "2"), ("starboard_m", "0")];
    cy.post("/plan/locations/helm/spot", &spot).await.leads_to("/jobs/1/layout");
    assert!(shop.export().await.plan.locations[1].at.is_some());
    undo(&cy, "/layout").await.1.leads_to("/jobs/1/layout");
    assert_eq!(shop.export().await.plan, before.plan);

    cy.post("/plan/circuits/C02/remove", &[("version", "1")]).await.leads_to("/jobs/1/plan/circuits");
    assert_eq!(shop.export().await.plan.circuits.len(), 1);
    cy.page("/plan/circuits").await.says(&["You removed circuit C02"]);
    undo(&cy, "/plan/circuits").await.1.leads_to("/jobs/1/plan/circuits");
    let after = shop.export().await;
    assert_eq!(after.plan, before.plan);
    assert_eq!(after.history.standing().ticks, before.history.ticks, "what was done to it counts again");
}

#[tokio::test]
async fn a_change_that_a_later_change_needs_cannot_be_undone() {
    let shop = Shop::open(job()).await;
    let cy = shop.sign_in(Technician).await;
    let spot = |version: &str, ahead: &str| {
        [("version", version.to_owned()), ("ahead_m", ahead.to_owned()), ("starboard_m", "0".to_owned())]
    };
    cy.post("/plan/locations/helm/spot", &spot("1", "2")).await;
    let line = cy.page("/layout").await.after("/jobs/1/log/", "/undo");
    cy.post("/plan/locations/helm/spot", &spot("2", "3")).await;
    let refused = cy.post(&format!("/log/{line}/undo"), &[("back", "/")]).await;
    refused.is(StatusCode::CONFLICT).says(&["changed by somebody else in the meantime"]);
    cy.post("/log/1/undo", &[("back", "/")]).await.is(StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_release_is_undone_and_the_hold_point_holds_again() {
    let mut file = job();
    file.history = done_before(&file.plan, Phase::Mounting);
    let shop = Shop::open(file).await;
    let (bo, cy) = (shop.sign_in(Apprentice).await, shop.sign_in(Technician).await);
    bo.tick("location/bow/strip", "undone").await;
    let back = "/jobs/1/releases";
    let release = [
        ("event", event()),
        ("step", "device/nav/place".to_owned()),
        ("obstacle", "location/bow/strip".to_owned()),
        ("reason", "The light stays where it was".to_owned()),
        ("back", back.to_owned()),
    ];
    cy.post("/releases", &release).await.leads_to(back);
    bo.tick("device/nav/place", "done").await;
    cy.page("/releases").await.says(&["Release", "The light stays where it was", "Undo"]);
    let of = shop.history().await.releases[0].id.to_string();
    let take_back = [("event", event()), ("of", of), ("back", back.to_owned())];
    bo.post("/withdrawals", &take_back).await.is(StatusCode::FORBIDDEN);
    cy.post("/withdrawals", &take_back).await.leads_to(back);
    cy.page("/releases").await.lacks("The light stays where it was");
    assert_eq!(shop.history().await.releases.len(), 1, "it stays on record");
    bo.tick("device/nav/back", "done").await.is(StatusCode::CONFLICT).says(&["Bow: not stripped"]);
}
