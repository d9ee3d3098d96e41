//! The demo's main boat in every mode and at engine start against ngspice, to one part in a million.
//!
//! The deck is written from the plan and the table of conductor resistances alone, wire by wire as an
//! electrician would draw it, and shares no code with the network that it tests.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::{BTreeMap, HashSet};
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use driploop::job::check::{Report, check};
use driploop::job::load::Load;
use driploop::job::modes::{State, StateOf};
use driploop::job::plan::{Circuit, Plan, Polarity, Protection};
use driploop::job::point::Body;
use driploop::job::value::{CircuitId, DeviceId};
use driploop::job::wiring::{Conductor, Conductors, Landing, Role};
use driploop::shop::demo;
use driploop::trade::conductor::Size;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::ThermodynamicTemperature;
use uom::si::length::meter;
use uom::si::thermodynamic_temperature::degree_celsius;

const AGREES: f64 = 1e-6;

fn plan() -> Plan {
    demo::files()
        .unwrap()
        .into_iter()
        .find(|file| file.plan.boat.name.as_str() == "Second Plover")
        .unwrap()
        .plan
}

/// A node by point and side: every point of this boat is of one side, but for what has two posts.
fn node(plan: &Plan, id: &str, polarity: Polarity) -> String {
    let two_posts = plan
        .points
        .iter()
        .any(|point| point.id.as_str() == id && matches!(point.body, Body::Battery(_) | Body::Charger(_)));
    let side = match polarity {
        Polarity::Positive => "pos",
        Polarity::Negative => "neg",
    };
    let name = if two_posts { format!("{id}_{side}") } else { id.to_owned() };
    if name == "house_neg" { "0".to_owned() } else { name.replace('-', "_") }
}

fn milliohms(protection: Option<&Protection>) -> f64 {
    protection.and_then(|fuse| fuse.resistance_mohm).map_or(0.0, |given| given.number() / 1000.0)
}

struct Deck<'a> {
    plan: &'a Plan,
    report: &'a Report,
    text: String,
    parts: usize,
}

impl Deck<'_> {
    fn line(&mut self, kind: char, rest: &str) {
        self.parts += 1;
        writeln!(self.text, "{kind}{} {rest}", self.parts).unwrap();
    }

    /// Copper at 30 C, or 50 C with an end in an engine space; two ends of 0.2 mohm, and the fuse.
    fn wire(&mut self, wire: &Conductor, size: Size, fuse: f64, ends: [&str; 2]) {
        let place = |landing: &Landing| landing.place(self.plan).and_then(|id| self.plan.place(id));
        let hot =
            [&wire.from, &wire.to].into_iter().any(|end| place(end).is_some_and(|place| place.engine_space));
        let ambient = self.plan.job.ambient_c.number();
        let celsius =
            ThermodynamicTemperature::new::<degree_celsius>(if hot { ambient.max(50.0) } else { ambient });
        let metres = wire.length.unwrap().get::<meter>();
        let contacts = 2.0 * self.plan.job.contact_mohm.map_or(0.0, |given| given.number() / 1000.0);
        let ohms = metres * size.resistance_per_metre(celsius).get::<ohm>() + contacts + fuse;
        self.line('R', &format!("{} {} {ohms:e}", ends[0], ends[1]));
    }

    fn sources(&mut self) {
        for point in &self.plan.points {
            if let Body::Battery(battery) = &point.body {
                let [p, n] = [Polarity::Positive, Polarity::Negative]
                    .map(|side| node(self.plan, point.id.as_str(), side));
                let inside = battery.internal_mohm.unwrap().number() / 1000.0;
                // A voltage behind a resistance is a current beside it; ngspice loses digits in the first form.
                self.line('I', &format!("{n} {p} {:e}", battery.open_circuit_v.number() / inside));
                self.line('R', &format!("{p} {n} {inside:e}"));
            }
        }
    }

    fn feeders(&mut self, wires: &Conductors) {
        for feeder in &self.plan.feeders {
            let size = self.report.feeders[&feeder.id].size.unwrap();
            let [from, to] =
                [&feeder.from, &feeder.to].map(|id| node(self.plan, id.as_str(), feeder.polarity));
            let wire = wires.of_feeder(&feeder.id).unwrap();
            self.wire(wire, size, milliohms(feeder.protection.as_ref()), [&from, &to]);
        }
    }

    /// Fuse, then wire by wire to the devices and back.
    fn circuit(&mut self, circuit: &Circuit, wires: &Conductors) {
        let id = circuit.id.to_string();
        let source = node(self.plan, circuit.from.as_str(), Polarity::Positive);
        let back = node(self.plan, circuit.r#return.as_str(), Polarity::Negative);
        let behind = format!("{id}_fuse");
        // ngspice takes no resistance of nothing: a source of no volts is a wire.
        match milliohms(circuit.protection.as_ref()) {
            0.0 => self.line('V', &format!("{source} {behind} 0")),
            fuse => self.line('R', &format!("{source} {behind} {fuse:e}")),
        }
        let all: Vec<&Conductor> = wires.of_circuit(&circuit.id).iter().collect();
        for wire in all {
            let spot = |landing: &Landing, polarity| match (landing, polarity) {
                (Landing::Device(device), Polarity::Positive) => at(&id, device, "p"),
                (Landing::Device(device), Polarity::Negative) => at(&id, device, "n"),
                (Landing::Point { .. }, Polarity::Negative) => back.clone(),
                (Landing::Point { id: point, .. }, _) if *point == circuit.from => behind.clone(),
                (Landing::Point { id: point, .. }, _) => format!("{id}_{}", point.as_str().replace('-', "_")),
            };
            assert_ne!(wire.role, Role::Feeder);
            let ends = [spot(&wire.from, wire.polarity), spot(&wire.to, wire.polarity)];
            let size = wire.size.or(self.report.circuits[&circuit.id].size).unwrap();
            self.wire(wire, size, 0.0, [&ends[0], &ends[1]]);
        }
        for device in &circuit.devices {
            let load = self.plan.device(device).unwrap().load.unwrap();
            let (p, n) = (at(&id, device, "p"), at(&id, device, "n"));
            match load {
                Load::ConstantCurrent(a) => self.line('I', &format!("{p} {n} {:e}", a.number())),
                Load::ConstantPower(w) => self.line('B', &format!("{p} {n} I={:e}/V({p},{n})", w.number())),
                Load::Resistance(r) => self.line('R', &format!("{p} {n} {:e}", r.number())),
            }
            writeln!(self.text, ".nodeset v({p})=12").unwrap();
        }
    }
}

