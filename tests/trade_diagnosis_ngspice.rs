//! Diagnosis of faults planted in ngspice, a circuit simulator with forty years of use behind it.
//!
//! Random boats get an excess resistance in one stretch. ngspice gives all figures: what the plan expects, the
//! shares of the current, and what the meter shows. The solver of this program has no part in it. The diagnosis
//! must name the stretch, alone or with those that the readings cannot tell apart from it, no more and no less.
//! Left out: noise of the meter and several faults at once, which `trade_diagnosis` has, and loops of feeders.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::HashMap;
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use driploop::trade::diagnosis::{
    APART, MeterReading, NetworkReading, REST_V, StretchShare, SuspectStretch, Taken, WORTH_V, diagnose,
};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::strategy::ValueTree as _;
use proptest::test_runner::TestRunner;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance};

const BOATS: usize = 60;

/// A load: amperes, watts or ohms.
#[derive(Debug, Clone, Copy)]
enum Draws {
    A(f64),
    W(f64),
    Ohm(f64),
}

/// A piece of the path between two nodes. Node 0 is the battery's negative post.
#[derive(Debug)]
struct Stretch {
    from: usize,
    to: usize,
    ohms: f64,
}

/// One circuit: its stretches up to its block and bar, then for each load those of its leg.
#[derive(Debug)]
struct Laid {
    begins: (usize, usize),
    before: Vec<usize>,
    legs: Vec<Leg>,
}

#[derive(Debug)]
struct Leg {
    out: Vec<usize>,
    back: usize,
    load: (usize, usize),
    draws: Draws,
}

#[derive(Debug)]
struct Boat {
    rest: f64,
    nodes: usize,
    stretches: Vec<Stretch>,
    circuits: Vec<Laid>,
    measures_back: bool,
}

/// What a boat is grown from: for each block the block before it (or the battery) and its feeder, the same for
/// the negative bars, and the circuits with block, bar and legs.
type Seed = (f64, f64, Vec<(usize, f64)>, Vec<(usize, f64)>, Vec<(usize, usize, Vec<(Draws, f64)>)>, bool);

fn seed() -> impl Strategy<Value = Seed> {
    let draws = prop_oneof![
        (1.0..7.0_f64).prop_map(Draws::A),
        (15.0..70.0_f64).prop_map(Draws::W),
        (2.0..9.0_f64).prop_map(Draws::Ohm),
    ];
    let feeders = |most| vec((0..8_usize, 0.5..4.0_f64), 1..=most);
    let circuit = (0..8_usize, 0..8_usize, vec((draws, 15.0..60.0_f64), 1..=2));
    (12.3..12.9_f64, 4.0..12.0_f64, feeders(3), feeders(2), vec(circuit, 2..=6), any::<bool>())
}

impl Boat {
    fn grown((rest, internal, blocks, bars, circuits, measures_back): &Seed) -> Self {
        let mut boat = Self {
            rest: *rest,
            nodes: 3,
            stretches: Vec::new(),
            circuits: Vec::new(),
            measures_back: *measures_back,
        };
        let inside = boat.stretch(1, 2, *internal);
        let blocks = boat.tree((2, vec![inside]), blocks);
        let bars = boat.tree((0, Vec::new()), bars);
        for (block, bar, legs) in circuits {
            let (source, feeders) = &blocks[block % blocks.len()];
            let (negative, home) = &bars[bar % bars.len()];
            let mut circuit = Laid {
                begins: (*source, *negative),
                before: [feeders.as_slice(), home.as_slice()].concat(),
                legs: Vec::new(),
            };
            let protected = boat.node();
            let mut out = vec![boat.stretch(*source, protected, 2.0)];
            let (mut near, mut far) = (protected, *negative);
            for (draws, milliohm) in legs {
                let load = (boat.node(), boat.node());
                out.push(boat.stretch(near, load.0, *milliohm));
                let back = boat.stretch(load.1, far, *milliohm);
                circuit.legs.push(Leg { out: std::mem::take(&mut out), back, load, draws: *draws });
                (near, far) = load;
            }
            boat.circuits.push(circuit);
        }
        boat
    }

