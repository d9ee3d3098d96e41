//! The cables of each device, to the device or the location that its kind needs (P14).

use super::outline::{Fitted, Outline, text};
use super::site::{HELM, HUB};
use crate::job::kind::{CableNeed, Feed};
use crate::job::plan::{Cable, CableTo, Rule};
use crate::job::value::BadValue;
use crate::trade::route::CableKind;

/// Adds the cables of every device.
pub(super) fn add(outline: &mut Outline<'_>) -> Result<(), BadValue> {
    let fitted = outline.fitted.clone();
    let mut led_to: Vec<(String, String)> = Vec::new();
    for one in &fitted {
        let mut cables = Vec::new();
        for need in &one.kind.cables {
            let Some(to) = end(outline, &fitted, one, need)? else { continue };
            // Two devices that each need a cable to the other share one.
            if let CableTo::Device(other) = &to {
                let pair = (other.to_string(), one.device.to_string());
                if led_to.contains(&pair) {
                    continue;
                }
                led_to.push((one.device.to_string(), other.to_string()));
            }
            cables.push(need.cable(id(one, cables.len())?, to));
        }
        if one.kind.feed == Feed::Engine && one.kind.load.is_some() {
            cables.push(from_key(one, cables.len())?);
        }
        let at = outline.plan.devices.position(one.device.as_str());
        if let Some(device) = at.and_then(|at| outline.plan.devices.get_mut(at)) {
            device.needs_no_wire = cables.is_empty() && device.load.is_none();
            device.cables = cables;
        }
        if let Some(device) = outline.plan.devices.with(one.device.as_str()).cloned() {
            outline.by(&device, Rule::Cables);
        }
    }
    Ok(())
}

/// The id of the next cable of a device.
fn id<T: std::str::FromStr<Err = BadValue>>(one: &Fitted<'_>, before: usize) -> Result<T, BadValue> {
    let letter = ["a", "b", "c", "d", "e", "f"].get(before).copied().unwrap_or("z");
    let stem: String = one.device.as_str().chars().take(30).collect();
    text(format!("{stem}-{letter}"))
}

/// The feed of a gauge from the key, in the harness.
fn from_key(one: &Fitted<'_>, before: usize) -> Result<Cable, BadValue> {
    Ok(Cable {
        id: id(one, before)?,
        label: None,
        kind: CableKind::Control,
        to: CableTo::Device(text("engine-key")?),
        length_m: None,
        connector: None,
        far_connector: None,
        outside_mm: None,
        least_length_m: None,
        sealed_join: false,
    })
}

/// Where a cable ends; `None` for a network cable on a boat without a network.
fn end(
    outline: &Outline<'_>,
    fitted: &[Fitted<'_>],
    one: &Fitted<'_>,
    need: &CableNeed,
) -> Result<Option<CableTo>, BadValue> {
    let other = need.to.iter().find_map(|kind| {
        let of_kind = |other: &&Fitted<'_>| other.kind.id == *kind && other.device != one.device;
        fitted.iter().find(of_kind)
    });
    if let Some(other) = other {
        return Ok(Some(CableTo::Device(other.device.clone())));
    }
    let is_to_key = need.to.iter().any(|kind| kind.as_str() == "engine-key");
    if is_to_key && outline.plan.devices.with("engine-key").is_some() {
        return Ok(Some(CableTo::Device(text("engine-key")?)));
    }
    let is_of_network = need.to.iter().any(|kind| kind.as_str() == "network-backbone");
    if is_of_network && one.kind.load.is_some() {
        return Ok(None);
    }
    let usual = need.or_at.and_then(|usual| outline.sites.iter().find(|site| site.usual == usual));
    let site = usual.or(outline.sites.iter().find(|site| site.id == HELM));
    let at = site.map_or(HUB, |site| site.id);
    if at == one.site.id && need.kind == CableKind::Network {
        return Ok(None);
    }
    Ok(Some(CableTo::Location(text(at)?)))
}
