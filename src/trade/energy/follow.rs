//! The simulation in steps: charge out, charge in, five minutes at a time.

use uom::si::electric_charge::ampere_hour;
use uom::si::electric_current::ampere;
use uom::si::f64::{ElectricCharge, ElectricCurrent, ElectricPotential, Ratio, Time};
use uom::si::ratio::ratio;
use uom::si::thermodynamic_temperature::degree_celsius;
use uom::si::time::{hour, minute};

use super::bank::Bank;
use super::battery::{self, Chemistry, RatedCapacity};
use super::course::{Balance, Course, ModeBand, Recovery, Sample};
use super::pattern::DayStretch;

/// The longest step, in minutes.
const STEP_MINUTES: f64 = 5.0;
/// A state of charge this near to one counts as full: the difference is rounding.
const FULL: f64 = 1.0 - 1e-9;

/// A bank with all its figures chosen, in amperes, hours and ampere-hours.
#[derive(Debug, Clone)]
pub(super) struct Model {
    /// Charge of the full bank at its temperature and rated current, Ah.
    pub(super) full_ah: f64,
    /// Its rated current, A.
    pub(super) rated_a: f64,
    /// Peukert exponent.
    pub(super) exponent: f64,
    /// Minimum state of charge.
    pub(super) floor: f64,
    /// Share of the charging current that is stored.
    pub(super) efficiency: f64,
    /// Largest charging current that it accepts, A.
    pub(super) acceptance_a: f64,
    taper_from: f64,
    tail_a: f64,
    chemistry: Chemistry,
    nominal: ElectricPotential,
    internal: Option<uom::si::f64::ElectricalResistance>,
    low_voltage: Option<ElectricPotential>,
}

impl Model {
    /// Chooses the figures: a manufacturer's data where given, else the usual figures of the chemistry.
    pub(super) fn new(bank: &Bank, capacity: RatedCapacity, chemistry: Chemistry) -> Self {
        let practice = chemistry.practice();
        let label_ah = capacity.charge.get::<ampere_hour>();
        let acceptance = if too_cold_to_charge(chemistry, bank) { 0.0 } else { practice.acceptance_per_hour };
        Self {
            full_ah: label_ah * battery::cold_factor(chemistry, bank.temperature).get::<ratio>(),
            rated_a: capacity.rated_current().get::<ampere>(),
            exponent: bank.peukert.unwrap_or(practice.exponent()),
            floor: bank.floor.map_or(practice.floor, |floor| floor.get::<ratio>()),
            efficiency: practice.efficiency,
            acceptance_a: acceptance * label_ah,
            taper_from: practice.taper_from,
            tail_a: practice.tail_per_hour * label_ah,
            chemistry,
            nominal: bank.nominal,
            internal: bank.internal,
            low_voltage: bank.low_voltage,
        }
    }

    /// The Peukert-corrected load of a current. Below the rated current, no credit is given.
    pub(super) fn weight(&self, amperes: f64) -> f64 {
        amperes * (amperes / self.rated_a).max(1.0).powf(self.exponent - 1.0)
    }

    /// The largest charging current that it accepts: constant, then falling linearly with the missing charge.
    fn accepts(&self, charge: f64) -> f64 {
        let lacking = (1.0 - charge) / (1.0 - self.taper_from);
        (self.acceptance_a * lacking.min(1.0)).max(self.tail_a.min(self.acceptance_a))
    }

    fn volts(&self, charge: f64, amperes_out: f64) -> Option<ElectricPotential> {
        let rest = battery::rest_voltage(self.chemistry, Ratio::new::<ratio>(charge), self.nominal)?;
        (amperes_out >= 0.0).then_some(rest - ElectricCurrent::new::<ampere>(amperes_out) * self.internal?)
    }
}

/// Lithium iron phosphate must not be charged below freezing (manufacturers' manuals, from memory). At 0 C it
/// is at the limit.
pub(super) fn too_cold_to_charge(chemistry: Chemistry, bank: &Bank) -> bool {
    !chemistry.is_lead() && bank.temperature.get::<degree_celsius>() <= 0.0
}

/// The bank at one moment, with all charge out and in so far.
struct Walk<'a> {
    model: &'a Model,
    hours: f64,
    charge: f64,
    samples: Vec<Sample>,
    bands: Vec<ModeBand>,
    sums: Sums,
}

