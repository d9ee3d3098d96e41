//! The states in which the boat is used, with what is on in each (P17).

use super::kinds::{amperes, may_wait, times};
use super::outline::{Outline, text, value};
use super::site::hours;
use super::wanted::{PutOff, Remedy};
use crate::job::energy;
use crate::job::kind::Kind;
use crate::job::plan::{InUse, Mode, Rule};
use crate::job::point::{Body, Point};
use crate::job::value::{BadValue, PointId, Share};
use crate::trade::finding::Code;

/// The modes: id, name, and the number of the state in the hours and shares.
const MODES: [(&str, &str); 4] = [
    ("under-way", "Under way"),
    ("drifting", "Drifting or fishing"),
    ("anchored", "At anchor overnight"),
    ("dock", "At the dock or mooring"),
];
/// The share of what has none in any state, so that it counts as short.
const SELDOM: f64 = 0.005;
/// The capacities that banks come with, Ah.
const CAPACITIES_AH: [f64; 6] = [100.0, 150.0, 200.0, 300.0, 400.0, 600.0];

/// Adds the modes.
pub(super) fn add(outline: &mut Outline<'_>) -> Result<(), BadValue> {
    let hours = hours(outline.form.pattern);
    for (state, (id, name)) in MODES.into_iter().enumerate() {
        let lasts = hours.get(state).copied().unwrap_or_default();
        if lasts <= 0.0 {
            continue;
        }
        let mut on = Vec::new();
        for (circuit, kind) in &outline.drawn {
            let shares: [f64; 4] =
                kind.duty.map_or([0.0; 4], |duty| <[Share; 4]>::from(duty).map(Share::number));
            let is_never_on = shares.iter().zip(hours).all(|(share, hours)| *share * hours <= 0.0);
            let seldom = if is_never_on && state == 0 { SELDOM } else { 0.0 };
            let share = shares.get(state).copied().unwrap_or_default().max(seldom);
            if share > 0.0 {
                on.push(InUse { circuit: circuit.clone(), share: value(share)? });
            }
        }
        let charging = charging(outline, state);
        let mode = Mode { id: text(id)?, name: text(name)?, hours: value(lasts)?, on, charging, rpm: None };
        outline.by(&mode, Rule::Modes);
        outline.plan.modes.push(mode);
    }
    Ok(())
}

/// The chargers of a state: what the engine drives under way, the shore charger at the dock, the sun when it shines.
fn charging(outline: &Outline<'_>, state: usize) -> Vec<PointId> {
    let charges = |point: &&Point| match point.id.as_str() {
        "shore-charger-output" => state == 3,
        "solar-controller-output" => state == 1,
        _ => state == 0 && matches!(point.body, Body::Charger(_)),
    };
    outline.plan.points.iter().filter(charges).map(|point| point.id.clone()).collect()
}

/// The largest bank without a shore charger, Ah.
const WITHOUT_SHORE_AH: f64 = 200.0;

/// Raises the capacity of the house bank until it lasts the day, unless the boat form gives it. What helps if a usual
/// bank does not: a shore charger first, then fewer devices.
pub(super) fn enough_capacity(
    outline: &mut Outline<'_>,
    may_charge: bool,
) -> Result<Option<Remedy>, BadValue> {
    if outline.form.capacity_ah.is_some() {
        return Ok(None);
    }
    let most = if may_charge { WITHOUT_SHORE_AH } else { f64::INFINITY };
    for capacity in CAPACITIES_AH.into_iter().filter(|capacity| *capacity <= most) {
        for point in &mut outline.plan.points {
            if let (super::supply::HOUSE, Body::Battery(battery)) = (point.id.as_str(), &mut point.body) {
                battery.capacity_ah = Some(value(capacity)?);
            }
        }
        let (_, findings) = energy::check(&outline.plan);
        if !findings.iter().any(|finding| finding.code == Code::BankTooSmall) {
            return Ok(None);
        }
    }
    Ok(if may_charge { Some(Remedy::ShoreCharger) } else { thirstiest(outline).map(Remedy::PutOff) })
}

/// The kind that uses most of the bank in a day, besides what keeps the boat safe.
fn thirstiest(outline: &Outline<'_>) -> Option<PutOff> {
    let hours = hours(outline.form.pattern);
    let daily = |kind: &Kind| {
        let shares = kind.duty.map(|duty| <[Share; 4]>::from(duty).map(Share::number)).unwrap_or_default();
        let count = outline.fitted.iter().filter(|fitted| fitted.kind.id == kind.id).count();
        let hours: f64 = shares.iter().zip(hours).map(|(share, hours)| share * hours).sum();
        amperes(outline, kind) * hours * times(count)
    };
    let may_wait = outline.fitted.iter().map(|fitted| fitted.kind).filter(|kind| may_wait(kind));
    let kind = may_wait.max_by(|one, other| daily(one).total_cmp(&daily(other)))?;
    let most = CAPACITIES_AH.last().copied().unwrap_or_default();
    let reason = format!(
        "A bank of {most} Ah would not last the day with it. Add charging, or give it a bank of its own."
    );
    Some(PutOff { kind: kind.id.clone(), reason })
}
