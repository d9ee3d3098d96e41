//! Figures that open in place: each leads to one working of its own, and the sum can be done again by hand.

use driploop::job::check::check;
use driploop::job::file::JobFile;
use driploop::job::subject::{Subject, SubjectKind};
use driploop::shop::demo;
use driploop::shop::role::Role::Viewer;

use crate::shop::{Answer, Shop, job};

fn demo_boat(name: &str) -> JobFile {
    demo::files().unwrap().into_iter().find(|file| file.plan.boat.name.as_str() == name).unwrap()
}

/// The numbers of an equation and its result: `12.7 V - 12.6 V = 0.1 V`.
#[track_caller]
fn equation(how: &str) -> (String, f64) {
    let line = how.split_once("<span class=\"number\">").unwrap().1.split_once("</span>").unwrap().0;
    let (numbers, result) = line.rsplit_once(" = ").unwrap();
    (numbers.to_owned(), first_number(result))
}

fn first_number(text: &str) -> f64 {
    let number: String =
        text.chars().take_while(|letter| letter.is_ascii_digit() || ".-".contains(*letter)).collect();
    number.parse().unwrap_or_else(|_| panic!("no number first in {text:?}"))
}

/// To what the four digits leave that a figure is written with.
#[track_caller]
fn same(one: f64, other: f64) {
    assert!((one - other).abs() < 1.1e-2_f64.max(one.abs() / 1e3), "{one} is not {other}");
}

#[track_caller]
fn check_path(page: &Answer, stops: &[&str]) {
    let mut left = equation(&page.how(&format!("{}-left", stops[0]))).1;
    for stop in &stops[1..] {
        let (numbers, now) = equation(&page.how(&format!("{stop}-left")));
        let (before, lost) = numbers.split_once(" - ").unwrap();
        same(first_number(before), left);
        same(left - first_number(lost), now);
        left = now;
        if page.count(&format!("how-{stop}-drop\" popover")) == 0 {
            continue;
        }
        let (numbers, result) = equation(&page.how(&format!("{stop}-drop")));
        let (amperes, ohms) = numbers.split_once(" A x ").unwrap();
        same(first_number(amperes) * first_number(ohms), result);
        same(result, first_number(lost));
    }
    same(left, 0.0);
}

#[tokio::test]
async fn the_voltage_along_a_circuit_can_be_followed_by_hand() {
    let file = job();
    let drop = check(&file.plan).circuits[&"C02".parse().unwrap()].solved_drop_from_battery_v.unwrap();
    let page = Shop::open(file).await.sign_in(Viewer).await.page("/circuits/C02").await;
    let stops = [
        "1-House-battery",
        "2-Fuse-block",
        "3-Fuse-7.5-A",
        "4-Panel",
        "5-Bilge-pump",
        "6-Bilge-pump-return",
        "7-Negative-bar",
        "8-House-battery",
    ];
    check_path(&page, &stops);
    let dropped = stops.iter().filter(|stop| page.text().contains(&format!("how-{stop}-drop\" popover")));
    assert_eq!(dropped.count(), 6, "all but the first post and the pump itself");
    let conductors = page.count("data-name=\"Conductor\"><button");
    assert_eq!(conductors, page.count("-conductor\" popover"));
    assert!(conductors >= 3, "each piece of wire on the way: {conductors}");
    let lost = stops.iter().skip(1).filter(|stop| !stop.ends_with("return"));
    let lost = lost.map(|stop| equation(&page.how(&format!("{stop}-drop"))).1);
    same(lost.sum(), drop);
    let on = |stop: &str| page.how(&format!("{stop}-drop"));
    assert!(on(stops[1]).contains("(F1)") && on(stops[2]).contains("(fuse)"));
    assert!(page.how("1-House-battery-left").contains("12.7 V - "), "from the battery at rest");
    for figure in ["source", "load", "current", "drop", "drop-allowed", "return"] {
        assert!(page.how(&format!("C02-at-pump-{figure}")).contains("nodal analysis"), "{figure}");
    }
    page.opens();
}

/// What `1 m + 2 x 0.5 m + 3 m + 2 x 0.5 m` comes to.
fn sum(numbers: &str) -> f64 {
    let product = |term: &str| term.split(" x ").map(first_number).product::<f64>();
    numbers.split(" + ").map(product).sum()
}

