//! Routes: fill against conduit tables and worked examples, settling against its own promises, shortest routes
//! against NetworkX, factory cables by hand.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod cable;
mod fill;
mod greedy;
mod networkx;
mod settle;
mod together;

use driploop::trade::route::{Map, MapRaceway, RacewayRoom};
use uom::si::f64::Length;
use uom::si::length::{meter, millimeter};

fn meters(value: f64) -> Length {
    Length::new::<meter>(value)
}

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

/// A map from raceways written as location, location, meters, bore in mm (0: an open raceway).
fn map(locations: usize, raceways: &[(usize, usize, f64, f64)]) -> Map {
    let raceway = |&(one, other, length, bore): &(usize, usize, f64, f64)| MapRaceway {
        between: [one, other],
        length: Some(meters(length)),
        room: if bore > 0.0 { RacewayRoom::Bore(mm(bore)) } else { RacewayRoom::Open },
    };
    Map::new(locations, raceways.iter().map(raceway).collect())
}
