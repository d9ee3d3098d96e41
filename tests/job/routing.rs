//! Runs through the boat: lengths from routes, who shares what, routes by hand, factory cables, findings.

use driploop::job::check::{Report, check};
use driploop::job::routing::{CableReport, RouteBy, RunReport};
use driploop::job::value::CircuitId;
use driploop::job::wiring::Conductors;
use driploop::trade::finding::Code;
use driploop::trade::route::{Allowances, fill};
use driploop::trade::units::Units;
use serde_json::{Value, json};
use uom::si::f64::Length;
use uom::si::length::millimeter;
use uom::si::ratio::percent;

use crate::fixture::{self, plan, report, told, wrongs};

/// The sound job with routes to the bow and its length left to them.
fn routed(job: &mut Value) {
    let bow =
        json!({"id": "tube-bow", "between": ["helm", "bow"], "length_m": 2.5, "bore_mm": 38, "kind": "tube"});
    job["raceways"].as_array_mut().unwrap().push(bow);
    job["circuits"][0]["legs"] = json!([{"number": 1, "device": "side"}]);
    job["circuits"][0].as_object_mut().unwrap().remove("length_m");
    job["devices"][1]["needs_no_wire"] = json!(true);
}

fn c01() -> CircuitId {
    "C01".parse().unwrap()
}

fn run<'r>(report: &'r Report, first: &str) -> &'r RunReport {
    report.routes.runs.iter().find(|(id, _)| id.as_str() == first).map(|(_, run)| run).unwrap()
}

/// What only a cable has.
fn of_cable<'r>(report: &'r Report, id: &str) -> &'r CableReport {
    run(report, id).cable.as_ref().unwrap()
}

fn ids<T: ToString>(list: &[T]) -> Vec<String> {
    list.iter().map(ToString::to_string).collect()
}

#[track_caller]
fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() < 1e-9, "{value} is not {expected}");
}

/// 2.5 m of tube, at each end 0.3 m of rise, 0.15 m of service loop and 0.1 m of drip loop, and 5 %.
const TO_BOW_M: f64 = (2.5 + 2.0 * 0.55) * 1.05;

#[test]
fn a_circuit_without_a_length_has_that_of_its_route() {
    let report = report(routed);
    assert_eq!(wrongs(&report), [""; 0]);
    let run = run(&report, "C01-3");
    assert_eq!(ids(&run.conductors), ["C01-3", "C01-4"]);
    assert_eq!((ids(&run.raceways), run.by), (vec!["tube-bow".to_owned()], Some(RouteBy::Shortest)));
    let cut = run.cut.as_ref().unwrap();
    near(cut.total_m, TO_BOW_M);
    near(cut.left_m(0), 0.55);
    let figures = &report.circuits[&c01()];
    near(figures.conductor.one_way_m.unwrap(), TO_BOW_M);
    near(figures.conductor.round_trip_m.unwrap(), 2.0 * TO_BOW_M);
    assert!(figures.conductor.handbook_drop_v.is_some() && figures.conductor.solved_drop_v.is_some());
}

#[test]
fn every_allowance_can_be_set() {
    let report = report(|job| {
        routed(job);
        job["job"]["allowances"] =
            json!({"rise_m": 0.5, "service_loop_m": 0.2, "drip_loop_m": 0, "waste_pct": 10});
        job["locations"][2]["rise_m"] = json!(0.1);
    });
    let cut = run(&report, "C01-3").cut.clone().unwrap();
    near(cut.total_m, (2.5 + 0.5 + 0.1 + 0.4) * 1.1);
    assert_eq!(cut.rise_m, [0.5, 0.1]);
    assert_eq!(Allowances::default().rise[0].value, 0.3);
}

#[test]
fn a_length_that_is_given_wins_and_says_so() {
    let given = report(|job| {
        routed(job);
        job["circuits"][0]["length_m"] = json!(3.1);
    });
    near(given.circuits[&c01()].conductor.one_way_m.unwrap(), 3.1);
    assert!(run(&given, "C01-3").length_given && !run(&report(routed), "C01-3").length_given);
    // Even the tube alone is longer.
    let short = report(|job| {
        routed(job);
        job["circuits"][0]["length_m"] = json!(2.4);
    });
    assert_eq!(wrongs(&short), ["fix length-under-route circuit/C01"]);
    let one = report(|job| {
        routed(job);
        job["circuits"][0]["conductors"] = json!([{"from": "jb1", "to": "side", "length_m": 2.4}]);
    });
    assert_eq!(wrongs(&one), ["fix length-under-route conductor/C01-3"]);
}