/// Totals in ampere-hours.
#[derive(Default)]
struct Sums {
    asked: f64,
    direct: f64,
    drawn: f64,
    weighed: f64,
    accepted: f64,
    unserved: f64,
}

impl Sums {
    fn balance(&self) -> Balance {
        let amp_hours = ElectricCharge::new::<ampere_hour>;
        Balance {
            asked: amp_hours(self.asked),
            direct: amp_hours(self.direct),
            drawn: amp_hours(self.drawn),
            weighed: amp_hours(self.weighed),
            accepted: amp_hours(self.accepted),
            unserved: amp_hours(self.unserved),
        }
    }
}

/// A stretch of the day with its loads listed by share of time and current.
pub(super) struct DayPhase<'a> {
    stretch: &'a DayStretch,
    /// Shares of time and amperes.
    loads: Vec<(f64, f64)>,
}

impl<'a> DayPhase<'a> {
    pub(super) fn of(stretch: &'a DayStretch) -> Self {
        let loads = stretch.loads();
        let plain = loads.iter().map(|load| (load.share.get::<ratio>(), load.current.get::<ampere>()));
        Self { stretch, loads: plain.collect() }
    }

    /// The mean over time of a function of the current that loads draw beyond the sources.
    pub(super) fn mean(&self, sources: f64, of: impl Fn(f64) -> f64) -> f64 {
        self.loads.iter().map(|(share, load)| share * of(load - sources)).sum()
    }

    /// The loads' current beyond the sources, its Peukert-corrected load, and the sources' surplus current.
    fn flow(&self, model: &Model, with_sources: bool) -> Flow {
        let sources = if with_sources { self.stretch.charging.get::<ampere>() } else { 0.0 };
        let asked = self.mean(0.0, |load| load);
        let drawn = self.mean(sources, |beyond| beyond.max(0.0));
        Flow {
            asked,
            direct: asked - drawn,
            drawn,
            weighed: self.mean(sources, |beyond| model.weight(beyond.max(0.0))),
            heaviest: self.stretch.heaviest().get::<ampere>() - sources,
            sources,
        }
    }
}

/// Average currents over a phase, in amperes.
struct Flow {
    asked: f64,
    direct: f64,
    drawn: f64,
    weighed: f64,
    /// The current out of the bank while the largest load is on; negative where the bank is charged even
    /// then.
    heaviest: f64,
    sources: f64,
}

