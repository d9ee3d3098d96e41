//! The boat's outline seen from above, from its length, beam and hull form.
//!
//! It is a picture for finding locations, and not a lines plan. The curve of each hull form is an approximation of
//! this program.

use crate::job::plan::{Boat, Hull};

/// Default beam of a boat as a share of its length. Common practice, no source.
const USUAL_BEAM: f64 = 0.35;

/// An outline in meters, ahead of the transom and to starboard of the centerline.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// Length over all.
    pub length: f64,
    /// Beam.
    pub beam: f64,
    /// Whether the beam was entered, or is the default for the length.
    pub beam_known: bool,
    /// Closed lines, each a hull.
    pub hulls: Vec<Vec<(f64, f64)>>,
}

impl Outline {
    /// Half the boat's width at this distance ahead of the transom, to the outer side.
    pub fn half_beam(&self, ahead: f64) -> f64 {
        let side = self.hulls.iter().flatten().filter(|point| point.1 >= 0.0);
        let nearest = side.min_by(|one, other| (one.0 - ahead).abs().total_cmp(&(other.0 - ahead).abs()));
        nearest.map_or(self.beam / 2.0, |point| point.1)
    }

    /// The outline of a boat.
    pub fn of(boat: &Boat) -> Self {
        let length = boat.length_m.number();
        let beam = boat.beam_m.map_or(length * USUAL_BEAM, |beam| beam.number());
        let hulls = match boat.hull.unwrap_or_default() {
            Hull::Twin => {
                let each = beam * 0.3;
                [-1.0, 1.0].map(|side| hull(length, each, pointed, side * (beam - each) / 2.0)).into()
            }
            Hull::Pointed => vec![hull(length, beam, pointed, 0.0)],
            Hull::Square => vec![hull(length, beam, square, 0.0)],
            Hull::DoubleEnded => vec![hull(length, beam, double_ended, 0.0)],
        };
        Self { length, beam, beam_known: boat.beam_m.is_some(), hulls }
    }
}

/// Number of stations along a hull; enough for a smooth line.
const STATIONS: u16 = 40;

/// One hull, starboard side forward and port side back, around a line at `aside` of the centerline.
fn hull(length: f64, beam: f64, half: fn(f64) -> f64, aside: f64) -> Vec<(f64, f64)> {
    let stations = || (0..=STATIONS).map(|station| f64::from(station) / f64::from(STATIONS));
    let side = |sign: f64| move |at: f64| (at * length, aside + sign * half(at) * beam / 2.0);
    stations().map(side(1.0)).chain(stations().rev().map(side(-1.0))).collect()
}

/// Half the beam at a share of the length, as a share of the maximum. It is widest a little aft of the middle.
fn pointed(at: f64) -> f64 {
    if at < 0.45 {
        0.88 + 0.12 * (at / 0.45 * std::f64::consts::FRAC_PI_2).sin()
    } else {
        fine((at - 0.45) / 0.55)
    }
}

/// Half the beam as a share of the maximum: full at 0, narrowing to a fine end at 1.
fn fine(at: f64) -> f64 {
    (1.0 - at.powf(2.4)).max(0.0)
}

fn square(at: f64) -> f64 {
    if at < 0.7 { 1.0 } else { 1.0 - 0.28 * ((at - 0.7) / 0.3).powi(2) }
}

fn double_ended(at: f64) -> f64 {
    fine((at - 0.5).abs() * 2.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn boat(hull: Option<Hull>, beam: Option<f64>) -> Boat {
        Boat {
            name: "Skua".parse().unwrap(),
            length_m: 7.0.try_into().unwrap(),
            beam_m: beam.map(|beam| beam.try_into().unwrap()),
            hull,
            fuel: None,
            engine: None,
            propane: None,
            sails: false,
            top_speed_kn: None,
        }
    }

    #[test]
    fn every_outline_is_as_long_and_as_wide_as_the_boat() {
        let forms =
            [None, Some(Hull::Pointed), Some(Hull::Square), Some(Hull::Twin), Some(Hull::DoubleEnded)];
        for form in forms {
            let outline = Outline::of(&boat(form, Some(2.5)));
            let points: Vec<_> = outline.hulls.iter().flatten().copied().collect();
            let most = |of: fn(&(f64, f64)) -> f64| points.iter().map(of).fold(f64::MIN, f64::max);
            assert!((most(|point| point.0) - 7.0).abs() < 1e-9, "{form:?}");
            assert!((most(|point| point.1) - 1.25).abs() < 0.01, "{form:?}");
            assert!((most(|point| -point.1) - 1.25).abs() < 0.01, "{form:?}");
        }
    }

    #[test]
    fn a_beam_that_nobody_gave_is_said_to_be_a_guess() {
        assert!(Outline::of(&boat(None, Some(2.5))).beam_known);
        assert!(!Outline::of(&boat(None, None)).beam_known);
    }
}