fn at(circuit: &str, device: &DeviceId, side: &str) -> String {
    format!("{circuit}_{}_{side}", device.as_str().replace('-', "_"))
}

/// The boat with these circuits on, and its engine cranked where a state says so.
fn deck(plan: &Plan, report: &Report, wires: &Conductors, state: &State) -> String {
    let mut deck = Deck { plan, report, text: "second plover\n".to_owned(), parts: 0 };
    deck.sources();
    deck.feeders(wires);
    let on: HashSet<&CircuitId> = state.on.iter().collect();
    for circuit in plan.circuits.iter().filter(|circuit| on.contains(&circuit.id)) {
        deck.circuit(circuit, wires);
    }
    if let StateOf::EngineStart { engine } = &state.of {
        let Body::Charger(charger) = &plan.point(engine).unwrap().body else { panic!("{engine}") };
        let [p, n] = [Polarity::Positive, Polarity::Negative].map(|side| node(plan, engine.as_str(), side));
        deck.line('I', &format!("{p} {n} {:e}", charger.starter_a.unwrap().number()));
    }
    deck.text
        + ".options reltol=1e-10 abstol=1e-13 vntol=1e-11 itl1=500\n.control\nset numdgt=14\nop\nprint all\nquit\n.endc\n.end\n"
}

fn ngspice(deck: &str, folder: &Path) -> BTreeMap<String, f64> {
    let file = folder.join("boat.cir");
    std::fs::write(&file, deck).unwrap();
    let Ok(run) = Command::new("ngspice").arg("-b").arg(&file).output() else {
        panic!("ngspice cannot be started: it is the oracle of this test, and tests/run installs it");
    };
    let value = |line: &str| {
        let (name, value) = line.split_once(" = ")?;
        Some((name.trim().to_owned(), value.trim().parse().ok()?))
    };
    String::from_utf8_lossy(&run.stdout).lines().filter_map(value).collect()
}

#[test]
fn the_main_boat_agrees_in_every_mode() {
    let plan = plan();
    let report = check(&plan);
    let wires = report.conductors(&plan);
    let folder = tempfile::tempdir().unwrap();
    let states = &report.modes.as_ref().unwrap().states;
    assert_eq!(states.len(), 1 + plan.modes.len() + 1);
    for state in states {
        let deck = deck(&plan, &report, &wires, state);
        let read = ngspice(&deck, folder.path());
        let volts = |node: &str| -> f64 {
            let node = node.to_lowercase();
            if node == "0" { 0.0 } else { *read.get(&node).unwrap_or_else(|| panic!("no {node} in\n{deck}")) }
        };
        let agree = |what: &str, ours: f64, theirs: f64| {
            let apart = (ours - theirs).abs() / theirs.abs().max(1e-3);
            assert!(apart <= AGREES, "{}: {what}: ours {ours}, ngspice {theirs}", state.name);
        };
        for (circuit, ours) in &state.lowest {
            let devices = plan.circuit(circuit).unwrap().devices.iter();
            let across = devices.map(|device| {
                volts(&at(circuit.as_str(), device, "p")) - volts(&at(circuit.as_str(), device, "n"))
            });
            agree(circuit.as_str(), *ours, across.fold(f64::INFINITY, f64::min));
        }
        for battery in ["house", "start"] {
            let posts =
                [Polarity::Positive, Polarity::Negative].map(|side| volts(&node(&plan, battery, side)));
            agree(battery, state.volts[&battery.parse().unwrap()], posts[0] - posts[1]);
        }
        for bar in ["pos-helm", "neg-helm", "fb1", "fb2", "fb4"] {
            let ours = state.volts[&bar.parse().unwrap()];
            agree(bar, ours, volts(&bar.replace('-', "_")));
        }
        assert_eq!(state.lowest.len(), state.on.len(), "{}", state.name);
    }
}
