//! The states in which the boat is used, with what is on in each (P17).

use super::draft::{Draft, text, value};
use super::site::hours;
use crate::job::energy;
use crate::job::plan::{InUse, Mode, Rule};
use crate::job::point::{Body, Point};
use crate::job::value::{BadValue, PointId};
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
const CAPACITIES_AH: [f64; 9] = [100.0, 150.0, 200.0, 300.0, 400.0, 600.0, 800.0, 1200.0, 2000.0];

/// Adds the modes.
pub(super) fn add(draft: &mut Draft<'_>) -> Result<(), BadValue> {
    let hours = hours(draft.form.pattern);
    for (state, (id, name)) in MODES.into_iter().enumerate() {
        let lasts = hours.get(state).copied().unwrap_or_default();
        if lasts <= 0.0 {
            continue;
        }
        let mut on = Vec::new();
        for (circuit, kind) in &draft.drawn {
            let shares: [f64; 4] = kind.duty.map_or([0.0; 4], |duty| {
                <[crate::job::value::Share; 4]>::from(duty).map(|share| share.number())
            });
            let is_never_on = shares.iter().zip(hours).all(|(share, hours)| *share * hours <= 0.0);
            let seldom = if is_never_on && state == 0 { SELDOM } else { 0.0 };
            let share = shares.get(state).copied().unwrap_or_default().max(seldom);
            if share > 0.0 {
                on.push(InUse { circuit: circuit.clone(), share: value(share)? });
            }
        }
        let charging = charging(draft, state);
        let mode = Mode { id: text(id)?, name: text(name)?, hours: value(lasts)?, on, charging, rpm: None };
        draft.by(&mode, Rule::Modes);
        draft.plan.modes.push(mode);
    }
    Ok(())
}

/// The chargers of a state: what the engine drives under way, the shore charger at the dock, the sun when it shines.
fn charging(draft: &Draft<'_>, state: usize) -> Vec<PointId> {
    let charges = |point: &&Point| match point.id.as_str() {
        "shore-charger-output" => state == 3,
        "solar-controller-output" => state == 1,
        _ => state == 0 && matches!(point.body, Body::Charger(_)),
    };
    draft.plan.points.iter().filter(charges).map(|point| point.id.clone()).collect()
}

/// Raises the capacity of the house bank until it lasts the day, unless the boat form gives it.
pub(super) fn enough_capacity(draft: &mut Draft<'_>) -> Result<(), BadValue> {
    if draft.form.capacity_ah.is_some() {
        return Ok(());
    }
    for capacity in CAPACITIES_AH {
        for point in &mut draft.plan.points {
            if let (super::supply::HOUSE, Body::Battery(battery)) = (point.id.as_str(), &mut point.body) {
                battery.capacity_ah = Some(value(capacity)?);
            }
        }
        let (_, findings) = energy::check(&draft.plan);
        if !findings.iter().any(|finding| finding.code == Code::BankTooSmall) {
            break;
        }
    }
    Ok(())
}
