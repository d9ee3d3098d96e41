//! What must hold for the wiring of any boat, and for any network at all.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod boat_wiring;

use boat_wiring::{Boat, Want};
use driploop::trade::dc_network::{
    Network, NetworkLoad, NetworkPart, NoShortCircuit, Node, Solution, Trouble,
};
use proptest::prelude::*;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricPotential, ElectricalResistance};
use uom::si::power::watt;

/// Rounding, in volts on a 12 V boat.
const HAIR: f64 = 1e-9;

fn volts_at(solved: &Solution, nodes: &[Node]) -> Vec<f64> {
    nodes.iter().map(|&node| solved.volts(node).get::<volt>()).collect()
}

fn volts_over(solved: &Solution, parts: &[NetworkPart]) -> Vec<f64> {
    parts.iter().map(|&part| solved.across(part).get::<volt>()).collect()
}

/// The boat with every load a resistor and every EMF as many times as large.
fn only_resistors(boat: &Boat, times: f64) -> Boat {
    let mut boat = boat.clone();
    for spot in &mut boat.spots {
        spot.want = Want::Ohms(match spot.want {
            Want::Amperes(a) => 12.0 / a,
            Want::Watts(w) => 144.0 / w,
            Want::Ohms(r) => r,
        });
    }
    for battery in &mut boat.batteries {
        battery.emf *= times;
    }
    boat
}

/// The boat, and what is solved before and after one more load at a spot.
fn with_a_load_more(
    boat: &Boat,
    at: prop::sample::Index,
    want: Want,
) -> (boat_wiring::Wired, Result<Solution, Trouble>, Result<Solution, Trouble>) {
    let mut wired = boat.wired();
    let before = wired.network.solve(|_| true);
    let spot = at.index(wired.positive.len());
    wired.network.load(wired.positive[spot], wired.negative[spot], want.load()).unwrap();
    let after = wired.network.solve(|_| true);
    (wired, before, after)
}

/// A resistance a network takes: 0 Ω rather than less than 1 nΩ.
fn clear_of_nothing(ohms: f64) -> f64 {
    if ohms < 1e-9 { 0.0 } else { ohms }
}

/// A part of any kind at all, between any two of a few nodes.
fn any_part() -> impl Strategy<Value = (u8, usize, usize, f64, f64)> {
    let resistance = prop_oneof![2 => Just(0.0), 5 => (-6.0..9.0_f64).prop_map(|power| 10_f64.powf(power))];
    (0..6_u8, 0..8_usize, 0..8_usize, resistance, -30.0..30.0_f64)
}

fn any_network(parts: &[(u8, usize, usize, f64, f64)]) -> Network {
    let mut network = Network::new();
    let nodes: Vec<Node> = (0..8).map(|_| network.node()).collect();
    for &(kind, from, to, r, x) in parts {
        let (from, to) = (nodes[from], nodes[to]);
        let resistance = ElectricalResistance::new::<ohm>(r);
        match kind {
            0 => drop(network.source(from, to, ElectricPotential::new::<volt>(x), resistance).unwrap()),
            1 | 2 => drop(network.resistance(from, to, resistance).unwrap()),
            3 => drop(network.load(from, to, Want::Amperes(x.abs()).load()).unwrap()),
            4 => drop(network.load(from, to, Want::Watts(x * x).load()).unwrap()),
            _ => drop(
                network
                    .load(from, to, NetworkLoad::Resistance(ElectricalResistance::new::<ohm>(r + 1e-6)))
                    .unwrap(),
            ),
        }
    }
    network
}

fn all_finite(network: &Network, solved: &Solution) -> bool {
    let part = |part| {
        solved.current(part).get::<ampere>().is_finite()
            && solved.across(part).get::<volt>().is_finite()
            && solved.lost(part).get::<watt>().is_finite()
            && solved.taken(part).get::<watt>().is_finite()
    };
    network.nodes().all(|node| solved.volts(node).get::<volt>().is_finite()) && network.parts().all(part)
}

