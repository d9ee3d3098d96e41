//! The pages of the whole supply: each answers for a full plan, a small one and a bare one, says the same
//! figures as the check, opens its workings without script, and links only to addresses within its job.

use std::collections::BTreeSet;

use axum::http::StatusCode;
use driploop::job::check::check;
use driploop::job::file::JobFile;
use driploop::job::worksheet::worksheet;
use driploop::shop::demo;
use driploop::shop::role::Role::{Manager, Viewer};
use driploop::trade::working::{Working, figure};

use crate::shop::{Answer, Shop, job};
use driploop::trade::quantity::Quantity;

const PAGES: [&str; 6] = ["/one-line", "/supply", "/energy", "/worksheet", "/lights", "/sizing"];

fn demo_boat(name: &str) -> JobFile {
    demo::files().unwrap().into_iter().find(|file| file.plan.boat.name.as_str() == name).unwrap()
}

/// The addresses that a page leads to.
fn links(page: &Answer) -> Vec<String> {
    let addresses = page.text().split("href=\"").skip(1);
    addresses.map(|rest| rest.split('"').next().unwrap().to_owned()).collect()
}

#[tokio::test]
async fn every_page_answers_for_a_full_a_small_and_a_bare_plan() {
    for file in [demo_boat("Second Plover"), demo_boat("Hazel Tern"), demo_boat("Crumb"), job()] {
        let shop = Shop::open(file).await;
        let ron = shop.sign_in(Viewer).await;
        for path in PAGES {
            let page = ron.page(path).await;
            page.is(StatusCode::OK).says(&["aria-current=\"page\""]);
            for nonsense in ["NaN", "inf ", "-0.0 ", " style=\""] {
                page.lacks(nonsense);
            }
        }
    }
}

#[tokio::test]
async fn nothing_is_empty_without_a_sentence() {
    let mut bare = job();
    bare.plan.circuits.clear();
    bare.plan.feeders.clear();
    bare.plan.points.clear();
    bare.plan.devices.clear();
    bare.plan.modes.clear();
    bare.history = Default::default();
    let shop = Shop::open(bare).await;
    let ron = shop.sign_in(Viewer).await;
    ron.page("/one-line").await.says(&["No feeder is planned.", "No circuit is planned."]);
    ron.page("/supply").await.says(&["No distribution point is planned.", "No conductor is planned."]);
    ron.page("/energy").await.says(&["No energy balance yet"]);
    ron.page("/worksheet").await.says(&["No bank yet"]);
    ron.page("/lights").await.says(&["No device is marked as a navigation light"]);
    ron.page("/sizing").await.says(&["Nothing to size yet"]);
}

#[tokio::test]
async fn protection_that_could_not_be_checked_is_listed_as_such() {
    let mut open = job();
    for protection in open.plan.feeders.iter_mut().filter_map(|feeder| feeder.protection.as_mut()) {
        protection.from_source_m = None;
    }
    let shop = Shop::open(open).await;
    let ron = shop.sign_in(Viewer).await;
    let page = ron.page("/supply").await;
    page.says(&["Not checked", "the distance of the protection from its source of power"])
        .lacks("Every positive conductor is protected");
}

/// The addresses in the drawings, and those in the tables that are about the positive side.
fn drawn_and_listed(page: &Answer) -> [BTreeSet<String>; 2] {
    let addresses = |text: &str| -> BTreeSet<String> {
        let found =
            text.split("href=\"/jobs/1/").skip(1).map(|rest| rest.split('"').next().unwrap().to_owned());
        let is_thing = |address: &String| {
            let things = ["circuits/", "feeders/", "plan/points#", "plan/devices#"];
            things.iter().any(|thing| address.starts_with(thing))
        };
        found.filter(is_thing).collect()
    };
    let main = page.after("<main", "</main>");
    let main = main.split("id=\"negative-side\"").next().unwrap();
    let (drawn, listed): (Vec<_>, Vec<_>) = main
        .split("<svg")
        .enumerate()
        .map(|(at, piece)| match piece.split_once("</svg>") {
            Some((drawn, rest)) if at > 0 => (drawn.to_owned(), rest.to_owned()),
            _ => (String::new(), piece.to_owned()),
        })
        .unzip();
    [addresses(&drawn.concat()), addresses(&listed.concat())]
}

