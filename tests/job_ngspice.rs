//! Whole plans against ngspice: the volts at every device and point and the current of every feeder of the
//! demo's boats, within one part in a million.
//!
//! Conductor resistances are calculated here once more from NFPA 70 chapter 9 table 8 (stranded coated copper,
//! ohm per 1000 ft at 75 C) and the copper rule of FAA AC 43.13-1B chapter 11, at the temperature that the square of
//! each current gives; which conductors there are comes
//! from the program, whose own tests hold it to lists written by hand.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::{HashMap, HashSet};
use std::fmt::Write as _;
use std::process::Command;

use driploop::job::check::{Report, Sizes, check};
use driploop::job::conductor::{Conductor, ConductorRole, Landing, Of};
use driploop::job::file::JobFile;
use driploop::job::load::Load;
use driploop::job::plan::{Circuit, Plan, Polarity, Protection};
use driploop::job::point::{Body, PointKind};
use driploop::job::value::{FeederId, InternalMohm, Milliohm};
use uom::si::length::meter;

const AGREES: f64 = 1e-6;

/// Ohm per 1000 ft at 75 C.
const COATED_STRANDED: [(&str, f64); 15] = [
    ("18 AWG", 8.45),
    ("16 AWG", 5.29),
    ("14 AWG", 3.26),
    ("12 AWG", 2.05),
    ("10 AWG", 1.29),
    ("8 AWG", 0.809),
    ("6 AWG", 0.510),
    ("4 AWG", 0.321),
    ("3 AWG", 0.254),
    ("2 AWG", 0.201),
    ("1 AWG", 0.160),
    ("1/0 AWG", 0.127),
    ("2/0 AWG", 0.101),
    ("3/0 AWG", 0.0797),
    ("4/0 AWG", 0.0626),
];

/// Largest ohm per km at 20 C of class 5 tinned conductors (IEC 60228 table 3, from memory).
const CLASS_5_TINNED: [(&str, f64); 15] = [
    ("0.75 mm2", 26.7),
    ("1 mm2", 20.0),
    ("1.5 mm2", 13.7),
    ("2.5 mm2", 8.21),
    ("4 mm2", 5.09),
    ("6 mm2", 3.39),
    ("10 mm2", 1.95),
    ("16 mm2", 1.24),
    ("25 mm2", 0.795),
    ("35 mm2", 0.565),
    ("50 mm2", 0.393),
    ("70 mm2", 0.277),
    ("95 mm2", 0.210),
    ("120 mm2", 0.164),
    ("0.5 mm2", 40.1),
];

/// A plan as a deck, with the name of each node it has a voltage for.
struct Deck<'a> {
    plan: &'a Plan,
    report: &'a Report,
    text: String,
    parts: usize,
    buses: HashSet<&'a str>,
    ground: String,
    /// Each feeder with its two nodes and its ohms, whose Ohm's law gives its current.
    feeders: Vec<(FeederId, [String; 2], f64)>,
}

impl<'a> Deck<'a> {
    fn of(plan: &'a Plan, report: &'a Report) -> Self {
        let ground = plan.points.iter().find(|point| point.body.kind() == PointKind::Battery).unwrap();
        let fed = plan.feeders.iter().flat_map(|feeder| [feeder.from.as_str(), feeder.to.as_str()]);
        let mut deck = Self {
            plan,
            report,
            text: "an invented boat\n".to_owned(),
            parts: 0,
            buses: fed.chain(plan.circuits.iter().map(|circuit| circuit.from.as_str())).collect(),
            ground: format!("n_{}", ground.id),
            feeders: Vec::new(),
        };
        let conductors = report.conductors(plan);
        let sizes = Sizes::of(report);
        deck.sources();
        for feeder in &plan.feeders {
            let wire = conductors.of_feeder(&feeder.id).unwrap();
            let ohms = deck.ohms(wire, &sizes) + protection(feeder.protection.as_ref());
            let side = if feeder.polarity == Polarity::Positive { 'p' } else { 'n' };
            let ends = [format!("{side}_{}", feeder.from), format!("{side}_{}", feeder.to)];
            deck.part(&ends[0], &ends[1], ohms);
            deck.feeders.push((feeder.id.clone(), ends, ohms));
        }
        for circuit in &plan.circuits {
            // The hand switch is on, and the float is up: no current flows in the wire to it.
            let wires = conductors.of_circuit(&circuit.id).iter();
            let wires = wires.filter(|wire| wire.role != ConductorRole::ToFloat).cloned();
            deck.circuit(circuit, &wires.collect::<Vec<_>>(), &sizes);
        }
        deck.line(".options reltol=1e-10 abstol=1e-12 vntol=1e-11 gmin=1e-18 itl1=1000");
        deck.line(".control\nset numdgt=14\nop\nprint all\nquit\n.endc\n.end");
        deck
    }