#[tokio::test]
async fn strings_and_cuts_open_on_their_sums() {
    let shop = Shop::open(demo_boat("Second Plover")).await;
    let ron = shop.sign_in(Viewer).await;
    for path in ["/phases/runs", "/routes"] {
        let page = ron.page(path).await;
        let tied = page.count("how-Pull-1-string-to-tie-on\" popover");
        assert_eq!(
            (tied, page.count("-string-to-tie-on\" popover")),
            (1, page.count(" on beside it")),
            "{path}"
        );
        let (numbers, result) = equation(&page.how("Pull-1-string-to-tie-on"));
        same(sum(&numbers), result);
        page.opens();
    }
    let routes = ron.page("/routes").await;
    let (numbers, result) = equation(&routes.how("Runs-to-cut-in-all"));
    same(sum(&numbers), result);
    let left = routes.after("Leave <button type=\"button\" class=\"opens\" popovertarget=\"how-", "\"");
    let (numbers, result) = equation(&routes.how(&left));
    same(sum(&numbers), result);
    let wires = routes.count("-length-to-cut\" popover");
    assert_eq!(wires, routes.count("data-name=\"Cut\"") - routes.count(">not cut<"), "each cut opens");
}

#[tokio::test]
async fn a_length_as_planned_opens_on_what_the_circuit_leaves_for_it() {
    let shop = Shop::open(job()).await;
    let ron = shop.sign_in(Viewer).await;
    let runs = ron.page("/phases/runs").await;
    let page = ron.page("/wires/C02-3").await;
    let (circuit, found) = (ron.page("/circuits/C02").await, ron.page("/wires?q=pump").await);
    // 3.8 m given for the circuit, 0.5 m of it to the switch.
    for (page, figure) in [(runs, "cut-to"), (page, "cut-to"), (circuit, "length"), (found, "length")] {
        page.opens();
        let how = page.how(&format!("C02-3-{figure}"));
        assert!(how.contains("3.8 m (C02) - 0.5 m (C02-1) = 3.3 m"), "{how}");
    }
}

#[tokio::test]
async fn a_feeder_without_a_length_opens_on_its_route_and_allowances() {
    let mut file = demo_boat("Second Plover");
    let given = file.plan.feeders.iter_mut().find(|feeder| feeder.length_m.is_some()).unwrap();
    given.length_m = Some(1.25.try_into().unwrap());
    let given = given.id.to_string();
    let report = check(&file.plan);
    let routed = |id: &str| report.routes.of(&Subject::new(SubjectKind::Feeder, id)).next()?.1.path.clone();
    let along = file.plan.feeders.iter_mut().find(|feeder| routed(feeder.id.as_str()).is_some()).unwrap();
    along.length_m = None;
    let along = along.id.to_string();
    let shop = Shop::open(file).await;
    let ron = shop.sign_in(Viewer).await;
    let list = ron.page("/plan/feeders").await;
    assert!(list.how(&format!("{given}-one-way")).contains("1.25 m given = 1.25 m"));
    let how = list.how(&format!("{along}-one-way"));
    let (way, cut) = how.split_once("length to cut: ").unwrap();
    let (numbers, path) = equation(way);
    same(sum_of_raceways(&numbers), path);
    assert!(cut.contains(&format!("({} m + ", driploop::trade::working::figure(path))), "{cut}");
    ron.page(&format!("/feeders/{along}")).await.says(&["length of the route", "length to cut"]);
}

/// What `tube 3.2 m measured + tray 1 m from the drawing` comes to.
fn sum_of_raceways(numbers: &str) -> f64 {
    let length = |term: &str| term.split(' ').nth(1).map(first_number).unwrap();
    numbers.split(" + ").map(length).sum()
}

#[tokio::test]
async fn sizes_and_fuses_open_on_why_wherever_a_list_shows_them() {
    let mut file = demo_boat("Second Plover");
    // One size of each kind: given, and chosen.
    let chosen = file.plan.circuits[0].id.clone();
    file.plan.circuits[0].size = None;
    file.plan.circuits[0].protection.as_mut().unwrap().rating_a = None;
    let given = file.plan.circuits[1..].iter().find(|circuit| circuit.size.is_some()).unwrap().id.clone();
    let report = check(&file.plan);
    let settled = &report.circuits[&chosen];
    let governed = settled.conductor.governed_by[0].words();
    let fuse = settled.conductor.protection.as_ref().unwrap();
    let (low, high) = (fuse.lowest_a.unwrap(), fuse.highest_a.unwrap());
    let shop = Shop::open(file).await;
    let ron = shop.sign_in(Viewer).await;
    for path in ["/plan/circuits", "/one-line"] {
        let page = ron.page(path).await;
        let how = page.how(&format!("{chosen}-size"));
        assert!(how.contains("the smallest stocked size that meets every rule"), "{path}: {how}");
        assert!(how.contains(&format!("decided by {governed}")) && how.contains("A ampacity"), "{how}");
        assert!(page.how(&format!("{given}-size")).contains("from the plan"), "{path}");
        let how = page.how(&format!("{chosen}-rating"));
        for part in ["largest rating", "allowed ratings", "rating to fit"] {
            assert!(how.contains(part), "{path}: {part}: {how}");
        }
        let ratings = how.split_once("allowed ratings").unwrap().1;
        assert!(ratings.contains(&low.to_string()) && ratings.contains(&high.to_string()), "{ratings}");
        page.opens();
    }
    let sizing = ron.page("/sizing").await;
    assert!(sizing.how(&format!("{given}-as-planned-size")).contains("from the plan"));
    for what in ["carries", "drop-as-planned"] {
        assert!(sizing.how(&format!("{given}-{what}")).contains("</span>"), "{what}");
    }
    sizing.opens();
    ron.page(&format!("/circuits/{chosen}")).await.says(&[&format!("decided by {governed} = ")]);
}

