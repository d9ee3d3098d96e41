//! Diagnosis on a simulated boat: faults are planted in the solved network, read with a noisy meter, and sought.
//!
//! The boat, its faults and its meter are made here; the network solver that makes the readings is compared with
//! ngspice elsewhere (`trade_network_ngspice`). The figures asked for, the true place first in 95 of 100 single
//! faults and among the first three answers in 90 of 100 double ones at 0.5 % of noise, are the project's own
//! aim, no source. A place is what `trade::diagnosis` defines: stretches that these readings cannot tell apart.

#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]

use driploop::trade::dc_network::{Network, NetworkLoad, NetworkPart, Node, Solution};
use driploop::trade::diagnosis::{
    Diagnosis, MeterReading, NetworkReading, Sign, StretchShare, SuspectStretch, Taken, diagnose, signs,
};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Power};
use uom::si::power::watt;

/// A meter's share of noise: one standard deviation.
const NOISE: f64 = 0.005;
/// What a planted fault costs at the most current that its stretch carries, in V.
const COSTS: (f64, f64) = (0.4, 2.5);

fn volts(v: f64) -> ElectricPotential {
    ElectricPotential::new::<volt>(v)
}

fn amperes(a: f64) -> ElectricCurrent {
    ElectricCurrent::new::<ampere>(a)
}

fn ohms(r: f64) -> ElectricalResistance {
    ElectricalResistance::new::<ohm>(r)
}

/// Random numbers that are the same in every run (SplitMix64, Steele et al. 2014; Box and Muller 1958).
struct Dice(u64);

impl Dice {
    fn word(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// From 0 to 1.
    fn share(&mut self) -> f64 {
        f64::from(u32::try_from(self.word() >> 32).unwrap()) / f64::from(u32::MAX)
    }

    fn between(&mut self, (low, high): (f64, f64)) -> f64 {
        low + (high - low) * self.share()
    }

    fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.word() % u64::try_from(count).unwrap()).unwrap()
    }

    fn normal(&mut self) -> f64 {
        let (one, other) = (self.share().max(1e-12), self.share());
        (-2.0 * one.ln()).sqrt() * (std::f64::consts::TAU * other).cos()
    }

    /// What a meter shows of a figure, to its last digit.
    fn shown(&mut self, figure: f64, digit: f64) -> f64 {
        (figure * (1.0 + NOISE * self.normal()) / digit).round() * digit
    }
}

/// How a load of the boat draws: current, power or resistance.
#[derive(Clone, Copy)]
enum Draws {
    A(f64),
    W(f64),
    Ohm(f64),
}

impl Draws {
    /// A load that differs by a share from what its manufacturer says.
    fn load(self, times: f64) -> NetworkLoad {
        match self {
            Self::A(a) => NetworkLoad::Current(amperes(a * times)),
            Self::W(w) => NetworkLoad::Power(Power::new::<watt>(w * times)),
            Self::Ohm(r) => NetworkLoad::Resistance(ohms(r / times)),
        }
    }
}

/// The circuits: where each is fed from, what it draws one after the other on its wire, milliohms one way.
const CIRCUITS: &[(&str, usize, &[Draws], f64)] = &[
    ("sidelights", 1, &[Draws::A(1.2)], 70.0),
    ("anchor light", 1, &[Draws::Ohm(10.0)], 85.0),
    ("courtesy lights", 1, &[Draws::A(0.8), Draws::A(0.8)], 60.0),
    ("spreader lights", 1, &[Draws::W(36.0), Draws::W(36.0)], 45.0),
    ("washdown", 1, &[Draws::A(9.0)], 22.0),
    ("livewell", 1, &[Draws::A(4.5)], 34.0),
    ("horn", 1, &[Draws::A(4.0)], 40.0),
    ("plotter", 0, &[Draws::W(28.0)], 50.0),
    ("second plotter", 0, &[Draws::W(24.0)], 50.0),
    ("radar", 0, &[Draws::W(70.0)], 30.0),
    ("fishfinder", 0, &[Draws::W(18.0)], 55.0),
    ("radio", 0, &[Draws::A(5.5)], 20.0),
    ("stereo", 0, &[Draws::A(3.0)], 42.0),
    ("bilge pump", 2, &[Draws::A(5.0)], 33.0),
    ("alarm", 2, &[Draws::A(0.5)], 90.0),
];