#[test]
fn a_length_by_hand_that_leaves_no_slack_says_what_is_missing() {
    let notes = |report: &Report| -> Vec<String> {
        let slack = report.findings.iter().filter(|finding| finding.code == Code::LengthWithoutSlack);
        slack.map(|finding| format!("{}: {}", finding.subject, fixture::said(finding))).collect()
    };
    let circuit = |length: f64| {
        report(move |job| {
            routed(job);
            for feeder in [0, 1] {
                job["feeders"][feeder]["length_m"] = json!(5.4);
            }
            job["circuits"][0]["length_m"] = json!(length);
        })
    };
    // 2.5 m of tube and 0.55 m at each end; what is measured is not wasted.
    assert_eq!(notes(&circuit(3.6)), [""; 0]);
    let said = notes(&circuit(3.0));
    assert_eq!(said.len(), 1, "{said:?}");
    assert!(
        said[0].starts_with("circuit/C01: 3.0 m entered; the route needs 3.6 m with rises and loops"),
        "{said:?}"
    );
    assert!(said[0].contains("Add 0.6 m or measure again before you cut."), "{said:?}");
    // 4.3 m of tube and 1.1 m at the ends.
    let feeder = notes(&report(|_| {}));
    assert!(
        feeder[0].starts_with("feeder/F1: 4.5 m entered; the route needs 5.4 m with rises and loops"),
        "{feeder:?}"
    );
    assert!(feeder[0].contains("Add 0.9 m or measure again before you cut."), "{feeder:?}");
}

#[test]
fn a_feeder_without_a_length_has_that_of_its_route() {
    let report = report(|job| {
        job["feeders"][1].as_object_mut().unwrap().remove("length_m");
    });
    assert_eq!(wrongs(&report), [""; 0]);
    let cut = run(&report, "F2").cut.as_ref().unwrap();
    // The return goes from the battery's end, which is nearer the source, to the bar.
    assert_eq!(ids(&run(&report, "F2").between), ["stern", "helm"]);
    near(report.feeders[&"F2".parse().unwrap()].conductor.one_way_m.unwrap(), cut.total_m);
    near(cut.path_m, 4.3);
}

#[test]
fn conductors_of_a_report_are_as_long_as_it_says() {
    let plan = plan(routed);
    let report = check(&plan);
    let length = |conductors: &Conductors| conductors.get("C01-4").unwrap().length.map(|length| length.value);
    assert_eq!(length(&Conductors::of(&plan)), None);
    near(length(&report.conductors(&plan)).unwrap(), TO_BOW_M);
}

#[test]
fn a_route_by_hand_wins_over_a_shorter_one() {
    let by_hand = |job: &mut Value| {
        routed(job);
        let more = [
            json!({"id": "gunwale", "between": ["helm", "locker"], "length_m": 3, "kind": "gunwale"}),
            json!({"id": "hole", "between": ["bow", "locker"], "length_m": 0.2, "bore_mm": 30, "kind": "bulkhead"}),
        ];
        job["raceways"].as_array_mut().unwrap().extend(more);
        job["locations"].as_array_mut().unwrap().push(json!({"id": "locker", "name": "Locker"}));
        job["circuits"][0]["route"] = json!(["gunwale", "hole"]);
    };
    let report = report(by_hand);
    assert_eq!(wrongs(&report), [""; 0]);
    let run = run(&report, "C01-3");
    assert_eq!(
        (ids(&run.raceways), run.by),
        (vec!["gunwale".to_owned(), "hole".to_owned()], Some(RouteBy::Given))
    );
    near(run.cut.as_ref().unwrap().path_m, 3.2);
}

#[test]
fn a_route_by_hand_that_leads_elsewhere_is_named_and_not_taken() {
    let broken = |route: Value| {
        let report = report(|job| {
            routed(job);
            job["circuits"][0]["route"] = route;
        });
        assert_eq!(run(&report, "C01-3").by, Some(RouteBy::Shortest));
        let said: Vec<_> =
            report.findings.iter().filter(|finding| finding.code.phrase() == "route-invalid").collect();
        assert_eq!(said.len(), 1);
        fixture::said(said[0])
    };
    assert!(broken(json!(["tube-port"])).contains("It does not reach Bow (bow)."));
    assert!(
        broken(json!(["tube-bow", "tube-port"])).contains("(tube-port) does not start at the far end of ")
    );
    let blocked = report(|job| {
        routed(job);
        job["raceways"][1]["condition"] = json!("blocked");
    });
    assert!(wrongs(&blocked).contains(&"fix no-raceway-between circuit/C01".to_owned()));
}

