//! The solved network against closed forms and against what must hold for any network.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use driploop::trade::dc_network::{
    Network, NetworkLoad, NetworkPart, NoShortCircuit, Node, Solution, Trouble, Unusable,
};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Power};
use uom::si::power::watt;
use uom::si::ratio::ratio;

fn volts(v: f64) -> ElectricPotential {
    ElectricPotential::new::<volt>(v)
}

fn ohms(r: f64) -> ElectricalResistance {
    ElectricalResistance::new::<ohm>(r)
}

fn draws(a: f64) -> NetworkLoad {
    NetworkLoad::Current(ElectricCurrent::new::<ampere>(a))
}

fn takes(w: f64) -> NetworkLoad {
    NetworkLoad::Power(Power::new::<watt>(w))
}

fn resists(r: f64) -> NetworkLoad {
    NetworkLoad::Resistance(ohms(r))
}

#[track_caller]
fn near(got: f64, want: f64) {
    assert!((got - want).abs() <= 1e-9 * want.abs().max(1.0), "got {got}, want {want}");
}

/// A battery and one load at the end of a pair of wires.
struct OneLamp {
    network: Network,
    positive: Node,
    negative: Node,
    lamp: Node,
    battery: NetworkPart,
    wire: NetworkPart,
    load: NetworkPart,
}

fn one_lamp(emf: f64, internal: f64, wire: f64, load: NetworkLoad) -> OneLamp {
    let mut network = Network::new();
    let (positive, negative, lamp) = (network.node(), network.node(), network.node());
    let battery = network.source(positive, negative, volts(emf), ohms(internal)).unwrap();
    let wire = network.resistance(positive, lamp, ohms(wire)).unwrap();
    let load = network.load(lamp, negative, load).unwrap();
    OneLamp { network, positive, negative, lamp, battery, wire, load }
}

fn lit(boat: &OneLamp) -> Solution {
    boat.network.solve(|_| true).unwrap()
}

#[test]
fn ohms_law_by_hand() {
    let boat = one_lamp(12.6, 0.02, 0.08, resists(2.0));
    let solved = lit(&boat);
    near(solved.current(boat.wire).get::<ampere>(), 6.0);
    near(solved.current(boat.battery).get::<ampere>(), 6.0);
    near(solved.volts(boat.positive).get::<volt>(), 12.48);
    near(solved.volts(boat.negative).get::<volt>(), 0.0);
    near(solved.across(boat.load).get::<volt>(), 12.0);
    near(solved.lost(boat.wire).get::<watt>(), 2.88);
    near(solved.lost(boat.battery).get::<watt>(), 0.72);
    near(solved.taken(boat.load).get::<watt>(), 72.0);
    near(solved.given().get::<watt>(), 75.6);
    assert_eq!(solved.reference(boat.lamp), Some(boat.battery));
}

/// Constant power behind a resistance: v = E/2 + sqrt(E²/4 - P R), the upper root.
#[test]
fn constant_power_takes_the_upper_root() {
    let solved = |w: f64| {
        let boat = one_lamp(12.0, 0.0, 0.5, takes(w));
        lit(&boat).across(boat.load).get::<volt>()
    };
    near(solved(40.0), 10.0);
    near(solved(71.999), 6.0 + f64::sqrt(36.0 - 35.9995));
}

#[test]
fn a_load_beyond_what_the_wire_can_bring_collapses_by_name() {
    let mut boat = one_lamp(12.0, 0.0, 0.5, takes(80.0));
    let near_battery = boat.network.load(boat.positive, boat.negative, takes(20.0)).unwrap();
    let Err(Trouble::Collapse { loads, feedable }) = boat.network.solve(|_| true) else {
        panic!("80 W through 0.5 Ω at 12 V is over the 72 W that can arrive");
    };
    assert_eq!(loads, [boat.load]);
    assert!((feedable.get::<ratio>() - 0.9).abs() < 1e-3, "72 W of 80 W");
    assert!(!loads.contains(&near_battery));
}

#[test]
fn a_constant_current_that_would_need_more_than_the_voltage_collapses() {
    let boat = one_lamp(12.0, 0.0, 6.0, draws(4.0));
    let Err(Trouble::Collapse { loads, feedable }) = boat.network.solve(|_| true) else {
        panic!("4 A through 6 Ω needs 24 V");
    };
    assert_eq!(loads, [boat.load]);
    assert!((feedable.get::<ratio>() - 0.5).abs() < 1e-3);
}

