//! Boards on the web: made, filled, laid out by the program, and printed.

use axum::http::StatusCode;
use driploop::job::board::{Faces, Footprint};
use driploop::shop::role::Role;

use crate::fixture::{Shop, shop};

async fn footprint(shop: &Shop, point: &str) -> Option<Footprint> {
    let plan = shop.plan().await;
    plan.point(&point.parse().unwrap()).and_then(|point| point.footprint.clone())
}

#[tokio::test]
async fn a_board_is_created_and_refuses_what_is_no_size() {
    let shop = shop().await;
    let mut fields = vec![
        ("name", "Bow board"),
        ("location", "bow"),
        ("width_mm", "0"),
        ("height_mm", "250,5"),
        ("thickness_mm", "12"),
    ];
    shop.change("new/board", &fields).await.refused("width_mm", "a size in millimeters from 0.1 to 10000");
    fields[2].1 = "300";
    shop.change("new/board", &fields).await.saved("/boards#board1");
    let board = shop.plan().await.boards.pop().unwrap();
    assert_eq!((board.width_mm.number(), board.height_mm.number(), board.laminate_mm), (300.0, 250.5, None));
}

#[tokio::test]
async fn the_location_of_a_board_is_given_in_full_or_not_at_all() {
    let shop = shop().await;
    let half = [("stands.ahead_m", "3 m"), ("stands.aside_m", "0.2"), ("stands.side", "port")];
    let refused = shop.change("boards/locker", &half).await;
    refused.refused("stands.up_m", "Required.");
    let whole = [&half[..], &[("stands.up_m", "1.1"), ("stands.faces", "starboard")]].concat();
    shop.change("boards/locker", &whole).await.saved("/boards#locker");
    let plan = shop.plan().await;
    let stands = plan.boards.iter().find(|board| board.id.as_str() == "locker").unwrap().stands.unwrap();
    assert_eq!((stands.starboard_m.number(), stands.faces), (-0.2, Faces::Starboard));
    let emptied = ["ahead_m", "aside_m", "up_m", "faces"].map(|field| format!("stands.{field}"));
    let emptied = emptied.each_ref().map(|field| (field.as_str(), ""));
    shop.change("boards/locker", &emptied).await.saved("/boards#locker");
    assert_eq!(shop.plan().await.boards[1].stands, None);
}

#[tokio::test]
async fn what_a_point_takes_up_is_typed_with_its_holes() {
    let shop = shop().await;
    let fields = [
        ("footprint.width_mm", "120"),
        ("footprint.height_mm", "40"),
        ("footprint.holes[0].x_mm", "8"),
        ("footprint.holes[0].y_mm", "20"),
        ("footprint.screw_mm", "4.2"),
        ("mounting.board", "inside"),
    ];
    shop.change("points/neg1", &fields).await.saved("/plan/points#neg1");
    let own = footprint(&shop, "neg1").await.unwrap();
    assert_eq!((own.width_mm.number(), own.holes.len(), own.holes[0].d_mm), (120.0, 1, None));
    let elsewhere = [("mounting.board", "locker")];
    shop.change("points/neg1", &elsewhere).await.refused("mounting.board", "a board at helm");
    shop.change("points/neg1", &[("footprint.width_mm", "")]).await.refused("footprint.width_mm", "Required");
}

#[tokio::test]
async fn a_layout_is_proposed_and_what_is_placed_by_hand_stays() {
    let shop = shop().await;
    let measured =
        [("footprint.width_mm", "200"), ("footprint.height_mm", "60"), ("mounting.board", "inside")];
    shop.change("points/jb1", &measured).await.saved("/plan/points#jb1");
    let page = shop.get("/jobs/1/boards/inside").await;
    assert!(page.says("Propose positions for the 1 part without one"), "{}", page.page);
    let answer = shop.post("/jobs/1/boards/inside/propose", &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.page);
    let plan = shop.plan().await;
    let at = |id: &str| plan.point(&id.parse().unwrap()).and_then(|point| point.mounting.as_ref()?.at);
    assert_eq!(at("fb1").map(|at| (at.x_mm.number(), at.turned)), Some((50.0, true)));
    assert!(at("jb1").is_some());
    let page = shop.get("/jobs/1/boards/inside").await;
    assert!(!page.says("Propose positions") && page.says("200 × 60 mm"), "{}", page.page);
}

