//! Invented boats' wiring for the tests: a positive and a negative side, loads between them.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]
#![allow(dead_code, reason = "each test uses its part of this")]

use driploop::trade::dc_network::{Network, NetworkLoad, NetworkPart, Node};
use proptest::prelude::*;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Power};
use uom::si::power::watt;

/// What a load wants.
#[derive(Debug, Clone, Copy)]
pub enum Want {
    Amperes(f64),
    Watts(f64),
    Ohms(f64),
}

impl Want {
    pub fn load(self) -> NetworkLoad {
        match self {
            Self::Amperes(a) => NetworkLoad::Current(ElectricCurrent::new::<ampere>(a)),
            Self::Watts(w) => NetworkLoad::Power(Power::new::<watt>(w)),
            Self::Ohms(r) => NetworkLoad::Resistance(ElectricalResistance::new::<ohm>(r)),
        }
    }
}

/// A location on both sides of the wiring, fed from an earlier one.
#[derive(Debug, Clone)]
pub struct Spot {
    pub up: usize,
    pub positive_ohms: f64,
    pub negative_ohms: f64,
    pub want: Want,
}

#[derive(Debug, Clone)]
pub struct Battery {
    pub spot: usize,
    pub emf: f64,
    pub internal: f64,
}

/// Spot 0 is where the first battery stands; spot `k + 1` is `spots[k]`.
#[derive(Debug, Clone)]
pub struct Boat {
    pub spots: Vec<Spot>,
    /// Second ways between two spots, on both sides.
    pub ties: Vec<(usize, usize, f64)>,
    pub batteries: Vec<Battery>,
}

pub struct Wired {
    pub network: Network,
    pub positive: Vec<Node>,
    pub negative: Vec<Node>,
    pub loads: Vec<NetworkPart>,
    pub batteries: Vec<NetworkPart>,
    pub wires: Vec<NetworkPart>,
}

fn ohms(r: f64) -> ElectricalResistance {
    ElectricalResistance::new::<ohm>(r)
}

impl Boat {
    pub fn wired(&self) -> Wired {
        let mut network = Network::new();
        let positive: Vec<Node> = (0..=self.spots.len()).map(|_| network.node()).collect();
        let negative: Vec<Node> = (0..=self.spots.len()).map(|_| network.node()).collect();
        let (mut loads, mut wires) = (Vec::new(), Vec::new());
        for (at, spot) in (1..).zip(&self.spots) {
            wires
                .push(network.resistance(positive[spot.up], positive[at], ohms(spot.positive_ohms)).unwrap());
            wires
                .push(network.resistance(negative[at], negative[spot.up], ohms(spot.negative_ohms)).unwrap());
            loads.push(network.load(positive[at], negative[at], spot.want.load()).unwrap());
        }
        for &(one, other, r) in &self.ties {
            wires.push(network.resistance(positive[one], positive[other], ohms(r)).unwrap());
            wires.push(network.resistance(negative[one], negative[other], ohms(r)).unwrap());
        }
        let mut source = |battery: &Battery| {
            let (up, down) = (positive[battery.spot], negative[battery.spot]);
            network
                .source(up, down, ElectricPotential::new::<volt>(battery.emf), ohms(battery.internal))
                .unwrap()
        };
        let batteries = self.batteries.iter().map(&mut source).collect();
        Wired { network, positive, negative, loads, batteries, wires }
    }
}

pub fn want() -> impl Strategy<Value = Want> {
    prop_oneof![
        (0.05..1.5_f64).prop_map(Want::Amperes),
        (0.5..18.0_f64).prop_map(Want::Watts),
        (8.0..200.0_f64).prop_map(Want::Ohms),
    ]
}

fn spot() -> impl Strategy<Value = (prop::sample::Index, f64, f64, Want)> {
    (any::<prop::sample::Index>(), 0.001..0.02_f64, 0.001..0.02_f64, want())
}

fn tie() -> impl Strategy<Value = (prop::sample::Index, prop::sample::Index, f64)> {
    (any::<prop::sample::Index>(), any::<prop::sample::Index>(), 0.001..0.05_f64)
}

/// Boats of 1 to `most_spots` spots, at most `most_ties` second ways and `most_batteries` batteries.
pub fn boat(most_spots: usize, most_ties: usize, most_batteries: usize) -> impl Strategy<Value = Boat> {
    let battery = (any::<prop::sample::Index>(), 12.0..13.2_f64, 0.002..0.02_f64);
    (
        prop::collection::vec(spot(), 1..=most_spots),
        prop::collection::vec(tie(), 0..=most_ties),
        prop::collection::vec(battery, 1..=most_batteries),
    )
        .prop_map(|(spots, ties, batteries)| {
            let locations = spots.len() + 1;
            let spots = (1..).zip(spots).map(|(at, (up, positive_ohms, negative_ohms, want))| Spot {
                up: up.index(at),
                positive_ohms,
                negative_ohms,
                want,
            });
            let battery = |(k, (spot, emf, internal)): (usize, (prop::sample::Index, f64, f64))| Battery {
                spot: if k == 0 { 0 } else { spot.index(locations) },
                emf,
                internal,
            };
            Boat {
                spots: spots.collect(),
                ties: ties.into_iter().map(|(a, b, r)| (a.index(locations), b.index(locations), r)).collect(),
                batteries: batteries.into_iter().enumerate().map(battery).collect(),
            }
        })
}
