//! The tree as plain numbers, after validation.

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::ElectricPotential;
use uom::si::length::meter;

use super::stretch::{NoSizing, ROUNDING, TreeStretch, UnmetStretch};

/// The stretches as numbers; each is connected to an earlier one.
pub(super) struct Tree {
    pub(super) legs: Vec<SizedLeg>,
}

pub(super) struct SizedLeg {
    pub(super) above: Option<usize>,
    pub(super) below: Vec<usize>,
    /// Its possible wires, from the smallest drop to the lowest cost. None both costs more and loses more
    /// than another.
    pub(super) options: Vec<WireOption>,
    /// The volts that may be lost up to its far end; infinite where there is no limit.
    pub(super) limit: f64,
}

/// One choice on one leg.
#[derive(Debug, Clone, Copy)]
pub(super) struct WireOption {
    pub(super) choice: usize,
    pub(super) lost: f64,
    pub(super) cost: f64,
}

impl Tree {
    pub(super) fn new(stretches: &[TreeStretch]) -> Result<Self, NoSizing> {
        let mut legs: Vec<SizedLeg> = Vec::with_capacity(stretches.len());
        for (place, stretch) in stretches.iter().enumerate() {
            legs.push(leg(place, stretch)?);
            if let Some(above) = stretch.above {
                legs[above].below.push(place);
            }
        }
        let unlimited = |leg: &SizedLeg| leg.below.is_empty() && leg.limit.is_infinite();
        match legs.iter().position(unlimited) {
            Some(place) => {
                Err(bad(place, "limit", "missing", "a limit where nothing hangs from the stretch"))
            }
            None => Ok(Self { legs }),
        }
    }

    /// The legs that begin at the source.
    pub(super) fn roots(&self) -> impl Iterator<Item = usize> {
        self.legs.iter().enumerate().filter_map(|(place, leg)| leg.above.is_none().then_some(place))
    }

    /// For each leg, the volts lost from the source to where it begins, with `lost` on each leg.
    pub(super) fn before(&self, lost: impl Fn(&SizedLeg) -> f64) -> Vec<f64> {
        let mut before: Vec<f64> = Vec::with_capacity(self.legs.len());
        for leg in &self.legs {
            before.push(leg.above.map_or(0.0, |above| before[above] + lost(&self.legs[above])));
        }
        before
    }

    /// The volts lost from the source to the far end of each leg with these choices.
    pub(super) fn lost(&self, chosen: &[usize]) -> Vec<f64> {
        let mut lost: Vec<f64> = Vec::with_capacity(self.legs.len());
        for (leg, &choice) in self.legs.iter().zip(chosen) {
            let own = leg.options.iter().find(|wire| wire.choice == choice).map_or(0.0, |wire| wire.lost);
            lost.push(leg.above.map_or(0.0, |above| lost[above]) + own);
        }
        lost
    }

    /// Whether the smallest possible drops keep every limit. The thickest sizes are best for every device, so
    /// a limit that they do not meet cannot be met at all.
    pub(super) fn check_limits(&self) -> Result<(), NoSizing> {
        let before = self.before(SizedLeg::least_lost);
        let mut unmet = Vec::new();
        for (stretch, (leg, before)) in self.legs.iter().zip(before).enumerate() {
            let least = before + leg.least_lost();
            if least > leg.limit * (1.0 + ROUNDING) {
                let [limit, least] = [leg.limit, least].map(ElectricPotential::new::<volt>);
                unmet.push(UnmetStretch { stretch, limit, least });
            }
        }
        if unmet.is_empty() { Ok(()) } else { Err(NoSizing::Limits { unmet }) }
    }
}

impl SizedLeg {
    pub(super) fn least_lost(&self) -> f64 {
        self.options.iter().map(|wire| wire.lost).fold(f64::INFINITY, f64::min)
    }

    pub(super) fn most_lost(&self) -> f64 {
        self.options.iter().map(|wire| wire.lost).fold(0.0, f64::max)
    }

    /// The limit plus a tolerance for rounding in the sums compared with it.
    pub(super) fn roomy_limit(&self) -> f64 {
        self.limit * (1.0 + 2.0 * ROUNDING)
    }
}

fn leg(place: usize, stretch: &TreeStretch) -> Result<SizedLeg, NoSizing> {
    let what = "a number from 0 up";
    let number = |field: &'static str, value: f64| {
        if value.is_finite() && value >= 0.0 { Ok(value) } else { Err(bad(place, field, value, what)) }
    };
    let length = number("length", stretch.length.get::<meter>())?;
    let current = number("current", stretch.current.get::<ampere>())?;
    let limit = stretch.limit.map(|limit| number("limit", limit.get::<volt>())).transpose()?;
    if let Some(above) = stretch.above.filter(|&above| above >= place) {
        return Err(bad(place, "above", above, "an earlier stretch"));
    }
    if let Some(fixed) = stretch.fixed.filter(|&fixed| fixed >= stretch.choices.len()) {
        return Err(bad(place, "fixed", fixed, "one of its choices"));
    }
    let mut wires = Vec::new();
    for (at, choice) in stretch.choices.iter().enumerate() {
        let per_meter = number("resistance of a meter", choice.per_meter.get::<ohm>())?;
        let ampacity = number("ampacity", choice.ampacity.get::<ampere>())?;
        let cost = number("cost of a meter", choice.cost_per_meter)? * length;
        if stretch.fixed.map_or(ampacity >= current, |fixed| fixed == at) {
            wires.push(WireOption { choice: at, lost: per_meter * length * current, cost });
        }
    }
    if wires.is_empty() {
        let choices = stretch.choices.len();
        return Err(NoSizing::NoAmpacity { stretch: place, choices, current: stretch.current });
    }
    let limit = limit.unwrap_or(f64::INFINITY);
    Ok(SizedLeg { above: stretch.above, below: Vec::new(), options: worth_having(wires), limit })
}

/// The wires without those that another wire beats in both cost and drop, from the smallest drop to the
/// lowest cost.
fn worth_having(mut wires: Vec<WireOption>) -> Vec<WireOption> {
    wires.sort_by(|a, b| a.lost.total_cmp(&b.lost).then(a.cost.total_cmp(&b.cost)));
    let mut cheapest = f64::INFINITY;
    wires.retain(|wire| {
        let cheaper = wire.cost < cheapest;
        cheapest = cheapest.min(wire.cost);
        cheaper
    });
    wires
}

fn bad(stretch: usize, field: &'static str, value: impl ToString, expected: &'static str) -> NoSizing {
    NoSizing::Value { stretch, field, value: value.to_string(), expected }
}
