//! What the solved network, the batteries, the lights and sizing together say of whole plans: small boats
//! worked by hand, and the demo's boats.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use driploop::job::check::{self, JointReport, Report, WireSize, together};
use driploop::job::file::JobFile;
use driploop::job::modes::{SolvedState, StateOf};
use driploop::job::plan::Plan;
use driploop::shop::demo;
use driploop::trade::quantity::Quantity;
use driploop::trade::units::Units;
use serde_json::{Value, json};

/// A battery, a block, a bar and two lamps of 5 A and 2 A, all of 4 AWG and 10 AWG, 1 m and 3 m away.
fn boat() -> Value {
    json!({
        "format": 1,
        "job": {"name": "Trial", "rules": "us", "nominal_v": 12, "ambient_c": 30},
        "boat": {"name": "Trial", "length_m": 6.0, "fuel": "gasoline", "engine": "outboard", "top_speed_kn": 20},
        "locations": [{"id": "helm", "name": "Helm", "vapor": "open"}],
        "points": [
            {"id": "house", "kind": "battery", "location": "helm", "open_circuit_v": 12.6, "internal_mohm": 10,
             "capacity_ah": 100, "chemistry": "agm", "cranking_a": 700},
            {"id": "engine", "kind": "charger", "location": "helm", "open_circuit_v": 14.2, "internal_mohm": 40,
             "rating_a": 30, "starter_a": 150},
            {"id": "fb", "kind": "fuse-block", "location": "helm", "rating_a": 60, "positions": 6},
            {"id": "neg", "kind": "negative-bus", "location": "helm", "rating_a": 200},
            {"id": "panel", "kind": "switch-panel", "location": "helm",
             "positions": [{"label": "NAV", "rating_a": 15}, {"label": "ANCHOR", "rating_a": 15}]}],
        "feeders": [
            {"id": "F1", "from": "house", "to": "fb", "polarity": "positive", "size": "4 AWG", "insulation_c": 105,
             "length_m": 1.0, "protection": {"kind": "bolt-down-fuse", "rating_a": 60, "from_source_m": 0.1}},
            {"id": "F2", "from": "neg", "to": "house", "polarity": "negative", "size": "4 AWG", "insulation_c": 105,
             "length_m": 1.0},
            {"id": "F3", "from": "house", "to": "engine", "polarity": "positive", "size": "2 AWG",
             "insulation_c": 105, "length_m": 2.0, "cranking": true},
            {"id": "F4", "from": "engine", "to": "house", "polarity": "negative", "size": "2 AWG",
             "insulation_c": 105, "length_m": 2.0, "cranking": true}],
        "devices": [
            {"id": "sides", "name": "Sidelights", "location": "helm", "light": "sides", "drop_limit_pct": 3,
             "load": {"kind": "constant-current", "a": 5}},
            {"id": "white", "name": "White light", "location": "helm", "light": "all-round", "drop_limit_pct": 3,
             "load": {"kind": "constant-current", "a": 2}}],
        "circuits": [
            {"id": "C1", "name": "Sidelights", "legs": [{"number": 1, "device": "sides"}], "from": "fb", "return": "neg",
             "size": "10 AWG", "insulation_c": 105, "length_m": 3.0, "switch": {"panel": "panel", "position": 1},
             "protection": {"kind": "blade-fuse", "rating_a": 10}},
            {"id": "C2", "name": "White light", "legs": [{"number": 1, "device": "white"}], "from": "fb", "return": "neg",
             "size": "10 AWG", "insulation_c": 105, "length_m": 3.0, "switch": {"panel": "panel", "position": 2},
             "protection": {"kind": "blade-fuse", "rating_a": 5}}],
        "modes": [
            {"id": "running", "name": "Running", "hours": 2, "on": [{"circuit": "C1"}, {"circuit": "C2"}],
             "charging": ["engine"]},
            {"id": "anchored", "name": "Anchored", "hours": 10, "on": [{"circuit": "C2", "share": 0.5}]}]
    })
}

/// The boat with something at a location of the document changed.
fn with(pointer: &str, value: Value) -> Value {
    let mut boat = boat();
    *boat.pointer_mut(pointer).unwrap() = value;
    boat
}

fn read(boat: &Value) -> JobFile {
    JobFile::read(boat.to_string().as_bytes()).unwrap()
}

fn checked(boat: &Value) -> Report {
    check::check(&read(boat).plan)
}

