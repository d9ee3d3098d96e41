//! New things: what they begin with, what is kept, what is refused and how.

use axum::http::StatusCode;
use driploop::job::load::Load;
use driploop::job::plan::{CableTo, PullString, Wiring};
use driploop::job::point::Body;
use driploop::shop::role::Role;

use crate::fixture::{Shop, shop};

#[tokio::test]
async fn a_location_is_created_and_listed() {
    let shop = shop().await;
    shop.change("new/location", &[("id", "ttop"), ("name", "T-top <high>"), ("wet", "yes")])
        .await
        .saved("/plan/locations#ttop");
    let location = shop.plan().await.locations.pop().unwrap();
    assert_eq!((location.name.as_str(), location.wet, location.engine_space), ("T-top <high>", true, false));
    let list = shop.get("locations").await;
    assert!(list.says("T-top &#60;high&#62;") && list.says("Bilge pump"), "{}", list.page);
}

#[tokio::test]
async fn a_raceway_joins_two_locations() {
    let shop = shop().await;
    let same = [("kind", "tube"), ("between[0]", "helm"), ("between[1]", "helm"), ("length_m", "12 ft")];
    shop.change("new/raceway", &same).await.refused("between[1]", "another location than the first");
    let fields = [
        ("kind", "tray"),
        ("between[0]", "helm"),
        ("between[1]", "bow"),
        ("length_m", "12 ft"),
        ("pull_string", "yes"),
    ];
    shop.change("new/raceway", &fields).await.saved("/plan/locations#way1");
    let raceway = shop.plan().await.raceways.pop().unwrap();
    assert_eq!((raceway.length_m.unwrap().number(), raceway.pull_string), (3.6576, Some(PullString::Yes)));
}

#[tokio::test]
async fn the_kind_of_a_point_is_chosen_first_and_decides_its_form() {
    let shop = shop().await;
    let kinds = shop.get("new/point").await;
    assert!(kinds.says("?kind=junction-bar") && !kinds.says("name=\"location\""), "{}", kinds.page);
    let battery = shop.get("new/point?kind=battery").await;
    assert!(battery.says("name=\"capacity_ah\"") && !battery.says("name=\"rating_a\""), "{}", battery.page);
    assert_eq!(
        (battery.field("id"), battery.field("open_circuit_v")),
        ("bat1".to_owned(), "12.7".to_owned())
    );
    let block = shop.get("new/point?kind=fuse-block").await;
    assert_eq!(block.field("id"), "fb2", "the next free one");
}

#[tokio::test]
async fn a_switch_panel_is_created_with_its_positions() {
    let shop = shop().await;
    let mut fields = shop.form("new/point?kind=switch-panel").await;
    fields.retain(|(name, _)| !name.starts_with("positions"));
    let rows = [
        ("location", "helm"),
        ("positions[1].label", "HORN"),
        ("positions[4].label", "WASH"),
        ("positions[4].rating_a", "15"),
    ];
    shop.send("new/point", &fields, &rows).await.saved("/plan/points#panel1");
    let panel = shop.plan().await.points.pop().unwrap();
    let Body::SwitchPanel(panel) = panel.body else { panic!("{:?}", panel.body) };
    let labels: Vec<&str> = panel.positions.iter().map(|position| position.label.as_str()).collect();
    assert_eq!(labels, ["HORN", "WASH"]);
    let list = shop.get("points").await;
    assert!(list.says("WASH") && list.says("C02"), "which circuit is on which switch: {}", list.page);
}

#[tokio::test]
async fn more_rows_come_by_a_button_and_nothing_typed_is_lost() {
    let shop = shop().await;
    let form = shop.form("new/point?kind=switch-panel").await;
    let rows = |page: &str| page.matches("].label\"").count() / 2;
    let before = rows(&shop.get("new/point?kind=switch-panel").await.page);
    let more = shop.send("new/point", &form, &[("positions[0].label", "HORN"), ("more", "positions")]).await;
    assert_eq!(more.status, StatusCode::OK);
    assert_eq!(more.field("positions[0].label"), "HORN");
    assert!(rows(&more.page) > before, "{} rows", rows(&more.page));
    assert_eq!(shop.plan().await.points.len(), 7, "nothing is saved by it");
}

