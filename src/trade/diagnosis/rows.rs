//! The readings as a set of linear equations in the excess resistances, each weighted by its noise.
//!
//! With a circuit's measured current I and each stretch's share f of it, the readings are:
//!
//! - `source = rest - I sum f (R + x)` over the path before the circuit.
//! - `load`: the same over the whole path.
//! - `back = leads + sum (R + x)` over the negative.
//!
//! Besides the x, two more values are unknown: the error of each supply's voltage at rest, and the resistance
//! of the test leads. They are not faults, so they are fitted first and removed.

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;

use super::reading::{REST_V, StretchShare, SuspectStretch, Taken, WORTH_V};
use super::signs;

/// A meter's error as a share of its reading.
const SHARE: f64 = 0.005;
/// The last digit of a voltmeter, in V.
const DIGIT_V: f64 = 0.01;
/// How much a source drifts from one reading to the next, in V.
const DRIFT_V: f64 = 0.02;
/// The uncertainty of a current's share where several loads divide it, because only the manufacturers'
/// figures give it.
const DIVIDED: f64 = 0.05;
/// The difference between two contacts of an ohmmeter's probes, in ohm.
const TOUCH_OHM: f64 = 0.03;
/// The most that test leads may add to every ohm reading, in ohm.
const LEADS_OHM: f64 = 0.3;

/// The equations. A column belongs to a stretch; everything is divided by the noise of its row.
pub(super) struct Equations {
    /// The effect of one ohm of excess in each stretch on each figure, without the supplies' rest and the
    /// leads.
    pub(super) columns: Vec<Vec<f64>>,
    /// The error of each figure, also without them.
    pub(super) off: Vec<f64>,
    /// The largest current through each stretch, in A.
    pub(super) most_a: Vec<f64>,
    figures: usize,
}

/// Whether a reading has the figures that the equations need.
pub(super) fn is_weighed(taken: &Taken) -> bool {
    let flows = taken.meter.current.is_some_and(|current| current.get::<ampere>() > 0.0);
    flows && (taken.meter.source.is_some() || taken.meter.load.is_some()) && !signs::hides_resistance(taken)
}

/// One figure as an equation before weighting: the effect of each stretch on it, and its error.
struct Figure {
    does: Vec<(usize, f64)>,
    off: f64,
    noise: f64,
    knows: Free,
}

/// The other unknown that a figure depends on besides the stretches.
#[derive(Clone, Copy, PartialEq)]
enum Free {
    Rest(usize),
    Leads,
}

impl Equations {
    pub(super) fn of(stretches: &[SuspectStretch], readings: &[&Taken]) -> Self {
        let mut sheet = Sheet::new(stretches, readings);
        for taken in readings {
            sheet.reading(taken);
        }
        sheet.finish()
    }

    /// The sum of squares with no fault at all.
    pub(super) fn amiss(&self) -> f64 {
        dot(&self.off, &self.off)
    }

    pub(super) fn figures(&self) -> usize {
        self.figures
    }

    /// The excess on a stretch that is just worth looking for, in ohm; `None` where no current flowed.
    pub(super) fn worth(&self, stretch: usize) -> Option<f64> {
        let most = self.most_a.get(stretch).copied().filter(|most| *most > 0.0)?;
        Some(WORTH_V / most)
    }
}

/// The equations while they are being set up.
struct Sheet<'a> {
    stretches: &'a [SuspectStretch],
    columns: Vec<Vec<f64>>,
    off: Vec<f64>,
    free: Vec<Vec<f64>>,
    supplies: usize,
    most_a: Vec<f64>,
    figures: usize,
}

impl<'a> Sheet<'a> {
    fn new(stretches: &'a [SuspectStretch], readings: &[&Taken]) -> Self {
        let supplies = readings.iter().map(|taken| taken.supply + 1).max().unwrap_or(0);
        Self {
            stretches,
            columns: vec![Vec::new(); stretches.len()],
            off: Vec::new(),
            free: vec![Vec::new(); supplies + 1],
            supplies,
            most_a: vec![0.0; stretches.len()],
            figures: 0,
        }
    }

    fn design(&self, passed: &[StretchShare]) -> f64 {
        passed.iter().map(|passed| passed.share * self.ohms(passed.stretch)).sum()
    }

    fn ohms(&self, stretch: usize) -> f64 {
        self.stretches.get(stretch).map_or(0.0, |stretch| stretch.design.get::<ohm>())
    }

