//! A change of the plan that moves wire: what was done to it is open again, and the labels are named.

use axum::http::StatusCode;
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
    let before = shop.history().await.ticks.len();
    cy.post("/switches", &[("circuit", "C01"), ("at", "")])
        .await
        .leads_to("/jobs/1/phases/switches#switch-C01");
    let written = shop.history().await.ticks.len();
    assert_eq!(written, before, "a change of the plan writes no records");
    let open = [
        (
            "/wires/C01-3",
            "Opened again: the plan changed, the connection is fb1 → nav now, and was panel → nav",
        ),
        (
            "/phases/terminations",
            "Opened again: the plan changed, the connection is fb1 now, and was panel 1",
        ),
    ];
    for (page, why) in open {
        ron.page(page).await.says(&[why]);
    }
    ron.page("/wires/C01-4").await.lacks("the plan changed");
    ron.page("/wires/C01-1").await.is(StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_label_whose_text_changed_is_named_for_printing() {
    let shop = finished().await;
    let ron = shop.sign_in(Viewer).await;
    ron.page("/labels").await.lacks("Labels to reprint");
    shop.relabel("C01", "NAV1").await;
    for page in ["/labels", "/plan/circuits"] {
        ron.page(page).await.says(&["Labels to reprint", "/jobs/1/wires/C01-3", "/jobs/1/labels?wires=anew"]);
    }
    ron.page("/labels?wires=anew").await.says(&["4 labels on 1 sheet"]);
    ron.page("/wires/C01-3").await.says(&["the label is NAV1-3 now, and was C01-3"]);
}
