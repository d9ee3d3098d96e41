//! What holds for any job.

use driploop::job::check::check;
use driploop::job::checked::Checked;
use driploop::job::event::{History, Mark, Tick};
use driploop::job::file::JobFile;
use driploop::job::work::{Verdicts, Work};
use jiff::Timestamp;
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::{select, subsequence};
use serde_json::{Value, json};
use uuid::Uuid;

use crate::fixture::plan;

fn load() -> impl Strategy<Value = Value> {
    prop_oneof![
        (0.01..20.0).prop_map(|a: f64| json!({"kind": "constant-current", "a": a})),
        (0.1..200.0).prop_map(|w: f64| json!({"kind": "constant-power", "w": w})),
        (0.5..200.0).prop_map(|ohm: f64| json!({"kind": "resistance", "ohm": ohm})),
    ]
}

/// Sets a field where there is a value for it.
fn set(object: &mut Value, field: &str, value: Option<impl Into<Value>>) {
    if let Some(value) = value {
        object[field] = value.into();
    }
}

fn device(id: usize) -> impl Strategy<Value = Value> {
    let location = select(vec!["helm", "stern", "bow", "engine"]);
    let settings = vec("[A-Za-z ]{0,10}[a-z]", 0..3);
    (location, option::of(load()), option::of(0.5..20.0), option::of(1.0..40.0), settings).prop_map(
        move |(location, load, limit, fuse, settings)| {
            let mut device =
                json!({"id": format!("d{id}"), "name": format!("Device {id}"), "location": location});
            set(&mut device, "load", load);
            set(&mut device, "drop_limit_pct", limit);
            set(&mut device, "max_fuse_a", fuse);
            let named = settings.iter().map(|name| json!({"name": name}));
            device["settings"] = named.collect();
            device
        },
    )
}

const DEVICES: usize = 6;

fn circuit(id: usize) -> impl Strategy<Value = Value> {
    let devices = subsequence((0..DEVICES).map(|device| format!("d{device}")).collect::<Vec<_>>(), 1..=3);
    let size = option::of(select(vec!["18 AWG", "16 AWG", "12 AWG", "8 AWG", "1.5 mm2", "10 mm2"]));
    let fuse = option::of((select(vec!["blade-fuse", "breaker"]), option::of(select(vec![5.0, 10.0, 25.0]))));
    let ways = (option::of(1..=4_u16), any::<bool>(), any::<bool>(), select(vec!["fb1", "panel", "house"]));
    (devices, size, fuse, ways, option::of(0.0..30.0), any::<bool>()).prop_map(
        move |(devices, size, fuse, (switch, junction, chain, from), length, jacketed)| {
            let legs: Vec<_> = devices
                .iter()
                .zip(1..)
                .map(|(device, number)| json!({"number": number, "device": device}))
                .collect();
            let mut circuit = json!({"id": format!("C{id:02}"), "name": format!("Circuit {id}"),
                "legs": legs, "from": from, "return": "neg1", "insulation_c": 105,
                "jacketed": jacketed, "wiring": if chain { "chain" } else { "home-runs" }});
            set(&mut circuit, "size", size);
            set(&mut circuit, "length_m", length);
            set(
                &mut circuit,
                "switch",
                switch.map(|position| json!({"panel": "panel", "position": position})),
            );
            set(&mut circuit, "junction", junction.then_some("jb1"));
            if let Some((kind, rating)) = fuse {
                circuit["protection"] = json!({"kind": kind});
                set(&mut circuit["protection"], "rating_a", rating);
            }
            circuit
        },
    )
}