#[tokio::test]
async fn a_device_is_created_with_load_and_settings() {
    let shop = shop().await;
    let fields = [
        ("name", "Fixed radio"),
        ("location", "helm"),
        ("load.kind", "constant-power"),
        ("load.figure", "75,5"),
        ("settings[0].name", "MMSI"),
        ("settings[1].name", "Squelch"),
        ("settings[1].value", "3"),
    ];
    shop.change("new/device", &fields).await.saved("/plan/devices#D01");
    let device = shop.plan().await.devices.pop().unwrap();
    assert!(matches!(device.load, Some(Load::ConstantPower(watts)) if watts.number() == 75.5));
    assert_eq!((device.settings.len(), device.settings[0].value.is_none()), (2, true));
    let list = shop.get("devices").await;
    assert!(
        list.says("new/circuit?legs%5B0%5D.device=D01"),
        "a device on no circuit leads to a new one: {}",
        list.page
    );
}

#[tokio::test]
async fn a_device_brings_its_cable_and_half_a_cable_is_refused() {
    let shop = shop().await;
    let device = [("name", "Antenna"), ("location", "bow"), ("load.kind", "")];
    let half = [("cables[0].length_m", "20 ft")];
    shop.change("new/device", &[&device[..], &half].concat())
        .await
        .refused("cables[0].kind", "Choose what the cable is for.");
    let open = [("cables[0].kind", "antenna"), ("cables[0].length_m", "20 ft")];
    shop.change("new/device", &[&device[..], &open].concat()).await.refused("cables[0].to", "Choose one.");
    let whole = [
        ("cables[0].id", "D01"),
        ("cables[0].kind", "antenna"),
        ("cables[0].length_m", "20 ft"),
        ("cables[0].to", "helm"),
        ("cables[0].far_connector.width_mm", "19"),
        ("cables[0].least_length_m", "1 m"),
    ];
    shop.change("new/device", &[&device[..], &whole].concat()).await.saved("/plan/devices#D01");
    let cable = shop.plan().await.devices.pop().unwrap().cables.remove(0);
    assert_eq!((cable.length_m.unwrap().number(), cable.least_length_m.unwrap().number()), (6.096, 1.0));
    assert_eq!(
        (cable.id.as_str(), cable.to, cable.outside_mm, cable.sealed_join),
        ("D01", CableTo::Location("helm".parse().unwrap()), None, false)
    );
}

#[tokio::test]
async fn a_device_has_a_made_and_a_cut_cable_and_the_ends_of_the_cut_one_are_terminated() {
    let shop = shop().await;
    let device = [("name", "Antenna"), ("location", "bow"), ("load.kind", "")];
    let made = [
        ("cables[0].id", "aerial"),
        ("cables[0].label", "VHF coax"),
        ("cables[0].kind", "antenna"),
        ("cables[0].length_m", "6"),
        ("cables[0].to", "helm"),
    ];
    shop.change("new/device", &[&device[..], &made].concat()).await.saved("/plan/devices#D01");
    let cut = [
        ("cables[1].id", "net"),
        ("cables[1].label", "VHF coax"),
        ("cables[1].kind", "network"),
        ("cables[1].to", "helm"),
        ("cables[1].connector.name", "M12 male"),
    ];
    let twice = "expected a label that no other cable has";
    shop.change("devices/D01", &cut).await.refused("cables[1].label", twice);
    let labeled = [&cut[..1], &[("cables[1].label", "N1")], &cut[2..]].concat();
    shop.change("devices/D01", &labeled).await.saved("/plan/devices#D01");
    let device = shop.plan().await.devices.pop().unwrap();
    let labels: Vec<_> = device.cables.iter().map(|cable| cable.label_text().to_owned()).collect();
    assert_eq!((labels, device.cables[1].length_m), (vec!["VHF coax".to_owned(), "N1".to_owned()], None));

    let printed = shop.get("/jobs/1/labels").await;
    for text in ["N1-a", "N1-b", "VHF coax-a"] {
        assert!(printed.says(text), "{text}: {}", printed.page);
    }
    let end = shop.get("/jobs/1/wires/net/a").await;
    for text in ["Cable N1-a", "Connector</dt><dd>M12 male", "end/net-a/terminate", "Found something"] {
        assert!(end.says(text), "{text}: {}", end.page);
    }
    assert!(
        end.says("Enter the connector at Antenna, network cable (net-b)") && !end.says("sample crimp"),
        "{}",
        end.page
    );
    let made = shop.get("/jobs/1/wires/aerial/a").await;
    assert!(made.says("Cable VHF coax-a") && !made.says("/terminate"), "{}", made.page);
    let work = shop.get("/jobs/1/phases/terminations").await;
    for text in ["N1-a at Antenna", "M12 male", "Cable cut to length"] {
        assert!(work.says(text), "{text}: {}", work.page);
    }
    assert_eq!(shop.get("/jobs/1/wires?q=n1-b").await.to, "/jobs/1/wires/net/b");
    let found = shop.get("/jobs/1/wires?q=network+helm").await;
    assert!(found.says(">N1<") && found.says("cable cut to length"), "{}", found.page);
}