/// A chain goes on from where the one before ended; of home runs each begins again.
#[test]
fn a_route_by_hand_is_shared_out_among_the_devices() {
    let chain = |wiring: &'static str| {
        report(move |job| {
            routed(job);
            job["locations"].as_array_mut().unwrap().push(json!({"id": "locker", "name": "Locker"}));
            let on = json!({"id": "hole", "between": ["bow", "locker"], "length_m": 0.2, "bore_mm": 30, "kind": "bulkhead"});
            job["raceways"].as_array_mut().unwrap().push(on);
            job["devices"][1]["location"] = json!("locker");
            job["circuits"][0]["legs"] =
                json!([{"number": 1, "device": "side"}, {"number": 2, "device": "stern-light"}]);
            job["circuits"][0]["wiring"] = json!(wiring);
            job["circuits"][0]["route"] = json!(["tube-bow", "hole"]);
        })
    };
    let report = chain("chain");
    assert_eq!(ids(&run(&report, "C01-3").raceways), ["tube-bow"]);
    assert_eq!(ids(&run(&report, "C01-5").raceways), ["hole"]);
    let report = chain("home-runs");
    assert_eq!(ids(&run(&report, "C01-5").raceways), ["tube-bow", "hole"]);
}

/// Counted by hand: in the tube lie F1 and F2 with one conductor each, C01 and C02 with two each.
#[test]
fn the_bundle_is_who_shares_the_raceway() {
    let crowd = |job: &mut Value| {
        job["job"]["nominal_v"] = json!(60);
        job["points"][0]["open_circuit_v"] = json!(60);
        job["circuits"][0]["legs"] = json!([{"number": 1, "device": "stern-light"}]);
        let mut twin = job["circuits"][0].clone();
        twin["id"] = json!("C02");
        twin["switch"]["position"] = json!(2);
        twin["legs"] = json!([{"number": 1, "device": "horn"}]);
        job["circuits"].as_array_mut().unwrap().push(twin);
        let horn = json!({"id": "horn", "name": "Horn", "location": "stern", "drop_limit_pct": 10,
            "load": {"kind": "constant-current", "a": 2}});
        job["devices"].as_array_mut().unwrap().push(horn);
    };
    let report = report(crowd);
    let tube = &report.routes.raceways[&"tube-port".parse().unwrap()];
    assert_eq!((tube.carrying, tube.count), (6, 6));
    assert_eq!(ids(&tube.runs), ["C01-3", "C02-3", "F1", "F2"]);
    assert_eq!(run(&report, "C01-3").company, 6);
    // 33 CFR 183.435 (b), note 2: four to six conductors at 50 V and more carry 0.6 of table 5.
    let figures = &report.circuits[&c01()];
    near(figures.conductor.derated_ampacity_a.unwrap() / figures.conductor.ampacity_a.unwrap(), 0.6);
    // Given by hand it wins.
    let by_hand = crate::fixture::report(|job| {
        crowd(job);
        job["circuits"][0]["bundle"] = json!(2);
    });
    near(
        by_hand.circuits[&c01()].conductor.derated_ampacity_a.unwrap(),
        figures.conductor.ampacity_a.unwrap(),
    );
}

#[test]
fn an_engine_space_on_the_route_counts() {
    let hot = report(|job| {
        routed(job);
        job["raceways"][1]["engine_space"] = json!(true);
    });
    assert!(run(&hot, "C01-3").engine_space);
    // 33 CFR 183.425 note 1: 0.85 at 105 C.
    near(hot.circuits[&c01()].conductor.derated_ampacity_a.unwrap(), 0.85 * 25.0);
}

