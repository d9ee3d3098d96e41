//! Faults that readings show without arithmetic: crossed, open, short, swapped, fed twice, drawing too much
//! or too little.
//!
//! The bounds are common practice, no source.

use std::collections::BTreeSet;

use serde::Serialize;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;

use super::reading::{StretchShare, Taken};

/// A voltage below this counts as none, in V.
const NO_VOLTS: f64 = 0.5;
/// A current below this share of the expected current counts as none.
const NO_CURRENT_SHARE: f64 = 0.02;
/// A negative with more resistance than this is open, in ohm.
const OPEN_OHM: f64 = 10.0;
/// A load may draw this share more or less than its manufacturer's figure.
const LOAD_SHARE: f64 = 0.25;
/// Two circuits count as swapped when each draws the other's expected current within this share.
const SWAPPED_SHARE: f64 = 0.12;
/// A current of this many times the expected current, with no voltage at the load, is a short circuit.
const SHORT_TIMES: f64 = 3.0;
/// How much two readings of a voltmeter may differ, as a share of the reading.
const DISAGREE_SHARE: f64 = 0.01;
/// More than this with everything off discharges a battery, in A; about a tenth of an ampere-hour in an hour.
const PARASITIC_A: f64 = 0.1;

/// A fault that the readings show.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "is")]
pub enum Sign {
    /// Positive and negative are crossed, at the load or already where the circuit begins.
    Reversed {
        /// The circuit.
        of: String,
        /// Whether it is crossed where the circuit begins, which means that the fault is in the supply.
        at_source: bool,
    },
    /// No voltage at the load: the path is open.
    Open {
        /// The circuits without voltage at the load.
        of: Vec<String>,
        /// The stretches that they share and that no working circuit uses, where the fault can be located in
        /// this manner.
        on: Vec<usize>,
    },
    /// Voltage arrives but no current flows: the load or its plug is open.
    LoadOpen {
        /// The circuit.
        of: String,
    },
    /// The current is far too high and the voltage is gone: two wires touch.
    Short {
        /// The circuit.
        of: String,
        /// The current drawn, in A.
        current_a: f64,
    },
    /// It draws the expected current of another circuit: their wires are swapped.
    Swapped {
        /// The circuit.
        of: String,
        /// The circuit whose load it feeds. Its own reading shows the same fault.
        with: String,
    },
    /// The load has voltage that does not come through the circuit.
    FedTwice {
        /// The circuit.
        of: String,
        /// Volts at the load with the circuit off, if measured.
        off_v: Option<f64>,
    },
    /// Current flows with the circuit off.
    DrawsWhenOff {
        /// The circuit.
        of: String,
        /// The current drawn, in A.
        current_a: f64,
    },
    /// The load draws more than its manufacturer's figure.
    DrawsTooMuch {
        /// The circuit.
        of: String,
        /// The current drawn, in A.
        current_a: f64,
        /// The expected current, in A.
        expected_a: f64,
    },
    /// The load draws less than its manufacturer's figure.
    DrawsTooLittle {
        /// The circuit.
        of: String,
        /// The current drawn, in A.
        current_a: f64,
        /// The expected current, in A.
        expected_a: f64,
    },
}

impl Sign {
    /// The circuits that it concerns.
    pub fn of(&self) -> Vec<&str> {
        match self {
            Self::Open { of, .. } => of.iter().map(String::as_str).collect(),
            Self::Reversed { of, .. }
            | Self::LoadOpen { of }
            | Self::Short { of, .. }
            | Self::Swapped { of, .. }
            | Self::FedTwice { of, .. }
            | Self::DrawsWhenOff { of, .. }
            | Self::DrawsTooMuch { of, .. }
            | Self::DrawsTooLittle { of, .. } => vec![of],
        }
    }
}

/// A reading as plain numbers.
struct Plain {
    source: Option<f64>,
    load: Option<f64>,
    current: Option<f64>,
    expected: f64,
}

impl Plain {
    fn of(taken: &Taken) -> Self {
        Self {
            source: taken.meter.source.map(|read| read.get::<volt>()),
            load: taken.meter.load.map(|read| read.get::<volt>()),
            current: taken.meter.current.map(|read| read.get::<ampere>()),
            expected: taken.expected.current.get::<ampere>(),
        }
    }

    fn draws_nothing(&self) -> bool {
        self.expected > 0.0
            && self.current.is_some_and(|current| current.abs() <= NO_CURRENT_SHARE * self.expected)
    }