#[tokio::test]
async fn a_circuit_is_created_and_begins_like_the_one_before() {
    let shop = shop().await;
    let begin = shop.get("new/circuit?legs%5B0%5D.device=horn&name=Horn").await;
    let held: Vec<String> = ["id", "name", "from", "return", "insulation_c", "legs[0].device"]
        .map(|name| begin.field(name))
        .into();
    assert_eq!(held, ["C03", "Horn", "fb1", "neg1", "90", "horn"]);
    let fields = [
        ("switch", "panel:2"),
        ("junction", "jb1"),
        ("legs[1].device", "pump"),
        ("wiring", "home-runs"),
        ("protection.rating_a", "10"),
        ("protection.from_source_m", "7 in"),
        ("length_m", "4.3"),
    ];
    shop.send("new/circuit", &begin.fields(), &fields).await.saved("/plan/circuits#C03");
    let circuit = shop.plan().await.circuits.pop().unwrap();
    assert_eq!((circuit.legs.len(), circuit.wiring, circuit.size), (2, Wiring::HomeRuns, None));
    assert_eq!(circuit.switch.unwrap().position, 2);
    let fuse = circuit.protection.unwrap();
    assert_eq!((fuse.rating_a.unwrap().number(), fuse.from_source_m.unwrap().number()), (10.0, 0.1778));
    let list = shop.get("circuits").await;
    assert!(
        list.says("aria-label=\"14 AWG") || list.says("labeled C03 and C03"),
        "a drawn wire: {}",
        list.page
    );
}

#[tokio::test]
async fn a_feeder_and_a_mode_are_created() {
    let shop = shop().await;
    let feeder =
        [("polarity", "positive"), ("from", "main"), ("to", "fb1"), ("size", "6 AWG"), ("length_m", "0")];
    shop.change("new/feeder", &feeder).await.saved("/plan/feeders#F4");
    let mode = [("name", "Drifting"), ("hours", "4"), ("on[0].share", "0.5")];
    shop.change("new/mode", &mode).await.saved("/plan/modes#mode1");
    let plan = shop.plan().await;
    assert_eq!(plan.feeders.last().unwrap().length_m.unwrap().number(), 0.0, "points that touch");
    let mode = plan.modes.last().unwrap();
    assert_eq!((mode.on.len(), mode.on[0].circuit.as_str()), (1, "C02"));
}

#[tokio::test]
async fn a_refusal_is_beside_its_field_and_what_was_typed_stays() {
    let shop = shop().await;
    let fields = [
        ("id", "no spaces allowed"),
        ("name", "Live <well>"),
        ("legs[0].device", "horn"),
        ("protection.rating_a", "ten"),
        ("length_m", "far"),
        ("insulation_c", "20"),
    ];
    let refused = shop.change("new/circuit", &fields).await;
    refused.refused("id", "an id of 1 to 32 letters");
    refused.refused("protection.rating_a", "not \u{2018}ten\u{2019}");
    refused.refused("length_m", "Expected a length such as 7.1 m");
    refused.refused("insulation_c", "from 60 to 200");
    for (name, typed) in fields {
        assert_eq!(refused.field(name), typed, "{name}");
    }
    assert!(refused.says("Not saved: 4 to correct"), "{}", refused.page);
    assert_eq!(shop.plan().await.circuits.len(), 2);
}