/// Any job on a given supply: devices, circuits, rules and what is left out vary.
fn job() -> impl Strategy<Value = Value> {
    let devices: Vec<_> = (0..DEVICES).map(device).collect();
    let circuits = (0..5).map(circuit).collect::<Vec<_>>();
    let supply = (option::of(0.5..20.0), option::of(0.0..10.0), option::of(0.0..10.0), any::<bool>());
    (devices, circuits, select(vec!["us", "iso"]), supply).prop_map(|(devices, circuits, rules, supply)| {
        let (internal, out, back, panel_fed) = supply;
        let mut house =
            json!({"id": "house", "kind": "battery", "location": "stern", "open_circuit_v": 12.7});
        set(&mut house, "internal_mohm", internal);
        let cable = |id: &str, from: &str, to: &str, polarity: &str, length: Option<f64>| {
            let mut cable =
                json!({"id": id, "from": from, "to": to, "polarity": polarity, "insulation_c": 105});
            set(&mut cable, "length_m", length);
            cable
        };
        let mut feeders = vec![
            cable("F1", "house", "fb1", "positive", out),
            cable("F2", "neg1", "house", "negative", back),
        ];
        feeders.extend(panel_fed.then(|| cable("F3", "fb1", "panel", "positive", Some(0.5))));
        json!({
            "format": 1,
            "job": {"name": "Any", "rules": rules, "nominal_v": 12, "ambient_c": 30},
            "boat": {"name": "Any", "length_m": 7},
            "locations": [{"id": "helm", "name": "Helm"}, {"id": "stern", "name": "Stern"},
                {"id": "bow", "name": "Bow"}, {"id": "engine", "name": "Engine", "engine_space": true}],
            "points": [house,
                {"id": "fb1", "kind": "fuse-block", "location": "helm", "rating_a": 100, "positions": 6},
                {"id": "neg1", "kind": "negative-bus", "location": "helm"},
                {"id": "panel", "kind": "switch-panel", "location": "helm",
                    "positions": [{"label": "A"}, {"label": "B"}, {"label": "C"}, {"label": "D"}]},
                {"id": "jb1", "kind": "junction-bar", "location": "helm", "positions": 10}],
            "feeders": feeders, "devices": devices, "circuits": circuits,
        })
    })
}

fn read(job: &Value) -> JobFile {
    JobFile::read(job.to_string().as_bytes()).unwrap_or_else(|error| panic!("{error}"))
}