/// The feeders of the boat: name, milliohms, and which blocks draw through it (0 electronics, 1 lights and pumps,
/// 2 always on).
const FEEDERS: &[(&str, f64, [bool; 3])] = &[
    ("house battery", 6.0, [true, true, true]),
    ("main positive", 0.8, [true, true, false]),
    ("positive to the helm", 1.1, [true, true, false]),
    ("feed of the electronics block", 2.1, [true, false, false]),
    ("feed of the lights block", 1.9, [false, true, false]),
    ("feed of the always-on block", 3.4, [false, false, true]),
    ("negative from the helm", 1.1, [true, true, false]),
    ("main negative", 0.4, [true, true, true]),
];

/// The boat's wiring, with an excess on some of its stretches.
struct Boat {
    network: Network,
    stretches: Vec<Option<NetworkPart>>,
    circuits: Vec<Laid>,
}

/// One circuit: the part that switches it, its parts, where it begins and ends, and its loads.
struct Laid {
    gate: Option<NetworkPart>,
    loads: Vec<(Node, Node)>,
    begins: (Node, Node),
    before: Vec<usize>,
    legs: Vec<(Vec<usize>, Vec<usize>)>,
}

struct Layer<'a> {
    network: Network,
    parts: Vec<Option<NetworkPart>>,
    excess: &'a dyn Fn(usize) -> f64,
}

impl Layer<'_> {
    /// A stretch; one of a circuit that is off is only counted.
    fn stretch(&mut self, from: Node, to: Node, milliohm: f64, on: bool) -> (usize, Option<NetworkPart>) {
        let number = self.parts.len();
        let held = ohms(milliohm / 1e3 + (self.excess)(number));
        let part = on.then(|| self.network.resistance(from, to, held).unwrap());
        self.parts.push(part);
        (number, part)
    }
}

impl Boat {
    /// Lays the boat: the battery's inside is the first stretch, then the feeders, then circuit by circuit fuse,
    /// way out and way back for each leg. Only one circuit is on; what is off carries nothing and is left out.
    fn lay(rest: f64, excess: &dyn Fn(usize) -> f64, times: &dyn Fn(usize) -> f64, on: usize) -> Self {
        let mut layer = Layer { network: Network::new(), parts: Vec::new(), excess };
        let node = |layer: &mut Layer<'_>| layer.network.node();
        let (ideal, post, negative) = (node(&mut layer), node(&mut layer), node(&mut layer));
        let (aft, helm, helm_negative, aft_negative) =
            (node(&mut layer), node(&mut layer), node(&mut layer), node(&mut layer));
        let blocks = [node(&mut layer), node(&mut layer), node(&mut layer)];
        layer.network.source(ideal, negative, volts(rest), ohms(0.0)).unwrap();
        let ways = [
            (ideal, post),
            (post, aft),
            (aft, helm),
            (helm, blocks[0]),
            (helm, blocks[1]),
            (post, blocks[2]),
            (helm_negative, aft_negative),
            (aft_negative, negative),
        ];
        for ((from, to), (_, milliohm, _)) in ways.into_iter().zip(FEEDERS) {
            layer.stretch(from, to, *milliohm, true);
        }
        let mut circuits = Vec::new();
        for (index, (_, block, draws, milliohm)) in CIRCUITS.iter().enumerate() {
            let (source, back) = (blocks[*block], if *block == 2 { aft_negative } else { helm_negative });
            let (is_on, protected) = (index == on, node(&mut layer));
            let (fuse, gate) = layer.stretch(source, protected, 2.0, is_on);
            let (mut near, mut far) = (protected, back);
            let (mut loads, mut legs) = (Vec::new(), Vec::new());
            for (number, draw) in draws.iter().enumerate() {
                let (plus, minus) = (node(&mut layer), node(&mut layer));
                let (out, _) = layer.stretch(near, plus, *milliohm, is_on);
                let (home, _) = layer.stretch(minus, far, *milliohm, is_on);
                if is_on {
                    layer.network.load(plus, minus, draw.load(times(index))).unwrap();
                }
                loads.push((plus, minus));
                legs.push((if number == 0 { vec![fuse, out] } else { vec![out] }, vec![home]));
                (near, far) = (plus, minus);
            }
            let through = FEEDERS.iter().enumerate().filter(|(_, (_, _, blocks))| blocks[*block]);
            let before = through.map(|(feeder, _)| feeder).collect();
            circuits.push(Laid { gate, loads, begins: (source, back), before, legs });
        }
        Self { network: layer.network, stretches: layer.parts, circuits }
    }