    fn line(&mut self, text: &str) {
        writeln!(self.text, "{text}").unwrap();
    }

    fn node(&self, name: &str) -> String {
        let name = name.to_lowercase().replace('-', "_");
        if name == self.ground.to_lowercase().replace('-', "_") { "0".to_owned() } else { name }
    }

    /// A resistance between two nodes; none at all is a source of 0 V.
    fn part(&mut self, from: &str, to: &str, ohms: f64) {
        self.parts += 1;
        let (n, from, to) = (self.parts, self.node(from), self.node(to));
        if ohms == 0.0 {
            self.line(&format!("V{n} {from} {to} 0"));
        } else {
            self.line(&format!("R{n} {from} {to} {ohms:e}"));
        }
    }

    /// A battery as a current source beside its internal resistance, by Norton's theorem: with a voltage
    /// source behind it, ngspice's elimination was seen to lose ten digits on such small resistances.
    fn sources(&mut self) {
        for point in &self.plan.points {
            let Body::Battery(battery) = &point.body else { continue };
            let (positive, negative) = (format!("p_{}", point.id), format!("n_{}", point.id));
            let internal = battery.internal_mohm.map_or(0.0, InternalMohm::number) / 1000.0;
            let (into, out_of) = (self.node(&positive), self.node(&negative));
            self.parts += 1;
            let (n, short) = (self.parts, battery.open_circuit_v.number() / internal);
            self.line(&format!("I{n} {out_of} {into} {short:e}"));
            self.part(&positive, &negative, internal);
        }
    }

    fn circuit(&mut self, circuit: &Circuit, conductors: &[Conductor], sizes: &Sizes) {
        let id = circuit.id.as_str();
        self.part(
            &format!("p_{}", circuit.from),
            &format!("g_{id}"),
            protection(circuit.protection.as_ref()),
        );
        for wire in conductors {
            let ohms = self.ohms(wire, sizes);
            let end = |landing: &Landing| self.end(circuit, wire.polarity, landing);
            let (from, to) = (end(&wire.from), end(&wire.to));
            self.part(&from, &to, ohms);
        }
        for device in circuit.devices() {
            let Some(load) = self.plan.device(device).and_then(|device| device.load) else { continue };
            self.parts += 1;
            let (n, p, m) = (
                self.parts,
                self.node(&device_node(id, device.as_str(), 'p')),
                self.node(&device_node(id, device.as_str(), 'n')),
            );
            match load {
                Load::ConstantCurrent(a) => self.line(&format!("I{n} {p} {m} {:e}", a.number())),
                Load::ConstantPower(w) => self.line(&format!("B{n} {p} {m} I={:e}/V({p},{m})", w.number())),
                Load::Resistance(r) => self.line(&format!("R{n} {p} {m} {:e}", r.number())),
            }
            let nominal = self.plan.job.nominal_v.number();
            self.line(&format!(".nodeset v({p})={nominal} v({m})=0"));
        }
    }

    /// The node an end of a circuit's conductor stands on.
    fn end(&self, circuit: &Circuit, polarity: Polarity, landing: &Landing) -> String {
        let circuit_id = circuit.id.as_str();
        match (landing, polarity) {
            (Landing::Device(device), Polarity::Positive) => device_node(circuit_id, device.as_str(), 'p'),
            (Landing::Device(device), Polarity::Negative) => device_node(circuit_id, device.as_str(), 'n'),
            (Landing::Point { id, .. }, Polarity::Negative) => format!("n_{id}"),
            (Landing::Point { id, .. }, Polarity::Positive) if *id == circuit.from => {
                format!("g_{circuit_id}")
            }
            (Landing::Point { id, position: None }, Polarity::Positive)
                if self.buses.contains(id.as_str()) =>
            {
                format!("p_{id}")
            }
            (Landing::Point { id, .. }, Polarity::Positive) => format!("own_{circuit_id}_{id}"),
        }
    }

    /// The share of the permitted rise that the load of a wire causes.
    fn warmth(&self, wire: &Conductor) -> f64 {
        let (figures, is_starter_cable) = match &wire.of {
            Of::Circuit(id) => (&self.report.circuits[id].conductor, false),
            Of::Feeder(id) => (&self.report.feeders[id].conductor, self.plan.feeder(id).unwrap().cranking),
        };
        match figures.design_current_a.zip(figures.derated_ampacity_a) {
            Some((current, ampacity)) => (current / ampacity).powi(2).min(1.0),
            None => f64::from(u8::from(!is_starter_cable)),
        }
    }