    /// Source and load are read within moments of each other, so they share the source's drift.
    fn reading(&mut self, taken: &Taken) {
        let amperes = taken.meter.current.map_or(0.0, |current| current.get::<ampere>());
        let whole: Vec<StretchShare> =
            [&taken.before, &taken.out, &taken.back].into_iter().flatten().copied().collect();
        for passed in &whole {
            if let Some(most) = self.most_a.get_mut(passed.stretch) {
                *most = most.max((passed.share * amperes).abs());
            }
        }
        let volts = |read: Option<_>| read.map(|read: uom::si::f64::ElectricPotential| read.get::<volt>());
        let source = volts(taken.meter.source).map(|read| self.volts(taken, amperes, read, &taken.before));
        let load = volts(taken.meter.load).map(|read| self.volts(taken, amperes, read, &whole));
        match (source, load) {
            (Some(source), Some(load)) => self.pair(&source, &load),
            (Some(one), None) | (None, Some(one)) => {
                let noise = one.noise.hypot(DRIFT_V);
                self.weigh(&[(&one, 1.0 / noise)]);
            }
            (None, None) => {}
        }
        if let Some(read) = taken.meter.back {
            let figure = self.ohms_of(taken, read.get::<ohm>());
            self.weigh(&[(&figure, 1.0 / figure.noise)]);
        }
    }

    fn volts(&self, taken: &Taken, amperes: f64, read: f64, passed: &[StretchShare]) -> Figure {
        let rest = taken.rest.get::<volt>();
        let off = read - (rest - amperes * self.design(passed));
        let divided = passed.iter().any(|passed| (0.01..0.99).contains(&passed.share.abs()));
        let doubt = if divided { DIVIDED * off } else { 0.0 };
        Figure {
            does: passed.iter().map(|passed| (passed.stretch, -amperes * passed.share)).collect(),
            off,
            noise: (SHARE * read).hypot(SHARE * (rest - read)).hypot(DIGIT_V).hypot(doubt),
            knows: Free::Rest(taken.supply),
        }
    }

    /// With the power off, the meter reads the whole negative, whatever share of the current each piece will
    /// carry.
    fn ohms_of(&self, taken: &Taken, read: f64) -> Figure {
        let design: f64 = taken.back.iter().map(|passed| self.ohms(passed.stretch)).sum();
        Figure {
            does: taken.back.iter().map(|passed| (passed.stretch, 1.0)).collect(),
            off: read - design,
            noise: (SHARE * read).hypot(TOUCH_OHM),
            knows: Free::Leads,
        }
    }

    /// Two figures that share the drift, made independent of each other (Cholesky).
    fn pair(&mut self, source: &Figure, load: &Figure) {
        let drift = DRIFT_V * DRIFT_V;
        let first = (source.noise * source.noise + drift).sqrt();
        let common = drift / first;
        let second = (load.noise * load.noise + drift - common * common).sqrt();
        self.weigh(&[(source, 1.0 / first)]);
        self.weigh(&[(load, 1.0 / second), (source, -common / (first * second))]);
    }

    /// Adds a row: a sum of figures times factors.
    fn weigh(&mut self, parts: &[(&Figure, f64)]) {
        let row = self.begin_row();
        for (figure, factor) in parts {
            for (stretch, does) in &figure.does {
                if let Some(cell) = self.columns.get_mut(*stretch).and_then(|column| column.get_mut(row)) {
                    *cell += factor * does;
                }
            }
            self.off[row] += factor * figure.off;
            let free = match figure.knows {
                Free::Rest(supply) => supply,
                Free::Leads => self.supplies,
            };
            self.free[free][row] += factor;
        }
        self.figures += 1;
    }

    fn begin_row(&mut self) -> usize {
        let row = self.off.len();
        self.off.push(0.0);
        self.columns.iter_mut().chain(&mut self.free).for_each(|column| column.push(0.0));
        row
    }

    /// Adds what is known about each free value, then removes the free value from all other rows
    /// (Gram-Schmidt).
    fn finish(mut self) -> Equations {
        for free in 0..self.free.len() {
            let row = self.begin_row();
            let spread = if free < self.supplies { REST_V } else { LEADS_OHM };
            self.free[free][row] = 1.0 / spread;
        }
        let mut taken_out: Vec<Vec<f64>> = Vec::new();
        for mut free in std::mem::take(&mut self.free) {
            taken_out.iter().for_each(|known| take_out(&mut free, known));
            let length = dot(&free, &free).sqrt();
            if length > 0.0 {
                free.iter_mut().for_each(|value| *value /= length);
                taken_out.push(free);
            }
        }
        for known in &taken_out {
            self.columns.iter_mut().for_each(|column| take_out(column, known));
            take_out(&mut self.off, known);
        }
        Equations { columns: self.columns, off: self.off, most_a: self.most_a, figures: self.figures }
    }
}

/// Removes from a vector its component along a vector of length 1.
fn take_out(vector: &mut [f64], unit: &[f64]) {
    let along = dot(vector, unit);
    vector.iter_mut().zip(unit).for_each(|(value, unit)| *value -= along * unit);
}

pub(super) fn dot(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}
