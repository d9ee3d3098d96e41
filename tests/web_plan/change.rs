//! Changes: a form gives back what it was filled with, and two people at one thing lose nothing.

use axum::http::StatusCode;

use driploop::job::plan::HoleFill;
use driploop::job::point::Body;
use driploop::shop::role::Role;

use crate::fixture::{Shop, shop};

/// Every thing of the small job by the address of its form.
const EVERYTHING: [&str; 22] = [
    "locations/stern",
    "locations/helm",
    "locations/bow",
    "raceways/tube",
    "raceways/under",
    "points/house",
    "points/alternator",
    "points/main",
    "points/fb1",
    "points/neg1",
    "points/panel",
    "points/jb1",
    "devices/nav",
    "devices/pump",
    "devices/horn",
    "circuits/C02",
    "circuits/C01",
    "feeders/F1",
    "feeders/F2",
    "feeders/F3",
    "modes/running",
    "modes/anchored",
];

#[tokio::test]
async fn a_form_sent_back_untouched_changes_nothing() {
    for units in ["metric", "us"] {
        let shop = Shop::open(units, Role::Technician).await;
        let before = shop.plan().await;
        for path in EVERYTHING {
            let id = path.rsplit('/').next().unwrap();
            shop.change(path, &[]).await.saved(&format!("#{id}"));
        }
        let job = format!("/jobs/{}", shop.job);
        shop.change(&format!("{job}/intake"), &[("job.wishes", "Keep the horn.\nNew lights.")])
            .await
            .saved(&job);
        let circuit = format!("{job}/circuits/C02");
        let form = shop.get(&circuit).await.form_with("rating_a");
        shop.send(&format!("{circuit}/what-if"), &form, &[]).await.saved("/circuits/C02");
        assert_eq!(shop.plan().await, before, "{units}");
    }
}

#[tokio::test]
async fn a_length_in_a_row_below_an_empty_one_is_kept() {
    let shop = Shop::open("us", Role::Technician).await;
    let stored = async || {
        let circuit = shop.plan().await.circuits.remove(0);
        circuit.conductors.iter().map(|own| own.length_m.unwrap().number()).collect::<Vec<_>>()
    };
    assert_eq!(stored().await, [0.7]);
    shop.change("circuits/C02", &[("conductors[1].length_m", "1.2345 m")]).await.saved("#C02");
    assert_eq!(stored().await, [1.2345]);
    let form = shop.get("circuits/C02").await;
    assert_eq!(form.field("conductors[0].length_m"), "");
    assert_eq!(form.field("conductors[1].length_m"), "4 ft 5/8 in");
    shop.change("circuits/C02", &[]).await.saved("#C02");
    assert_eq!(stored().await, [1.2345]);
}

#[tokio::test]
async fn each_kind_of_thing_is_changed() {
    let shop = shop().await;
    shop.change("locations/helm", &[("name", "Console")]).await.saved("#helm");
    shop.change("raceways/under", &[("length_m", "2.5")]).await.saved("#under");
    shop.change("points/fb1", &[("positions", "6")]).await.saved("#fb1");
    shop.change("devices/nav", &[("load.kind", "constant-power"), ("load.figure", "14")]).await.saved("#nav");
    shop.change("circuits/C02", &[("size", ""), ("conductors[0].size", "")]).await.saved("#C02");
    shop.change("feeders/F2", &[("size", "4 AWG")]).await.saved("#F2");
    shop.change("modes/anchored", &[("on[1].share", "1")]).await.saved("#anchored");
    let plan = shop.plan().await;
    assert_eq!(plan.locations[1].name.as_str(), "Console");
    assert_eq!(plan.raceways[1].length_m.unwrap().number(), 2.5);
    assert_eq!(plan.points[3].body.position_count(), Some(6));
    assert_eq!(plan.circuits[0].size, None);
    assert_eq!(plan.feeders[1].size.unwrap().text(), "4 AWG");
    assert_eq!(plan.modes[1].on[0].circuit.as_str(), "C01");
}