/// A tube of 12 mm takes two 6 AWG feeders no more: 2 x 7.98 mm of 12 mm is 88 %.
#[test]
fn an_over_full_raceway_says_what_bore_would_do() {
    let report = report(|job| job["raceways"][0]["bore_mm"] = json!(12));
    assert_eq!(wrongs(&report), ["fix raceway-overfilled raceway/tube-port"]);
    let tube = &report.routes.raceways[&"tube-port".parse().unwrap()];
    let size: driploop::trade::conductor::Size = "6 AWG".parse().unwrap();
    let feeders = [size.outside_diameter(); 2];
    let by_hand = fill::of(Length::new::<millimeter>(12.0), &feeders);
    near(tube.fill_pct.unwrap(), by_hand.share.get::<percent>());
    let text = fixture::said(
        report.findings.iter().find(|finding| finding.code.phrase() == "raceway-overfilled").unwrap(),
    );
    let bore = fill::least_bore(&feeders).get::<millimeter>().ceil();
    assert!(text.contains(&format!("a bore of {bore} mm")), "{text}");
    assert!(text.contains("between Helm console (helm) and Stern locker (stern) for "), "{text}");
}

#[test]
fn a_full_tube_sends_a_run_by_the_next_route() {
    let report = report(|job| {
        job["raceways"][0]["bore_mm"] = json!(16);
        let gunwale =
            json!({"id": "gunwale", "between": ["helm", "stern"], "length_m": 5.5, "kind": "gunwale"});
        job["raceways"].as_array_mut().unwrap().push(gunwale);
        job["feeders"][0]["length_m"] = json!(6.5);
        job["feeders"][1]["length_m"] = json!(6.5);
    });
    assert_eq!(wrongs(&report), [""; 0]);
    let moved = run(&report, "F1");
    assert_eq!((ids(&moved.raceways), moved.by), (vec!["gunwale".to_owned()], Some(RouteBy::NextBest)));
    near(moved.detour_m.unwrap(), 1.2);
    assert_eq!(moved.why, "the next shortest route, 1.2 m longer: tube-port is full");
    let all: Vec<_> = report.findings.iter().map(told).collect();
    assert!(all.contains(&"note rerouted-around-full-raceway feeder/F1".to_owned()), "{all:?}");
}

#[test]
fn what_is_not_known_of_a_raceway_never_passes() {
    let no_bore = report(|job| drop(job["raceways"][0].as_object_mut().unwrap().remove("bore_mm")));
    assert_eq!(wrongs(&no_bore), ["fix input-missing raceway/tube-port"]);
    let no_length = report(|job| {
        drop(job["raceways"][0].as_object_mut().unwrap().remove("length_m"));
        drop(job["feeders"][1].as_object_mut().unwrap().remove("length_m"));
    });
    assert!(wrongs(&no_length).contains(&"fix input-missing raceway/tube-port".to_owned()));
    let no_raceways = report(|job| job["raceways"] = json!([]));
    let all: Vec<_> = no_raceways.findings.iter().map(told).collect();
    assert!(all.contains(&"note not-checked job/job".to_owned()), "{all:?}");
    let open = report(|job| {
        job["raceways"][0]["kind"] = json!("tray");
        drop(job["raceways"][0].as_object_mut().unwrap().remove("bore_mm"));
    });
    assert_eq!(wrongs(&open), [""; 0]);
}

#[test]
fn within_one_location_nothing_tells_a_length() {
    let report = report(|job| {
        routed(job);
        job["devices"][0]["location"] = json!("helm");
    });
    assert_eq!(wrongs(&report), ["fix input-missing circuit/C01"]);
    let all: Vec<_> = report.findings.iter().map(told).collect();
    assert!(all.contains(&"note length-within-location-unknown conductor/C01-3".to_owned()), "{all:?}");
}

/// A cable from the bow to the helm: 2.5 m of tube and 0.55 m at each end.
fn cable(more: Value) -> Report {
    report(move |job| {
        routed(job);
        let mut cable = json!({"id": "side", "kind": "antenna", "length_m": 5, "to": {"location": "helm"}});
        cable.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        job["devices"][0]["cables"] = json!([cable]);
    })
}

