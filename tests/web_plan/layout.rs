//! The boat plan: locations are drawn where they are, and moved.

use axum::http::StatusCode;
use driploop::shop::role::Role;

use crate::fixture::{Shop, picture, shop};

#[tokio::test]
async fn a_location_is_drawn_where_it_is_and_listed_where_it_is_nowhere() {
    let shop = shop().await;
    let page = shop.get(&format!("/jobs/{}/layout", shop.job)).await;
    assert!(page.says("data-location=\"helm\" data-ahead=\"3.1\" data-starboard=\"0.2\""), "{}", page.page);
    assert!(page.says("Put Bow amidships"), "the bow is nowhere yet");
    assert!(page.says("4.3 m measured"), "the tube was measured");
}

#[tokio::test]
async fn a_location_is_moved_and_keeps_its_height() {
    let shop = shop().await;
    let moved = [("version", "1"), ("ahead_m", "2.75"), ("starboard_m", "-0.4")];
    shop.post("locations/helm/spot", &moved).await.saved("/layout");
    let location =
        shop.plan().await.locations.into_iter().find(|location| location.id.as_str() == "helm").unwrap();
    let at = location.at.unwrap();
    assert_eq!((at.ahead_m.number(), at.starboard_m.number()), (2.75, -0.4));
    assert_eq!(at.up_m.map(|up| up.number()), Some(0.9));
    let again = shop.post("locations/helm/spot", &moved).await;
    assert_eq!(again.status, StatusCode::CONFLICT, "somebody who saw the old spot moves nothing");
}

#[tokio::test]
async fn a_location_stays_by_the_boat() {
    let shop = shop().await;
    let away = [("version", "1"), ("ahead_m", "400"), ("starboard_m", "0")];
    let answer = shop.post("locations/helm/spot", &away).await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
    assert!(answer.says("Ahead:") && answer.says("from -3 to 30"), "{}", answer.page);
}

#[tokio::test]
async fn the_form_says_port_and_starboard() {
    let shop = shop().await;
    let spot = [("at.ahead_m", "1 m"), ("at.aside_m", "60 cm"), ("at.side", "port"), ("at.up_m", "")];
    shop.change("locations/stern", &spot).await.saved("/plan/locations#stern");
    let stern = shop.plan().await.locations.remove(0);
    assert_eq!(stern.at.map(|at| (at.ahead_m.number(), at.starboard_m.number())), Some((1.0, -0.6)));
    let page = shop.get("locations/stern").await;
    assert_eq!((page.field("at.side"), page.field("at.aside_m")), ("port".to_owned(), "0.6".to_owned()));
    let half = [("at.ahead_m", ""), ("at.aside_m", "0.5")];
    shop.change("locations/stern", &half).await.refused("at.ahead_m", "needed where the rest");
}

#[tokio::test]
async fn who_only_looks_is_offered_no_moving() {
    let shop = Shop::open("metric", Role::Viewer).await;
    let page = shop.get(&format!("/jobs/{}/layout", shop.job)).await;
    assert!(page.says("data-location=\"helm\"") && !page.says("data-moves"), "{}", page.page);
}

#[tokio::test]
async fn runs_and_cables_are_listed_in_the_order_of_pulling_and_lit_up() {
    let shop = Shop::open("metric", Role::Viewer).await;
    let routes = shop.get("/jobs/1/routes").await;
    assert!(routes.says("/jobs/1/routes?run=coax#plan-title"), "{}", routes.page);
    assert!(routes.says("6.0 m as it comes, its 19 mm connector in front"), "{}", routes.page);
    let lit = shop.get("/jobs/1/routes?run=coax").await;
    assert!(lit.says("<h2 id=\"plan-title\">coax, Horn, antenna coax</h2>"), "{}", lit.page);
    let runs = shop.get("/jobs/1/phases/runs").await;
    assert!(runs.says("Pull order") && runs.says("Horn, antenna coax"), "{}", runs.page);
    assert!(runs.says("Open raceway, no string."), "{}", runs.page);
}

#[tokio::test]
async fn a_sketch_keeps_its_shape_and_lies_under_the_routes_too() {
    let shop = shop().await;
    let fields = [("subject", "job/job"), ("back", "/jobs/1/layout")];
    shop.upload_to("/jobs/1/photos", &fields, Some(&picture())).await.saved("/layout");
    for path in ["/jobs/1/layout", "/jobs/1/routes"] {
        let page = shop.get(path).await;
        assert!(page.says("href=\"/jobs/1/photos/1\" class=\"sketch\""), "{path}: {}", page.page);
        assert!(page.says("preserveAspectRatio=\"xMidYMid meet\""), "{path}: {}", page.page);
    }
}

#[tokio::test]
async fn raceways_have_the_same_number_on_the_plan_and_in_the_lists() {
    let shop = shop().await;
    shop.post("locations/bow/spot", &[("version", "1"), ("ahead_m", "5"), ("starboard_m", "0")])
        .await
        .saved("/layout");
    let routes = shop.get("/jobs/1/routes").await;
    let plan = shop.plan().await;
    for (number, raceway) in (1..).zip(&plan.raceways) {
        let id = &raceway.id;
        assert!(routes.says(&format!("{number} {id}")), "{number} {id}: {}", routes.page);
        assert!(routes.says(&format!("<title>{number}: ")), "{number}: {}", routes.page);
    }
    assert_eq!(
        routes.page.matches("<g class=\"number\">").count(),
        2 * plan.raceways.len(),
        "both ways round"
    );
    let overview = shop.get("/jobs/1").await;
    assert!(!overview.says("<g class=\"number\">"), "no list there to look them up in");
}

#[tokio::test]
async fn long_lists_are_folded_and_what_is_lit_or_refused_is_open() {
    let shop = shop().await;
    let routes = shop.get("/jobs/1/routes").await;
    assert!(routes.says("id=\"pull-1\" open>") && !routes.says("id=\"pull-2\" open>"), "{}", routes.page);
    let part = [("part", "point/fb1"), ("fb1.x_mm", "70"), ("fb1.y_mm", "")];
    let refused = shop.post("/jobs/1/boards/inside/parts", &part).await;
    assert!(refused.says("<details class=\"fold\" open><summary>Move or remove"), "{}", refused.page);
    let labels = shop.get("/jobs/1/labels").await;
    assert!(labels.says("<details class=\"fold\"><summary>Which labels"), "{}", labels.page);
    assert!(
        shop.get("/jobs/1/labels?start=900").await.says("<details class=\"fold\" open><summary>Which labels")
    );
}