#[tokio::test]
async fn tubes_and_what_comes_off_the_spool_open_on_their_sums() {
    let shop = Shop::open(demo_boat("Second Plover")).await;
    let ron = shop.sign_in(Viewer).await;
    for (path, end, some) in [("/phases/terminations", "-length", 3), ("/bench", "-from-the-spool", 1)] {
        let page = ron.page(path).await;
        page.opens();
        let figures = page.text().split("popovertarget=\"how-").skip(1);
        let sums: Vec<_> =
            figures.map(|rest| rest.split('"').next().unwrap()).filter(|id| id.ends_with(end)).collect();
        assert!(sums.len() >= some, "{path}: {sums:?}");
        for id in sums {
            let (numbers, result) = equation(&page.how(id));
            same(sum(&numbers), result);
        }
    }
    // The sample job: two feeds, of which one is given.
    let bench = Shop::open(job()).await.sign_in(Viewer).await.page("/bench").await;
    assert!(bench.how("C02-1-cut-to").contains("0.5 m given = 0.5 m"));
}

/// State of charge in percent from `97.3 % - 2.41 Ah / 198 Ah + 0.85 x 1.2 Ah / 198 Ah (…)`.
fn charge(numbers: &str) -> f64 {
    let terms = numbers.split_once(" (").map_or(numbers, |(terms, _)| terms).split(' ');
    let (mut sum, mut sign, mut term, mut divides) = (0.0, 1.0, 1.0, false);
    for word in terms {
        match (word, word.parse::<f64>()) {
            ("+" | "-", _) => {
                sum += sign * term;
                (sign, term) = (if word == "-" { -1.0 } else { 1.0 }, 100.0);
            }
            ("/", _) => divides = true,
            (_, Ok(number)) => {
                term = if std::mem::take(&mut divides) { term / number } else { term * number };
            }
            _ => {}
        }
    }
    sum + sign * term
}

#[tokio::test]
async fn the_state_of_charge_opens_row_by_row_on_what_went_out_and_in() {
    let file = demo_boat("Second Plover");
    let report = check(&file.plan);
    let page = Shop::open(file).await.sign_in(Viewer).await.page("/energy").await;
    let mut seen = 0;
    for (bank, number) in report.energy.banks.iter().zip(1..) {
        let Some(course) = &bank.course else { continue };
        for moment in course.curve.iter().skip(1) {
            let hours = driploop::trade::working::figure(moment.hours);
            let (numbers, result) = equation(&page.how(&format!("Bank-{number}-at-{hours}-h-charge")));
            same(result, moment.charge_pct);
            assert!((charge(&numbers) - result).abs() < 0.05, "{numbers} is not {result}");
            seen += 1;
        }
    }
    assert!(seen > 100 && seen == page.opens(), "{seen}");
}

/// The numbers in a list of them: `3, 7`.
fn numbers(list: &str) -> Vec<usize> {
    list.split(", ").map(|number| number.parse().unwrap()).collect()
}

#[tokio::test]
async fn the_reports_annex_holds_each_working_once_and_each_figure_names_its_own() {
    let page = Shop::open(demo_boat("Second Plover")).await.sign_in(Viewer).await.page("/report").await;
    page.opens();
    let annex = page.after("id=\"annex-title\"", "</ol>");
    let items: Vec<&str> =
        annex.split("<li>").skip(1).map(|item| item.split("</li>").next().unwrap()).collect();
    let once: std::collections::HashSet<&&str> = items.iter().collect();
    assert!(items.len() > 50 && once.len() == items.len(), "{} of {}", once.len(), items.len());
    // Every working that opens on the screen is the item of its number on paper.
    let mut cited = std::collections::BTreeSet::new();
    let mut figures = 0;
    for sentence in page.text().split("</tr>").flat_map(|row| row.split("<td")) {
        let Some((said, rest)) = sentence.split_once("<sup class=\"cited\">") else { continue };
        let own = numbers(rest.split_once("</sup>").unwrap().0);
        let opened =
            said.split("<span class=\"number\">").skip(1).map(|line| line.split("</span>").next().unwrap());
        for line in opened {
            assert!(own.iter().any(|number| items[number - 1].contains(line)), "{line}: {own:?}");
            figures += 1;
        }
        cited.extend(own);
    }
    assert!(figures > 100, "{figures}");
    assert_eq!(
        cited.into_iter().collect::<Vec<_>>(),
        (1..=items.len()).collect::<Vec<_>>(),
        "none without a figure"
    );
}