#[tokio::test]
async fn what_does_not_fit_the_rest_of_the_plan_is_refused_beside_its_field() {
    let shop = shop().await;
    let taken = [("id", "C02"), ("name", "Second"), ("legs[0].device", "horn")];
    shop.change("new/circuit", &taken).await.refused("id", "no other circuit has");
    let nothing = [("name", "Second"), ("legs[0].device", "")];
    shop.change("new/circuit", &nothing).await.refused("legs[0].device", "one device at least");
    let gone = [("name", "Second"), ("legs[0].device", "horn"), ("switch", "panel:9")];
    shop.change("new/circuit", &gone).await.refused("switch", "a position of panel from 1 to 3");
    let bundle = [("name", "Second"), ("legs[0].device", "horn"), ("bundle", "0")];
    shop.change("new/circuit", &bundle).await.refused("bundle", "1 or more");
    shop.change("new/mode", &[("name", "Long"), ("hours", "9")])
        .await
        .refused("hours", "expected at most 24");
    let loose = [("name", "Pump"), ("location", "bow"), ("load.kind", ""), ("load.figure", "4")];
    shop.change("new/device", &loose).await.refused("load.kind", "amperes, watts or ohms");
    let half = [("name", "Pump"), ("location", "bow"), ("load.figure", "4"), ("inrush.a", "9")];
    shop.change("new/device", &half).await.refused("inrush.s", "beside the other");
    let figures =
        [("protection.kind", ""), ("protection.rating_a", "5"), ("name", "x"), ("legs[0].device", "horn")];
    shop.change("new/circuit", &figures).await.refused("protection.kind", "the figures below need it");
}

#[tokio::test]
async fn one_after_another_can_be_added() {
    let shop = shop().await;
    let answer = shop.change("new/location", &[("name", "Transom"), ("then", "another")]).await;
    assert!(answer.to.ends_with("/plan/new/location"), "{}", answer.to);
    assert_eq!(shop.get("new/location").await.field("id"), "location2");
}

#[tokio::test]
async fn who_may_only_look_is_not_offered_to_change() {
    let shop = Shop::open("metric", Role::Viewer).await;
    for list in ["locations", "points", "devices", "circuits", "feeders", "modes"] {
        let page = shop.get(list).await;
        assert_eq!(page.status, StatusCode::OK);
        assert!(!page.says("/plan/new/") && !page.says(&format!("/plan/{list}/")), "{list}: {}", page.page);
    }
    assert_eq!(shop.get("new/location").await.status, StatusCode::FORBIDDEN);
    assert_eq!(shop.post("locations/helm/remove", &[("version", "1")]).await.status, StatusCode::FORBIDDEN);
    assert_eq!(shop.get("/jobs/from-file").await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn a_shop_of_feet_reads_and_shows_feet() {
    let shop = Shop::open("us", Role::Technician).await;
    shop.change("circuits/C02", &[("length_m", "14")]).await.saved("#C02");
    assert_eq!(shop.plan().await.circuits[0].length_m.unwrap().number(), 4.2672);
    let form = shop.get("circuits/C02").await;
    assert_eq!(form.field("length_m"), "14 ft");
    assert!(form.says("Such as 12 ft 3 1/2 in"), "{}", form.page);
    let sizes = form.page.find("22 AWG").unwrap() < form.page.find("0.5 mm2").unwrap();
    assert!(sizes, "the shop's own sizes come first");
    assert!(shop.get("circuits").await.says(">14 ft<"));
    for typed in ["12' 3 1/2\"", "12 ft 3.5 in", "12\u{2032}3\u{bd}\u{2033}", "147.5 in"] {
        shop.change("circuits/C02", &[("length_m", typed)]).await.saved("#C02");
        assert_eq!(shop.get("circuits/C02").await.field("length_m"), "12 ft 3 1/2 in", "{typed}");
    }
    let refused = shop.change("circuits/C02", &[("length_m", "far")]).await;
    refused.refused("length_m", "Expected a length such as 12 ft 3 1/2 in, not \u{2018}far\u{2019}.");
    let refused = shop.change("circuits/C02", &[("length_m", "2000 ft")]).await;
    refused.refused("length_m", "Expected a length from 0 in to 656 ft 2 in, not \u{2018}2000 ft\u{2019}.");
    let refused = shop.change("locations/helm", &[("at.aside_m", "-1 ft")]).await;
    refused.refused("at.aside_m", "Expected a distance from the centerline from 0 in to 16 ft 4 7/8 in");
    shop.change("locations/helm", &[("at.ahead_m", "-1 ft 6 in")]).await.saved("#helm");
    assert_eq!(shop.get("locations/helm").await.field("at.ahead_m"), "-1 ft 6 in");
}