    /// No voltage at the load, and no current that would explain the drop.
    fn is_dead(&self) -> bool {
        let none = |volts: f64| volts.abs() < NO_VOLTS;
        let flows = self.current.is_some_and(|_| !self.draws_nothing());
        (self.load.is_some_and(none) || self.source.is_some_and(none)) && !flows
    }

    fn is_reversed(&self) -> bool {
        [self.source, self.load].into_iter().flatten().any(|volts| volts <= -NO_VOLTS)
    }

    fn is_short(&self, fuse: Option<f64>) -> bool {
        let much = self.current.is_some_and(|current| {
            current > SHORT_TIMES * self.expected.max(0.1) && fuse.is_none_or(|fuse| current >= fuse)
        });
        much && self.load.zip(self.source).is_none_or(|(load, source)| load < source / 2.0)
    }

    /// The voltage at the load is higher than at the source.
    fn rises(&self) -> bool {
        let rises = |(source, load): (f64, f64)| load - source > DISAGREE_SHARE * 2.0 * source.abs();
        self.source.zip(self.load).is_some_and(rises)
    }
}

/// Whether a reading shows a fault that no resistance on its path explains. Such a reading is not used for
/// the resistances.
pub(super) fn hides_resistance(taken: &Taken) -> bool {
    let plain = Plain::of(taken);
    plain.is_reversed()
        || plain.is_dead()
        || plain.draws_nothing()
        || plain.is_short(fuse(taken))
        || plain.rises()
}

fn fuse(taken: &Taken) -> Option<f64> {
    taken.expected.fuse.map(|rating| rating.get::<ampere>())
}

/// Every fault that the readings show, the most serious kind first.
pub fn signs(readings: &[Taken]) -> Vec<Sign> {
    let swapped = swapped(readings);
    let is_swapped =
        |of: &str| swapped.iter().any(|sign| matches!(sign, Sign::Swapped { of: one, .. } if one == of));
    let each = |sign: fn(&Taken) -> Option<Sign>| readings.iter().filter_map(sign).collect::<Vec<_>>();
    let mut signs = each(reversed);
    signs.extend(each(short));
    signs.extend(open(readings));
    signs.extend(each(fed_twice));
    signs.extend(each(load_open));
    signs.extend(readings.iter().filter(|taken| !is_swapped(&taken.of)).filter_map(wrong_load));
    signs.extend(each(draws_when_off));
    signs.splice(0..0, swapped);
    signs.dedup();
    signs
}

fn reversed(taken: &Taken) -> Option<Sign> {
    let plain = Plain::of(taken);
    let at_source = plain.source.is_some_and(|volts| volts <= -NO_VOLTS);
    plain.is_reversed().then(|| Sign::Reversed { of: taken.of.clone(), at_source })
}

fn short(taken: &Taken) -> Option<Sign> {
    let plain = Plain::of(taken);
    let current_a = plain.current.filter(|_| plain.is_short(fuse(taken)))?;
    Some(Sign::Short { of: taken.of.clone(), current_a })
}

fn load_open(taken: &Taken) -> Option<Sign> {
    let plain = Plain::of(taken);
    let arrives = plain.load.is_some_and(|volts| volts >= NO_VOLTS);
    (plain.draws_nothing() && arrives && !plain.rises()).then(|| Sign::LoadOpen { of: taken.of.clone() })
}

fn fed_twice(taken: &Taken) -> Option<Sign> {
    let off_v = taken.meter.load_off.map(|read| read.get::<volt>());
    let lives = off_v.is_some_and(|volts| volts.abs() >= NO_VOLTS);
    (lives || Plain::of(taken).rises()).then(|| Sign::FedTwice { of: taken.of.clone(), off_v })
}

fn draws_when_off(taken: &Taken) -> Option<Sign> {
    let current_a = taken.meter.current_off?.get::<ampere>();
    (current_a.abs() > PARASITIC_A).then(|| Sign::DrawsWhenOff { of: taken.of.clone(), current_a })
}

fn wrong_load(taken: &Taken) -> Option<Sign> {
    let plain = Plain::of(taken);
    let (current_a, expected_a, of) = (plain.current?, plain.expected, taken.of.clone());
    if hides_resistance(taken) {
        return None;
    }
    let (least, most) = allowed(taken, expected_a);
    if current_a > most {
        Some(Sign::DrawsTooMuch { of, current_a, expected_a })
    } else if current_a < least {
        Some(Sign::DrawsTooLittle { of, current_a, expected_a })
    } else {
        None
    }
}