/// The findings' codes about one thing.
fn codes<'a>(report: &'a Report, subject: &str) -> Vec<&'a str> {
    let about = report.findings.iter().filter(|finding| finding.subject.to_string() == subject);
    about.map(|finding| finding.code.phrase()).collect()
}

fn state<'a>(report: &'a Report, name: &str) -> &'a SolvedState {
    report.modes.as_ref().unwrap().states.iter().find(|state| state.name == name).unwrap()
}

#[track_caller]
fn near(got: f64, expected: f64, within: f64) {
    assert!((got - expected).abs() <= within, "got {got}, expected {expected}");
}

fn demo_boat(name: &str) -> Plan {
    demo::files().unwrap().into_iter().find(|file| file.plan.boat.name.as_str() == name).unwrap().plan
}

/// Kirchhoff by hand: the block passes what its mode's lamps draw.
#[test]
fn each_mode_draws_what_is_on_in_it() {
    let report = checked(&boat());
    for (name, drawn) in [("All on", 7.0), ("Running", 7.0), ("Anchored", 2.0), ("Starting: engine", 157.0)] {
        near(state(&report, name).drawn_a.unwrap(), drawn, 1e-9);
    }
    let modes = report.modes.as_ref().unwrap();
    let block = &modes.points[&"fb".parse().unwrap()];
    assert_eq!((block.worst_in.as_str(), block.continuous_in.as_deref()), ("Running", Some("Running")));
    near(block.worst_a, 7.0, 1e-9);
    near(block.continuous_a.unwrap(), 7.0, 1e-9);
}

/// Ohm's law by hand: 12.6 V less 157 A x 10 mohm is 11.03 V at the posts.
#[test]
fn a_starter_pulls_the_battery_down_by_its_internal_resistance() {
    let report = checked(&boat());
    let start = state(&report, "Starting: engine");
    assert!(matches!(&start.of, StateOf::EngineStart { engine } if engine.as_str() == "engine"));
    near(start.volts[&"house".parse().unwrap()], 12.6 - 157.0 * 0.010, 1e-9);
    assert!(!codes(&report, "point/house").contains(&"cranking-voltage-low"));
}

#[test]
fn a_weak_battery_is_said_to_lack_cranking_reserve() {
    let report = checked(&with("/points/0/internal_mohm", json!(25)));
    assert!(codes(&report, "point/house").contains(&"cranking-voltage-low"));
}

#[test]
fn a_starter_without_a_current_is_said_and_not_passed() {
    let mut boat = boat();
    boat["points"][1].as_object_mut().unwrap().remove("starter_a");
    let report = checked(&boat);
    assert!(codes(&report, "point/engine").contains(&"not-checked"));
    assert!(report.modes.unwrap().states.iter().all(|state| !state.name.starts_with("Starting")));
}

#[test]
fn a_point_under_what_passes_it_all_the_time_is_said() {
    let report = checked(&with("/points/2/rating_a", json!(5)));
    assert_eq!(
        codes(&report, "point/fb").iter().filter(|code| **code == "distribution-point-over-rating").count(),
        1
    );
}

#[test]
fn volts_at_a_device_range_over_the_modes_it_is_on_in() {
    let report = checked(&boat());
    let volts = &report.modes.as_ref().unwrap().circuits[&"C2".parse().unwrap()];
    assert_eq!((volts.lowest_in.as_str(), volts.highest_in.as_str()), ("Starting: engine", "Anchored"));
    assert!(volts.lowest_v < volts.highest_v);
}

/// What the batteries give and what the wire loses open to their sums.
#[test]
fn a_mode_tells_how_its_figures_came_about() {
    let report = checked(&boat());
    let state = state(&report, "Anchored");
    let [given, lost] = state.workings.as_slice() else { panic!("{:?}", state.workings) };
    assert_eq!(given.numbers, "2 A (house)");
    assert_eq!(given.result, "2 A");
    // Two wires and two feeders carry it; the longer wire of the thinner copper is the hottest.
    assert!(
        lost.numbers.to_string().contains("(C2-") && lost.numbers.to_string().contains("(F1)"),
        "{}",
        lost.numbers
    );
    let watts: f64 = lost.result.to_string().trim_end_matches(" W").parse().unwrap();
    near(watts, state.lost_w.unwrap(), 1e-5);
}

#[test]
fn a_load_that_cannot_be_fed_is_said_for_its_mode() {
    let report = checked(&with("/devices/1/load", json!({"kind": "constant-power", "w": 40000})));
    assert!(codes(&report, "mode/anchored").contains(&"network-not-solved"));
    assert!(state(&report, "Anchored").not_solved.is_some());
}

