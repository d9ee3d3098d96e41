//! Drawings: laid out without overlaps and needless crossings, well-formed, without inline style, and
//! deaf to whatever names people type.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use driploop::drawing::chart::{Axis, Chart, ChartBand, ChartLimit, Divided, Format};
use driploop::drawing::one_line::{self, OneLineSheet, TEXT, WireTexts};
use driploop::drawing::panel;
use driploop::drawing::part::DrawnPart;
use driploop::drawing::svg::{Caption, TextBox};
use driploop::drawing::voltage_path::{Stop, StopKind, VoltagePath};
use driploop::job::file::JobFile;
use driploop::job::plan::{Circuit, Device, Plan, Polarity};
use driploop::job::point::Body;
use driploop::trade::units::Units;
use proptest::prelude::*;
use serde_json::{Value, json};

/// What a drawing has of a sheet of A3, less margins and title block, in millimeters.
const A3: (f64, f64) = (400.0, 257.0);
/// What it has of a window of 1440 px.
const SCREEN: f64 = 1110.0;

fn demo() -> Vec<Plan> {
    let jobs: [&[u8]; 3] = [
        include_bytes!("../src/shop/demo/crumb.json"),
        include_bytes!("../src/shop/demo/hazel-tern.json"),
        include_bytes!("../src/shop/demo/second-plover.json"),
    ];
    jobs.into_iter().map(|job| JobFile::read(job).unwrap().plan).collect()
}

fn address(part: DrawnPart<'_>) -> Option<String> {
    Some(match part {
        DrawnPart::Point(id) => format!("/point/{id}"),
        DrawnPart::Feeder(id) => format!("/feeder/{id}"),
        DrawnPart::Circuit(id) => format!("/circuit/{id}"),
        DrawnPart::Device(id) => format!("/device/{id}"),
        DrawnPart::Position(id, number) => format!("/point/{id}/{number}"),
    })
}

fn drawn(plan: &Plan) -> Vec<OneLineSheet> {
    one_line::draw(plan, &|part| one_line::given(plan, part), &address)
}

/// The diagram of a plan that fits one sheet.
fn drawn_on_one(plan: &Plan) -> OneLineSheet {
    let mut sheets = drawn(plan);
    assert_eq!(sheets.len(), 1);
    sheets.remove(0)
}

/// Texts outside the sheet or cut short.
fn misplaced(drawn: &OneLineSheet) -> Vec<&str> {
    let is_inside = |filled: &TextBox| {
        let (width, height) = (drawn.drawing.width, drawn.drawing.height);
        filled.left >= 0.0 && filled.top >= 0.0 && filled.right <= width && filled.bottom <= height
    };
    let wrong = drawn.texts.iter().filter(|(text, filled)| !is_inside(filled) || text.contains('\u{2026}'));
    wrong.map(|(text, _)| text.as_str()).collect()
}

/// The texts that stand on an upright bar.
fn on_a_bar(drawn: &OneLineSheet) -> Vec<&str> {
    let svg = drawn.drawing.to_string();
    let number = |line: &str, name: &str| -> f64 {
        line.split(&format!(" {name}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
    };
    let bars: Vec<TextBox> = svg
        .split("<line")
        .filter_map(|rest| rest.split("/>").next())
        .filter(|line| line.contains("stroke-width=\"5\""))
        .map(|line| {
            let [left, top, bottom] = ["x1", "y1", "y2"].map(|name| number(line, name));
            TextBox { left: left - 2.5, top, right: left + 2.5, bottom }
        })
        .collect();
    let texts = drawn.texts.iter().filter(|(_, text)| bars.iter().any(|bar| bar.overlaps(text)));
    texts.map(|(text, _)| text.as_str()).collect()
}

/// The texts of all sheets without their spaces, in the order in which they were drawn.
fn written(sheets: &[OneLineSheet]) -> String {
    let texts = sheets.iter().flat_map(|sheet| &sheet.texts).map(|(text, _)| text.as_str());
    texts.collect::<String>().replace(' ', "")
}

fn overlaps(drawn: &OneLineSheet) -> Vec<(&str, &str)> {
    let mut found = Vec::new();
    for (at, (text, filled)) in drawn.texts.iter().enumerate() {
        let after = drawn.texts[at + 1..].iter().filter(|(_, other)| filled.overlaps(other));
        found.extend(after.map(|(other, _)| (text.as_str(), other.as_str())));
    }
    found
}

/// Every element is closed in order, every attribute quoted, nothing carries style of its own.
fn check_markup(svg: &str) {
    let mut open = Vec::new();
    for piece in svg.split('<').skip(1) {
        let (tag, _) = piece.split_once('>').unwrap();
        assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(name), "{svg}");
        } else if !tag.ends_with('/') {
            open.push(tag.split_whitespace().next().unwrap());
        }
    }
    assert!(open.is_empty(), "{open:?}");
    for forbidden in [" style=", "<style", "<script", "NaN", "inf"] {
        assert!(!svg.contains(forbidden), "{forbidden}");
    }
}

