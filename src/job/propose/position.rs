//! Where a site is on the boat.

use super::outline::{Outline, text, value};
use super::site::{Air, Site};
use crate::job::plan::{Location, Spot, Vapor};
use crate::job::value::BadValue;

/// The location of a site.
pub(super) fn location(outline: &Outline<'_>, site: &Site) -> Result<Location, BadValue> {
    let [ahead, starboard, up] = position(outline, site);
    let gathers = outline.gathers(site);
    let vapor = match site.air {
        Air::Open => Some(Vapor::Open),
        Air::Closed => Some(Vapor::Isolated),
        Air::Low => gathers.then_some(Vapor::Gathers),
    };
    Ok(Location {
        id: text(site.id)?,
        name: text(site.name)?,
        at: Some(Spot {
            ahead_m: value(rounded(ahead))?,
            starboard_m: value(rounded(starboard))?,
            up_m: Some(value(rounded(up))?),
        }),
        rise_m: None,
        engine_space: site.id == "engine-space",
        wet: site.wet,
        below_waterline: site.id == "bilge",
        vapor,
        old_holes: None,
        closed_with: None,
    })
}

/// Meters ahead, to starboard and up.
pub(super) fn position(outline: &Outline<'_>, site: &Site) -> [f64; 3] {
    let half_beam = outline.plan.boat.beam_m.map_or(1.0, |beam| beam.number() / 2.0);
    [site.at[0] * outline.form.length_m.number(), site.at[1] * half_beam, site.at[2]]
}

pub(super) fn rounded(number: f64) -> f64 {
    (number * 100.0).round() / 100.0
}