/// By hand: running 7 A x 2 h, anchored 2 A x 50 % x 10 h.
#[test]
fn a_day_takes_current_times_share_times_hours() {
    let report = checked(&boat());
    let [bank] = report.energy.banks.as_slice() else { panic!("{:?}", report.energy.banks) };
    near(bank.daily_ah, 7.0 * 2.0 + 2.0 * 0.5 * 10.0, 1e-9);
    assert_eq!(bank.modes.iter().map(|mode| mode.charging_a).collect::<Vec<_>>(), [30.0, 0.0]);
    let course = bank.course.as_ref().unwrap();
    // Full after running; anchored takes 10 Ah of 100 Ah at less than the rated current, so by no exponent.
    let after_a_day = course.curve.iter().find(|moment| moment.hours > 24.0 - 1e-6).unwrap();
    near(after_a_day.charge_pct, 90.0, 1e-6);
    assert!(course.lowest_pct > 89.0 && course.lowest_pct <= 90.0 + 1e-6, "{}", course.lowest_pct);
    assert!(course.curve.windows(2).all(|pair| pair[0].hours < pair[1].hours));
    near(course.curve.last().unwrap().hours, 72.0, 1e-6);
    assert!(course.curve.iter().any(|moment| moment.charge_pct == course.lowest_pct));
}

/// What a manufacturer states comes before what is usual: at 20 A on 100 Ah the exponent 1.3 weighs 20 x 4^0.3 A.
#[test]
fn a_manufacturers_figures_come_before_the_usual_ones() {
    let mut boat = boat();
    boat["modes"][1]["on"] = json!([{"circuit": "C2"}]);
    boat["modes"][1]["hours"] = json!(1);
    boat["devices"][1]["load"] = json!({"kind": "constant-current", "a": 20});
    for (field, value) in [("peukert", json!(1.3)), ("floor_pct", json!(70)), ("low_v", json!(11.5))] {
        boat["points"][0][field] = value;
    }
    let report = checked(&boat);
    let course = report.energy.banks[0].course.as_ref().unwrap();
    assert_eq!(course.floor_pct, 70.0);
    let after_three_hours = course.curve.iter().find(|moment| moment.hours > 3.0 - 1e-6).unwrap();
    near(after_three_hours.charge_pct, 100.0 - 20.0 * 4_f64.powf(0.3), 1e-6);
}

/// The voltage at rest tells little near the end: an empty bank is down to its low voltage.
#[test]
fn an_empty_bank_is_down_to_its_low_voltage() {
    let mut boat = boat();
    boat["modes"][0]["charging"] = json!([]);
    boat["devices"][1]["load"] = json!({"kind": "constant-current", "a": 15});
    let report = checked(&boat);
    let course = report.energy.banks[0].course.as_ref().unwrap();
    assert_eq!(course.lowest_pct, 0.0);
    assert!(course.low_voltage_at_h.is_some_and(|at| at > 0.0 && at < 24.0), "{:?}", course.low_voltage_at_h);
}

#[test]
fn batteries_of_unlike_kinds_are_no_bank() {
    let mut boat = boat();
    let mut second = boat["points"][0].clone();
    (second["id"], second["chemistry"]) = (json!("second"), json!("agm"));
    boat["points"][0]["chemistry"] = json!("flooded");
    boat["points"].as_array_mut().unwrap().push(second);
    for (id, ends, polarity) in [("F8", ["second", "fb"], "positive"), ("F9", ["neg", "second"], "negative")]
    {
        let cable = json!({"id": id, "from": ends[0], "to": ends[1], "polarity": polarity, "size": "4 AWG",
            "insulation_c": 105, "length_m": 1.0});
        boat["feeders"].as_array_mut().unwrap().push(cable);
    }
    assert!(codes(&checked(&boat), "point/house").contains(&"batteries-of-different-kinds"));
}

#[test]
fn an_alternator_gives_less_while_its_engine_idles() {
    let mut boat = boat();
    boat["points"][1]["curve"] = json!([{"rpm": 2000, "a": 24}, {"rpm": 800, "a": 12}]);
    let running = |boat: &Value| checked(boat).energy.banks[0].modes[0].charging_a;
    assert_eq!(running(&boat), 30.0);
    // On the line between 800 and 2000; no more than at the last speed, nothing under the first.
    for (rpm, amperes) in [(800, 12.0), (1100, 15.0), (2000, 24.0), (5000, 24.0), (790, 0.0)] {
        boat["modes"][0]["rpm"] = json!(rpm);
        near(running(&boat), amperes, 1e-9);
    }
    let without_curve = "Enter the output curve of ";
    let said = |boat: &Value| {
        checked(boat).findings.iter().any(|one| one.text.text(Units::Us).starts_with(without_curve))
    };
    assert!(!said(&boat));
    boat["points"][1].as_object_mut().unwrap().remove("curve");
    assert_eq!(running(&boat), 30.0);
    assert!(said(&boat));
}