#[test]
fn the_demo_is_drawn_without_overlap_or_crossing() {
    for plan in demo().into_iter().chain([many_circuits(60)]) {
        for drawn in drawn(&plan) {
            assert_eq!(overlaps(&drawn), [], "{}", plan.boat.name);
            assert_eq!(misplaced(&drawn), [""; 0], "{}", plan.boat.name);
            assert_eq!(on_a_bar(&drawn), [""; 0], "{}", plan.boat.name);
            assert_eq!(drawn.crossings, 0, "{}", plan.boat.name);
            check_markup(&drawn.drawing.to_string());
        }
    }
}

/// The least text is 2.2 mm high on A3, and 9 px in a window of 1440 px.
#[test]
fn the_demo_is_readable_on_a3_and_on_a_wide_screen() {
    for plan in demo().into_iter().chain([many_circuits(60), many_circuits(600)]) {
        for OneLineSheet { drawing, .. } in drawn(&plan) {
            let scale = (A3.0 / drawing.width).min(A3.1 / drawing.height);
            let (mm, px) = (TEXT * scale, TEXT * (SCREEN / drawing.width).min(1.0));
            assert!(mm >= 2.2 && px >= 9.0, "{}: {mm} mm, {px} px", plan.boat.name);
        }
    }
}

#[test]
fn every_name_is_whole_and_every_part_leads_somewhere() {
    for plan in demo().into_iter().chain([many_circuits(60)]) {
        let sheets = drawn(&plan);
        let text = written(&sheets);
        let is_drawn = one_line::is_drawn(&plan);
        let points =
            plan.points.iter().filter(|point| is_drawn(point)).map(|point| point.called().to_owned());
        let circuits = plan.circuits.iter().map(Circuit::name_and_label);
        let used = |device: &&Device| plan.circuits.iter().any(|circuit| circuit.feeds(&device.id));
        let devices = plan.devices.iter().filter(used).map(|device| device.name.to_string());
        for name in points.chain(circuits).chain(devices) {
            assert!(text.contains(&name.replace(' ', "")), "{name}");
        }
        let svg: String = sheets.iter().map(|sheet| sheet.drawing.to_string()).collect();
        let feeders = plan.feeders.iter().filter(|feeder| feeder.polarity == Polarity::Positive);
        let addresses = feeders
            .map(|feeder| format!("/feeder/{}", feeder.id))
            .chain(plan.circuits.iter().map(|circuit| format!("/circuit/{}", circuit.id)))
            .chain(plan.devices.iter().filter(used).map(|device| format!("/device/{}", device.id)));
        for address in addresses {
            assert!(svg.contains(&format!("href=\"{address}\"")), "{address}");
        }
        let none = one_line::draw(&plan, &|_| WireTexts::default(), &|_| None);
        assert!(none.iter().all(|sheet| !sheet.drawing.to_string().contains("<a ")));
    }
}

/// A boat with so many circuits on six fuse blocks, with long names, and several devices on some circuits.
fn many_circuits(count: usize) -> Plan {
    let mut points =
        vec![battery("house"), battery("start"), point("sw", "battery-switch"), point("bus", "positive-bus")];
    let mut feeders = vec![feeder(1, "house", "sw"), feeder(2, "start", "sw"), feeder(3, "sw", "bus")];
    for at in 0..6 {
        let mut block = point(&format!("fb{at}"), "fuse-block");
        block["name"] = json!(format!("Fuse block {at} below the starboard side of the console"));
        points.push(block);
        feeders.push(feeder(10 + at, "bus", &format!("fb{at}")));
    }
    let circuits: Vec<Value> = (0..count)
        .map(|at| {
            let mut own = circuit(at, &format!("fb{}", at % 6));
            own["name"] =
                json!(format!("Circuit {at} of the Schleppangelrutenhalterbeleuchtungsanlage at the stern"));
            own["legs"] =
                (0..=at % 5).map(|leg| json!({"number": leg + 1, "device": format!("d{leg}")})).collect();
            own
        })
        .collect();
    let devices: Vec<Value> = (0..5).map(|at| json!({"id": format!("d{at}"), "name": format!("Courtesy light {at} in the cockpit"), "location": "helm"})).collect();
    plan_with(&json!(points), &json!(feeders), &json!(circuits), &devices)
}