    fn node(&mut self) -> usize {
        self.nodes += 1;
        self.nodes - 1
    }

    fn stretch(&mut self, from: usize, to: usize, milliohm: f64) -> usize {
        self.stretches.push(Stretch { from, to, ohms: milliohm / 1e3 });
        self.stretches.len() - 1
    }

    /// Nodes fed from a root or from each other, each with the stretches between it and the battery.
    fn tree(&mut self, root: (usize, Vec<usize>), feeders: &[(usize, f64)]) -> Vec<(usize, Vec<usize>)> {
        let mut all = vec![root];
        for (from, milliohm) in feeders {
            let (node, path) = all[from % all.len()].clone();
            let fed = self.node();
            let feeder = self.stretch(node, fed, *milliohm);
            all.push((fed, [path, vec![feeder]].concat()));
        }
        all.split_off(1)
    }

    /// The stretches that carry current while a circuit is on by itself.
    fn live(&self, circuit: &Laid) -> Vec<usize> {
        let legs = circuit.legs.iter().flat_map(|leg| leg.out.iter().copied().chain([leg.back]));
        circuit.before.iter().copied().chain(legs).collect()
    }

    /// The deck: a copy of the boat for each variant of its excess and each circuit that is on.
    fn deck(&self, variants: &[Excess]) -> String {
        let mut deck = "an invented boat with a fault\n".to_owned();
        let mut line = |text: String| writeln!(deck, "{text}").unwrap();
        for (v, excess) in variants.iter().enumerate() {
            for (c, circuit) in self.circuits.iter().enumerate() {
                let node = |node: usize| name(v, c, node);
                line(format!("V{v}x{c} {} 0 {:e}", node(1), self.rest));
                for s in self.live(circuit) {
                    let stretch = &self.stretches[s];
                    let ohms = stretch.ohms + if excess.0 == s { excess.1 } else { 0.0 };
                    line(format!("R{v}x{c}x{s} {} {} {ohms:e}", node(stretch.from), node(stretch.to)));
                }
                for (k, leg) in circuit.legs.iter().enumerate() {
                    let (p, n) = (node(leg.load.0), node(leg.load.1));
                    line(match leg.draws {
                        Draws::A(a) => format!("I{v}x{c}x{k} {p} {n} {a:e}"),
                        Draws::W(w) => format!("B{v}x{c}x{k} {p} {n} I={w:e}/V({p},{n})"),
                        Draws::Ohm(r) => format!("Rl{v}x{c}x{k} {p} {n} {r:e}"),
                    });
                    line(format!(".nodeset v({p})=12"));
                }
            }
        }
        line(".options reltol=1e-10 abstol=1e-13 vntol=1e-11 itl1=500".to_owned());
        line(".control\nset numdgt=14\nop\nprint all\nquit\n.endc\n.end".to_owned());
        deck
    }

    /// What ngspice gives for each variant; none where a voltage collapses.
    fn solved(&self, variants: &[Excess], folder: &Path) -> Option<Vec<Solved<'_>>> {
        let file = folder.join("boat.cir");
        std::fs::write(&file, self.deck(variants)).unwrap();
        let Ok(run) = Command::new("ngspice").arg("-b").arg(&file).output() else {
            panic!("ngspice cannot be started: it is the oracle of this test, and tests/run installs it");
        };
        let text = String::from_utf8_lossy(&run.stdout);
        let value = |line: &str| {
            let (name, value) = line.split_once(" = ")?;
            Some((name.trim().to_owned(), value.trim().parse().ok()?))
        };
        let volts: HashMap<String, f64> = text.lines().filter_map(value).collect();
        let solved = |(variant, excess): (usize, &Excess)| {
            let all =
                (0..self.circuits.len()).map(|on| self.copy(&volts, (variant, on))).collect::<Option<_>>();
            Some(Solved { boat: self, excess: *excess, volts: all? })
        };
        variants.iter().enumerate().map(solved).collect()
    }

    /// The volts of all nodes in one copy; those that are not in it are 0.
    fn copy(&self, volts: &HashMap<String, f64>, (v, c): (usize, usize)) -> Option<Vec<f64>> {
        let circuit = &self.circuits[c];
        let of = |node: usize| volts.get(&name(v, c, node)).copied().unwrap_or(0.0);
        let all: Vec<f64> = (0..self.nodes).map(of).collect();
        let at_load = |leg: &Leg| all[leg.load.0] - all[leg.load.1];
        circuit.legs.iter().all(|leg| at_load(leg) > 5.0).then_some(all)
    }
}