#[test]
fn a_factory_cable_reaches_or_says_what_it_is_short_by() {
    let reaches = cable(json!({}));
    assert_eq!(wrongs(&reaches), [""; 0]);
    let told = of_cable(&reaches, "side");
    near(told.reach.as_ref().unwrap().spare_m, 1.4);
    let verdict = told.verdict.text(Units::Metric);
    assert!(verdict.starts_with("It reaches with 1.4 m to spare."), "{verdict}");
    assert_eq!(ids(&run(&reaches, "side").raceways), ["tube-bow"]);
    let tube = &reaches.routes.raceways[&"tube-bow".parse().unwrap()];
    assert_eq!(
        (ids(&tube.runs), tube.count, tube.carrying),
        (vec!["C01-3".to_owned(), "side".to_owned()], 3, 2)
    );

    let short = cable(json!({"length_m": 3}));
    assert_eq!(wrongs(&short), ["fix cable-too-short device/side"]);
    let told = of_cable(&short, "side");
    near(told.reach.as_ref().unwrap().spare_m, -0.6);
    // 3 m less 0.55 m at the bow and 0.15 m for the join does not get through 2.5 m of tube.
    assert_eq!(told.ends_in.as_ref().map(ToString::to_string).as_deref(), Some("tube-bow"));
    assert_eq!(told.join_at.as_ref().map(ToString::to_string).as_deref(), Some("bow"));
}

#[test]
fn a_join_at_a_wet_location_has_to_be_sealed() {
    let wet = |sealed: bool| {
        report(move |job| {
            routed(job);
            job["locations"][2]["wet"] = json!(true);
            job["devices"][0]["cables"] = json!([{"id": "side", "kind": "transducer", "length_m": 3,
                "to": {"location": "helm"}, "sealed_join": sealed}]);
        })
    };
    assert_eq!(
        wrongs(&wet(false)),
        ["fix cable-too-short device/side", "fix join-in-wet-location device/side"]
    );
    assert_eq!(wrongs(&wet(true)), ["fix cable-too-short device/side"]);
}

#[test]
fn a_connector_has_to_pass_the_bore() {
    assert_eq!(wrongs(&cable(json!({"far_connector": {"width_mm": 38}}))), [""; 0]);
    let wide = cable(json!({"far_connector": {"width_mm": 40}}));
    assert_eq!(wrongs(&wide), ["fix connector-too-wide device/side"]);
    assert_eq!(ids(&of_cable(&wide, "side").connector_stops_at), ["tube-bow"]);
}

/// A tube of 25 mm to the bow with a pair in it, and a transducer cable with a connector in the place of the antenna's.
fn beside(connector_mm: f64, more: fn(&mut Value)) -> Report {
    report(move |job| {
        routed(job);
        job["raceways"][1]["bore_mm"] = json!(25);
        job["devices"][0]["cables"] = json!([{"id": "side", "kind": "transducer", "length_m": 4,
            "to": {"location": "helm"}, "far_connector": {"width_mm": connector_mm}}]);
        more(job);
    })
}

#[test]
fn a_connector_that_would_not_pass_beside_the_rest_is_pulled_first() {
    // The pair of 16 AWG to the bow lies in the tube of 25 mm when the cable's turn comes: both routes are as long.
    let small = beside(15.0, |_| {});
    assert_eq!(small.findings.iter().filter(|finding| finding.code == Code::PullFirst).count(), 0);
    let wide = beside(22.0, |_| {});
    let all: Vec<_> = wide.findings.iter().map(told).collect();
    assert!(all.contains(&"note pull-first device/side".to_owned()), "{all:?}");
    assert_eq!(wrongs(&wide), [""; 0], "pulled first it passes");
    let said = wide.findings.iter().find(|finding| finding.code == Code::PullFirst).unwrap();
    let text = fixture::said(said);
    assert!(text.starts_with("Pull this cable first.") && text.contains("C01-3"), "{text}");
    let plan = plan(|job| {
        routed(job);
        job["raceways"][1]["bore_mm"] = json!(25);
        job["devices"][0]["cables"] = json!([{"id": "side", "kind": "transducer", "length_m": 4,
            "to": {"location": "helm"}, "far_connector": {"width_mm": 22}}]);
    });
    let report = check(&plan);
    let pulls = report.routes.pulls(&plan);
    assert!(pulls[0].cable().is_some() && pulls[1].cable().is_none(), "{pulls:?}");
    // By hand: two conductors gather to 1.2 x sqrt(2) x their diameter.
    let cable = of_cable(&report, "side");
    let girth = 1.2 * (fill_diameter(&run(&report, "C01-3").outside) * 2.0_f64.sqrt());
    assert!((cable.first_because.as_ref().unwrap().left_mm - (25.0 - girth)).abs() < 0.1, "{cable:?}");
}