#[tokio::test]
async fn an_alternators_curve_is_kept_with_the_slowest_speed_first() {
    let shop = shop().await;
    let curve = |speeds: [&'static str; 2]| {
        [("curve[0].rpm", speeds[0]), ("curve[0].a", "24"), ("curve[2].rpm", speeds[1]), ("curve[2].a", "12")]
    };
    shop.change("points/alternator", &curve(["2000", "800"])).await.saved("#alternator");
    shop.change("modes/running", &[("rpm", "1100")]).await.saved("#running");
    let plan = shop.plan().await;
    let Body::Charger(alternator) = &plan.points[1].body else { panic!("{:?}", plan.points[1]) };
    let speeds: Vec<_> =
        alternator.curve.iter().map(|point| (point.rpm.number(), point.a.number())).collect();
    assert_eq!(speeds, [(800.0, 12.0), (2000.0, 24.0)]);
    assert_eq!(plan.modes[0].rpm.unwrap().number(), 1100.0);
    let points = shop.get("points").await;
    assert!(points.says("12 A at 800 rpm") && points.says("24 A at 2000 rpm"));
    let twice = [("curve[1].rpm", "800")];
    shop.change("points/alternator", &twice).await.refused("curve[1].rpm", "in the curve already");
    shop.change("points/alternator", &[("curve[1].a", "")]).await.refused("curve[1].a", "");
    shop.change("modes/running", &[("rpm", "5")]).await.refused("rpm", "from 100 to 10000");
}

#[tokio::test]
async fn a_conductor_that_differs_is_given_by_its_ends() {
    let shop = shop().await;
    let page = shop.get("circuits/C02").await;
    let rows: Vec<String> = (0..4).map(|row| page.field(&format!("conductors[{row}].to"))).collect();
    assert_eq!(rows, ["panel", "jb1", "nav", "neg1"]);
    assert_eq!(page.field("conductors[1].size"), "14 AWG");
    shop.change(
        "circuits/C02",
        &[("conductors[1].length_m", ""), ("conductors[1].size", ""), ("conductors[2].length_m", "3.1")],
    )
    .await
    .saved("#C02");
    let given = shop.plan().await.circuits.remove(0).conductors;
    assert_eq!((given.len(), given[0].to.as_str(), given[0].length_m.unwrap().number()), (1, "nav", 3.1));
    let long = [("conductors[3].length_m", "x"), ("conductors[2].length_m", "3.1")];
    // The rows that hold something move up, so the third conductor's refusal stands at the second.
    shop.change("circuits/C02", &long).await.refused("conductors[1].length_m", "Expected a length");
}

#[tokio::test]
async fn an_id_stays_whatever_is_sent() {
    let shop = shop().await;
    shop.change("locations/helm", &[("id", "console")]).await.saved("#helm");
    assert_eq!(shop.plan().await.locations[1].id.as_str(), "helm");
}

#[tokio::test]
async fn what_was_removed_meanwhile_is_reported_and_what_was_typed_stays() {
    let shop = shop().await;
    let mine = shop.form("modes/anchored").await;
    shop.post("modes/anchored/remove", &[("version", "1")]).await.saved("/modes");
    let gone = shop.send("modes/anchored", &mine, &[("hours", "11")]).await;
    assert_eq!(gone.status, StatusCode::CONFLICT, "{}", gone.page);
    assert!(gone.says("Ana removed this") && gone.says("Undo the removal in the log"), "{}", gone.page);
    assert_eq!(gone.field("hours"), "11");
    assert_eq!(shop.plan().await.modes.len(), 1, "nothing is saved");

    // The removal undone, it is not what the form began with: both versions are shown.
    shop.post("/jobs/1/log/2/undo", &[("back", "/jobs/1/log")]).await.saved("/log");
    let both = shop.send("modes/anchored", &gone.fields(), &[]).await;
    assert_eq!(both.status, StatusCode::CONFLICT, "{}", both.page);
    assert!(both.says("Save over theirs"), "{}", both.page);
    shop.send("modes/anchored", &both.fields(), &[]).await.saved("#anchored");
    assert_eq!(shop.plan().await.modes[1].hours.number(), 11.0);
}

/// Two people open the same form, and one of them saves.
async fn saved_meanwhile(shop: &Shop, path: &str, theirs: &[(&str, &str)]) -> Vec<(String, String)> {
    let mine = shop.form(path).await;
    assert_eq!(shop.change(path, theirs).await.status, StatusCode::SEE_OTHER);
    mine
}

