//! "My work": a technician's boats, the next task where they worked last, and what waits for them.

use axum::http::StatusCode;
use driploop::job::phase::Phase;
use driploop::shop::role::Role::{Apprentice, Technician, Viewer};
use uuid::Uuid;

use crate::shop::{Shop, done_before, job};

#[tokio::test]
async fn my_work_starts_where_the_person_worked_last() {
    let shop = Shop::open(driploop::job::file::JobFile {
        history: done_before(&job().plan, Phase::Terminations),
        ..job()
    })
    .await;
    let (bo, cy) = (shop.sign_in(Apprentice).await, shop.sign_in(Technician).await);
    shop.sign_in(Viewer).await.at("/my-work").await.is(StatusCode::FORBIDDEN);
    bo.at("/my-work").await.says(&["You have no work recorded on an open boat yet", "Shop floor"]);
    bo.tick("end/C01-1b/terminate", "done").await.is(StatusCode::SEE_OTHER);
    let page = bo.at("/my-work").await;
    page.says(&["Next task, at Helm console", "/jobs/1/wires/"]);
    cy.at("/my-work").await.says(&["You have no work recorded on an open boat yet"]);
}

#[tokio::test]
async fn my_work_shows_open_items_for_technicians_failed_tests_and_reopened_steps() {
    let shop = Shop::open(job()).await;
    let bo = shop.sign_in(Apprentice).await;
    let item = |acts: &str, found: &str| {
        [
            ("event", Uuid::now_v7().to_string()),
            ("thing", "circuit/C01".to_owned()),
            ("found", found.to_owned()),
            ("severity", "must".to_owned()),
            ("acts", acts.to_owned()),
            ("back", String::new()),
        ]
    };
    bo.post("/open-items", &item("technician", "Lug is cracked")).await.is(StatusCode::SEE_OTHER);
    bo.post("/open-items", &item("supplier", "Wrong breaker came")).await.is(StatusCode::SEE_OTHER);
    let page = bo.at("/my-work").await;
    page.says(&["Open items: 1", "Must, Navigation lights (C01): Lug is cracked"]);
    page.lacks("Wrong breaker came");
}