/// The current that a sound load may draw. A load with less voltage than expected draws less, or more if its
/// power is constant. The wire causes that difference, not the load.
fn allowed(taken: &Taken, expected: f64) -> (f64, f64) {
    let wanted = taken.expected.load.get::<volt>();
    let arrives = taken.meter.load.map_or(1.0, |read| (read.get::<volt>() / wanted).clamp(0.2, 1.5));
    let least = expected * f64::min(1.0, arrives) * (1.0 - LOAD_SHARE);
    let most = expected * f64::max(1.0, 1.0 / arrives) * (1.0 + LOAD_SHARE);
    (least, most)
}

/// Circuits that draw the expected current of another circuit and not their own.
fn swapped(readings: &[Taken]) -> Vec<Sign> {
    let draws = |taken: &Taken, of: &Taken| {
        let plain = Plain::of(taken);
        let expected = of.expected.current.get::<ampere>();
        expected > 0.0
            && plain.current.is_some_and(|current| (current / expected - 1.0).abs() <= SWAPPED_SHARE)
    };
    let odd = |taken: &Taken| wrong_load(taken).is_some();
    let mut signs = Vec::new();
    for taken in readings.iter().filter(|taken| odd(taken)) {
        let others = readings.iter().filter(|other| other.of != taken.of && draws(taken, other));
        let mutual = others.clone().find(|other| odd(other) && draws(other, taken));
        if let Some(other) = mutual {
            signs.push(Sign::Swapped { of: taken.of.clone(), with: other.of.clone() });
        }
    }
    signs.dedup();
    signs
}

/// Circuits without voltage at the load, grouped by where the path can be open.
fn open(readings: &[Taken]) -> Vec<Sign> {
    let plains: Vec<(&Taken, Plain)> = readings.iter().map(|taken| (taken, Plain::of(taken))).collect();
    let (dead, alive): (Vec<_>, Vec<_>) = plains.iter().partition(|(_, plain)| plain.is_dead());
    let carries: BTreeSet<usize> =
        alive.iter().filter(|(_, plain)| !plain.draws_nothing()).flat_map(|(taken, _)| way(taken)).collect();
    let is_supply = |plain: &Plain| plain.source.is_some_and(|volts| volts.abs() < NO_VOLTS);
    let (supply, own): (Vec<_>, Vec<_>) = dead.into_iter().partition(|(_, plain)| is_supply(plain));
    let mut signs: Vec<Sign> = Vec::new();
    for (taken, _) in supply {
        let on = suspects(&taken.before, &carries);
        let same = signs.iter_mut().find_map(|sign| match sign {
            Sign::Open { of, on: known } if shared(known, &on).next().is_some() => Some((of, known)),
            _ => None,
        });
        match same {
            Some((of, known)) => {
                let both: Vec<usize> = shared(known, &on).collect();
                *known = both;
                of.push(taken.of.clone());
            }
            None => signs.push(Sign::Open { of: vec![taken.of.clone()], on }),
        }
    }
    signs.extend(own.into_iter().map(|(taken, _)| open_behind(taken, &carries)));
    signs
}

/// A circuit that is fed but has no voltage at its load. Its measured negative locates the fault. Without
/// that reading, the stretches that no working circuit shares locate it.
fn open_behind(taken: &Taken, carries: &BTreeSet<usize>) -> Sign {
    let way = match taken.meter.back.map(|read| read.get::<ohm>() > OPEN_OHM) {
        Some(true) => taken.back.clone(),
        Some(false) => taken.out.clone(),
        None => [taken.out.as_slice(), &taken.back].concat(),
    };
    Sign::Open { of: vec![taken.of.clone()], on: suspects(&way, carries) }
}

fn way(taken: &Taken) -> impl Iterator<Item = usize> {
    [&taken.before, &taken.out, &taken.back].into_iter().flatten().map(|passed| passed.stretch)
}

fn suspects(way: &[StretchShare], carries: &BTreeSet<usize>) -> Vec<usize> {
    way.iter().map(|passed| passed.stretch).filter(|stretch| !carries.contains(stretch)).collect()
}

fn shared<'a>(one: &'a [usize], other: &'a [usize]) -> impl Iterator<Item = usize> + 'a {
    one.iter().copied().filter(|stretch| other.contains(stretch))
}
