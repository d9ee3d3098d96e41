//! Invented trees of cable for the tests of joint sizing and its benchmark.
#![allow(dead_code, reason = "the tests and the benchmark each use their part of this")]

use driploop::trade::joint::{SizeChoice, TreeStretch};
use proptest::prelude::*;
use proptest::sample::Index;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::{ElectricCurrent, ElectricPotential, ElectricalResistance, Length};
use uom::si::length::meter;

/// The American gauges from 18 to 4/0 that are made for boats, thin to thick (4/0 counts as -3).
const GAUGES: [i32; 13] = [18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -3];

/// Area by ASTM B258, resistance of copper at 20 C, grams of copper as the cost, and an ampacity made up to
/// rise with the area as tables do.
pub fn gauge(gauge: i32) -> SizeChoice {
    let diameter_mm = 0.127 * 92_f64.powf(f64::from(36 - gauge) / 39.0);
    let mm2 = std::f64::consts::FRAC_PI_4 * diameter_mm * diameter_mm;
    SizeChoice {
        per_meter: ElectricalResistance::new::<ohm>(0.017_241 / mm2),
        ampacity: ElectricCurrent::new::<ampere>(20.0 * mm2.powf(0.65)),
        cost_per_meter: 8.89 * mm2,
    }
}

pub fn gauges() -> Vec<SizeChoice> {
    GAUGES.map(gauge).to_vec()
}

/// One stretch of a tree before its current is summed up.
#[derive(Debug, Clone)]
pub struct Twig {
    pub above: Option<usize>,
    pub length_m: f64,
    pub own_a: f64,
    pub limit_v: f64,
    pub choices: Vec<SizeChoice>,
    pub fixed: Option<usize>,
}

/// The tree with each stretch carrying what all behind it draw, and a limit where nothing hangs from it.
pub fn grown(twigs: &[Twig]) -> Vec<TreeStretch> {
    let mut amperes = vec![0.0; twigs.len()];
    let mut ends = vec![true; twigs.len()];
    for (location, twig) in twigs.iter().enumerate().rev() {
        if ends[location] {
            amperes[location] += twig.own_a;
        }
        if let Some(above) = twig.above {
            amperes[above] += amperes[location];
            ends[above] = false;
        }
    }
    let stretch = |(location, twig): (usize, &Twig)| TreeStretch {
        above: twig.above,
        length: Length::new::<meter>(twig.length_m),
        current: ElectricCurrent::new::<ampere>(amperes[location]),
        choices: twig.choices.clone(),
        fixed: twig.fixed,
        limit: ends[location].then(|| ElectricPotential::new::<volt>(twig.limit_v)),
    };
    twigs.iter().enumerate().map(stretch).collect()
}

fn odd_choice() -> impl Strategy<Value = SizeChoice> {
    (0.5e-3..40e-3_f64, 2.0..60.0_f64, 0.0..20.0_f64).prop_map(|(per_meter, ampacity, cost)| SizeChoice {
        per_meter: ElectricalResistance::new::<ohm>(per_meter),
        ampacity: ElectricCurrent::new::<ampere>(ampacity),
        cost_per_meter: cost,
    })
}

/// A twig that hangs nowhere yet, and where it shall hang.
fn odd_twig() -> impl Strategy<Value = (Twig, Index)> {
    let choices = prop::collection::vec(odd_choice(), 1..=4);
    let fixed = prop::option::weighted(0.2, any::<Index>());
    (any::<Index>(), 0.0..8.0_f64, 0.1..6.0_f64, 0.1..1.5_f64, choices, fixed).prop_map(
        |(above, length_m, own_a, limit_v, choices, fixed)| {
            let fixed = fixed.map(|fixed| fixed.index(choices.len()));
            (Twig { above: None, length_m, own_a, limit_v, choices, fixed }, above)
        },
    )
}

/// Trees of any shape of 1 to `most` stretches with a few odd choices each, some fixed.
pub fn small(most: usize) -> impl Strategy<Value = Vec<TreeStretch>> {
    prop::collection::vec(odd_twig(), 1..=most).prop_map(|mut twigs| {
        for (location, (twig, above)) in twigs.iter_mut().enumerate() {
            twig.above = Some(above.index(location + 1)).filter(|&above| above < location);
        }
        grown(&twigs.into_iter().map(|(twig, _)| twig).collect::<Vec<_>>())
    })
}

/// A boat's distribution of so many circuits: a main feeder, a block for every ten circuits, a panel for every
/// five, made gauges throughout, 3 % of 12 V for one circuit in three and 10 % for the others.
pub fn boat(circuits: usize) -> impl Strategy<Value = Vec<TreeStretch>> {
    let (blocks, panels) = (circuits.div_ceil(10), circuits.div_ceil(5));
    let twig = (any::<Index>(), 0.8..9.0_f64, 0.2..6.0_f64, 0..3_u8);
    prop::collection::vec(twig, 1 + blocks + panels + circuits).prop_map(move |twigs| {
        let twig = |(location, (above, length_m, own_a, kind)): (usize, (Index, f64, f64, u8))| {
            let above = match location {
                0 => None,
                _ if location <= blocks => Some(0),
                _ if location <= blocks + panels => Some(1 + above.index(blocks)),
                _ => Some(1 + above.index(blocks + panels)),
            };
            let limit_v = if kind == 0 { 0.36 } else { 1.2 };
            let length_m = if location <= blocks { length_m / 3.0 } else { length_m };
            Twig {
                above,
                length_m,
                own_a: own_a * 20.0 / at_least_20(circuits),
                limit_v,
                choices: gauges(),
                fixed: None,
            }
        };
        grown(&twigs.into_iter().enumerate().map(twig).collect::<Vec<_>>())
    })
}

/// More circuits on one main feeder draw less each, so that made gauges still carry them all.
fn at_least_20(circuits: usize) -> f64 {
    f64::from(u32::try_from(circuits.max(20)).unwrap_or(u32::MAX))
}
