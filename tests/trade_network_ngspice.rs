//! The solved network against ngspice, a circuit simulator with forty years of use behind it: every node
//! voltage and every battery's current, on invented boats with trees and meshes of wire, mixed loads and
//! batteries in parallel, within one part in a million.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod boat_wiring;

use std::collections::HashMap;
use std::fmt::Write as _;
use std::path::Path;
use std::process::Command;

use boat_wiring::{Boat, Want};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;

const BOATS: usize = 50;
const AGREES: f64 = 1e-6;

/// Spot 0's negative side, where the first battery's negative post is, is the deck's ground.
fn name(side: char, spot: usize) -> String {
    if side == 'n' && spot == 0 { "0".to_owned() } else { format!("{side}{spot}") }
}

/// The boat as a deck: constant-power loads as current sources of P / V, batteries as a voltage source
/// behind a resistor. The node sets are only where ngspice starts from.
fn deck(boat: &Boat) -> String {
    let mut deck = "an invented boat\n".to_owned();
    let mut line = |text: String| writeln!(deck, "{text}").unwrap();
    for (at, spot) in (1..).zip(&boat.spots) {
        let (p, n) = (name('p', at), name('n', at));
        line(format!("Rp{at} {} {p} {:e}", name('p', spot.up), spot.positive_ohms));
        line(format!("Rn{at} {n} {} {:e}", name('n', spot.up), spot.negative_ohms));
        line(match spot.want {
            Want::Amperes(a) => format!("I{at} {p} {n} {a:e}"),
            Want::Watts(w) => format!("B{at} {p} {n} I={w:e}/V({p},{n})"),
            Want::Ohms(r) => format!("Rl{at} {p} {n} {r:e}"),
        });
    }
    for (k, &(one, other, r)) in boat.ties.iter().enumerate().filter(|(_, (one, other, _))| one != other) {
        line(format!("Rtp{k} {} {} {r:e}", name('p', one), name('p', other)));
        line(format!("Rtn{k} {} {} {r:e}", name('n', one), name('n', other)));
    }
    for (k, battery) in boat.batteries.iter().enumerate() {
        line(format!("V{k} post{k} {} {:e}", name('n', battery.spot), battery.emf));
        line(format!("Ri{k} post{k} {} {:e}", name('p', battery.spot), battery.internal));
    }
    for at in 0..=boat.spots.len() {
        line(format!(".nodeset v({})=12", name('p', at)));
    }
    line(".options reltol=1e-10 abstol=1e-13 vntol=1e-11 itl1=500".to_owned());
    line(".control\nset numdgt=14\nop\nprint all\nquit\n.endc\n.end".to_owned());
    deck
}

/// What ngspice prints for a deck, by name.
fn ngspice(deck: &str, folder: &Path) -> HashMap<String, f64> {
    let file = folder.join("boat.cir");
    std::fs::write(&file, deck).unwrap();
    let run = Command::new("ngspice").arg("-b").arg(&file).output();
    let Ok(run) = run else {
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
fn agree(what: &str, ours: f64, theirs: Option<&f64>, deck: &str) {
    let theirs = theirs.unwrap_or_else(|| panic!("ngspice printed no {what} for\n{deck}"));
    let apart = (ours - theirs).abs() / theirs.abs().max(1e-3);
    assert!(apart <= AGREES, "{what}: ours {ours}, ngspice {theirs}, for\n{deck}");
}

fn compare(boat: &Boat, folder: &Path) {
    let wired = boat.wired();
    let solved = wired.network.solve(|_| true).unwrap();
    let deck = deck(boat);
    let theirs = ngspice(&deck, folder);
    for (side, nodes) in [('p', &wired.positive), ('n', &wired.negative)] {
        for (at, &node) in nodes.iter().enumerate().filter(|&(at, _)| (side, at) != ('n', 0)) {
            let node_name = name(side, at);
            agree(&node_name, solved.volts(node).get::<volt>(), theirs.get(&node_name), &deck);
        }
    }
    for (k, &battery) in wired.batteries.iter().enumerate() {
        let ours = -solved.current(battery).get::<ampere>();
        let branch = format!("v{k}#branch");
        agree(&branch, ours, theirs.get(&branch), &deck);
    }
}

/// Boats whose loads are too much for their wire have no answer to compare, and are passed over.
#[test]
fn fifty_boats_agree_with_ngspice() {
    let folder = tempfile::tempdir().unwrap();
    let mut runner = TestRunner::deterministic();
    let strategies = [boat_wiring::boat(25, 0, 1), boat_wiring::boat(25, 6, 1), boat_wiring::boat(25, 6, 3)];
    let mut compared = 0;
    for strategy in strategies.iter().cycle() {
        let boat = strategy.new_tree(&mut runner).unwrap().current();
        if boat.wired().network.solve(|_| true).is_ok() {
            compare(&boat, folder.path());
            compared += 1;
        }
        if compared == BOATS {
            break;
        }
    }
}
