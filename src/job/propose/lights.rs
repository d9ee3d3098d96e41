//! Navigation lights: the set that is legal for the boat, and the switch that shows it (P9).

use super::circuits::{Circuits, Planned, Spot};
use super::draft::{Draft, Fitted};
use super::want::Want;
use crate::job::kind::Kind;
use crate::job::plan::{HullPattern, Rule};
use crate::job::point::SwitchKind;
use crate::trade::lights::LightKind;

/// From this length on a power-driven boat shows a masthead light, m (rule 23).
const MASTHEAD_FROM_M: f64 = 12.0;
/// Under this length a sailboat may show one tricolor light, m (rule 25 b).
const TRICOLOR_UNDER_M: f64 = 20.0;

fn sails(draft: &Draft<'_>) -> bool {
    draft.form.pattern == HullPattern::Sail
}

/// Why a light is not proposed for this boat.
pub(super) fn why_not(draft: &Draft<'_>, kind: &Kind) -> Option<String> {
    let is_long = draft.form.length_m.number() >= TRICOLOR_UNDER_M;
    match kind.light? {
        LightKind::Tricolor if !sails(draft) => Some("Only a sailboat shows a tricolor light.".to_owned()),
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
fn has_masthead(draft: &Draft<'_>, wants: &[Want<'_>]) -> bool {
    sails(draft)
        || draft.form.length_m.number() >= MASTHEAD_FROM_M
        || has(wants, &[LightKind::Masthead, LightKind::Stern])
}

/// Completes the wished lights to a legal set, with one of each.
pub(super) fn complete<'a>(draft: &mut Draft<'a>, wants: &mut Vec<Want<'a>>) {
    use LightKind::{AllRound, Masthead, Port, Sides, Starboard, Stern};
    if !wants.iter().any(|want| want.kind.light.is_some()) {
        draft.say(
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
    if has_masthead(draft, wants) {
        needed.extend([("masthead-light", &[Masthead][..]), ("sternlight", &[Stern])]);
    }
    for (id, lights) in needed {
        if let Some(kind) = draft.catalog.named(id).filter(|_| !has(wants, lights)) {
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

/// Plans the circuits of the lights, and the positions that work them.
pub(super) fn plan<'a>(draft: &Draft<'a>, circuits: &mut Circuits<'a>) {
    use LightKind::{AllRound, Masthead, Port, Sides, Starboard, Stern, Tricolor};
    let of = |lights: &[LightKind]| -> Vec<&Fitted<'a>> {
        let is_one = |fitted: &&Fitted<'_>| fitted.kind.light.is_some_and(|light| lights.contains(&light));
        draft.fitted.iter().filter(is_one).collect()
    };
    let running = of(&[Sides, Port, Starboard, Stern]);
    let (masthead, white, tricolor) = (of(&[Masthead]), of(&[AllRound]), of(&[Tricolor]));
    if running.is_empty() {
        return;
    }
    let spot = |label: &str, throws: [&'static str; 2]| Spot {
        label: label.to_owned(),
        switch: SwitchKind::OnOffOn,
        throws: throws.to_vec(),
        poles: 2,
        rank: 0,
        amperes: 0.0,
    };
    let mut on = |lights: &[&Fitted<'a>], at: usize, throws: &[u16]| {
        if let Some(planned) = Planned::of_lights(draft, lights, at, throws) {
            circuits.planned.push(planned);
        }
    };
    if sails(draft) {
        circuits.spots.push(spot("NAV STEAM", ["NAV", "STEAM"]));
        on(&running, 0, &[1, 2]);
        on(&masthead, 0, &[2]);
        if tricolor.is_empty() {
            let plain =
                Spot { switch: SwitchKind::OnOff, throws: Vec::new(), poles: 1, ..spot("ANCHOR", ["", ""]) };
            circuits.spots.push(plain);
            on(&white, 1, &[]);
        } else {
            circuits.spots.push(spot("ANCHOR TRICOLOR", ["ANCHOR", "TRICOLOR"]));
            on(&white, 1, &[1]);
            on(&tricolor, 1, &[2]);
        }
        return;
    }
    circuits.spots.push(spot("NAV ANCHOR", ["NAV", "ANCHOR"]));
    on(&running, 0, &[1]);
    on(&masthead, 0, &[1]);
    on(&white, 0, if masthead.is_empty() { &[1, 2] } else { &[2] });
}