#[tokio::test]
async fn the_diagram_shows_what_its_tables_show_and_nothing_else() {
    for name in ["Second Plover", "Hazel Tern", "Crumb", "Pied Wagtail"] {
        let file = demo_boat(name);
        let shop = Shop::open(file.clone()).await;
        let ron = shop.sign_in(Viewer).await;
        let page = ron.page("/one-line").await;
        let [drawn, listed] = drawn_and_listed(&page);
        assert_eq!(drawn, listed, "{name}");
        for circuit in &file.plan.circuits {
            assert!(drawn.contains(&format!("circuits/{}", circuit.id)), "{} of {name}", circuit.id);
            for device in circuit.devices() {
                assert!(drawn.contains(&format!("plan/devices#{device}")), "{device} of {name}");
            }
        }
        let all = links(&page);
        for feeder in &file.plan.feeders {
            assert!(all.contains(&format!("/jobs/1/feeders/{}", feeder.id)), "{} of {name}", feeder.id);
        }
        for link in all.iter().filter(|link| link.contains("/circuits/")).take(3) {
            ron.page(link.strip_prefix("/jobs/1").unwrap()).await.is(StatusCode::OK);
        }
    }
}

/// The sizes and ratings in the drawing are those that the check gives or chooses, or it says that there is none.
#[tokio::test]
async fn the_diagram_says_the_sizes_and_ratings_of_the_check() {
    for name in ["Hazel Tern", "Crumb"] {
        let file = demo_boat(name);
        let report = check(&file.plan);
        let shop = Shop::open(file).await;
        let page = shop.sign_in(Viewer).await.page("/one-line").await;
        let svg = page.after("class=\"drawing one-line\"", "</svg>");
        for (id, own) in &report.circuits {
            let size = own.conductor.size.map_or("size not known", |size| size.text());
            let group = svg.split_once(&format!("href=\"/jobs/1/circuits/{id}\"")).unwrap().1;
            let group = group.split_once("</a>").unwrap().0;
            assert!(group.contains(&format!(">{size}<")), "{id} of {name}: {group}");
            let rating = own.conductor.protection.as_ref().map(|fuse| fuse.rating_a);
            let said = rating
                .map(|rating| rating.map_or("rating not set".to_owned(), |a| format!("{} A", figure(a))));
            assert!(said.is_none_or(|said| group.contains(&format!(">{said}<"))), "{id} of {name}: {group}");
        }
    }
}

#[tokio::test]
async fn the_worksheet_has_every_load_of_every_mode_and_a_list() {
    let file = demo_boat("Second Plover");
    let sheet = worksheet(&file.plan, &check(&file.plan));
    let shop = Shop::open(file).await;
    let ron = shop.sign_in(Viewer).await;
    let page = ron.page("/worksheet").await;
    let lines: usize = sheet.banks.iter().flat_map(|bank| &bank.modes).map(|mode| mode.loads.len()).sum();
    // A long list has pages.
    let rest = ron.page("/worksheet?page=2").await;
    assert_eq!([&page, &rest].map(|page| page.count("data-name=\"Share of time\"")), [100, lines - 100]);
    for mode in sheet.banks.iter().flat_map(|bank| &bank.modes).filter(|mode| !mode.loads.is_empty()) {
        page.says(&[&mode.name, &mode.charge.working.result.to_string()]);
    }
    page.says(&["none", "No load draws from it"]);
    page.lacks("-0.0");
    page.lacks(">0.0<");
    let list = ron.page("/worksheet.csv").await;
    assert_eq!(list.text().lines().count(), lines + 1);
    assert!(list.text().starts_with("bank,mode,mode_h,device,circuit,kind,current_a"), "{}", list.text());
}

#[tokio::test]
async fn a_load_that_nobody_entered_is_no_zero_on_the_worksheet() {
    let mut file = demo_boat("Second Plover");
    file.plan.devices.iter_mut().for_each(|device| device.load = None);
    let shop = Shop::open(file).await;
    let ron = shop.sign_in(Viewer).await;
    let page = ron.page("/worksheet").await;
    page.says(&["not known", "Not known: no load has a current", "Not known: a load on it has no current"]);
    page.lacks("0.00");
    page.lacks("at least");
    let list = ron.page("/worksheet.csv").await;
    assert!(
        list.text().lines().skip(1).all(|line| line.contains(",not known,") && line.ends_with(",not known"))
    );
}

#[tokio::test]
async fn the_supply_says_what_the_check_says_of_points_and_modes() {
    let file = demo_boat("Second Plover");
    let report = check(&file.plan);
    let modes = report.modes.as_ref().unwrap();
    let shop = Shop::open(file.clone()).await;
    let ron = shop.sign_in(Viewer).await;
    let page = ron.page("/supply").await;
    for state in &modes.states {
        page.says(&[&state.name, &format!("{:.1} W", state.lost_w.unwrap())]);
    }
    let bar = &modes.points[&"pos-helm".parse().unwrap()];
    page.says(&[&format!("{:.1} A", bar.worst_a), "half of all that enters and leaves it"]);
    let short = report.points[&"fb1".parse().unwrap()].short_circuit_a.unwrap();
    page.says(&[&format!("{short:.0} A"), "short-circuit current at the point", "Starter cables", "F08"]);
    for page in ["/supply", "/plan/modes"] {
        ron.page(page).await.says(&["battery switch"]);
    }
}