/// An excess in ohm on a stretch.
type Excess = (usize, f64);

/// Shares of the excess that the diagnosis fits to another stretch, tried for one that gives the same readings.
const SCALES: [f64; 5] = [1.0, 0.75, 0.5, 0.3, 0.15];

const NO_EXCESS: Excess = (0, 0.0);

fn name(variant: usize, circuit: usize, node: usize) -> String {
    if node == 0 { "0".to_owned() } else { format!("n{variant}x{circuit}x{node}") }
}

/// The volts of a boat with an excess, for each circuit that is on.
struct Solved<'a> {
    boat: &'a Boat,
    excess: Excess,
    volts: Vec<Vec<f64>>,
}

/// What a meter shows at one load: volts where the circuit begins, volts at the load, amperes, ohms back.
#[derive(Debug, Clone, Copy)]
struct Shown {
    source: f64,
    load: f64,
    current: f64,
    back: f64,
}

impl Solved<'_> {
    fn ohms(&self, stretch: usize) -> f64 {
        let (at, excess) = self.excess;
        self.boat.stretches[stretch].ohms + if at == stretch { excess } else { 0.0 }
    }

    fn amperes(&self, on: usize, stretch: usize) -> f64 {
        let Stretch { from, to, .. } = self.boat.stretches[stretch];
        (self.volts[on][from] - self.volts[on][to]) / self.ohms(stretch)
    }

    /// The current of a circuit, through its fuse.
    fn current(&self, on: usize) -> f64 {
        self.amperes(on, self.boat.circuits[on].legs[0].out[0])
    }

    fn shown(&self, on: usize, load: usize) -> Shown {
        let (circuit, volts) = (&self.boat.circuits[on], &self.volts[on]);
        let over = |(plus, minus): (usize, usize)| volts[plus] - volts[minus];
        let back = circuit.legs[..=load].iter().map(|leg| self.ohms(leg.back)).sum();
        let current = self.current(on);
        Shown { source: over(circuit.begins), load: over(circuit.legs[load].load), current, back }
    }

    fn all_shown(&self) -> Vec<Shown> {
        self.boat.places().map(|(on, load)| self.shown(on, load)).collect()
    }

    /// The most that a stretch carries while the circuits are on one by one.
    fn most(&self, stretch: usize) -> f64 {
        let live = |on: &usize| self.boat.live(&self.boat.circuits[*on]).contains(&stretch);
        let amperes = (0..self.volts.len()).filter(live).map(|on| self.amperes(on, stretch).abs());
        amperes.fold(0.0, f64::max)
    }
}

impl Boat {
    /// Where it is measured: each circuit at each load.
    fn places(&self) -> impl Iterator<Item = (usize, usize)> {
        let circuits = self.circuits.iter().enumerate();
        circuits.flat_map(|(on, circuit)| (0..circuit.legs.len()).map(move |load| (on, load)))
    }

    fn suspects(&self) -> Vec<SuspectStretch> {
        let suspect = |(number, stretch): (usize, &Stretch)| SuspectStretch {
            name: format!("stretch {number}"),
            design: ElectricalResistance::new::<ohm>(stretch.ohms),
        };
        self.stretches.iter().enumerate().map(suspect).collect()
    }

