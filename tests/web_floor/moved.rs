//! A change of the plan that moves wire: what was done to it is open again, and the labels are named.

use axum::http::StatusCode;
use driploop::job::event::Mark;
use driploop::shop::role::Role::{Technician, Viewer};

use super::shop::{Shop, all_done, job};

/// The job of these tests with everything done.
async fn finished() -> Shop {
    let mut file = job();
    file.history = all_done(&file.plan);
    Shop::open(file).await
}

#[tokio::test]
async fn a_circuit_taken_off_its_switch_opens_its_wires_and_names_the_labels() {
    let shop = finished().await;
    let (cy, ron) = (shop.sign_in(Technician).await, shop.sign_in(Viewer).await);
    ron.page("/labels").await.lacks("Labels to reprint");
    cy.post("/switches", &[("circuit", "C01"), ("at", "")])
        .await
        .leads_to("/jobs/1/phases/switches#switch-C01");
    let history = shop.history().await;
    let undone: Vec<_> = history.ticks.iter().filter(|tick| tick.mark == Mark::Undone).collect();
    assert!(undone.iter().all(|tick| tick.by.as_str() == "Cy" && tick.reason.is_some()));
    let mut steps: Vec<String> = undone.iter().map(|tick| tick.step.to_string()).collect();
    steps.sort();
    assert_eq!(
        steps,
        [
            "conductor/C01-3/label",
            "conductor/C01-3/pull",
            "end/C01-1a/terminate",
            "end/C01-1b/terminate",
            "end/C01-3a/terminate",
            "end/C01-3b/terminate",
            "position/panel-1/wire",
        ],
        "the return stays as it is"
    );
    for page in ["/phases/switches", "/labels", "/plan/circuits"] {
        ron.page(page).await.says(&["Labels to reprint", "/jobs/1/wires/C01-3", "/jobs/1/labels?wires=anew"]);
    }
    ron.page("/wires/C01-3")
        .await
        .says(&["C01-3 now runs fb1 → nav, positive: pull, label and terminate it again"]);
    ron.page("/labels?wires=anew").await.says(&["2 labels on 1 sheet"]);
    ron.page("/wires/C01-1").await.is(StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn what_hangs_there_already_opens_nothing() {
    let shop = finished().await;
    let cy = shop.sign_in(Technician).await;
    let before = shop.history().await.ticks.len();
    cy.post("/switches", &[("circuit", "C01"), ("at", "")]).await;
    let moved = shop.history().await.ticks.len();
    assert!(moved > before);
    cy.post("/switches", &[("circuit", "C01"), ("at", "")]).await;
    assert_eq!(shop.history().await.ticks.len(), moved, "what hangs there already is not hung again");
}