#[test]
fn a_missing_return_leaves_the_load_unfed_and_its_side_floating() {
    let mut boat = one_lamp(12.0, 0.01, 0.1, draws(1.0));
    let adrift = boat.network.node();
    let load = boat.network.load(boat.positive, adrift, takes(30.0)).unwrap();
    let solved = lit(&boat);
    assert_eq!(solved.unfed(), [load]);
    assert_eq!(solved.reference(adrift), None);
    near(solved.current(load).get::<ampere>(), 0.0);
    near(solved.volts(adrift).get::<volt>(), 0.0);
    // A resistor brings the battery's voltage across to the loose end, as a meter would show.
    let warm = boat.network.node();
    let heater = boat.network.load(boat.positive, warm, resists(3.0)).unwrap();
    let solved = lit(&boat);
    assert_eq!(solved.unfed(), [load, heater]);
    near(solved.volts(warm).get::<volt>(), 11.99);
}

#[test]
fn a_switch_off_takes_the_load_with_it() {
    let boat = one_lamp(12.0, 0.01, 0.1, draws(1.0));
    let solved = boat.network.solve(|part| part != boat.wire).unwrap();
    assert_eq!(solved.unfed(), [boat.load]);
    near(solved.current(boat.battery).get::<ampere>(), 0.0);
    near(solved.volts(boat.positive).get::<volt>(), 12.0);
    let solved = boat.network.solve(|part| part != boat.load).unwrap();
    assert!(solved.unfed().is_empty(), "a load switched off wants nothing");
    near(solved.volts(boat.lamp).get::<volt>(), 12.0);
}

#[test]
fn an_open_part_carries_nothing_and_shows_the_voltage() {
    let mut boat = one_lamp(12.0, 0.0, 0.1, draws(0.0));
    let stub = boat.network.node();
    boat.network.resistance(stub, boat.negative, ohms(0.1)).unwrap();
    let blown = boat.network.open(boat.lamp, stub).unwrap();
    let solved = lit(&boat);
    assert!(solved.unfed().is_empty(), "a load that wants nothing lacks nothing");
    near(solved.current(blown).get::<ampere>(), 0.0);
    near(solved.across(blown).get::<volt>(), 12.0);
}

#[test]
fn reversed_polarity_is_reported() {
    let mut boat = one_lamp(12.0, 0.0, 0.1, draws(1.0));
    let wrong = boat.network.load(boat.negative, boat.positive, draws(2.0)).unwrap();
    let solved = lit(&boat);
    assert_eq!(solved.reversed(), [wrong]);
    near(solved.current(wrong).get::<ampere>(), 0.0);
    near(solved.across(wrong).get::<volt>(), -12.0);
}

#[test]
fn zero_ohm_parts_report_their_currents_and_share_evenly() {
    let mut network = Network::new();
    let nodes: Vec<Node> = (0..4).map(|_| network.node()).collect();
    let [negative, bus, block, lamp] = nodes[..] else { unreachable!() };
    network.source(bus, negative, volts(12.0), ohms(0.01)).unwrap();
    let bar = network.resistance(bus, block, ohms(0.0)).unwrap();
    let jumpers = [0, 1].map(|_| network.resistance(lamp, block, ohms(0.0)).unwrap());
    let itself = network.resistance(bus, bus, ohms(0.0)).unwrap();
    network.load(lamp, negative, draws(3.0)).unwrap();
    let solved = network.solve(|_| true).unwrap();
    near(solved.current(bar).get::<ampere>(), 3.0);
    for jumper in jumpers {
        near(solved.current(jumper).get::<ampere>(), -1.5);
    }
    near(solved.current(itself).get::<ampere>(), 0.0);
    near(solved.volts(lamp).get::<volt>(), 11.97);
}

#[test]
fn unlike_sources_without_resistance_clash() {
    let mut network = Network::new();
    let (one, other, negative) = (network.node(), network.node(), network.node());
    let first = network.source(one, negative, volts(12.0), ohms(0.0)).unwrap();
    let second = network.source(other, negative, volts(12.7), ohms(0.0)).unwrap();
    let tie = network.resistance(one, other, ohms(0.0)).unwrap();
    let Err(Trouble::Tied { sources, difference }) = network.solve(|_| true) else { panic!("they clash") };
    assert_eq!(sources, [first, second]);
    near(difference.get::<volt>().abs(), 0.7);
    assert!(network.solve(|part| part != tie).is_ok());
}

#[test]
fn like_sources_without_resistance_share() {
    let mut network = Network::new();
    let (positive, negative) = (network.node(), network.node());
    let sources = [0, 1].map(|_| network.source(positive, negative, volts(12.0), ohms(0.0)).unwrap());
    network.load(positive, negative, takes(120.0)).unwrap();
    let solved = network.solve(|_| true).unwrap();
    for source in sources {
        near(solved.current(source).get::<ampere>(), 5.0);
    }
}