#[tokio::test]
async fn a_stale_save_shows_both_versions_and_keeps_what_only_one_changed() {
    let shop = shop().await;
    let theirs = [("protection.rating_a", "7.5"), ("name", "Nav lights")];
    let mine = saved_meanwhile(&shop, "circuits/C02", &theirs).await;
    let both = shop.send("circuits/C02", &mine, &[("name", "Running lights"), ("length_m", "6")]).await;
    assert_eq!(both.status, StatusCode::CONFLICT);
    for said in [
        "Save over theirs",
        "Keep theirs, drop mine",
        "<dd>Running lights</dd>",
        "<dd>Nav lights</dd>",
        "<dd>7.5</dd>",
    ] {
        assert!(both.says(said), "{said}: {}", both.page);
    }
    assert_eq!(shop.plan().await.circuits[0].name.as_str(), "Nav lights", "nothing of mine is kept yet");
    assert_eq!(both.field("name"), "Running lights", "both changed it: mine stands");
    assert_eq!(both.field("protection.rating_a"), "7.5", "only they changed it: theirs stands");
    shop.send("circuits/C02", &both.fields(), &[]).await.saved("#C02");
    let circuit = shop.plan().await.circuits.remove(0);
    assert_eq!(circuit.name.as_str(), "Running lights");
    assert_eq!(circuit.length_m.unwrap().number(), 6.0);
    assert_eq!(circuit.protection.unwrap().rating_a.unwrap().number(), 7.5);
}

#[tokio::test]
async fn a_stale_save_of_a_list_shows_its_rows() {
    let shop = shop().await;
    let theirs = [("settings[1].value", "440"), ("settings[2].name", "Delay")];
    let mine = saved_meanwhile(&shop, "devices/horn", &theirs).await;
    let both = shop.send("devices/horn", &mine, &[("settings[0].value", "high")]).await;
    assert_eq!(both.status, StatusCode::CONFLICT);
    shop.send("devices/horn", &both.fields(), &[]).await.saved("#horn");
    let settings = shop.plan().await.devices.remove(2).settings;
    let said: Vec<String> = settings
        .iter()
        .map(|s| format!("{} {}", s.name, s.value.as_ref().map_or("", |v| v.as_str())))
        .collect();
    assert_eq!(said, ["Tone high", "Pitch 440", "Delay "]);
}

#[tokio::test]
async fn a_form_without_its_version_is_refused() {
    let shop = shop().await;
    let answer = shop.post("locations/helm", &[("name", "Console")]).await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
    assert_eq!(shop.get("locations/nowhere").await.status, StatusCode::NOT_FOUND);
    assert_eq!(shop.get("/jobs/99/plan/locations").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_location_says_whether_it_is_below_the_waterline_and_what_holes_are_left() {
    let shop = shop().await;
    let fields = [("below_waterline", "yes"), ("old_holes", "12"), ("closed_with", "plug")];
    shop.change("locations/bow", &fields).await.saved("#bow");
    let plan = shop.plan().await;
    let bow = plan.locations.iter().find(|location| location.id.as_str() == "bow").unwrap();
    assert_eq!((bow.below_waterline, bow.old_holes, bow.closed_with), (true, Some(12), Some(HoleFill::Plug)));
    shop.change("locations/bow", &[("old_holes", "some")])
        .await
        .refused("old_holes", "Expected a whole number");
    shop.change("devices/nav", &[("through_hull", "yes")]).await.saved("#nav");
    assert!(shop.plan().await.devices[0].through_hull);
}

#[tokio::test]
async fn the_color_of_every_wire_is_chosen_from_the_table_or_in_words() {
    let shop = shop().await;
    let page = shop.get("/jobs/1/plan/circuits/C02").await;
    assert!(page.says("list=\"return_color-list\"") && page.says("value=\"dark gray\""), "{}", page.page);
    shop.change("circuits/C02", &[("return_color", "black with white stripe")]).await.saved("#C02");
    shop.change("feeders/F3", &[("color", "yellow")]).await.saved("#F3");
    let plan = shop.plan().await;
    let words = |color: &Option<driploop::job::value::Label>| color.as_ref().map(ToString::to_string);
    assert_eq!(words(&plan.circuits[0].return_color).as_deref(), Some("black with white stripe"));
    assert_eq!(words(&plan.feeders[2].color).as_deref(), Some("yellow"));
}