#[test]
fn a_large_supply_takes_several_sheets_that_name_each_other() {
    let sheets = drawn(&many_circuits(60));
    assert!(sheets.len() > 1);
    let said = |sheet: &OneLineSheet, text: &str| {
        assert!(written(std::slice::from_ref(sheet)).contains(text), "{text}");
    };
    said(&sheets[0], "console,sheet2");
    said(&sheets[1], "fromsheet1");
    assert_eq!(sheets[1].drawing.title(), format!("One-line diagram of <b>\"&, sheet 2 of {}", sheets.len()));
}

/// Twenty bars in a row are wider than any sheet: the row goes on below.
#[test]
fn a_long_row_of_points_takes_several_sheets() {
    let points: Vec<Value> = std::iter::once(battery("p0"))
        .chain((1..20).map(|at| point(&format!("p{at}"), "positive-bus")))
        .collect();
    let feeders: Vec<Value> =
        (1..20).map(|at| feeder(at, &format!("p{}", at - 1), &format!("p{at}"))).collect();
    let plan = plan(&json!(points), &json!(feeders), &json!([circuit(1, "p19"), circuit(2, "p3")]));
    let sheets = drawn(&plan);
    assert!(sheets.len() > 1);
    for sheet in &sheets {
        assert!(sheet.drawing.width < 2_000.0, "{}", sheet.drawing.width);
        assert_eq!((overlaps(sheet), misplaced(sheet)), (Vec::new(), Vec::new()));
    }
    let svg: String = sheets.iter().map(|sheet| sheet.drawing.to_string()).collect();
    for at in 1..20 {
        assert!(svg.contains(&format!("href=\"/feeder/F{at}\"")), "F{at}");
    }
}

/// A plan read as a job file, with a negative bus and one device for every circuit to feed.
fn plan(points: &Value, feeders: &Value, circuits: &Value) -> Plan {
    plan_with(points, feeders, circuits, &[json!({"id": "d", "name": "Device <&>", "location": "helm"})])
}

fn plan_with(points: &Value, feeders: &Value, circuits: &Value, devices: &[Value]) -> Plan {
    let mut points = points.as_array().unwrap().clone();
    points.push(json!({"id": "neg", "kind": "negative-bus", "location": "helm"}));
    let file = json!({
        "format": 1,
        "job": {"name": "Test", "rules": "us", "nominal_v": 12, "ambient_c": 30},
        "boat": {"name": "<b>\"&", "length_m": 7.1},
        "locations": [{"id": "helm", "name": "Helm"}],
        "devices": devices,
        "points": points, "feeders": feeders, "circuits": circuits,
    });
    JobFile::read(file.to_string().as_bytes()).unwrap().plan
}

fn battery(id: &str) -> Value {
    json!({"id": id, "kind": "battery", "location": "helm", "open_circuit_v": 12.7, "capacity_ah": 100})
}

fn point(id: &str, kind: &str) -> Value {
    json!({"id": id, "name": format!("Point {id} <&>"), "kind": kind, "location": "helm", "rating_a": 100})
}

fn feeder(at: usize, from: &str, to: &str) -> Value {
    json!({"id": format!("F{at}"), "from": from, "to": to, "polarity": "positive", "size": "6 AWG", "insulation_c": 105,
        "length_m": 1.5, "protection": {"kind": "bolt-down-fuse", "rating_a": 60}})
}

fn circuit(at: usize, from: &str) -> Value {
    json!({"id": format!("C{at}"), "name": format!("Circuit <{at}>"), "legs": [{"number": 1, "device": "d"}], "from": from, "return": "neg",
        "size": "16 AWG", "length_m": 4.2, "insulation_c": 105, "protection": {"kind": "blade-fuse", "rating_a": 5}})
}