    fn rated_c(&self, wire: &Conductor) -> f64 {
        match &wire.of {
            Of::Circuit(id) => self.plan.circuit(id).unwrap().insulation_c.number(),
            Of::Feeder(id) => self.plan.feeder(id).unwrap().insulation_c.number(),
        }
    }

    fn ohms(&self, wire: &Conductor, sizes: &Sizes) -> f64 {
        let size = sizes.get(wire).unwrap();
        let stated = |table: &[(&str, f64)]| {
            table.iter().find(|(name, _)| *name == size.text()).map(|(_, ohms)| *ohms)
        };
        // Ohm per meter, and the temperature it is stated at.
        let awg = stated(&COATED_STRANDED).map(|ohms| (ohms / 304.8, 75.0));
        let (per_meter, at) = awg.or(stated(&CLASS_5_TINNED).map(|ohms| (ohms / 1000.0, 20.0))).unwrap();
        let hot = [&wire.from, &wire.to]
            .into_iter()
            .any(|landing| self.plan.location(landing.location(self.plan).unwrap()).unwrap().engine_space);
        let ambient = self.plan.job.ambient_c.number();
        let around = if hot { ambient.max(50.0) } else { ambient };
        let celsius = around + self.warmth(wire) * (self.rated_c(wire) - around);
        let copper = per_meter * wire.length.unwrap().get::<meter>() * (234.5 + celsius) / (234.5 + at);
        copper + 2.0 * milliohm(self.plan.job.contact_mohm)
    }
}

fn device_node(circuit: &str, device: &str, side: char) -> String {
    format!("d_{circuit}_{device}_{side}")
}

fn milliohm(given: Option<Milliohm>) -> f64 {
    given.map_or(0.0, Milliohm::number) / 1000.0
}

fn protection(fuse: Option<&Protection>) -> f64 {
    milliohm(fuse.and_then(|fuse| fuse.resistance_mohm))
}

/// What ngspice prints for a deck, by name.
fn ngspice(deck: &str) -> HashMap<String, f64> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("boat.cir");
    std::fs::write(&file, deck).unwrap();
    let Ok(run) = Command::new("ngspice").arg("-b").arg(&file).output() else {
        panic!("ngspice cannot be started: it is the oracle of this test, and tests/run installs it");
    };
    let text = String::from_utf8_lossy(&run.stdout);
    let value = |line: &str| {
        let (name, value) = line.split_once(" = ")?;
        Some((name.trim().to_owned(), value.trim().parse().ok()?))
    };
    text.lines().filter_map(value).collect()
}

#[track_caller]
fn agree(what: &str, ours: f64, theirs: f64) {
    let apart = (ours - theirs).abs() / theirs.abs().max(1e-3);
    assert!(apart <= AGREES, "{what}: ours {ours}, ngspice {theirs}");
}

fn compare(job: &str) {
    let plan = JobFile::read(job.as_bytes()).unwrap().plan;
    let report = check(&plan);
    let deck = Deck::of(&plan, &report);
    let theirs = ngspice(&deck.text);
    let volts = |name: &str| {
        let node = deck.node(name);
        if node == "0" {
            0.0
        } else {
            *theirs.get(&node).unwrap_or_else(|| panic!("no {node} for\n{}", deck.text))
        }
    };
    let mut compared = 0;
    for (id, circuit) in &report.circuits {
        for (device, ours) in circuit.devices.iter().filter_map(|(id, one)| Some((id, one.voltage_v?))) {
            let side = |side| volts(&device_node(id.as_str(), device.as_str(), side));
            agree(&format!("{id} at {device}"), ours, side('p') - side('n'));
            compared += 1;
        }
    }
    assert!(compared >= plan.circuits.len(), "every circuit is solved");
    for (id, point) in &report.points {
        let (Some(ours), Some(_)) = (point.voltage_v, point.current_a) else { continue };
        let theirs = match point.kind {
            PointKind::Battery => volts(&format!("p_{id}")) - volts(&format!("n_{id}")),
            PointKind::Charger => continue,
            PointKind::NegativeBus => volts(&format!("n_{id}")),
            _ => volts(&format!("p_{id}")),
        };
        agree(&format!("point {id}"), ours, theirs);
    }
    for (id, [from, to], ohms) in &deck.feeders {
        let Some(ours) = report.feeders[id].conductor.solved_current_a.filter(|_| *ohms > 0.0) else {
            continue;
        };
        agree(&format!("feeder {id}"), ours, (volts(from) - volts(to)) / ohms);
    }
}

#[test]
fn the_center_console_agrees() {
    compare(include_str!("../src/shop/demo/second-plover.json"));
}

#[test]
fn the_second_boat_agrees() {
    compare(include_str!("../src/shop/demo/hazel-tern.json"));
}