#[test]
fn unlike_batteries_in_parallel_circulate() {
    let mut network = Network::new();
    let (positive, negative) = (network.node(), network.node());
    let full = network.source(positive, negative, volts(12.8), ohms(0.01)).unwrap();
    let flat = network.source(positive, negative, volts(11.8), ohms(0.01)).unwrap();
    let solved = network.solve(|_| true).unwrap();
    let [found] = solved.circulating() else { panic!("one island circulates") };
    assert_eq!((&found.giving[..], &found.taking[..]), (&[full][..], &[flat][..]));
    near(found.current.get::<ampere>(), 50.0);
    near(solved.current(flat).get::<ampere>(), -50.0);
}

#[test]
fn islands_have_their_own_reference() {
    let mut network = Network::new();
    let nodes: Vec<Node> = (0..4).map(|_| network.node()).collect();
    network.source(nodes[0], nodes[1], volts(12.0), ohms(0.1)).unwrap();
    network.source(nodes[2], nodes[3], volts(24.0), ohms(0.1)).unwrap();
    let between = network.load(nodes[2], nodes[1], draws(1.0)).unwrap();
    let solved = network.solve(|_| true).unwrap();
    near(solved.volts(nodes[0]).get::<volt>(), 12.0);
    near(solved.volts(nodes[2]).get::<volt>(), 24.0);
    assert_eq!(solved.unfed(), [between], "no way back to the second battery");
}

#[test]
fn a_short_at_the_far_end_is_the_voltage_over_the_whole_loop() {
    let boat = one_lamp(12.6, 0.005, 0.095, draws(5.0));
    let shorts = boat.network.shorts(|_| true).unwrap();
    let fault = shorts.between(boat.lamp, boat.negative, ohms(0.0)).unwrap();
    near(fault.current().get::<ampere>(), 126.0);
    let currents = shorts.currents(boat.lamp, boat.negative, ohms(0.0)).unwrap();
    near(currents.through(boat.wire).get::<ampere>(), 126.0);
    near(currents.through(boat.load).get::<ampere>(), 0.0);
    near(fault.open_circuit().get::<volt>(), 12.6);
    near(fault.behind().get::<ohm>(), 0.1);
    let arc = shorts.between(boat.lamp, boat.negative, ohms(0.026)).unwrap();
    near(arc.current().get::<ampere>(), 100.0);
    near(shorts.resistance(boat.positive, boat.lamp).unwrap().get::<ohm>(), 0.095);
}

#[test]
fn each_battery_of_a_bank_feeds_the_short_by_its_own_resistance() {
    let mut network = Network::new();
    let (positive, negative) = (network.node(), network.node());
    let strong = network.source(positive, negative, volts(12.6), ohms(0.005)).unwrap();
    let weak = network.source(positive, negative, volts(12.6), ohms(0.015)).unwrap();
    let shorts = network.shorts(|_| true).unwrap();
    let fault = shorts.between(positive, negative, ohms(0.0)).unwrap();
    let currents = shorts.currents(positive, negative, ohms(0.0)).unwrap();
    near(currents.through(strong).get::<ampere>(), 2520.0);
    near(currents.through(weak).get::<ampere>(), 840.0);
    near(fault.current().get::<ampere>(), 3360.0);
}

#[test]
fn shorts_that_define_no_current_say_why() {
    let mut boat = one_lamp(12.6, 0.0, 0.1, draws(5.0));
    let (adrift, twin) = (boat.network.node(), boat.network.node());
    boat.network.resistance(boat.lamp, twin, ohms(0.0)).unwrap();
    let shorts = boat.network.shorts(|_| true).unwrap();
    let why = |a, b| shorts.between(a, b, ohms(0.0)).unwrap_err();
    assert_eq!(why(boat.lamp, adrift), NoShortCircuit::Apart);
    assert_eq!(why(boat.lamp, twin), NoShortCircuit::SamePoint);
    assert_eq!(why(boat.positive, boat.negative), NoShortCircuit::Unlimited);
}

#[test]
fn values_out_of_range_name_the_field() {
    let mut network = Network::new();
    let (a, b) = (network.node(), network.node());
    for bad in [-1.0, 1e-12, 1e13, f64::NAN, f64::INFINITY] {
        let told = network.resistance(a, b, ohms(bad)).unwrap_err().to_string();
        assert_eq!(told, format!("resistance is {bad} Ω; expected 0 Ω, or 1 nΩ to 1 TΩ"));
    }
    assert!(network.source(a, b, volts(f64::NAN), ohms(0.0)).is_err());
    assert!(network.load(a, b, draws(-1.0)).is_err());
    assert!(network.load(a, b, takes(f64::INFINITY)).is_err());
    assert!(network.load(a, b, resists(0.0)).is_err());
    let stranger = Network::default();
    assert_eq!(Network::new().open(a, b), Err(Unusable::Node(0, 0)));
    assert_eq!(stranger.solve(|_| true).unwrap().residual(), 0.0);
}
