//! Figures of a kind on the side that feeds it.

use super::outline::Outline;
use crate::job::kind::{Feed, Group, Kind};
use crate::job::plan::BoatVoltage;
use crate::job::point::PointKind;
use crate::job::value::NominalV;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;

/// From this load on a device has its own breaker at a bar, A (P5).
pub(super) const LARGE_A: f64 = 24.0;
/// Whether a kind is a source that charges a bank.
pub(super) fn is_charging(kind: &Kind) -> bool {
    kind.point.as_ref().is_some_and(|point| point.kind == PointKind::Charger)
}

/// Whether a kind is fed with 12 V on a boat of 24 V.
pub(super) fn is_low(outline: &Outline<'_>, kind: &Kind) -> bool {
    let nominal = outline.plan.job.nominal_v;
    let is_small = matches!(kind.group, Group::Electronics | Group::OutletsAndSound) || kind.start.is_none();
    let by_choice = outline.form.voltage == BoatVoltage::V24And12
        && is_small
        && kind.load.is_some()
        && kind.feed != Feed::AlwaysOn
        && !matches!(kind.group, Group::Engine | Group::LargeLoads | Group::Distribution);
    kind.needs_12_v(nominal) || by_choice
}

/// The nominal voltage of the side that feeds a kind.
pub(super) fn side(outline: &Outline<'_>, kind: &Kind) -> NominalV {
    let twelve = 12.0.try_into().ok().filter(|_| is_low(outline, kind));
    twelve.unwrap_or(outline.plan.job.nominal_v)
}

/// What the usual one of a kind draws on its side, A.
pub(super) fn amperes(outline: &Outline<'_>, kind: &Kind) -> f64 {
    let side = side(outline, kind);
    let volts = ElectricPotential::new::<volt>(side.number());
    kind.figures(side).load.map_or(0.0, |load| load.typical.current_at(volts).get::<ampere>())
}

/// A count as a factor.
pub(super) fn times(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::INFINITY, f64::from)
}

/// Whether a boat can do without a kind for now: no light, pump, alarm or radio.
pub(super) fn may_wait(kind: &Kind) -> bool {
    let is_safety = kind.light.is_some() || kind.purpose.is_some() || SAFETY.contains(&kind.id.as_str());
    !is_safety && kind.load.is_some()
}

/// What keeps a boat safe, besides lights, pumps and alarms.
const SAFETY: [&str; 4] = ["vhf-radio", "blower", "horn", "network-backbone"];