/// What files from before the curve said is read as before: an engine that idles turns 700 times a minute.
#[test]
fn an_idling_engine_of_an_old_file_is_read_as_one_of_700_turns() {
    let mut boat = boat();
    boat["points"][1]["idle_a"] = json!(12);
    boat["modes"][0]["idling"] = json!(true);
    let charging: Vec<_> = checked(&boat).energy.banks[0].modes.iter().map(|mode| mode.charging_a).collect();
    assert_eq!(charging, [12.0, 0.0]);
    let written: Value = serde_json::from_str(&read(&boat).write()).unwrap();
    assert_eq!(written["points"][1]["curve"], json!([{"rpm": 700.0, "a": 12.0}]));
    assert_eq!(written["modes"][0]["rpm"], json!(700.0));
    assert!(written["points"][1].get("idle_a").is_none() && written["modes"][0].get("idling").is_none());
    for (field, expected) in [("idle_a", "what it gives at idle twice"), ("curve", "800 rpm twice")] {
        let mut twice = boat.clone();
        twice["points"][1]["curve"] = json!([{"rpm": 800, "a": 12}, {"rpm": 800, "a": 13}]);
        if field == "curve" {
            twice["points"][1].as_object_mut().unwrap().remove("idle_a");
        }
        let error = JobFile::read(twice.to_string().as_bytes()).unwrap_err().to_string();
        assert!(error.contains(expected), "{error}");
    }
}

#[test]
fn nothing_charges_where_no_mode_says_so() {
    let report = checked(&with("/modes/0/charging", json!([])));
    assert!(codes(&report, "point/house").contains(&"never-fully-charged"));
}

#[test]
fn a_charger_without_a_rating_is_said_and_counts_as_nothing() {
    let mut boat = boat();
    boat["points"][1].as_object_mut().unwrap().remove("rating_a");
    let report = checked(&boat);
    assert_eq!(report.energy.banks[0].modes[0].charging_a, 0.0);
    assert!(codes(&report, "point/house").contains(&"input-missing"));
}

/// Both modes have the white light on, and nobody knows what it takes.
#[test]
fn a_load_that_is_not_known_is_said_and_leaves_the_energy_open() {
    let mut boat = boat();
    boat["devices"][1].as_object_mut().unwrap().remove("load");
    boat["circuits"][0]["legs"] = json!([{"number": 1, "device": "sides"}, {"number": 2, "device": "white"}]);
    boat["circuits"].as_array_mut().unwrap().pop();
    boat["modes"][0]["on"] = json!([{"circuit": "C1"}]);
    boat["modes"][1]["on"] = json!([{"circuit": "C1", "share": 0.5}]);
    let report = checked(&boat);
    let said: Vec<_> =
        report.findings.iter().filter(|one| one.subject.to_string() == "device/white").collect();
    let said: Vec<_> =
        said.iter().filter(|one| one.text.text(Units::Us).contains("what it draws from the bank")).collect();
    assert_eq!(said.iter().map(|one| one.code.phrase()).collect::<Vec<_>>(), ["input-missing"]);
    let bank = &report.energy.banks[0];
    assert_eq!(bank.not_counted, ["C1".parse().unwrap()]);
    // What is known of the circuit is counted: 5 A x 2 h + 5 A x 50 % x 10 h.
    near(bank.daily_ah, 35.0, 1e-9);
    let mode = &bank.modes[1].working;
    assert!(
        mode.numbers.to_string().contains("white of C1, not known")
            && mode.result.to_string().starts_with("at least"),
        "{mode:?}"
    );
    let course = bank.course.as_ref().unwrap();
    let end = course.workings.iter().find(|one| one.what == Quantity::ChargeAtEnd).unwrap();
    assert!(
        end.result.to_string().starts_with("at most")
            && end.result.to_string().contains("without white of C1"),
        "{end:?}"
    );
}