proptest! {
    /// One battery, a tree of wire: a load more leaves no load with more voltage than before.
    #[test]
    fn a_load_more_never_raises_a_loads_voltage(
        boat in boat_wiring::boat(12, 0, 1),
        at in any::<prop::sample::Index>(),
        want in boat_wiring::want(),
    ) {
        let (wired, before, after) = with_a_load_more(&boat, at, want);
        if let (Ok(before), Ok(after)) = (before, after) {
            for (was, is) in volts_over(&before, &wired.loads).iter().zip(volts_over(&after, &wired.loads)) {
                prop_assert!(is <= was + HAIR, "{was} V became {is} V");
            }
        }
    }

    /// One battery, any mesh of wire over a negative side without resistance: a load more raises the voltage
    /// of no node. (With resistance in the returns it lifts the negative side, as it should.)
    #[test]
    fn a_load_more_never_raises_a_nodes_voltage(
        mut boat in boat_wiring::boat(12, 3, 1),
        at in any::<prop::sample::Index>(),
        want in boat_wiring::want(),
    ) {
        boat.spots.iter_mut().for_each(|spot| spot.negative_ohms = 0.0);
        let (wired, before, after) = with_a_load_more(&boat, at, want);
        if let (Ok(before), Ok(after)) = (before, after) {
            let nodes: Vec<Node> = wired.network.nodes().collect();
            for (was, is) in volts_at(&before, &nodes).iter().zip(volts_at(&after, &nodes)) {
                prop_assert!(is <= was + HAIR, "{was} V became {is} V");
            }
        }
    }

    /// With one battery and a tree of wire, a thicker wire never leaves its load with less.
    #[test]
    fn a_thicker_wire_never_lowers_its_loads_voltage(
        boat in boat_wiring::boat(12, 0, 1),
        which in any::<prop::sample::Index>(),
        thicker in 0.0..1.0_f64,
    ) {
        let mut thick = boat.clone();
        let spot = which.index(boat.spots.len());
        thick.spots[spot].positive_ohms = clear_of_nothing(boat.spots[spot].positive_ohms * thicker);
        let (thin, thick) = (boat.wired(), thick.wired());
        if let (Ok(before), Ok(after)) = (thin.network.solve(|_| true), thick.network.solve(|_| true)) {
            let (was, is) = (before.across(thin.loads[spot]), after.across(thick.loads[spot]));
            prop_assert!(is.get::<volt>() >= was.get::<volt>() - HAIR, "{was:?} became {is:?}");
        }
    }

    /// Resistors only: so many times the EMF, so many times every current.
    #[test]
    fn currents_scale_with_the_sources(boat in boat_wiring::boat(12, 3, 3), times in 0.1..10.0_f64) {
        let (one, other) = (only_resistors(&boat, 1.0).wired(), only_resistors(&boat, times).wired());
        let (one_solved, other_solved) =
            (one.network.solve(|_| true).unwrap(), other.network.solve(|_| true).unwrap());
        for part in one.network.parts() {
            let (small, large) = (one_solved.current(part), other_solved.current(part));
            let apart = (large.get::<ampere>() - times * small.get::<ampere>()).abs();
            prop_assert!(apart <= 1e-9 * large.get::<ampere>().abs().max(1.0));
        }
    }

    /// What the sources give is what the loads take and the wiring loses.
    #[test]
    fn no_watt_is_lost_sight_of(boat in boat_wiring::boat(20, 4, 3)) {
        let wired = boat.wired();
        if let Ok(solved) = wired.network.solve(|_| true) {
            prop_assert!(solved.residual() <= 1e-9);
            let taken: f64 = wired.loads.iter().map(|&load| solved.taken(load).get::<watt>()).sum();
            let lost: f64 = wired.network.parts().map(|part| solved.lost(part).get::<watt>()).sum();
            let given = solved.given().get::<watt>();
            prop_assert!((given - taken - lost).abs() <= 1e-9 * given.abs().max(1.0));
        }
    }

    /// Shorting a spot by the prospective way gives what a solve with that short wired in gives.
    #[test]
    fn a_prospective_short_is_the_same_as_the_short_wired_in(
        boat in boat_wiring::boat(12, 3, 3),
        at in any::<prop::sample::Index>(),
        arc in prop_oneof![Just(0.0), 0.001..0.1_f64],
    ) {
        let mut wired = boat.wired();
        let spot = at.index(wired.positive.len());
        let (from, to) = (wired.positive[spot], wired.negative[spot]);
        let arc = ElectricalResistance::new::<ohm>(arc);
        let shorts = wired.network.shorts(|_| true).unwrap();
        let (fault, currents) = (shorts.between(from, to, arc).unwrap(), shorts.currents(from, to, arc).unwrap());
        let short = wired.network.resistance(from, to, arc).unwrap();
        let solved = wired.network.solve(|part| !wired.loads.contains(&part)).unwrap();
        let near = |one: f64, other: f64| (one - other).abs() <= 1e-9 * other.abs().max(1.0);
        prop_assert!(near(fault.current().get::<ampere>(), solved.current(short).get::<ampere>()));
        for &part in wired.wires.iter().chain(&wired.batteries) {
            prop_assert!(near(currents.through(part).get::<ampere>(), solved.current(part).get::<ampere>()));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1000))]

    /// Loops of 0 Ω, floating ends, no source, an EMF the wrong way, a microhm beside a gigohm: an answer that
    /// adds up or a reason, never a panic and never a number that is none.
    #[test]
    fn any_network_has_an_answer_or_a_reason(
        parts in prop::collection::vec(any_part(), 0..16),
        off in prop::collection::vec(any::<bool>(), 16),
    ) {
        let network = any_network(&parts);
        let used: Vec<NetworkPart> = network.parts().zip(off).filter_map(|(part, off)| (!off).then_some(part)).collect();
        for in_use in [network.parts().collect(), used] {
            match network.solve(|part| in_use.contains(&part)) {
                Ok(solved) => {
                    prop_assert!(solved.residual() <= 1e-9);
                    prop_assert!(all_finite(&network, &solved));
                }
                Err(Trouble::Collapse { loads, feedable }) => {
                    prop_assert!(!loads.is_empty() && feedable.value.is_finite());
                }
                Err(Trouble::Tied { sources, difference }) => {
                    prop_assert!(!sources.is_empty() && difference.value.abs() > 0.0);
                }
                Err(trouble) => prop_assert!(false, "{trouble}"),
            }
            if let Ok(shorts) = network.shorts(|part| in_use.contains(&part)) {
                for (one, other) in network.nodes().zip(network.nodes().skip(1)) {
                    let touching = ElectricalResistance::new::<ohm>(0.0);
                    match shorts.between(one, other, touching) {
                        Ok(fault) => prop_assert!(fault.current().get::<ampere>().is_finite()),
                        Err(reason) => prop_assert_ne!(reason, NoShortCircuit::Unsettled),
                    }
                    match shorts.currents(one, other, touching) {
                        Ok(all) => prop_assert!(network.parts().all(|part| all.through(part).value.is_finite())),
                        Err(reason) => prop_assert_ne!(reason, NoShortCircuit::Unsettled),
                    }
                }
            }
        }
    }
}
