//! The circuits of the plan, each with its wires, fuse, switch and return (P6, P8, P10, P18).

use super::blocks::Blocks;
use super::circuit::{blank, location, within};
use super::kinds::side;
use super::outline::{Outline, text, value};
use super::panel::Panels;
use super::planned::{Circuits, Feeding, Planned};
use super::site::{HELM, HUB};
use super::supply::{NEGATIVE, POSITIVE, at_source};
use crate::job::plan::{
    Circuit, ConductorOverride, CurvePoint, Leg, ManufacturerCurve, Protection, Purpose, Rule,
};
use crate::job::value::{BadValue, RatingA};
use crate::trade::protection::Family;

/// Draws every planned circuit.
pub(super) fn all<'a>(
    outline: &mut Outline<'a>,
    circuits: &Circuits<'a>,
    blocks: &Blocks,
    panels: &Panels,
) -> Result<(), BadValue> {
    for (number, planned) in circuits.planned.iter().enumerate() {
        let circuit = drawn(outline, planned, number, blocks, panels)?;
        let is_pump = planned.kind.purpose.is_some_and(Purpose::is_bilge_pump);
        if is_pump {
            outline.by(&circuit, Rule::BilgePumps);
        }
        if circuit.switch.is_some() {
            outline.by(&circuit, Rule::Panel);
        }
        let has_curve = circuit.protection.as_ref().is_some_and(|fuse| fuse.curve.carries.is_some());
        if has_curve {
            outline.suppose(&circuit, "protection/curve/carries/a", Rule::LargeLoads);
            outline.suppose(&circuit, "protection/curve/opens/a", Rule::LargeLoads);
        }
        if planned.is_low {
            outline.by(&circuit, Rule::TwoVoltages);
        }
        outline.add_circuit(circuit, planned.kind, planned.rule);
    }
    Ok(())
}

fn drawn(
    outline: &Outline<'_>,
    planned: &Planned<'_>,
    number: usize,
    blocks: &Blocks,
    panels: &Panels,
) -> Result<Circuit, BadValue> {
    let (from, home) = match planned.feeding {
        Feeding::Bar => (POSITIVE, NEGATIVE),
        _ => blocks.of(number, planned),
    };
    let at = planned.function.as_ref().and_then(|(function, throws)| panels.at(*function, throws));
    let junction = at.as_ref().map(|at| at.junction);
    let legs =
        (1..).zip(&planned.devices).map(|(number, fitted)| Leg { number, device: fitted.device.clone() });
    let is_out = planned.devices.iter().any(|fitted| fitted.site.id != HUB && fitted.site.id != HELM);
    Ok(Circuit {
        legs: legs.collect(),
        protection: Some(protection(outline, planned)?),
        switch: at.map(|at| at.switch()).transpose()?,
        float_switch: planned.kind.purpose == Some(Purpose::AutomaticBilgePump),
        junction: junction.map(text).transpose()?,
        jacketed: is_out,
        conductors: overrides(outline, planned, from, junction)?,
        ..blank(outline, &planned.name, planned.kind, from, home)?
    })
}

/// The fuse of a circuit in its block, or its breaker at the bar.
fn protection(outline: &Outline<'_>, planned: &Planned<'_>) -> Result<Protection, BadValue> {
    let figures = planned.kind.figures(side(outline, planned.kind));
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
    outline: &Outline<'_>,
    planned: &Planned<'_>,
    from: &str,
    junction: Option<&'static str>,
) -> Result<Vec<ConductorOverride>, BadValue> {
    let begin = junction.unwrap_or(from);
    let mut conductors = Vec::new();
    let mut before = (begin.to_owned(), location(outline, begin).map(|at| at.as_str().to_owned()));
    for fitted in &planned.devices {
        let here = Some(fitted.site.id.to_owned());
        if before.1 == here {
            conductors.push(within(&before.0, fitted.device.as_str())?);
        }
        before = (fitted.device.to_string(), here);
    }
    Ok(conductors)
}