    /// The voltage where a circuit begins, at a load, and the circuit's current; none where the voltage collapses.
    fn read(&self, on: usize, load: usize) -> Option<(f64, f64, f64)> {
        let solved = self.solve()?;
        let circuit = &self.circuits[on];
        let over = |(plus, minus): (Node, Node)| (solved.volts(plus) - solved.volts(minus)).get::<volt>();
        let current = solved.current(circuit.gate?).get::<ampere>();
        Some((over(circuit.begins), over(circuit.loads[load]), current))
    }

    fn solve(&self) -> Option<Solution> {
        self.network.solve(|_| true).ok()
    }

    fn passed(&self, solved: &Solution, on: usize, stretches: &[usize]) -> Vec<StretchShare> {
        let amperes =
            |part: Option<NetworkPart>| part.map_or(0.0, |part| solved.current(part).get::<ampere>());
        let whole = amperes(self.circuits[on].gate);
        let share = |stretch: usize| amperes(self.stretches[stretch]).abs() / whole;
        stretches.iter().map(|stretch| StretchShare { stretch: *stretch, share: share(*stretch) }).collect()
    }
}

/// The stretches with their names and what they should have.
fn stretches() -> Vec<SuspectStretch> {
    let named = |name: String, milliohm: f64| SuspectStretch { name, design: ohms(milliohm / 1e3) };
    let feeders = FEEDERS.iter().map(|(name, milliohm, _)| named((*name).to_owned(), *milliohm));
    let circuits = CIRCUITS.iter().flat_map(|(name, _, draws, milliohm)| {
        let fuse = named(format!("{name}, fuse"), 2.0);
        let legs = (1..=draws.len()).flat_map(move |leg| {
            [named(format!("{name}, out {leg}"), *milliohm), named(format!("{name}, back {leg}"), *milliohm)]
        });
        std::iter::once(fuse).chain(legs)
    });
    feeders.chain(circuits).collect()
}

/// One reading to take: which circuit, which of its loads, and what is known of it beforehand.
struct Asked {
    on: usize,
    load: usize,
    back: Vec<usize>,
    known: Taken,
}

/// Every circuit, to be measured at each of its loads, with what the plan says of it.
fn asked() -> Vec<Asked> {
    let mut asked = Vec::new();
    for (on, (name, ..)) in CIRCUITS.iter().enumerate() {
        let planned = sound(on);
        let (circuit, solved) = (&planned.circuits[on], planned.solve().unwrap());
        for load in 0..circuit.legs.len() {
            let legs = &circuit.legs[..=load];
            let out: Vec<usize> = legs.iter().flat_map(|(out, _)| out).copied().collect();
            let back: Vec<usize> = legs.iter().flat_map(|(_, back)| back).copied().collect();
            let (source, at_load, current) = planned.read(on, load).unwrap();
            let known = Taken {
                of: (*name).to_owned(),
                supply: 0,
                rest: volts(12.7),
                before: planned.passed(&solved, on, &circuit.before),
                out: planned.passed(&solved, on, &out),
                back: planned.passed(&solved, on, &back),
                expected: NetworkReading {
                    source: volts(source),
                    load: volts(at_load),
                    current: amperes(current),
                    fuse: Some(amperes(15.0)),
                },
                meter: MeterReading::default(),
            };
            asked.push(Asked { on, load, back, known });
        }
    }
    asked
}

/// The readings of a boat with this excess, whose battery and loads are not quite as planned: the battery
/// drifts from one reading to the next, and the ohmmeter's leads add their own.
fn read_all(
    dice: &mut Dice,
    asked: &[Asked],
    all: &[SuspectStretch],
    excess: &[(usize, f64)],
) -> Option<Vec<Taken>> {
    let times: Vec<f64> = CIRCUITS.iter().map(|_| dice.between((0.9, 1.1))).collect();
    let (rest, leads) = (12.7 + dice.between((-0.3, 0.3)), dice.between((0.0, 0.3)));
    let held = |stretch: usize| -> f64 {
        excess.iter().filter(|(known, _)| *known == stretch).map(|(_, ohms)| ohms).sum()
    };
    let mut readings = Vec::new();
    for asked in asked {
        let boat = Boat::lay(rest + 0.02 * dice.normal(), &held, &|index| times[index], asked.on);
        let (source, load, current) = boat.read(asked.on, asked.load)?;
        let design = |stretch: &usize| all[*stretch].design.get::<ohm>() + held(*stretch);
        let back: f64 = asked.back.iter().map(design).sum::<f64>() + leads + 0.02 * dice.normal();
        let meter = MeterReading {
            source: Some(volts(dice.shown(source, 0.01))),
            load: Some(volts(dice.shown(load, 0.01))),
            current: Some(amperes(dice.shown(current, 0.01))),
            back: Some(ohms(dice.shown(back, 0.01))),
            ..MeterReading::default()
        };
        readings.push(Taken { meter, ..asked.known.clone() });
    }
    Some(readings)
}

