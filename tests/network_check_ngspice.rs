//! The demo's boats in every mode, at engine start and at every short circuit against ngspice, to one part in a
//! million.
//!
//! The deck is written from the plan and the table of conductor resistances alone, wire by wire as an
//! electrician would draw it, and shares no code with the network that it tests.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::{BTreeMap, HashSet};
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use driploop::job::check::{Report, check};
use driploop::job::conductor::{Conductor, ConductorId, ConductorRole, Landing, Of};
use driploop::job::load::Load;
use driploop::job::modes::{SolvedState, StateOf};
use driploop::job::plan::{Circuit, Plan, Polarity, Protection};
use driploop::job::point::Body;
use driploop::job::value::{CircuitId, DeviceId, PointId};
use driploop::job::wiring::Conductors;
use driploop::shop::demo;
use driploop::trade::conductor::Size;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::ThermodynamicTemperature;
use uom::si::length::meter;
use uom::si::thermodynamic_temperature::degree_celsius;

const AGREES: f64 = 1e-6;

fn plan(boat: &str) -> Plan {
    let mut files = demo::files().unwrap().into_iter();
    files.find(|file| file.plan.boat.name.as_str() == boat).unwrap().plan
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
    /// The two nodes of each conductor and what it resists, its fuse with it.
    wires: BTreeMap<ConductorId, ([String; 2], f64)>,
}