/// The diameter in words such as `2 x 3.5 mm`.
fn fill_diameter(outside: &Option<String>) -> f64 {
    let words = outside.as_deref().unwrap();
    let (_, millimeters) = words.split_once("x ").unwrap();
    millimeters.trim_end_matches(" mm").parse().unwrap()
}

#[test]
fn of_two_connectors_that_do_not_pass_beside_each_other_one_has_to_come_off() {
    let two = beside(22.0, |job| {
        job["devices"].as_array_mut().unwrap().push(
            json!({"id": "sounder", "name": "Fishfinder", "location": "bow",
            "cables": [{"id": "sounder", "kind": "transducer", "length_m": 4, "to": {"location": "helm"},
                "far_connector": {"width_mm": 21}}]}),
        );
    });
    let all: Vec<_> = two.findings.iter().map(told).collect();
    assert!(all.contains(&"note pull-first device/side".to_owned()), "the widest first: {all:?}");
    assert!(all.contains(&"fix connector-too-wide device/sounder".to_owned()), "{all:?}");
}

#[test]
fn what_is_of_unknown_thickness_never_lets_a_connector_pass() {
    let unknown = beside(15.0, |job| {
        job["circuits"][0].as_object_mut().unwrap().remove("size");
        job["devices"][0].as_object_mut().unwrap().remove("load");
    });
    assert_eq!(run(&unknown, "C01-3").outside, None);
    let all: Vec<_> = unknown.findings.iter().map(told).collect();
    assert!(all.contains(&"note pull-first device/side".to_owned()), "{all:?}");
}

#[test]
fn each_pull_says_what_string_it_takes() {
    let strung = |given: Value| {
        let plan = plan(|job| {
            routed(job);
            job["raceways"][1]["pull_string"] = given;
            let second = json!({"id": "horn", "name": "Horn", "location": "bow", "drop_limit_pct": 10,
                "load": {"kind": "constant-current", "a": 2}});
            job["devices"].as_array_mut().unwrap().push(second);
            job["circuits"][0]["legs"] =
                json!([{"number": 1, "device": "side"}, {"number": 2, "device": "horn"}]);
            job["circuits"][0]["wiring"] = json!("home-runs");
            let cable = json!({"id": "side", "kind": "antenna", "length_m": 5, "to": {"location": "helm"}});
            job["devices"][0]["cables"] = json!([cable]);
        });
        let routes = check(&plan).routes;
        let bow = |pull: &driploop::job::routing::Pull<'_>| pull.from.as_str() == "bow";
        let strings = routes.pulls(&plan).into_iter().filter(bow).map(|pull| pull.string);
        strings.map(|string| string.map(|string| (string.feed_m, string.beside_m))).collect::<Vec<_>>()
    };
    // 2.5 m of tube and half a meter at each end: the two runs go together, the cable for itself, and finds the
    // string that was left by the pull before.
    assert_eq!(strung(json!("no")), [Some((3.5, 3.5)), Some((0.0, 3.5))]);
    assert_eq!(strung(json!("yes")), [Some((0.0, 3.5)), Some((0.0, 3.5))]);
    assert_eq!(strung(json!("not-needed")), [None, None]);
}

#[test]
fn the_length_of_a_route_opens_to_its_raceways() {
    let drawn = report(|job| {
        routed(job);
        job["raceways"][1].as_object_mut().unwrap().remove("length_m");
        job["locations"][0]["at"] = json!({"ahead_m": 3, "starboard_m": 0.2, "up_m": 0.9});
        job["locations"][2]["at"] = json!({"ahead_m": 6.5, "starboard_m": -0.4, "up_m": 1.1});
    });
    let tube = &drawn.routes.raceways[&"tube-bow".parse().unwrap()];
    // By hand: 3.5 + 0.6 + 0.2.
    assert_eq!(tube.drawn.as_ref().unwrap().result, "4.3 m");
    let run = run(&drawn, "C01-3");
    assert_eq!(run.path.as_ref().unwrap().numbers, "tube-bow 4.3 m from the drawing");
    // (4.3 + 2 x 0.55) x 1.05.
    assert_eq!(run.cut.as_ref().unwrap().working.result, "5.67 m");
    near(run.cut.as_ref().unwrap().total_m, 5.67);
}

