//! Devices at their sites, locations and raceways (P1, P2).

use super::kinds::{is_charging, side};
use super::mount::sites_of;
use super::outline::{Fitted, Outline, text, value};
use super::position::{location, position};
use super::site::{HUB, Site};
use super::wanted::Want;
use crate::job::kind::Feed;
use crate::job::plan::{CableTo, Device, PullString, Raceway, RacewayKind, Rule};
use crate::job::value::{BadValue, LocationId};

/// How much longer a raceway is than the straight distances along and across the boat.
const DETOUR: f64 = 1.1;
/// The bores that tubes and holes come in, mm (common practice).
const BORES_MM: [f64; 10] = [19.0, 25.0, 32.0, 38.0, 51.0, 64.0, 76.0, 102.0, 127.0, 152.0];

/// Adds the devices that are wanted, each at its site.
pub(super) fn devices<'a>(outline: &mut Outline<'a>, wants: &[Want<'a>]) -> Result<(), BadValue> {
    let is_compass =
        |want: &Want<'_>| want.kind.space.as_ref().is_some_and(|space| space.compass && space.flush);
    let has_compass = wants.iter().any(is_compass);
    for want in wants.iter().filter(|want| want.kind.is_device() && !is_charging(want.kind)) {
        let sites = sites_of(outline, want, has_compass);
        for number in 0..want.count {
            let at = usize::from(number) * sites.len() / usize::from(want.count);
            if let Some(site) = sites.get(at) {
                device(outline, want, *site)?;
            }
        }
    }
    Ok(())
}

/// Adds one device of a want.
fn device<'a>(outline: &mut Outline<'a>, want: &Want<'a>, site: Site) -> Result<(), BadValue> {
    let kind = want.kind;
    let before = outline.fitted.iter().filter(|fitted| fitted.kind.id == kind.id).count();
    let (id, name) = match before {
        0 => (kind.id.to_string(), kind.name.to_string()),
        _ => (format!("{}-{}", kind.id, before + 1), format!("{} {}", kind.name, before + 1)),
    };
    let device = kind.device(text(id)?, text(name)?, text(site.id)?, side(outline, kind));
    let device = by_harness(Device { kept: want.kept, ..device }, want);
    outline.suppose_load(&device, kind);
    outline.fitted.push(Fitted { device: device.id.clone(), name: device.name.clone(), kind, site });
    outline.by(&device, Rule::Locations);
    outline.add_device(device, want.added_by.unwrap_or(Rule::Circuits));
    Ok(())
}

/// A gauge gets its current from the key by the engine's harness, not from a circuit of the boat (P12).
fn by_harness(device: Device, want: &Want<'_>) -> Device {
    let is_of_key = want.kind.feed == Feed::Engine;
    if is_of_key { Device { load: None, max_fuse_a: None, purpose: None, ..device } } else { device }
}

/// Adds the locations that are used, and the raceways that lead to them.
pub(super) fn locations_and_raceways(outline: &mut Outline<'_>) -> Result<(), BadValue> {
    let mut used: Vec<Site> = Vec::new();
    let is_used = |outline: &Outline<'_>, site: &Site| {
        let at = |location: &LocationId| location.as_str() == site.id;
        let plan = &outline.plan;
        plan.devices.iter().any(|device| at(&device.location) || leads_to(device, site))
            || plan.points.iter().any(|point| at(&point.location))
    };
    for site in outline.sites.clone().iter().filter(|site| site.id == HUB || is_used(outline, site)) {
        let mut next = Some(*site);
        while let Some(site) = next.filter(|site| used.iter().all(|other| other.id != site.id)) {
            used.push(site);
            next = site.by.and_then(|(from, _)| outline.site(from));
        }
    }
    for site in outline.sites.clone() {
        if used.iter().any(|other| other.id == site.id) {
            let location = location(outline, &site)?;
            outline.by(&location, Rule::Locations);
            outline.plan.locations.push(location);
            raceway(outline, &site)?;
        }
    }
    Ok(())
}

/// Whether a cable of a device ends at a site.
fn leads_to(device: &Device, site: &Site) -> bool {
    device.cables.iter().any(|cable| matches!(&cable.to, CableTo::Location(at) if at.as_str() == site.id))
}

/// Adds the raceway to a site.
fn raceway(outline: &mut Outline<'_>, site: &Site) -> Result<(), BadValue> {
    let Some((from, kind)) = site.by else { return Ok(()) };
    let Some(begin) = outline.site(from) else { return Ok(()) };
    let (here, there) = (position(outline, site), position(outline, &begin));
    let apart: f64 = here.iter().zip(there).map(|(one, other)| (one - other).abs()).sum();
    let has_bore = matches!(kind, RacewayKind::Tube | RacewayKind::Bulkhead);
    let raceway = Raceway {
        id: text(format!("to-{}", site.id))?,
        between: [text(from)?, text(site.id)?],
        name: None,
        length_m: Some(value((DETOUR * apart * 10.0).ceil() / 10.0)?),
        bore_mm: if has_bore { Some(value(BORES_MM[0])?) } else { None },
        kind,
        engine_space: site.id == "engine-space",
        wet: false,
        condition: None,
        // Nobody has left one yet: the step for it stays open.
        pull_string: (!has_bore).then_some(PullString::NotNeeded),
    };
    outline.by(&raceway, Rule::Raceways);
    outline.suppose(&raceway, "length_m", Rule::Raceways);
    if has_bore {
        outline.suppose(&raceway, "bore_mm", Rule::Raceways);
    }
    outline.plan.raceways.push(raceway);
    Ok(())
}

/// The bore next over this many millimeters; the widest if none is wider.
pub(super) fn bore_over(mm: f64) -> f64 {
    BORES_MM.into_iter().find(|bore| *bore >= mm).unwrap_or(BORES_MM[BORES_MM.len() - 1])
}