impl Deck<'_> {
    fn line(&mut self, kind: char, rest: &str) {
        self.parts += 1;
        writeln!(self.text, "{kind}{} {rest}", self.parts).unwrap();
    }

    /// The share of the permitted rise that the load of a wire causes: the square of its current by its ampacity.
    fn warmth(&self, wire: &Conductor) -> (f64, f64) {
        let (figures, is_starter_cable, rated) = match &wire.of {
            Of::Circuit(id) => {
                (&self.report.circuits[id].conductor, false, self.plan.circuit(id).unwrap().insulation_c)
            }
            Of::Feeder(id) => {
                let feeder = self.plan.feeder(id).unwrap();
                (&self.report.feeders[id].conductor, feeder.cranking, feeder.insulation_c)
            }
        };
        let share = match figures.design_current_a.zip(figures.derated_ampacity_a) {
            Some((current, ampacity)) => (current / ampacity).powi(2).min(1.0),
            None => f64::from(u8::from(!is_starter_cable)),
        };
        (share, rated.number())
    }

    /// Copper at 30 C, or 50 C with an end in an engine space, and warmer by its load; two ends of 0.2 mohm, and the fuse.
    fn wire(&mut self, wire: &Conductor, size: Size, fuse: f64, ends: [&str; 2]) {
        let location = |landing: &Landing| landing.location(self.plan).and_then(|id| self.plan.location(id));
        let hot = [&wire.from, &wire.to]
            .into_iter()
            .any(|end| location(end).is_some_and(|location| location.engine_space));
        let ambient = self.plan.job.ambient_c.number();
        let around = if hot { ambient.max(50.0) } else { ambient };
        let (share, rated) = self.warmth(wire);
        let celsius = ThermodynamicTemperature::new::<degree_celsius>(around + share * (rated - around));
        let meters = wire.length.unwrap().get::<meter>();
        let contacts = 2.0 * self.plan.job.contact_mohm.map_or(0.0, |given| given.number() / 1000.0);
        let ohms = meters * size.resistance_per_meter(celsius).get::<ohm>() + contacts + fuse;
        self.line('R', &format!("{} {} {ohms:e}", ends[0], ends[1]));
        self.wires.insert(wire.id.clone(), (ends.map(str::to_owned), ohms));
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
            let size = self.report.feeders[&feeder.id].conductor.size.unwrap();
            let [from, to] =
                [&feeder.from, &feeder.to].map(|id| node(self.plan, id.as_str(), feeder.polarity));
            let wire = wires.of_feeder(&feeder.id).unwrap();
            self.wire(wire, size, milliohms(feeder.protection.as_ref()), [&from, &to]);
        }
    }

    /// Fuse, then wire by wire to the devices and back, and the devices.
    fn circuit(&mut self, circuit: &Circuit, wires: &Conductors) {
        self.cables(circuit, wires);
        let id = circuit.id.to_string();
        for device in circuit.devices() {
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

    fn cables(&mut self, circuit: &Circuit, wires: &Conductors) {
        let id = circuit.id.to_string();
        let source = node(self.plan, circuit.from.as_str(), Polarity::Positive);
        let back = node(self.plan, circuit.r#return.as_str(), Polarity::Negative);
        let behind = format!("{id}_fuse");
        // ngspice takes no resistance of nothing: a source of no volts is a wire.
        match milliohms(circuit.protection.as_ref()) {
            0.0 => self.line('V', &format!("{source} {behind} 0")),
            fuse => self.line('R', &format!("{source} {behind} {fuse:e}")),
        }
        // The hand switch is on, and the float is up: no current flows in the wire to it.
        let all = wires.of_circuit(&circuit.id).iter().filter(|wire| wire.role != ConductorRole::ToFloat);
        let all: Vec<&Conductor> = all.collect();
        for wire in all {
            let spot = |landing: &Landing, polarity| match (landing, polarity) {
                (Landing::Device(device), Polarity::Positive) => at(&id, device, "p"),
                (Landing::Device(device), Polarity::Negative) => at(&id, device, "n"),
                (Landing::Point { .. }, Polarity::Negative) => back.clone(),
                (Landing::Point { id: point, .. }, _) if *point == circuit.from => behind.clone(),
                (Landing::Point { id: point, .. }, _) => format!("{id}_{}", point.as_str().replace('-', "_")),
            };
            assert_ne!(wire.role, ConductorRole::Feeder);
            let ends = [spot(&wire.from, wire.polarity), spot(&wire.to, wire.polarity)];
            let size = wire.size.or(self.report.circuits[&circuit.id].conductor.size).unwrap();
            self.wire(wire, size, 0.0, [&ends[0], &ends[1]]);
        }
    }
}

fn at(circuit: &str, device: &DeviceId, side: &str) -> String {
    format!("{circuit}_{}_{side}", device.as_str().replace('-', "_"))
}

/// The boat's supply with nothing on it.
fn supply<'a>(plan: &'a Plan, report: &'a Report, wires: &Conductors) -> Deck<'a> {
    let mut deck = Deck { plan, report, text: "a boat\n".to_owned(), parts: 0, wires: BTreeMap::new() };
    deck.sources();
    deck.feeders(wires);
    deck
}

/// The boat with these circuits on, and its engine cranked where a state says so.
fn deck<'a>(plan: &'a Plan, report: &'a Report, wires: &Conductors, state: &SolvedState) -> Deck<'a> {
    let mut deck = supply(plan, report, wires);
    let on: HashSet<&CircuitId> = state.on.iter().collect();
    for circuit in plan.circuits.iter().filter(|circuit| on.contains(&circuit.id)) {
        deck.circuit(circuit, wires);
    }
    if let StateOf::EngineStart { engine } = &state.of {
        let Body::Charger(charger) = &plan.point(engine).unwrap().body else { panic!("{engine}") };
        let [p, n] = [Polarity::Positive, Polarity::Negative].map(|side| node(plan, engine.as_str(), side));
        deck.line('I', &format!("{p} {n} {:e}", charger.starter_a.unwrap().number()));
    }
    deck
}

impl Deck<'_> {
    fn solved(&self, folder: &Path) -> BTreeMap<String, f64> {
        ngspice(&(self.text.clone() + END), folder)
    }
}

const END: &str = ".options reltol=1e-10 abstol=1e-13 vntol=1e-11 itl1=500\n.control\nset numdgt=14\nop\nprint all\nquit\n.endc\n.end\n";

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

fn agree(what: &str, ours: f64, theirs: f64) {
    let apart = (ours - theirs).abs() / theirs.abs().max(1e-3);
    assert!(apart <= AGREES, "{what}: ours {ours}, ngspice {theirs}");
}

/// Every device, conductor, battery and bar in every state.
fn every_state_agrees(plan: &Plan) {
    let report = check(plan);
    let wires = report.conductors(plan);
    let folder = tempfile::tempdir().unwrap();
    let states = &report.modes.as_ref().unwrap().states;
    assert_eq!(states.len(), 1 + plan.modes.len() + 1);
    for state in states {
        let deck = deck(plan, &report, &wires, state);
        let read = deck.solved(folder.path());
        let volts = |node: &str| -> f64 {
            let node = node.to_lowercase();
            if node == "0" {
                0.0
            } else {
                *read.get(&node).unwrap_or_else(|| panic!("no {node} in {}", deck.text))
            }
        };
        let agree = |what: &str, ours, theirs| agree(&format!("{}: {what}", state.name), ours, theirs);
        let side = |id: &PointId, side| volts(&node(plan, id.as_str(), side));
        assert_eq!(state.devices.len(), state.on.len());
        for (circuit, devices) in &state.devices {
            assert_eq!(devices.len(), plan.circuit(circuit).unwrap().legs.len());
            for (device, ours) in devices {
                let [p, n] = ["p", "n"].map(|side| volts(&at(circuit.as_str(), device, side)));
                agree(&format!("{circuit} at {device}"), *ours, p - n);
            }
        }
        for (wire, ([from, to], ohms)) in &deck.wires {
            agree(wire.as_str(), state.conductors[wire], (volts(from) - volts(to)) / ohms);
        }
        let mut given = 0.0;
        for point in &plan.points {
            match &point.body {
                Body::Battery(battery) => {
                    let posts = side(&point.id, Polarity::Positive) - side(&point.id, Polarity::Negative);
                    agree(point.id.as_str(), state.volts[&point.id], posts);
                    let amperes = (battery.open_circuit_v.number() - posts)
                        / (battery.internal_mohm.unwrap().number() / 1000.0);
                    agree(point.id.as_str(), state.amperes[&point.id], amperes);
                    given += amperes;
                }
                Body::NegativeBus(_) => {
                    agree(point.id.as_str(), state.volts[&point.id], side(&point.id, Polarity::Negative));
                }
                Body::PositiveBus(_) | Body::FuseBlock(_) | Body::BatterySwitch(_) => {
                    agree(point.id.as_str(), state.volts[&point.id], side(&point.id, Polarity::Positive));
                }
                _ => {}
            }
        }
        agree("all batteries", state.drawn_a.unwrap(), given);
    }
}

#[test]
fn the_main_boat_agrees_in_every_mode() {
    every_state_agrees(&plan("Second Plover"));
}

#[test]
fn the_second_boat_agrees_in_every_mode() {
    every_state_agrees(&plan("Hazel Tern"));
}

/// With all loads off, each device of each circuit is shorted in turn; the report tells the weakest of a circuit.
#[test]
fn every_short_circuit_agrees() {
    for boat in ["Second Plover", "Hazel Tern"] {
        let plan = plan(boat);
        let report = check(&plan);
        let wires = report.conductors(&plan);
        let folder = tempfile::tempdir().unwrap();
        for circuit in &plan.circuits {
            let shorted = |device: &DeviceId| {
                let mut deck = supply(&plan, &report, &wires);
                deck.cables(circuit, &wires);
                let [p, n] = ["p", "n"].map(|side| at(circuit.id.as_str(), device, side));
                writeln!(deck.text, "Vshort {p} {n} 0").unwrap();
                deck.solved(folder.path())["vshort#branch"]
            };
            let weakest = circuit.devices().map(shorted).fold(f64::INFINITY, f64::min);
            let ours = report.circuits[&circuit.id].conductor.fault_current_a.unwrap();
            agree(&format!("{boat}, {} shorted", circuit.id), ours, weakest);
        }
    }
}
