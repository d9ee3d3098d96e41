//! Navigation lights: the set that is legal for the boat (P9).

use super::outline::Outline;
use super::wanted::Want;
use crate::job::kind::Kind;
use crate::job::plan::{HullPattern, Rule};
use crate::trade::lights::LightKind;

/// From this length on a power-driven boat shows a masthead light, m (rule 23).
const MASTHEAD_FROM_M: f64 = 12.0;
/// Under this length a sailboat may show one tricolor light, m (rule 25 b).
const TRICOLOR_UNDER_M: f64 = 20.0;

/// Whether the boat sails.
pub(super) fn sails(outline: &Outline<'_>) -> bool {
    outline.form.pattern == HullPattern::Sail
}

/// Why a light is not proposed for this boat.
pub(super) fn why_not(outline: &Outline<'_>, kind: &Kind) -> Option<String> {
    let is_long = outline.form.length_m.number() >= TRICOLOR_UNDER_M;
    match kind.light? {
        LightKind::Tricolor if !sails(outline) => Some("Only a sailboat shows a tricolor light.".to_owned()),
        LightKind::Tricolor if is_long => {
            Some(format!("A tricolor light is for sailboats under {TRICOLOR_UNDER_M} m."))
        }
        LightKind::RedOverGreen => Some(
            "These lights are optional and misleading when they are on alone. Add them by hand.".to_owned(),
        ),
        _ => None,
    }
}

fn has(wants: &[Want<'_>], kinds: &[LightKind]) -> bool {
    wants.iter().any(|want| want.kind.light.is_some_and(|light| kinds.contains(&light)))
}

/// Whether the boat shows a masthead light and a sternlight instead of one white light all round.
fn has_masthead(outline: &Outline<'_>, wants: &[Want<'_>]) -> bool {
    sails(outline)
        || outline.form.length_m.number() >= MASTHEAD_FROM_M
        || has(wants, &[LightKind::Masthead, LightKind::Stern])
}

/// Completes the wished lights to a legal set, with one of each.
pub(super) fn complete<'a>(outline: &mut Outline<'a>, wants: &mut Vec<Want<'a>>) {
    use LightKind::{AllRound, Masthead, Port, Sides, Starboard, Stern};
    if !wants.iter().any(|want| want.kind.light.is_some()) {
        outline.say(
            Rule::Lights,
            "No navigation lights are wished. Between sunset and sunrise the boat stays in port.",
        );
        return;
    }
    one_of_each(wants);
    let mut needed: Vec<(&str, &[LightKind])> = vec![("all-round-light", &[AllRound])];
    if !has(wants, &[Sides]) && has(wants, &[Port, Starboard]) {
        needed.extend([("sidelight-port", &[Port][..]), ("sidelight-starboard", &[Starboard])]);
    } else {
        needed.push(("sidelights", &[Sides]));
    }
    if has_masthead(outline, wants) {
        needed.extend([("masthead-light", &[Masthead][..]), ("sternlight", &[Stern])]);
    }
    for (id, lights) in needed {
        if let Some(kind) = outline.catalog.named(id).filter(|_| !has(wants, lights)) {
            wants.push(Want::by_rule(kind, 1, Rule::Lights));
        }
    }
}

/// Keeps one light of each kind. A pair of sidelights takes the position of single ones.
fn one_of_each(wants: &mut Vec<Want<'_>>) {
    let has_pair = has(wants, &[LightKind::Sides]);
    let mut seen = Vec::new();
    wants.retain_mut(|want| {
        let Some(light) = want.kind.light else { return true };
        want.count = 1;
        let is_single = matches!(light, LightKind::Port | LightKind::Starboard);
        let is_known = seen.contains(&light) || (has_pair && is_single);
        seen.push(light);
        !is_known
    });
}
