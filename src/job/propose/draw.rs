//! The circuits of the plan, each with its wires, fuse, switch and return (P6, P8, P10, P18).

use super::blocks::Blocks;
use super::circuits::{Circuits, Feeding, Planned};
use super::draft::{Draft, text, value};
use super::panel::Panels;
use super::site::{HELM, HUB};
use super::supply::{NEGATIVE, POSITIVE, at_source};
use super::want::side;
use crate::job::kind::{Feed, Kind};
use crate::job::plan::{
    Circuit, ConductorOverride, CurvePoint, Device, Leg, ManufacturerCurve, Protection, Purpose, Rule, Wiring,
};
use crate::job::value::{BadValue, LocationId, RatingA};
use crate::trade::conductor::Size;
use crate::trade::protection::Family;
use crate::trade::rules::RuleSet;

/// The usual length of a wire within one location, m.
const WITHIN_M: f64 = 0.9;
/// The color of a feed that has none in the table: an accessory feed.
const ACCESSORY: &str = "orange";

/// A circuit for one device, straight from a point of the supply.
pub(super) fn one(
    draft: &Draft<'_>,
    device: &Device,
    kind: &Kind,
    from: &str,
    home: &str,
    protection: Protection,
) -> Result<Circuit, BadValue> {
    let blank = blank(draft, device.name.as_str(), kind, from, home)?;
    let own = location(draft, from) == Some(&device.location);
    let conductors = if own { vec![within(from, device.id.as_str())?] } else { Vec::new() };
    // A thinner wire has no terminal for the large stud that it begins at.
    let size = match (kind.feed, draft.form.rules) {
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
fn blank(draft: &Draft<'_>, name: &str, kind: &Kind, from: &str, home: &str) -> Result<Circuit, BadValue> {
    let color = kind.color.as_ref().map_or(ACCESSORY, |color| color.as_str());
    Ok(Circuit {
        id: text(format!("C{:02}", draft.plan.circuits.len() + 1))?,
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

fn location<'d>(draft: &'d Draft<'_>, point: &str) -> Option<&'d LocationId> {
    draft.plan.points.with(point).map(|point| &point.location)
}

/// A conductor within one location, which no raceway gives a length.
fn within(from: &str, to: &str) -> Result<ConductorOverride, BadValue> {
    Ok(ConductorOverride { from: text(from)?, to: text(to)?, length_m: Some(value(WITHIN_M)?), size: None })
}

/// Draws every planned circuit.
pub(super) fn all<'a>(
    draft: &mut Draft<'a>,
    circuits: &Circuits<'a>,
    blocks: &Blocks,
    panels: &Panels,
) -> Result<(), BadValue> {
    for (number, planned) in circuits.planned.iter().enumerate() {
        let circuit = drawn(draft, planned, number, blocks, panels)?;
        let is_pump = planned.kind.purpose.is_some_and(Purpose::is_bilge_pump);
        if is_pump {
            draft.by(&circuit, Rule::BilgePumps);
        }
        if circuit.switch.is_some() {
            draft.by(&circuit, Rule::Panel);
        }
        let has_curve = circuit.protection.as_ref().is_some_and(|fuse| fuse.curve.carries.is_some());
        if has_curve {
            draft.suppose(&circuit, "protection/curve/carries/a", Rule::LargeLoads);
            draft.suppose(&circuit, "protection/curve/opens/a", Rule::LargeLoads);
        }
        if planned.is_low {
            draft.by(&circuit, Rule::TwoVoltages);
        }
        draft.add_circuit(circuit, planned.kind, planned.rule);
    }
    Ok(())
}

fn drawn(
    draft: &Draft<'_>,
    planned: &Planned<'_>,
    number: usize,
    blocks: &Blocks,
    panels: &Panels,
) -> Result<Circuit, BadValue> {
    let (from, home) = match planned.feeding {
        Feeding::Bar => (POSITIVE, NEGATIVE),
        _ => blocks.of(number, planned),
    };
    let at = planned.spot.as_ref().and_then(|(spot, throws)| panels.at(*spot, throws));
    let junction = at.as_ref().map(|at| at.junction);
    let legs =
        (1..).zip(&planned.devices).map(|(number, fitted)| Leg { number, device: fitted.device.clone() });
    let is_out = planned.devices.iter().any(|fitted| fitted.site.id != HUB && fitted.site.id != HELM);
    Ok(Circuit {
        legs: legs.collect(),
        protection: Some(protection(draft, planned)?),
        switch: at.map(|at| at.switch()).transpose()?,
        float_switch: planned.kind.purpose == Some(Purpose::AutomaticBilgePump),
        junction: junction.map(text).transpose()?,
        jacketed: is_out,
        conductors: overrides(draft, planned, from, junction)?,
        ..blank(draft, &planned.name, planned.kind, from, home)?
    })
}

/// The fuse of a circuit in its block, or its breaker at the bar.
fn protection(draft: &Draft<'_>, planned: &Planned<'_>) -> Result<Protection, BadValue> {
    let figures = planned.kind.figures(side(draft, planned.kind));
    if planned.feeding == Feeding::Bar {
        let carries = figures.start.map(|start| CurvePoint { a: start.a, s: start.s });
        // A short circuit far away drives few times the rating of a large breaker.
        let large = figures.max_fuse_a.map(|fuse| fuse.number()).filter(|fuse| *fuse >= LARGE_BREAKER_A);
        let opens = match large {
            Some(rating) => Some(CurvePoint { a: value(OPENS_AT * rating)?, s: value(OPENS_IN_S)? }),
            None => None,
        };
        let curve = ManufacturerCurve { carries, opens };
        return Ok(Protection { curve, ..at_source(Family::Breaker)? });
    }
    Ok(Protection {
        rating_a: marked(planned, figures.max_fuse_a, Family::BladeFuse),
        from_source_m: Some(value(0.0)?),
        ..Protection::of(Family::BladeFuse)
    })
}

/// The fuse that the manufacturer marks, if it is a standard one that carries the load and fits its position.
fn marked(planned: &Planned<'_>, largest: Option<RatingA>, family: Family) -> Option<RatingA> {
    let carries = |rating: &RatingA| {
        let is_made = family.made().iter().any(|made| (made - rating.number()).abs() < 1e-9);
        is_made && rating.number() >= planned.amperes && rating.number() <= POSITION_A
    };
    largest.filter(carries)
}

/// From this rating on the time in which a breaker trips is supposed too, A.
const LARGE_BREAKER_A: f64 = 100.0;
/// A large breaker trips within this time, s, at so many times its rating (common practice).
const OPENS_IN_S: f64 = 5.0;
const OPENS_AT: f64 = 4.0;

/// The rating of a position of a block, A.
const POSITION_A: f64 = 30.0;

/// The wires of a circuit that stay within one location.
fn overrides(
    draft: &Draft<'_>,
    planned: &Planned<'_>,
    from: &str,
    junction: Option<&'static str>,
) -> Result<Vec<ConductorOverride>, BadValue> {
    let begin = junction.unwrap_or(from);
    let mut conductors = Vec::new();
    let mut before = (begin.to_owned(), location(draft, begin).map(|at| at.as_str().to_owned()));
    for fitted in &planned.devices {
        let here = Some(fitted.site.id.to_owned());
        if before.1 == here {
            conductors.push(within(&before.0, fitted.device.as_str())?);
        }
        before = (fitted.device.to_string(), here);
    }
    Ok(conductors)
}
