//! One circuit of the plan (P6, P18).

use super::outline::{Outline, text, value};
use crate::job::kind::{Feed, Kind};
use crate::job::plan::{Circuit, ConductorOverride, Device, Leg, Protection, Wiring};
use crate::job::value::{BadValue, LocationId};
use crate::trade::conductor::Size;
use crate::trade::rules::RuleSet;

/// The usual length of a wire within one location, m.
const WITHIN_M: f64 = 0.9;
/// The color of a feed that has none in the table: an accessory feed.
const ACCESSORY: &str = "orange";

/// A circuit for one device, straight from a point of the supply.
pub(super) fn one(
    outline: &Outline<'_>,
    device: &Device,
    kind: &Kind,
    from: &str,
    home: &str,
    protection: Protection,
) -> Result<Circuit, BadValue> {
    let blank = blank(outline, device.name.as_str(), kind, from, home)?;
    let own = location(outline, from) == Some(&device.location);
    let conductors = if own { vec![within(from, device.id.as_str())?] } else { Vec::new() };
    // A thinner wire has no terminal for the large stud that it begins at.
    let size = match (kind.feed, outline.form.rules) {
        (Feed::Engine, RuleSet::Us) => Some(Size::Awg12),
        (Feed::Engine, RuleSet::Iso) => Some(Size::Mm4),
        (Feed::AlwaysOn, RuleSet::Us) => Some(Size::Awg8),
        (Feed::AlwaysOn, RuleSet::Iso) => Some(Size::Mm10),
        _ => None,
    };
    Ok(Circuit {
        legs: vec![Leg { number: 1, device: device.id.clone() }],
        protection: Some(protection),
        jacketed: !own,
        conductors,
        size,
        ..blank
    })
}

/// A circuit without devices.
pub(super) fn blank(
    outline: &Outline<'_>,
    name: &str,
    kind: &Kind,
    from: &str,
    home: &str,
) -> Result<Circuit, BadValue> {
    let color = kind.color.as_ref().map_or(ACCESSORY, |color| color.as_str());
    Ok(Circuit {
        id: text(format!("C{:02}", outline.plan.circuits.len() + 1))?,
        label: None,
        name: text(name)?,
        legs: Vec::new(),
        legs_given: 0,
        from: text(from)?,
        protection: None,
        switch: None,
        float_switch: false,
        junction: None,
        r#return: text(home)?,
        wiring: Wiring::Chain,
        size: None,
        insulation_c: value(105.0)?,
        length_m: None,
        route: Vec::new(),
        jacketed: false,
        bundle: None,
        color: Some(text(color)?),
        return_color: None,
        conductors: Vec::new(),
    })
}

/// The location of a point.
pub(super) fn location<'d>(outline: &'d Outline<'_>, point: &str) -> Option<&'d LocationId> {
    outline.plan.points.with(point).map(|point| &point.location)
}

/// A conductor within one location, which no raceway gives a length.
pub(super) fn within(from: &str, to: &str) -> Result<ConductorOverride, BadValue> {
    Ok(ConductorOverride { from: text(from)?, to: text(to)?, length_m: Some(value(WITHIN_M)?), size: None })
}