fn ticks() -> impl Strategy<Value = Vec<Tick>> {
    let steps = select(vec![
        "circuit/C01/test",
        "conductor/C01-3/pull",
        "end/C01-3a/terminate",
        "location/bow/strip",
    ]);
    let mark = select(vec![Mark::Done, Mark::Undone, Mark::NotNeeded]);
    let tick = (0..12_u128, steps, mark, select(vec!["Robin", "Kim"]), 0..5_i64);
    vec(tick, 0..20).prop_map(|ticks| {
        let mut ticks: Vec<Tick> = ticks
            .into_iter()
            .map(|(id, step, mark, by, at)| Tick {
                id: Uuid::from_u128(id),
                step: step.parse().unwrap(),
                mark,
                reason: None,
                by: by.parse().unwrap(),
                seen: Default::default(),
                at: Timestamp::from_second(at).unwrap(),
            })
            .collect();
        // One id is one event, however often it is sent.
        ticks.sort_by_key(|tick| tick.id);
        ticks.dedup_by_key(|tick| tick.id);
        ticks
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, ..ProptestConfig::default() })]

    #[test]
    fn a_job_written_and_read_is_the_same(job in job()) {
        let file = read(&job);
        let written = file.write();
        prop_assert_eq!(JobFile::read(written.as_bytes()).unwrap(), file.clone());
        prop_assert_eq!(&JobFile::read(written.as_bytes()).unwrap().write(), &written, "and written the same");
        let validator = jsonschema::validator_for(&JobFile::schema()).unwrap();
        prop_assert!(validator.is_valid(&serde_json::from_str(&written).unwrap()));
    }

    #[test]
    fn any_job_is_checked_and_every_figure_is_a_number(job in job()) {
        let plan = read(&job).plan;
        let report = check(&plan);
        // A figure that is no number would be written as null where a number was.
        let json = serde_json::to_string(&report).unwrap();
        prop_assert!(!json.contains("NaN") && !json.contains("inf"));
        prop_assert_eq!(report.circuits.len(), plan.circuits.len());
        for circuit in report.circuits.values() {
            let solved = [circuit.conductor.solved_drop_v, circuit.conductor.handbook_drop_v, circuit.conductor.fault_current_a];
            prop_assert!(solved.into_iter().flatten().all(|figure| figure.is_finite() && figure > -1e-9));
        }
        // A circuit without a fuse never passes.
        for circuit in plan.circuits.iter().filter(|circuit| circuit.protection.is_none()) {
            let said = report.findings.iter().any(|finding| {
                finding.code.phrase() == "unprotected" && finding.subject.id == circuit.id.as_str()
            });
            prop_assert!(said, "{} passes without protection", circuit.id);
        }
    }

    #[test]
    fn a_thicker_wire_never_drops_more(length in 0.5..20.0_f64, amperes in 0.1..10.0_f64) {
        let drops = |size: &str| {
            let plan = plan(|job| {
                job["circuits"][0]["legs"] = json!([{"number": 1, "device": "side"}]);
                job["circuits"][0]["size"] = json!(size);
                job["circuits"][0]["length_m"] = json!(length);
                job["devices"][0]["load"]["a"] = json!(amperes);
            });
            let report = check(&plan);
            let circuit = report.circuits.values().next().unwrap().clone();
            (circuit.conductor.handbook_drop_v.unwrap(), circuit.conductor.solved_drop_v.unwrap())
        };
        let by_size: Vec<_> = ["18 AWG", "16 AWG", "14 AWG", "12 AWG", "10 AWG", "8 AWG"].map(drops).to_vec();
        for pair in by_size.windows(2) {
            prop_assert!(pair[1].0 < pair[0].0 && pair[1].1 < pair[0].1);
        }
    }

    #[test]
    fn a_circuit_more_never_raises_a_voltage(job in job()) {
        let whole = read(&job).plan;
        let mut less = whole.clone();
        less.circuits.pop();
        // Sizes that are chosen grow with the load: give them, so that only the load differs.
        let fix = |plan: &mut driploop::job::plan::Plan| {
            for feeder in &mut plan.feeders {
                feeder.size = Some("4 AWG".parse().unwrap());
            }
            for circuit in &mut plan.circuits {
                circuit.size = circuit.size.or(Some("12 AWG".parse().unwrap()));
            }
        };
        let (mut whole, mut less) = (whole, less);
        fix(&mut whole);
        fix(&mut less);
        let (whole, less) = (check(&whole), check(&less));
        for (id, circuit) in &less.circuits {
            for (device, before) in &circuit.devices {
                let volts = (before.voltage_v, whole.circuits[id].devices[device].voltage_v);
                if let (Some(before), Some(after)) = volts {
                    prop_assert!(after <= before + 1e-9, "{id} {device}: {before} V, then {after} V");
                }
            }
        }
    }

    #[test]
    fn ticks_in_any_order_give_the_same_state(
        (ticks, shuffled) in ticks().prop_flat_map(|ticks| (Just(ticks.clone()), Just(ticks).prop_shuffle())),
        twice in any::<prop::sample::Index>(),
    ) {
        let checked = Checked::of(plan(|_| {}));
        let in_order = History { ticks: ticks.clone(), ..History::default() };
        let mut again = History { ticks: shuffled, ..History::default() };
        if !ticks.is_empty() {
            again.ticks.push(twice.get(&ticks).clone());
        }
        let verdicts = Verdicts::default();
        let one = Work::of(&checked, &in_order, &verdicts);
        let other = Work::of(&checked, &again, &verdicts);
        prop_assert_eq!(one.whole(), other.whole());
        for step in checked.steps.all() {
            prop_assert_eq!(one.status(&step.key), other.status(&step.key));
        }
    }

    #[test]
    fn the_same_records_in_any_order_give_the_same_status(seed in any::<prop::sample::Index>(), stop in 0..200_usize) {
        let checked = Checked::of(plan(|_| {}));
        let mut worker = crate::worker::Worker::new();
        worker.work(&checked, |_| true);
        let mut history = worker.history;
        history.ticks.truncate(stop);
        let mut turned = history.clone();
        for list in [seed.index(97), seed.index(89)] {
            let (ticks, readings) = (turned.ticks.len().max(1), turned.step_readings.len().max(1));
            turned.ticks.rotate_left(list % ticks);
            turned.step_readings.rotate_left(list % readings);
            turned.ticks.reverse();
        }
        let verdicts = Verdicts::of(&checked, &history);
        let (one, other) = (Work::of(&checked, &history, &verdicts), Work::of(&checked, &turned, &verdicts));
        for step in checked.steps.with_states() {
            prop_assert_eq!(one.status(&step.key), other.status(&step.key));
        }
    }
}