/// The most current that each stretch carries while the circuits are measured one by one.
fn most_current() -> Vec<f64> {
    let mut most = vec![0.0_f64; stretches().len()];
    for on in 0..CIRCUITS.len() {
        let planned = sound(on);
        let solved = planned.solve().unwrap();
        for (most, part) in most.iter_mut().zip(&planned.stretches) {
            *most = most.max(part.map_or(0.0, |part| solved.current(part).get::<ampere>().abs()));
        }
    }
    most
}

/// The boat as planned, with one circuit on.
fn sound(on: usize) -> Boat {
    Boat::lay(12.7, &|_| 0.0, &|_| 1.0, on)
}

/// Whether an answer names these stretches, each in a place of its own.
fn names(answer: &Diagnosis, at: usize, planted: &[(usize, f64)]) -> bool {
    let Some(explanation) = answer.explanations.get(at) else { return false };
    explanation.faults.len() == planted.len()
        && planted.iter().all(|(stretch, _)| {
            explanation.faults.iter().any(|fault| fault.stretches.iter().any(|(one, _)| one == stretch))
        })
}

/// Plants so many faults at random and seeks them; tells how often they are found among the first `within`
/// answers, and how many stretches the first answers name in all.
fn found(dice: &mut Dice, cases: usize, faults: usize, within: usize) -> (usize, usize) {
    let (all, most, asked) = (stretches(), most_current(), asked());
    let (mut done, mut right, mut named) = (0, 0, 0);
    while done < cases {
        let mut planted: Vec<(usize, f64)> = Vec::new();
        while planted.len() < faults {
            let stretch = dice.below(all.len());
            if planted.iter().all(|(known, _)| *known != stretch) {
                planted.push((stretch, dice.between(COSTS) / most[stretch]));
            }
        }
        // A pair that would let the electronics collapse is read as an open circuit, and not by milliohms.
        let Some(readings) = read_all(dice, &asked, &all, &planted) else { continue };
        done += 1;
        let answer = diagnose(&all, &readings);
        let hit = (0..within).any(|at| names(&answer, at, &planted));
        right += usize::from(hit);
        named += answer
            .explanations
            .first()
            .map_or(0, |first| first.faults.iter().map(|fault| fault.stretches.len()).sum());
    }
    (right, named)
}

#[test]
fn a_single_fault_is_placed() {
    let (cases, mut dice) = (500, Dice(20_260_301));
    let (right, named) = found(&mut dice, cases, 1, 1);
    assert!(right * 100 >= cases * 95, "{right} of {cases} single faults are named first");
    assert!(
        named <= 3 * cases,
        "a place is a fuse, a wire and its way back at most: {named} named in {cases}"
    );
}

#[test]
fn two_faults_are_placed() {
    let (cases, mut dice) = (500, Dice(20_260_302));
    let (right, named) = found(&mut dice, cases, 2, 3);
    assert!(right * 100 >= cases * 90, "{right} of {cases} double faults are among the first three");
    assert!(named <= 6 * cases, "{named} stretches named in {cases}");
}

#[test]
fn a_sound_boat_raises_no_alarm() {
    let (all, asked, mut dice) = (stretches(), asked(), Dice(20_260_303));
    let alarms = (0..100).filter(|_| {
        let readings = read_all(&mut dice, &asked, &all, &[]).unwrap();
        !diagnose(&all, &readings).explanations.is_empty()
    });
    let alarms = alarms.count();
    assert!(alarms <= 1, "{alarms} alarms on 100 sound boats");
}

#[test]
fn the_milliohms_are_those_planted() {
    let (all, asked, mut dice) = (stretches(), asked(), Dice(20_260_304));
    let negative = all.iter().position(|stretch| stretch.name == "negative from the helm").unwrap();
    let readings = read_all(&mut dice, &asked, &all, &[(negative, 0.120)]).unwrap();
    let answer = diagnose(&all, &readings);
    let fault = &answer.explanations[0].faults[0];
    let (_, milliohm) = fault.stretches.iter().find(|(stretch, _)| *stretch == negative).unwrap();
    assert!((milliohm - 120.0).abs() < 12.0, "{milliohm}");
    assert!((fault.costs_v - 0.120 * 9.0).abs() < 0.2, "the washdown pump's 9 A costs it most: {fault:?}");
}