    /// The readings of a boat with a fault, to the last digit of a meter, beside what its plan expects.
    fn taken(&self, planned: &Solved<'_>, faulty: &Solved<'_>) -> Vec<Taken> {
        let digit = |value: f64| (value * 100.0).round() / 100.0;
        let volts = |value: f64| ElectricPotential::new::<volt>(value);
        let amperes = |value: f64| ElectricCurrent::new::<ampere>(value);
        let taken = |(on, load): (usize, usize)| {
            let (circuit, expected, read) =
                (&self.circuits[on], planned.shown(on, load), faulty.shown(on, load));
            let share = |stretch: usize| StretchShare {
                stretch,
                share: planned.amperes(on, stretch).abs() / planned.current(on),
            };
            let legs = &circuit.legs[..=load];
            Taken {
                of: format!("circuit {on}"),
                supply: 0,
                rest: volts(self.rest),
                before: circuit.before.iter().map(|stretch| share(*stretch)).collect(),
                out: legs.iter().flat_map(|leg| &leg.out).map(|stretch| share(*stretch)).collect(),
                back: legs.iter().map(|leg| share(leg.back)).collect(),
                expected: NetworkReading {
                    source: volts(expected.source),
                    load: volts(expected.load),
                    current: amperes(expected.current),
                    fuse: Some(amperes(25.0)),
                },
                meter: MeterReading {
                    source: Some(volts(digit(read.source))),
                    load: Some(volts(digit(read.load))),
                    current: Some(amperes(digit(read.current))),
                    back: self.measures_back.then(|| ElectricalResistance::new::<ohm>(digit(read.back))),
                    ..MeterReading::default()
                },
            }
        };
        self.places().map(taken).collect()
    }

    /// How far two sets of readings are apart, in multiples of their noise: half a percent and a digit of the
    /// meter, 0.02 V between two moments of a battery at rest, 0.03 ohm between two contacts of an ohmmeter. What
    /// all of them have in common says nothing, up to four times what a battery at rest and test leads usually
    /// differ by (common practice, no source).
    fn apart(&self, one: &[Shown], other: &[Shown]) -> f64 {
        let ohms = |(a, b): (&Shown, &Shown)| (a.back - b.back, (0.005 * a.back).hypot(0.03));
        let ohms: Vec<_> = one.iter().zip(other).map(ohms).collect();
        let volts = beyond_common(&volts_between(one, other), APART * REST_V);
        if self.measures_back { volts.max(beyond_common(&ohms, APART * 0.3)) } else { volts }
    }
}

/// How many volts lie between two sets of readings, each with its noise.
fn volts_between(one: &[Shown], other: &[Shown]) -> Vec<(f64, f64)> {
    let volts = |a: f64, b: f64| (a - b, (0.005 * a).hypot(0.01).hypot(0.02));
    one.iter().zip(other).flat_map(|(a, b)| [volts(a.source, b.source), volts(a.load, b.load)]).collect()
}

