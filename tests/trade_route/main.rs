//! Routes: fill against conduit tables and worked examples, settling against its own promises, shortest ways
//! against NetworkX, factory cables by hand.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod cable;
mod fill;
mod greedy;
mod networkx;
mod settle;

use driploop::trade::route::{Map, Passage, Room};
use uom::si::f64::Length;
use uom::si::length::{meter, millimeter};

fn metres(value: f64) -> Length {
    Length::new::<meter>(value)
}

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

/// A map from passages written as place, place, metres, bore in mm (0: an open way).
fn map(places: usize, passages: &[(usize, usize, f64, f64)]) -> Map {
    let passage = |&(one, other, length, bore): &(usize, usize, f64, f64)| Passage {
        between: [one, other],
        length: Some(metres(length)),
        room: if bore > 0.0 { Room::Bore(mm(bore)) } else { Room::Open },
    };
    Map::new(places, passages.iter().map(passage).collect())
}