#[test]
fn coax_is_not_cut_below_what_its_manufacturer_allows() {
    let verdict = |more: Value| of_cable(&cable(more), "side").verdict.text(Units::Metric);
    assert!(verdict(json!({})).contains("the shortest length allowed is not entered"));
    assert_eq!(verdict(json!({"least_length_m": 1})), "It reaches with 1.4 m to spare. Cut it to length.");
    assert_eq!(
        verdict(json!({"least_length_m": 4.5})),
        "It reaches with 1.4 m to spare. Cut off at most 0.5 m and coil 0.9 m."
    );
}

#[test]
fn routes_and_cables_are_references_like_any_other() {
    let faults = |change: fn(&mut Value)| {
        let mut job = crate::fixture::sound();
        change(&mut job);
        driploop::job::file::JobFile::read(job.to_string().as_bytes()).unwrap_err().to_string()
    };
    let told = faults(|job| job["circuits"][0]["route"] = json!(["tube-prot"]));
    assert!(told.contains("circuits[0].route[0]: 'tube-prot'") && told.contains("tube-port"), "{told}");
    let told = faults(|job| job["feeders"][0]["route"] = json!(["tube-port", "tube-port"]));
    assert!(told.contains("feeders[0].route[1]") && told.contains("each raceway once"), "{told}");
    let told = faults(|job| {
        let cable = json!({"id": "side", "kind": "network", "length_m": 2, "to": {"location": "mast"}});
        job["devices"][0]["cables"] = json!([cable]);
    });
    assert!(told.contains("devices[0].cables[0].to.location: 'mast'"), "{told}");
    let told = faults(|job| {
        let cable = json!({"id": "F1", "kind": "network", "to": {"device": "plotter"}, "least_length_m": 1});
        job["devices"][0]["cables"] = json!([cable]);
    });
    for fault in [
        "devices[0].cables[0].id: 'F1' is not valid here: expected an id that is not also the label of a wire",
        "devices[0].cables[0].to.device: 'plotter'",
        "devices[0].cables[0].least_length_m: '1' is not valid here: expected nothing of a cable that is cut to length",
    ] {
        assert!(told.contains(fault), "{told}");
    }
}

#[test]
fn a_device_has_several_cables_and_one_may_be_cut_to_length() {
    let plan = plan(|job| {
        routed(job);
        let plotter = json!({"id": "plotter", "name": "Plotter", "location": "helm"});
        job["devices"].as_array_mut().unwrap().push(plotter);
        job["devices"][0]["cables"] = json!([
            {"id": "side-net", "kind": "network", "to": {"device": "plotter"}},
            {"id": "side-coax", "kind": "antenna", "to": {"location": "helm"}, "length_m": 5}
        ]);
    });
    let report = check(&plan);
    let routes = &report.routes;
    let net = run(&report, "side-net");
    near(net.cut.as_ref().unwrap().path_m, 2.5);
    let told = of_cable(&report, "side-net");
    assert!(told.reach.is_none() && told.verdict.text(Units::Metric).starts_with("Cut it to "), "{told:?}");
    let coax = of_cable(&report, "side-coax");
    assert!(run(&report, "side-coax").cut.is_none() && coax.reach.as_ref().unwrap().reaches());
    let tube = &routes.raceways[&"tube-bow".parse().unwrap()];
    assert_eq!(ids(&tube.runs), ["C01-3", "side-net", "side-coax"]);
    let pulled: Vec<_> =
        routes.pulls(&plan).iter().filter_map(|pull| Some(pull.cable()?.0.to_string())).collect();
    assert_eq!(pulled.len(), 2, "{pulled:?}");
}

/// The report as `driploop check --json` writes it.
#[test]
fn the_report_lists_routes_by_id() {
    let json = serde_json::to_value(cable(json!({}))).unwrap();
    let run = &json["routes"]["runs"]["C01-3"];
    assert_eq!((&run["subject_kind"], &run["subject"]), (&json!("circuit"), &json!("C01")));
    assert_eq!((&run["raceways"], &run["by"]), (&json!(["tube-bow"]), &json!("shortest")));
    assert_eq!(run["cut"]["path_m"], json!(2.5));
    assert!(run["cut"]["working"]["numbers"].is_string());
    assert!(json["routes"]["raceways"]["tube-bow"]["fill_pct"].as_f64().unwrap() > 0.0);
    assert!(json["routes"]["runs"]["side"]["cable"]["reach"]["spare_m"].is_number());
}