#[tokio::test]
async fn a_part_is_put_moved_and_taken_off() {
    let shop = shop().await;
    let at = |fields: Vec<(&'static str, &'static str)>| {
        let shop = &shop;
        async move { shop.post("/jobs/1/boards/inside/parts", &fields).await }
    };
    let half = at(vec![("part", "point/fb1"), ("fb1.x_mm", "70"), ("fb1.y_mm", "")]).await;
    half.refused("fb1.y_mm", "beside the other");
    let moved = at(vec![("part", "point/fb1"), ("fb1.x_mm", "70"), ("fb1.y_mm", "40")]).await;
    assert_eq!(moved.status, StatusCode::SEE_OTHER);
    let mounting = |plan: driploop::job::plan::Plan| plan.points[3].mounting.clone();
    let corner = mounting(shop.plan().await).unwrap().at.unwrap();
    assert_eq!((corner.x_mm.number(), corner.y_mm.number(), corner.turned), (70.0, 40.0, false));
    at(vec![("part", "point/fb1"), ("off", "yes")]).await;
    assert_eq!(mounting(shop.plan().await), None);
    let nowhere = at(vec![("part", "point/none")]).await;
    assert_eq!(nowhere.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_template_comes_as_pdf_for_either_paper_and_no_other() {
    let shop = Shop::open("metric", Role::Viewer).await;
    for paper in ["a4", "letter"] {
        let (status, kind, body) = shop.bytes(&format!("/jobs/1/boards/inside/drilling/{paper}")).await;
        assert_eq!((status, kind.as_str()), (StatusCode::OK, "application/pdf"));
        assert!(body.starts_with(b"%PDF-"));
    }
    assert_eq!(shop.get("/jobs/1/boards/inside/drilling/a9").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn labels_come_as_sheets_and_as_a_list() {
    let shop = Shop::open("metric", Role::Viewer).await;
    let page = shop.get("/jobs/1/labels?stock=a4-5x13&start=9&wires=pulled").await;
    assert!(page.says("C02-3a nav") && page.says("8 labels are gone"), "{}", page.page);
    let (status, kind, body) = shop.bytes("/jobs/1/labels.pdf?stock=letter-wrap-7x7").await;
    assert_eq!((status, kind.as_str()), (StatusCode::OK, "application/pdf"));
    assert!(body.starts_with(b"%PDF-"));
    let (_, kind, body) = shop.bytes("/jobs/1/labels.csv?wires=pulled&location=bow").await;
    assert_eq!(kind, "text/csv; charset=utf-8; header=present");
    let mut reader = csv::Reader::from_reader(body.as_slice());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert!(
        rows.iter().any(|row| &row[0] == "C02-3b jb1" && row[8].ends_with("/jobs/1/wires/C02-3/b")),
        "{rows:?}"
    );
    let refused = shop.get("/jobs/1/labels?start=900").await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(shop.get("/jobs/1/labels.pdf?stock=a9").await.status, StatusCode::BAD_REQUEST);
}

#[tokio::test]
async fn the_shop_words_its_labels_by_a_rule_of_its_own() {
    let shop = Shop::open("metric", Role::Manager).await;
    let stored = shop.get("/labels").await;
    assert_eq!(stored.field("rule"), "{wire}{end} {far}");
    let wrong = [("version", "0"), ("rule", "{wire} {wibble}"), ("stock", "a4-3x8"), ("address", "shop")];
    let answer = shop.post("/labels", &wrong).await;
    answer.refused("rule", "is no word of a label rule");
    let right = [
        ("version", "0"),
        ("rule", "{circuit}.{n} {far-name}"),
        ("stock", "a4-4x12"),
        ("address", "https://shop.example:7117/"),
    ];
    assert_eq!(shop.post("/labels", &right).await.status, StatusCode::SEE_OTHER);
    let page = shop.get("/jobs/1/labels").await;
    assert!(page.says("C02.3 Sidelights") && page.says("Up to 18 characters each"), "{}", page.page);
    let (_, _, list) = shop.bytes("/jobs/1/labels.csv").await;
    assert!(String::from_utf8(list).unwrap().contains(",https://shop.example:7117/jobs/1/wires/C02-3/b\r\n"));
    let late = shop.post("/labels", &right).await;
    assert_eq!(late.status, StatusCode::UNPROCESSABLE_ENTITY, "somebody else saved meanwhile");
}

#[tokio::test]
async fn the_shop_measures_a_sheet_of_its_own_and_prints_on_it() {
    let shop = Shop::open("metric", Role::Manager).await;
    let settled = [("version", "0"), ("rule", "{wire}{end} {far}"), ("stock", "own"), ("address", "")];
    shop.post("/labels", &settled).await.refused("stock", "Enter the dimensions of that sheet below");
    assert_eq!(shop.get("/jobs/1/labels?stock=own").await.status, StatusCode::UNPROCESSABLE_ENTITY);
    let measured = [
        ("own.paper_width_mm", "200"),
        ("own.paper_height_mm", "250"),
        ("own.columns", "3"),
        ("own.rows", "4"),
        ("own.width_mm", "58"),
        ("own.height_mm", "47"),
        ("own.left_mm", "8,5"),
        ("own.top_mm", "21"),
        ("own.across_mm", "63.5"),
        ("own.down_mm", "52"),
    ];
    let with = |field: &str, value: &'static str| {
        let change =
            move |(name, old): (&'static str, &'static str)| (name, if name == field { value } else { old });
        settled.into_iter().chain(measured).map(change).collect::<Vec<_>>()
    };
    for (field, value, named, words) in [
        ("own.columns", "4", "own.columns", "4 labels do not fit the paper: 8.5 + 3 × 63.5 + 58 = 257.0 mm"),
        ("own.rows", "", "own.rows", "Required."),
        ("own.down_mm", "40", "own.down_mm", "The labels overlap: expected at least 47 mm"),
        ("own.paper_width_mm", "-3", "own.paper_width_mm", "Expected a size in millimeters"),
    ] {
        shop.post("/labels", &with(field, value)).await.refused(named, words);
    }
    assert_eq!(shop.post("/labels", &with("", "")).await.status, StatusCode::SEE_OTHER);
    assert_eq!(shop.get("/labels").await.field("own.left_mm"), "8.5");
    let page = shop.get("/jobs/1/labels").await;
    assert!(page.says("Own sheet, 200 × 250 mm, 3 × 4, 58 × 47 mm"), "{}", page.page);
    let (status, kind, _) = shop.bytes("/jobs/1/labels.pdf?stock=own&start=12").await;
    assert_eq!((status, kind.as_str()), (StatusCode::OK, "application/pdf"));
    let forgotten = [("version", "1"), ("rule", "{wire}{end} {far}"), ("stock", "a4-3x8"), ("address", "")];
    assert_eq!(shop.post("/labels", &forgotten).await.status, StatusCode::SEE_OTHER);
    assert!(!shop.get("/jobs/1/labels").await.says("Own sheet"));
}
