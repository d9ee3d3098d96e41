//! Open items: found on any thing, shown where the work is, closed with what was done.

use axum::http::StatusCode;
use driploop::job::open_item::{Acts, Severity};
use driploop::shop::role::Role::{Apprentice, Manager, Technician, Viewer};
use uuid::Uuid;

use crate::shop::{Shop, all_done, job};

const LIST: &str = "/jobs/1/open-items";

fn found(thing: &str, severity: &str) -> Vec<(&'static str, String)> {
    vec![
        ("event", Uuid::now_v7().to_string()),
        ("thing", thing.to_owned()),
        ("found", "Lug is cracked".to_owned()),
        ("severity", severity.to_owned()),
        ("acts", "technician".to_owned()),
        ("back", String::new()),
    ]
}

#[tokio::test]
async fn something_found_is_shown_on_its_thing_in_the_list_on_the_floor_and_in_the_report() {
    let shop = Shop::open(job()).await;
    let (bo, ron) = (shop.sign_in(Apprentice).await, shop.sign_in(Viewer).await);
    ron.post("/open-items", &found("circuit/C01", "must")).await.is(StatusCode::FORBIDDEN);
    let form = bo.page("/open-items/new?thing=circuit%2FC01&back=/jobs/1/circuits/C01").await;
    form.says(&[
        "Found something on Navigation lights (C01)",
        "What was found",
        "Severity",
        "Who acts",
        "Photo",
    ]);
    let sent = found("circuit/C01", "must");
    for _ in 0..2 {
        bo.post("/open-items", &sent).await.leads_to(LIST);
    }
    let history = shop.history().await;
    let [item] = history.open_items.as_slice() else { panic!("{:?}", history.open_items) };
    assert_eq!((item.severity, item.acts, item.by.as_str()), (Severity::Must, Acts::Technician, "Bo"));

    let here = ["Must", "Lug is cracked", "technician acts"];
    for page in ["/circuits/C01", "/phases/power-up-test"] {
        bo.page(page).await.says(&here);
    }
    bo.page("/open-items").await.says(&["Open items: 1 must", "Navigation lights (C01)", "Technician acts"]);
    bo.at("/").await.says(&["Open items: 1 must"]);
    bo.page("/report").await.says(&[
        "Open items: 1 must",
        "Must: Navigation lights (C01)",
        "Open: technician acts",
    ]);
    bo.page("/log").await.says(&["found something on circuit C01", "must, technician acts: Lug is cracked"]);
}

#[tokio::test]
async fn every_thing_of_the_plan_can_be_chosen_and_what_is_wrong_is_said_by_field() {
    let shop = Shop::open(job()).await;
    let bo = shop.sign_in(Apprentice).await;
    bo.page("/open-items/new").await.says(&["On what", "the boat", "Sidelights", "Fuse block"]);
    for thing in ["end/C01-1b", "conductor/C01-1", "position/panel-1", "location/bow", "job/job"] {
        bo.post("/open-items", &found(thing, "note")).await.leads_to(LIST);
    }
    assert_eq!(shop.history().await.open_items.len(), 5);
    bo.page("/wires/C01-1/b").await.says(&["Lug is cracked"]);
    let mut blank = found("circuit/C01", "must");
    blank[2].1 = " ".to_owned();
    bo.post("/open-items", &blank)
        .await
        .is(StatusCode::UNPROCESSABLE_ENTITY)
        .says(&["What was found", "Required"]);
    bo.post("/open-items", &found("circuit/C01", "soon")).await.is(StatusCode::UNPROCESSABLE_ENTITY);
    bo.post("/open-items", &found("circuit/C99", "must")).await.is(StatusCode::NOT_FOUND);
    assert_eq!(shop.history().await.open_items.len(), 5, "nothing refused is stored");
}

#[tokio::test]
async fn a_must_item_holds_the_handover_until_a_technician_closes_it_with_what_was_done() {
    let shop = Shop::open(driploop::job::file::JobFile { history: all_done(&job().plan), ..job() }).await;
    let (bo, cy, mo) =
        (shop.sign_in(Apprentice).await, shop.sign_in(Technician).await, shop.sign_in(Manager).await);
    bo.post("/open-items", &found("circuit/C01", "must")).await.leads_to(LIST);
    bo.page("/phases/power-up-test").await.says(&["does not count yet", "Open item, must: Lug is cracked"]);
    mo.tick("job/job/hand-over", "done").await.is(StatusCode::CONFLICT).says(&["Lug is cracked"]);

    let item = shop.history().await.open_items[0].id;
    let close = |done: &str| {
        let event = Uuid::now_v7().to_string();
        [("event", event), ("item", item.to_string()), ("done", done.to_owned()), ("back", LIST.to_owned())]
    };
    bo.post("/closings", &close("New lug")).await.is(StatusCode::FORBIDDEN);
    cy.post("/closings", &close(" ")).await.is(StatusCode::BAD_REQUEST).says(&["What was done: missing"]);
    cy.post("/closings", &close("New lug crimped")).await.leads_to(LIST);
    cy.post("/closings", &close("Again")).await.is(StatusCode::NOT_FOUND);
    bo.page("/open-items").await.says(&["No open items.", "Closed: 1", "New lug crimped"]);
    bo.page("/report").await.says(&["Must: Navigation lights (C01)", "New lug crimped. Cy"]);

    let closing = shop.history().await.closings[0].id;
    let undo =
        [("event", Uuid::now_v7().to_string()), ("of", closing.to_string()), ("back", LIST.to_owned())];
    cy.post("/withdrawals", &undo).await.leads_to(LIST);
    bo.page("/open-items").await.says(&["Open items: 1 must"]);
}