#[test]
fn only_a_charger_charges_and_only_once() {
    for (charging, field) in [
        (json!(["fb"]), "modes[0].charging[0]"),
        (json!(["nowhere"]), "modes[0].charging[0]"),
        (json!(["engine", "engine"]), "modes[0].charging[1]"),
    ] {
        let boat = with("/modes/0/charging", charging);
        let error = JobFile::read(boat.to_string().as_bytes()).unwrap_err().to_string();
        assert!(error.contains(field), "{error}");
    }
}

#[test]
fn without_modes_the_energy_says_what_it_lacks() {
    let report = checked(&with("/modes", json!([])));
    assert!(report.energy.banks.is_empty() && codes(&report, "job/job").contains(&"not-checked"));
    assert_eq!(report.modes.unwrap().points[&"fb".parse().unwrap()].worst_in, "All on");
}

#[test]
fn lights_are_judged_by_the_switches_they_hang_on() {
    let report = checked(&boat());
    assert_eq!(report.lights.switches, ["NAV", "ANCHOR"]);
    let shows: Vec<_> = report.lights.combinations.iter().map(|one| one.words()).collect();
    assert_eq!(shows, ["dark", "wrong", "at anchor", "under power"]);
}

#[test]
fn a_boat_that_carries_sails_is_judged_under_sail_as_well() {
    let mut boat = boat();
    boat["boat"]["sails"] = json!(true);
    let report = checked(&boat);
    let asked: Vec<_> = report.lights.asked.iter().map(|working| working.what).collect();
    assert_eq!(asked, [Quantity::LightsUnderPower, Quantity::LightsUnderSail, Quantity::LightsAtAnchor]);
    // 6 m: a torch will do where the sternlight lacks (rule 25 (d)).
    assert!(codes(&report, "job/job").contains(&"flashlight-needed"));

    boat["boat"]["engine"] = json!("none");
    let asked = checked(&boat).lights.asked;
    assert_eq!(asked[0].what, Quantity::LightsUnderSail);
    boat["boat"]["sails"] = json!(false);
    assert_eq!(checked(&boat).lights.asked[0].what, Quantity::LightsUnderOars);
}

#[test]
fn a_white_light_that_burns_with_the_sides_only_is_no_anchor_light() {
    let mut boat = boat();
    boat["circuits"][0]["legs"] = json!([{"number": 1, "device": "sides"}, {"number": 2, "device": "white"}]);
    boat["circuits"].as_array_mut().unwrap().pop();
    boat["modes"] = json!([]);
    assert!(codes(&checked(&boat), "job/job").contains(&"no-anchor-light"));
}

#[test]
fn a_light_without_a_circuit_is_said() {
    let mut boat = boat();
    boat["circuits"].as_array_mut().unwrap().pop();
    boat["modes"] = json!([]);
    assert!(codes(&checked(&boat), "device/white").contains(&"input-missing"));
}

fn joint(boat: &Value) -> JointReport {
    let job = read(boat);
    together(&job.plan, &check::check(&job.plan))
}

#[test]
fn given_sizes_are_kept_and_the_rest_is_chosen() {
    let mut boat = boat();
    boat["circuits"][0].as_object_mut().unwrap().remove("size");
    let sized = joint(&boat);
    for wire in &sized.wires {
        assert_eq!(wire.given, wire.subject.id != "C1", "{wire:?}");
    }
    assert!(sized.anew_kg <= sized.planned_kg && sized.lower_bound_kg <= sized.anew_kg);
}

/// Copper is the sum of lengths times areas, and no wire is thinner than its own rules allow.
#[test]
fn copper_of_the_demo_is_no_less_than_its_lower_bound() {
    for name in ["Second Plover", "Hazel Tern"] {
        let plan = demo_boat(name);
        let sized = together(&plan, &check::check(&plan));
        let copper = |wire: &WireSize| Some(wire.copper_m * wire.anew?.area().value * 8960.0);
        near(sized.anew_kg, sized.wires.iter().filter_map(copper).sum(), 1e-9);
        assert!(sized.wires.iter().all(|wire| wire.anew >= wire.smallest), "{name}");
        assert!(sized.lower_bound_kg <= sized.anew_kg && sized.wires.len() > 10, "{name}");
    }
}

#[test]
fn every_mode_of_the_demo_has_an_answer() {
    for file in demo::files().unwrap() {
        let report = check::check(&file.plan);
        for state in &report.modes.as_ref().unwrap().states {
            assert_eq!(state.not_solved, None, "{}: {}", file.plan.boat.name, state.name);
        }
        let written = serde_json::to_value(&report).unwrap();
        assert!(written["modes"]["states"].is_array() && written["energy"]["banks"].is_array());
        assert!(written["lights"]["combinations"].is_array());
    }
}