/// Two batteries into one switch, a charger into one of them, circuits straight from both: what a rewire
/// mostly finds.
#[test]
fn several_sources_are_drawn_without_a_crossing() {
    let points = json!([
        battery("house"),
        battery("start"),
        {"id": "charger", "kind": "charger", "location": "helm", "open_circuit_v": 14.4, "rating_a": 20},
        point("switch", "battery-switch"),
        point("fb", "fuse-block"),
    ]);
    let feeders = json!([
        feeder(1, "house", "switch"),
        feeder(2, "start", "switch"),
        feeder(3, "charger", "house"),
        feeder(4, "switch", "fb"),
    ]);
    let circuits = json!([circuit(1, "house"), circuit(2, "start"), circuit(3, "fb"), circuit(4, "fb")]);
    let drawn = drawn_on_one(&plan(&points, &feeders, &circuits));
    assert_eq!(drawn.crossings, 0);
    assert_eq!(overlaps(&drawn), []);
}

/// Each source feeds both bars: that cannot be drawn flat with sources at the left, and is counted.
#[test]
fn a_crossing_that_must_be_is_counted() {
    let points = json!([battery("a"), battery("b"), point("x", "positive-bus"), point("y", "positive-bus")]);
    let feeders = json!([feeder(1, "a", "x"), feeder(2, "a", "y"), feeder(3, "b", "x"), feeder(4, "b", "y")]);
    assert!(drawn_on_one(&plan(&points, &feeders, &json!([]))).crossings > 0);
}

#[test]
fn loops_and_empty_plans_are_drawn_all_the_same() {
    let points = json!([point("x", "positive-bus"), point("y", "positive-bus"), battery("alone")]);
    let feeders = json!([feeder(1, "x", "y"), feeder(2, "y", "x")]);
    check_markup(&drawn_on_one(&plan(&points, &feeders, &json!([circuit(1, "y")]))).drawing.to_string());
    check_markup(&drawn_on_one(&plan(&json!([]), &json!([]), &json!([]))).drawing.to_string());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// A supply without loops has no crossing, and no text stands on another.
    #[test]
    fn a_tree_is_drawn_flat(
        parents in prop::collection::vec(any::<prop::sample::Index>(), 0..9),
        kinds in prop::collection::vec(0..4usize, 9),
        froms in prop::collection::vec(any::<prop::sample::Index>(), 0..40),
    ) {
        let kind = ["positive-bus", "fuse-block", "battery-switch", "switch-panel"];
        let id = |at: usize| if at == 0 { "root".to_owned() } else { format!("p{at}") };
        let mut points = vec![battery("root")];
        let mut feeders = Vec::new();
        for (at, parent) in parents.iter().enumerate() {
            let mut drawn = point(&id(at + 1), kind[kinds[at]]);
            if kinds[at] == 3 {
                drawn["positions"] = json!([]);
            }
            points.push(drawn);
            feeders.push(feeder(at, &id(parent.index(at + 1)), &id(at + 1)));
        }
        let circuits: Vec<_> =
            froms.iter().enumerate().map(|(at, from)| circuit(at, &id(from.index(points.len())))).collect();
        for drawn in drawn(&plan(&json!(points), &json!(feeders), &json!(circuits))) {
            prop_assert_eq!(drawn.crossings, 0);
            prop_assert_eq!(overlaps(&drawn), Vec::<(&str, &str)>::new());
            prop_assert_eq!(misplaced(&drawn), Vec::<&str>::new());
        }
    }
}

#[test]
fn the_panel_shows_used_and_free_positions() {
    for plan in demo() {
        for point in &plan.points {
            let drawing = panel::draw(&plan, &point.id, &address);
            let Body::SwitchPanel(face) = &point.body else {
                assert!(drawing.is_none());
                continue;
            };
            let svg = drawing.unwrap().to_string();
            check_markup(&svg);
            for (position, number) in face.positions.iter().zip(1u16..) {
                assert!(svg.contains(&format!("/point/{}/{number}\"", point.id)), "{}", position.label);
                let here = |circuit: &&driploop::job::plan::Circuit| {
                    let at = circuit.switch.as_ref();
                    at.is_some_and(|at| at.panel == point.id && at.position == number)
                };
                for circuit in plan.circuits.iter().filter(here).take(1) {
                    assert!(svg.contains(&format!("/circuit/{}\"", circuit.id)), "{}", circuit.id);
                }
            }
            let free = svg.matches("position free").count();
            assert!(svg.contains(&format!("{free} free.")), "{}", point.id);
        }
    }
}