#[tokio::test]
async fn energy_without_a_load_says_so_beside_its_figures() {
    let mut file = demo_boat("Second Plover");
    let plotter = file.plan.circuits.iter().find(|circuit| circuit.id.as_str() == "C13").unwrap().legs[0]
        .device
        .clone();
    file.plan.devices.iter_mut().find(|device| device.id == plotter).unwrap().load = None;
    let shop = Shop::open(file).await;
    let page = shop.sign_in(Viewer).await.page("/energy").await;
    page.says(&["Unknown loads are left out", "at least ", "at most ", "C13, not known"]);
}

#[tokio::test]
async fn energy_shows_its_curve_as_a_picture_and_as_the_same_numbers() {
    let file = demo_boat("Second Plover");
    let report = check(&file.plan);
    let course = report.energy.banks[0].course.as_ref().unwrap();
    let shop = Shop::open(file.clone()).await;
    let page = shop.sign_in(Viewer).await.page("/energy").await;
    page.says(&["State of charge, House battery", "class=\"drawing chart wide\"", "Table of the curve"]);
    let rows: usize =
        report.energy.banks.iter().filter_map(|bank| bank.course.as_ref()).map(|c| c.curve.len()).sum();
    assert_eq!(page.count("<th scope=\"row\" class=\"number right\">"), rows);
    page.says(&[&format!("{:.0} % after {:.1} h", course.lowest_pct, course.lowest_at_h)]);
    for mode in &report.energy.banks[0].modes {
        page.says(&[&format!("{:.1} Ah", mode.used_ah), &mode.working.result.to_string()]);
    }
}

#[tokio::test]
async fn every_combination_of_the_lights_has_a_verdict_and_a_rule() {
    let file = demo_boat("Hazel Tern");
    let report = check(&file.plan);
    let shop = Shop::open(file).await;
    let page = shop.sign_in(Viewer).await.page("/lights").await;
    assert_eq!(page.count("data-name=\"Shows\""), report.lights.combinations.len());
    page.says(&["Under power", "At anchor"]).lacks("Under sail");
    page.says(&[
        "under power",
        "at anchor",
        "wrong",
        "rule 30",
        "the sternlight doubles the all-round white light",
    ]);
}

#[tokio::test]
async fn a_boat_with_sails_has_a_column_for_them() {
    let mut file = demo_boat("Hazel Tern");
    file.plan.boat.sails = true;
    let shop = Shop::open(file).await;
    let ron = shop.sign_in(Viewer).await;
    ron.page("/lights").await.says(&[
        "<th scope=\"col\">Under sail</th>",
        "data-name=\"Under sail\"",
        "a masthead light says that the boat is under power",
        "rule 25 (a)",
    ]);
    ron.page("").await.says(&["Sails", "Carried"]);
    shop.sign_in(Manager).await.page("/intake").await.says(&["name=\"boat.sails\" value=\"yes\" checked"]);
}

#[tokio::test]
async fn figures_of_the_lists_open_in_place_on_their_working() {
    let file = demo_boat("Second Plover");
    let (circuits, feeders) = (file.plan.circuits.len(), file.plan.feeders.len());
    let report = check(&file.plan);
    let carried =
        report.feeders.values().filter(|feeder| feeder.conductor.design_current_a.is_some()).count();
    let dropped =
        report.feeders.values().filter(|feeder| feeder.conductor.handbook_drop_pct.is_some()).count();
    let shop = Shop::open(file).await;
    let ron = shop.sign_in(Viewer).await;
    let sized = report.feeders.values().filter(|feeder| feeder.conductor.size.is_some()).count();
    let fused =
        |workings: &[Working]| workings.iter().any(|working| working.what == Quantity::AllowedRatings);
    let fused_circuits =
        report.circuits.values().filter(|circuit| fused(&circuit.conductor.workings)).count();
    let fused_feeders = report.feeders.values().filter(|feeder| fused(&feeder.conductor.workings)).count();
    let lists = [
        ("/one-line", 3 * circuits + fused_circuits + feeders + carried + sized + fused_feeders),
        ("/plan/circuits", 3 * circuits + fused_circuits),
        ("/plan/feeders", feeders + carried + dropped + sized + fused_feeders),
    ];
    for (path, figures) in lists {
        assert_eq!(ron.page(path).await.opens(), figures, "{path}");
    }
    ron.page("/one-line").await.says(&["C01, one way", "sum of its wires to the farthest device"]);
}
