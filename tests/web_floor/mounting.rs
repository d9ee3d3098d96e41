//! The mounting phase: what each card says of board, position, screws and backing.

use driploop::job::file::JobFile;
use driploop::job::phase::Phase;
use driploop::job::plan::Plan;
use driploop::shop::role::Role::Viewer;
use serde_json::{Value, json};

use crate::shop::{Shop, done_before};

/// The job with a board at the helm that its fuse block is screwed on.
fn on_a_board(thickness_mm: f64) -> Plan {
    let mut plan: Value = serde_json::from_str(include_str!("../boat_shop/job.json")).unwrap();
    plan["boards"] = json!([{"id": "dash", "name": "Inside the dash", "location": "helm", "width_mm": 400,
        "height_mm": 300, "thickness_mm": thickness_mm}]);
    let points = plan["points"].as_array_mut().unwrap();
    let block = points.iter_mut().find(|point| point["id"] == "fb1").unwrap();
    block["footprint"] = json!({"width_mm": 160, "height_mm": 80, "screw_mm": 4.2,
        "holes": [{"x_mm": 8, "y_mm": 8}, {"x_mm": 152, "y_mm": 72}, {"x_mm": 80, "y_mm": 40, "d_mm": 20}]});
    block["mounting"] = json!({"board": "dash", "at": {"x_mm": 50, "y_mm": 20.5}});
    JobFile::read(plan.to_string().as_bytes()).unwrap().plan
}

async fn page(plan: Plan) -> crate::shop::Answer {
    let history = done_before(&plan, Phase::Mounting);
    let shop = Shop::open(JobFile { plan, history }).await;
    shop.sign_in(Viewer).await.page("/phases/mounting").await
}

#[tokio::test]
async fn a_card_says_the_board_the_position_the_screws_and_that_they_hold() {
    page(on_a_board(18.0)).await.says(&[
        "On Inside the dash: its upper left corner 50 mm from the left and 20.5 mm from above",
        "Holes: 2 \u{d7} 2.8 mm, 1 \u{d7} 20 mm",
        "Screws of 4.2 mm (No. 8), pilot hole 2.8 mm",
        "The screws hold in this thickness",
        "On no board: choose its position",
        "Stern locker, old holes not counted yet",
    ]);
}

#[tokio::test]
async fn a_board_that_is_too_thin_needs_a_backing_board_or_bolts() {
    page(on_a_board(6.0)).await.says(&["Put a backing board of at least 7 mm behind it"]);
}
