//! At which sites a kind is mounted (P1).

use super::outline::Outline;
use super::position::position;
use super::site::{HELM, HUB, Site};
use super::wanted::Want;
use crate::job::kind::Ignition;
use crate::job::plan::Rule;

/// The sites of a want: where the wish says, or at a usual location, but never without ignition protection where
/// vapor can gather.
pub(super) fn sites_of(outline: &mut Outline<'_>, want: &Want<'_>, has_compass: bool) -> Vec<Site> {
    let kind = want.kind;
    let attracts = has_compass && kind.space.as_ref().is_some_and(|space| space.magnetic);
    let helm = outline.site(HELM).map(|site| position(outline, &site));
    let is_near = |site: &Site| helm.is_some_and(|helm| apart(&helm, &position(outline, site)) < MAGNET_M);
    let may = |site: &Site| {
        let is_dry_of_vapor = !outline.gathers(site) || kind.ignition != Ignition::SeldomMarked;
        is_dry_of_vapor && !(attracts && is_near(site))
    };
    let wished: Vec<Site> = want.sites.iter().copied().filter(may).collect();
    if !wished.is_empty() {
        return wished;
    }
    let is_compass = kind.space.as_ref().is_some_and(|space| space.compass && !space.flush);
    if let Some(site) = farthest(outline).filter(|_| is_compass) {
        return vec![site];
    }
    let at = |usual| {
        outline.sites.iter().copied().filter(|site| site.usual == usual && may(site)).collect::<Vec<_>>()
    };
    let usual = kind.usually_at.iter().map(|usual| at(*usual)).find(|sites| !sites.is_empty());
    let is_flush = kind.space.as_ref().is_some_and(|space| space.flush);
    let other = outline.site(if is_flush { HELM } else { HUB });
    let chosen = usual.unwrap_or_else(|| other.into_iter().collect());
    if let (Some(at), false) = (chosen.first(), want.sites.is_empty()) {
        let text = if attracts {
            format!("{} is magnetic. It goes to {}, away from the compass.", kind.name, at.name)
        } else {
            format!(
                "{} is seldom ignition protected. It goes to {}, where no vapor gathers.",
                kind.name, at.name
            )
        };
        outline.say(Rule::Locations, text);
    }
    chosen
}

/// Sites where a heading sensor can be mounted.
const STILL: [&str; 6] = ["cabin", "locker", "bow-seat", "galley", "head", "water-tank"];
/// Sites with magnets and displays.
const MAGNETIC: [&str; 5] = [HUB, HELM, "leaning-post", "cockpit", "top"];

/// The site for a heading sensor: the farthest from magnets and displays.
fn farthest(outline: &Outline<'_>) -> Option<Site> {
    let magnets: Vec<[f64; 3]> =
        MAGNETIC.iter().filter_map(|id| outline.site(id)).map(|site| position(outline, &site)).collect();
    let nearest = |site: &Site| {
        let here = position(outline, site);
        magnets.iter().map(|there| apart(&here, there)).fold(f64::INFINITY, f64::min)
    };
    let still = STILL.iter().filter_map(|id| outline.site(id));
    still.max_by(|one, other| nearest(one).total_cmp(&nearest(other)))
}

/// The straight distance between two positions, m.
fn apart(one: &[f64; 3], other: &[f64; 3]) -> f64 {
    let squares = one.iter().zip(other).map(|(one, other)| (one - other).powi(2));
    squares.sum::<f64>().sqrt()
}

/// The least distance between a magnet and a compass at the helm, m: 1 m and the size of both parts.
const MAGNET_M: f64 = 1.3;