/// Sound readings with one of them changed.
fn shown(of: &str, change: impl Fn(&mut Taken)) -> Vec<Sign> {
    let (all, asked) = (stretches(), asked());
    let mut readings = read_all(&mut Dice(1), &asked, &all, &[]).unwrap();
    readings.iter_mut().filter(|taken| taken.of == of).for_each(change);
    signs(&readings)
}

fn meter(source: f64, load: f64, current: f64) -> MeterReading {
    let (source, load) = (Some(volts(source)), Some(volts(load)));
    MeterReading { source, load, current: Some(amperes(current)), ..MeterReading::default() }
}

#[test]
fn what_needs_no_arithmetic_is_read_off() {
    let of = || "livewell".to_owned();
    assert_eq!(shown("livewell", |_| {}), []);
    let is = |read: MeterReading| shown("livewell", |taken| taken.meter = read);
    assert_eq!(is(meter(12.6, -12.2, 4.4)), [Sign::Reversed { of: of(), at_source: false }]);
    assert_eq!(is(meter(12.6, 12.6, 0.0)), [Sign::LoadOpen { of: of() }]);
    assert_eq!(is(meter(8.1, 0.9, 44.0)), [Sign::Short { of: of(), current_a: 44.0 }]);
    assert_eq!(is(meter(12.6, 13.8, 4.4)), [Sign::FedTwice { of: of(), off_v: None }]);
    let off = MeterReading { load_off: Some(volts(12.1)), ..meter(12.6, 12.2, 4.4) };
    assert_eq!(is(off), [Sign::FedTwice { of: of(), off_v: Some(12.1) }]);
    let draws = MeterReading { current_off: Some(amperes(0.6)), ..meter(12.6, 12.2, 4.4) };
    assert_eq!(is(draws), [Sign::DrawsWhenOff { of: of(), current_a: 0.6 }]);
    let much = is(meter(12.6, 12.1, 7.0));
    assert_eq!(much, [Sign::DrawsTooMuch { of: of(), current_a: 7.0, expected_a: 4.5 }]);
    let little = is(meter(12.6, 12.4, 2.0));
    assert_eq!(little, [Sign::DrawsTooLittle { of: of(), current_a: 2.0, expected_a: 4.5 }]);
}

#[test]
fn an_open_conductor_is_located_by_what_still_works() {
    let named = |stretches: &[usize]| {
        let all = self::stretches();
        stretches.iter().map(|stretch| all[*stretch].name.clone()).collect::<Vec<_>>()
    };
    let dead = shown("livewell", |taken| {
        taken.meter = MeterReading { back: Some(ohms(0.2)), ..meter(12.6, 0.0, 0.0) };
    });
    let [Sign::Open { on, .. }] = dead.as_slice() else { panic!("{dead:?}") };
    assert_eq!(named(on), ["livewell, fuse", "livewell, out 1"], "its return was measured whole");
    let (all, asked) = (stretches(), asked());
    let mut readings = read_all(&mut Dice(1), &asked, &all, &[]).unwrap();
    for taken in readings.iter_mut().filter(|taken| ["bilge pump", "alarm"].contains(&taken.of.as_str())) {
        taken.meter = meter(0.0, 0.0, 0.0);
    }
    let both = signs(&readings);
    let [Sign::Open { of, on }] = both.as_slice() else { panic!("{both:?}") };
    assert_eq!(
        (of.as_slice(), named(on)),
        (&["bilge pump".to_owned(), "alarm".to_owned()][..], vec!["feed of the always-on block".to_owned()])
    );
}

#[test]
fn two_wires_swapped_tell_on_each_other() {
    let (all, asked) = (stretches(), asked());
    let mut readings = read_all(&mut Dice(1), &asked, &all, &[]).unwrap();
    for taken in &mut readings {
        match taken.of.as_str() {
            "washdown" => taken.meter = meter(12.6, 12.4, 4.0),
            "horn" => taken.meter = meter(12.6, 11.9, 9.1),
            _ => {}
        }
    }
    let swapped = |of: &str, with: &str| Sign::Swapped { of: of.to_owned(), with: with.to_owned() };
    assert_eq!(signs(&readings), [swapped("washdown", "horn"), swapped("horn", "washdown")]);
}