fn caption() -> Caption {
    Caption { title: "T <&>".to_owned(), words: "W".to_owned() }
}

fn axis(range: (f64, f64), divided: Divided) -> Axis {
    Axis { label: "x".to_owned(), range, divided }
}

#[test]
fn axes_are_divided_as_people_count() {
    let divisions = |range, divided, most| axis(range, divided).divisions(most);
    assert_eq!(divisions((0.0, 100.0), Divided::Evenly, 5), [0.0, 20.0, 40.0, 60.0, 80.0, 100.0]);
    assert_eq!(divisions((11.9, 12.7), Divided::Evenly, 5).len(), 4);
    assert_eq!(
        divisions((0.0, 48.0), Divided::ByHours, 8),
        [0.0, 6.0, 12.0, 18.0, 24.0, 30.0, 36.0, 42.0, 48.0]
    );
    assert_eq!(divisions((0.0, 72.0), Divided::ByHours, 6), [0.0, 12.0, 24.0, 36.0, 48.0, 60.0, 72.0]);
    assert_eq!(divisions((5.0, 5.0), Divided::Evenly, 5), [5.0]);
    assert_eq!(divisions((0.0, f64::NAN), Divided::Evenly, 5), [0.0]);
}

#[test]
fn a_chart_has_its_line_its_limit_and_a_key_where_names_do_not_fit() {
    let band = |from, to, label: &str| ChartBand { from, to, label: label.to_owned() };
    let chart = Chart {
        caption: caption(),
        x: axis((0.0, 24.0), Divided::ByHours),
        y: axis((0.0, 100.0), Divided::Evenly),
        points: vec![(0.0, 100.0), (12.0, 40.0), (24.0, f64::NAN)],
        limit: Some(ChartLimit { at: 50.0, label: "floor 50 %".to_owned() }),
        bands: vec![band(0.0, 2.0, "Running"), band(2.0, 24.0, "Anchored")],
    };
    let narrow = chart.draw(Format::Narrow).to_string();
    check_markup(&narrow);
    assert!(narrow.contains("A Running \u{b7} B Anchored") && narrow.contains("floor 50 %"), "{narrow}");
    // 24 h over the field from 52 to 364, 100 % over that from 264 up to 64: 12 h and 40 % stand at 208, 184.
    assert!(narrow.contains("52,64 208,184"), "{narrow}");
    let wide = Chart { bands: vec![band(0.0, 12.0, "Running"), band(12.0, 24.0, "Anchored")], ..chart };
    let wide = wide.draw(Format::Wide).to_string();
    assert!(wide.contains(">Running<") && !wide.contains("A Running"), "{wide}");
}

fn path(device_volts: f64) -> VoltagePath {
    let stop = |kind, volts, meters| Stop { name: "S <&>".to_owned(), kind, volts, meters };
    VoltagePath {
        caption: caption(),
        stops: vec![
            stop(StopKind::PositivePost, 12.7, 0.0),
            stop(StopKind::Fuse, 12.68, 0.2),
            stop(StopKind::Switch, 12.65, 1.0),
            stop(StopKind::Device, device_volts, 4.0),
            stop(StopKind::DeviceReturn, 0.12, 0.0),
            stop(StopKind::NegativePost, 0.0, 5.0),
        ],
        limit: Some(0.36),
        units: Units::Metric,
    }
}

/// 12.70 V at the post, 12.55 V and 0.12 V at the device: 0.15 V lost on the way out, 0.27 V in all, and
/// 12.43 V across the device.
#[test]
fn what_is_lost_adds_up_out_and_back() {
    let path = path(12.55);
    let lost = path.lost();
    for (found, expected) in lost.iter().zip([0.0, 0.02, 0.05, 0.15, 0.15, 0.27]) {
        assert!((found - expected).abs() < 1e-9, "{lost:?}");
    }
}

#[test]
fn a_path_over_its_limit_is_drawn_in_the_signal_color() {
    let lines = |volts| path(volts).draw().to_string().matches("signal-line").count();
    assert_eq!(lines(12.55), 1, "the limit alone");
    assert_eq!(lines(12.40), 2, "the limit and the path");
    check_markup(&path(12.55).draw().to_string());
    check_markup(&VoltagePath { stops: Vec::new(), ..path(12.55) }.draw().to_string());
}