/// Simulates the day repeatedly.
pub(super) fn follow(model: &Model, day: &[DayPhase<'_>], days: u8, from: f64, with_sources: bool) -> Course {
    let mut walk = Walk::begin(model, from);
    for phase in (0..days).flat_map(|_| day) {
        walk.phase(phase, with_sources);
    }
    walk.course()
}

/// The same, but only until the bank first falls below its minimum: when that is. `None` if it never does.
pub(super) fn lasts(
    model: &Model,
    day: &[DayPhase<'_>],
    days: u8,
    from: f64,
    with_sources: bool,
) -> Option<Time> {
    let mut walk = Walk::begin(model, from);
    (0..days).flat_map(|_| day).find_map(|phase| {
        let before = walk.samples.len() - 1;
        walk.phase(phase, with_sources);
        crossing(&walk.samples[before..], model.floor)
    })
}

impl<'a> Walk<'a> {
    fn begin(model: &'a Model, from: f64) -> Self {
        let start = Sample {
            at: Time::new::<hour>(0.0),
            charge: Ratio::new::<ratio>(from),
            current: ElectricCurrent::new::<ampere>(0.0),
            volts: model.volts(from, 0.0),
            so_far: Sums::default().balance(),
        };
        Self {
            model,
            hours: 0.0,
            charge: from,
            samples: vec![start],
            bands: Vec::new(),
            sums: Sums::default(),
        }
    }

    fn phase(&mut self, phase: &DayPhase<'_>, with_sources: bool) {
        let (begin, stretch) = (self.hours, phase.stretch);
        let steps = (stretch.lasts.get::<minute>() / STEP_MINUTES).ceil().max(1.0);
        let step = stretch.lasts.get::<hour>() / steps;
        let flow = phase.flow(self.model, with_sources);
        let mut done = 0.0;
        while done < steps {
            done += 1.0;
            self.step(phase, &flow, step, begin + step * done);
        }
        self.bands.push(ModeBand {
            mode: stretch.mode.clone(),
            from: Time::new::<hour>(begin),
            to: Time::new::<hour>(self.hours),
        });
    }

    /// In each step, surplus charge goes in first, then the loads' charge goes out. This order is the worse
    /// case: charge drawn in a step is not replaced within that step.
    fn step(&mut self, phase: &DayPhase<'_>, flow: &Flow, step: f64, until: f64) {
        self.sums.asked += flow.asked * step;
        self.sums.direct += flow.direct * step;
        let into = self.recharge(phase, flow.sources, step);
        let out = self.discharge(flow, step);
        self.hours = until;
        self.samples.push(Sample {
            at: Time::new::<hour>(until),
            charge: Ratio::new::<ratio>(self.charge),
            current: ElectricCurrent::new::<ampere>(out - into),
            volts: self.model.volts(self.charge, flow.heaviest),
            so_far: self.sums.balance(),
        });
    }

    /// Removes the loads' charge as far as the bank has it; returns the average current supplied.
    fn discharge(&mut self, flow: &Flow, step: f64) -> f64 {
        let weight = flow.weighed * step;
        let held = self.charge * self.model.full_ah;
        let given = if weight > held { held / weight } else { 1.0 };
        self.charge = (self.charge - given * weight / self.model.full_ah).max(0.0);
        self.sums.drawn += flow.drawn * given * step;
        self.sums.weighed += weight * given;
        self.sums.unserved += flow.drawn * (1.0 - given) * step;
        flow.drawn * given
    }

    /// Adds the sources' surplus as far as the chemistry accepts it, until full; returns the average charging
    /// current.
    fn recharge(&mut self, phase: &DayPhase<'_>, sources: f64, step: f64) -> f64 {
        if sources <= 0.0 {
            return 0.0;
        }
        let room = (1.0 - self.charge) * self.model.full_ah / (self.model.efficiency * step);
        let accepts = self.model.accepts(self.charge);
        let amperes = phase.mean(sources, |beyond| (-beyond).clamp(0.0, accepts)).min(room);
        self.charge = (self.charge + amperes * self.model.efficiency * step / self.model.full_ah).min(1.0);
        self.sums.accepted += amperes * step;
        amperes
    }

    fn course(self) -> Course {
        let lowest = self
            .samples
            .iter()
            .fold(self.samples[0], |low, sample| if sample.charge < low.charge { *sample } else { low });
        let floor = self.model.floor;
        let low_volts = self.model.low_voltage;
        Course {
            floor: Ratio::new::<ratio>(floor),
            lowest,
            floor_at: crossing(&self.samples, floor),
            low_voltage_at: low_volts
                .and_then(|low| self.samples.iter().find(|sample| is_low(sample, low)).map(|it| it.at)),
            recovery: longest_recovery(&self.samples),
            balance: self.sums.balance(),
            full: ElectricCharge::new::<ampere_hour>(self.model.full_ah),
            exponent: self.model.exponent,
            efficiency: Ratio::new::<ratio>(self.model.efficiency),
            samples: self.samples,
            bands: self.bands,
        }
    }
}

/// Whether a bank is at its low voltage. The voltage at rest is not reliable near the end, so an empty bank
/// counts as low.
fn is_low(sample: &Sample, low: ElectricPotential) -> bool {
    sample.volts.is_some_and(|volts| volts < low) || sample.charge.get::<ratio>() <= 0.0
}

/// Time when the state of charge first falls below a minimum, interpolated between two samples.
fn crossing(samples: &[Sample], floor: f64) -> Option<Time> {
    let under = samples.iter().position(|sample| sample.charge.get::<ratio>() < floor - 1e-12)?;
    let Some(before) = under.checked_sub(1).map(|at| &samples[at]) else { return Some(samples[under].at) };
    let (high, low) = (before.charge.get::<ratio>(), samples[under].charge.get::<ratio>());
    let part = (high - floor) / (high - low);
    Some(before.at + (samples[under].at - before.at) * part)
}

/// The longest recovery from a lowest moment to full charge.
fn longest_recovery(samples: &[Sample]) -> Option<Recovery> {
    let mut longest: Option<Recovery> = None;
    let mut low: Option<Sample> = None;
    for sample in samples {
        if sample.charge.get::<ratio>() < FULL {
            if low.is_none_or(|low| sample.charge <= low.charge) {
                low = Some(*sample);
            }
        } else if let Some(from) = low.take() {
            let takes = sample.at - from.at;
            if longest.is_none_or(|longest| takes > longest.takes) {
                longest = Some(Recovery { at: from.at, from: from.charge, takes });
            }
        }
    }
    longest
}