/// The largest difference in multiples of its noise, after the best that all of them may have in common.
fn beyond_common(differences: &[(f64, f64)], common: f64) -> f64 {
    let all = || differences.iter().map(|(difference, _)| *difference);
    let middle = f64::midpoint(all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
    let shift = middle.clamp(-common, common);
    differences.iter().map(|(difference, noise)| (difference - shift).abs() / noise).fold(0.0, f64::max)
}

/// What the diagnosis names first: the stretches with their milliohms. Nothing may be named only where all readings
/// fall alike, as those of a low battery do: by up to four times what a battery at rest may differ by.
fn first_named(planned: &Solved<'_>, faulty: &Solved<'_>) -> Option<Vec<(usize, f64)>> {
    let boat = planned.boat;
    let answer = diagnose(&boat.suspects(), &boat.taken(planned, faulty));
    let Some(first) = answer.explanations.first() else {
        let fall = volts_between(&planned.all_shown(), &faulty.all_shown());
        let beyond = beyond_common(&fall, APART * REST_V);
        assert!(beyond <= APART, "nothing for {:?}, {beyond}, in {boat:?}", faulty.excess);
        return None;
    };
    assert_eq!(first.faults.len(), 1, "{first:?} for {:?} in {boat:?}", faulty.excess);
    Some(first.faults[0].stretches.clone())
}

/// Plants a fault and seeks it; false where the loads are too much for the boat.
fn is_found(boat: &Boat, (stretch, costs_v): (usize, f64), folder: &Path) -> bool {
    let stretch = stretch % boat.stretches.len();
    let Some(planned) = boat.solved(&[NO_EXCESS], folder).and_then(|mut all| all.pop()) else { return false };
    let most = planned.most(stretch);
    // A feeder that no circuit uses carries nothing.
    if most == 0.0 {
        return false;
    }
    let Some(faulty) = boat.solved(&[(stretch, costs_v / most)], folder).and_then(|mut all| all.pop()) else {
        return false;
    };
    let Some(named) = first_named(&planned, &faulty) else { return false };
    let fitted = named.iter().find(|(one, _)| *one == stretch).map(|(_, milliohm)| *milliohm);
    let Some(fitted) = fitted else {
        panic!("{named:?} named, the fault is {:?} in {boat:?}", faulty.excess)
    };
    let exact = 1e3 * costs_v / most;
    assert!((fitted - exact).abs() <= 0.25 * exact, "{fitted} milliohm, planted {exact}, in {boat:?}");
    names_what_cannot_be_told_apart(&planned, (stretch, WORTH_V / most), fitted, &named, folder);
    true
}

/// Other stretches with an excess just worth looking for in their turn, by ngspice: whatever gives the same readings
/// is named, and what is named gives readings that the meter cannot tell apart. Only a stretch that carries as much
/// can give the same readings with the same excess.
fn names_what_cannot_be_told_apart(
    planned: &Solved<'_>,
    (stretch, worth): Excess,
    fitted: f64,
    named: &[(usize, f64)],
    folder: &Path,
) {
    let (boat, most) = (planned.boat, planned.most(stretch));
    let carries_as_much = |other: &usize| (planned.most(*other) - most).abs() < 1e-6 * most;
    let alike: Vec<usize> = (0..boat.stretches.len()).filter(carries_as_much).collect();
    let scaled = named
        .iter()
        .flat_map(|(other, milliohm)| SCALES.map(|scale| (*other, scale * worth * milliohm / fitted)));
    let variants: Vec<Excess> = alike.iter().map(|other| (*other, worth)).chain(scaled).collect();
    let readings = boat.solved(&[&[(stretch, worth)], &variants[..]].concat(), folder).unwrap();
    let readings: Vec<Vec<Shown>> = readings.iter().map(Solved::all_shown).collect();
    let apart = |shown: &Vec<Shown>| boat.apart(&readings[0], shown);
    let (same, looking) = readings[1..].split_at(alike.len());
    for (other, shown) in alike.iter().zip(same) {
        let is_named = named.iter().any(|(one, _)| one == other);
        assert!(is_named || apart(shown) > 1e-6, "{other} looks like {stretch}: {named:?} in {boat:?}");
    }
    for ((other, _), shown) in named.iter().zip(looking.chunks(SCALES.len())) {
        let apart = shown.iter().map(apart).fold(f64::INFINITY, f64::min);
        assert!(apart <= APART, "{other} is {apart} from {stretch}: {named:?} in {boat:?}");
    }
}

#[test]
fn a_fault_planted_in_ngspice_is_named_with_what_looks_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let mut runner = TestRunner::deterministic();
    let case = (seed(), 0..1000_usize, 0.5..2.0_f64);
    let mut found = 0;
    for _ in 0..3 * BOATS {
        let (seed, stretch, costs_v) = case.new_tree(&mut runner).unwrap().current();
        found += usize::from(is_found(&Boat::grown(&seed), (stretch, costs_v), folder.path()));
        if found == BOATS {
            return;
        }
    }
    panic!("only {found} boats could be solved");
}
