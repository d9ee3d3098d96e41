//! The sizes of block feeders and of the links of negative bars (P15).
//!
//! They are sized for the design load at 3 % out and back, so that circuits keep thin wires and a block can take
//! another device. Everything else is left open for the check.

use super::outline::Outline;
use super::site::BATTERIES;
use crate::job::check::Report;
use crate::job::plan::{Circuit, Feeder, Polarity, Rule};
use crate::job::point::PointKind;
use crate::trade::conductor::Size;
use crate::trade::rules::RuleSet;
use uom::si::area::square_millimeter;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;

/// The share of nominal voltage that a feeder and its return may lose.
const SHARE: f64 = 0.03;
/// Warm copper, ohm mm2 a meter.
const WARM_COPPER: f64 = 0.0215;
/// Rises and loops at both ends, m, and the factor for waste.
const ENDS_M: f64 = 1.1;
const WASTE: f64 = 1.05;
/// A tenth of the short-time loads counts at least (from memory).
const SHORT_TIME_SHARE: f64 = 0.1;

/// Gives each block feeder and each link of a negative bar its size: what the check chose, or more.
pub(super) fn size(outline: &mut Outline<'_>, report: &Report) {
    let sizes: Vec<Option<Size>> =
        outline.plan.feeders.iter().map(|feeder| chosen(outline, feeder)).collect();
    for (feeder, size) in outline.plan.feeders.iter_mut().zip(sizes) {
        let chosen = report.feeders.get(&feeder.id).and_then(|own| own.conductor.size);
        feeder.size = feeder.size.or(size.map(|size| chosen.map_or(size, |chosen| chosen.max(size))));
    }
    let sized: Vec<Feeder> =
        outline.plan.feeders.iter().filter(|feeder| feeder.size.is_some()).cloned().collect();
    sized.iter().for_each(|feeder| outline.by(feeder, Rule::Sizes));
}

/// The size of a block feeder or of a link; `None` for any other feeder.
fn chosen(outline: &Outline<'_>, feeder: &Feeder) -> Option<Size> {
    let kind = |id: &str| outline.plan.points.with(id).map(|point| point.body.kind());
    let circuits: Vec<&Circuit> =
        match (feeder.polarity, kind(feeder.to.as_str()), kind(feeder.from.as_str())) {
            (Polarity::Positive, Some(PointKind::FuseBlock), _) => {
                outline.plan.circuits.iter().filter(|circuit| circuit.from == feeder.to).collect()
            }
            (Polarity::Negative, _, Some(PointKind::NegativeBus))
                if feeder.from.as_str() != super::supply::NEGATIVE =>
            {
                outline.plan.circuits.iter().filter(|circuit| circuit.r#return == feeder.from).collect()
            }
            _ => return None,
        };
    let length = feeder.length_m.map_or_else(|| to_batteries(outline), |length| length.number());
    let nominal = outline.plan.job.nominal_v.number();
    let area = WARM_COPPER * 2.0 * length * design_load(outline, &circuits) / (SHARE * nominal);
    let is_always_on = feeder.to.as_str().starts_with("fb-always");
    let least = least(outline.form.rules, is_always_on);
    let fits = |size: &Size| *size >= least && size.area().get::<square_millimeter>() >= area;
    let mut sizes = Size::stocked(outline.form.rules.system());
    sizes.clone().find(fits).or_else(|| sizes.next_back())
}

/// The smallest feeder: 8 AWG or 10 mm2 for a block, 10 AWG or 6 mm2 for what is always on.
fn least(rules: RuleSet, is_always_on: bool) -> Size {
    match (rules, is_always_on) {
        (RuleSet::Us, false) => Size::Awg8,
        (RuleSet::Us, true) => Size::Awg10,
        (RuleSet::Iso, false) => Size::Mm10,
        (RuleSet::Iso, true) => Size::Mm6,
    }
}

/// The length of a wire between the batteries and the blocks.
fn to_batteries(outline: &Outline<'_>) -> f64 {
    let raceway = outline.plan.raceways.iter().find(|raceway| raceway.between[1].as_str() == BATTERIES);
    let length = raceway.and_then(|raceway| raceway.length_m).map_or(0.0, |length| length.number());
    WASTE * (length + ENDS_M)
}

/// Continuous loads, and the larger of the largest short one and a tenth of all short ones, A.
fn design_load(outline: &Outline<'_>, circuits: &[&Circuit]) -> f64 {
    let amperes = |circuit: &Circuit| {
        let volts = ElectricPotential::new::<volt>(outline.plan.job.nominal_v.number());
        let loads = circuit.devices().filter_map(|device| outline.plan.devices.with(device.as_str())?.load);
        loads.map(|load| load.current_at(volts).get::<ampere>()).sum::<f64>()
    };
    let is_short =
        |circuit: &Circuit| outline.drawn.iter().any(|(id, kind)| *id == circuit.id && kind.short_time);
    let (short, steady): (Vec<&Circuit>, Vec<&Circuit>) =
        circuits.iter().partition(|circuit| is_short(circuit));
    let of = |some: &[&Circuit]| some.iter().map(|circuit| amperes(circuit)).collect::<Vec<f64>>();
    let short = of(&short);
    let largest = short.iter().copied().fold(0.0, f64::max);
    of(&steady).iter().sum::<f64>() + largest.max(SHORT_TIME_SHARE * short.iter().sum::<f64>())
}
