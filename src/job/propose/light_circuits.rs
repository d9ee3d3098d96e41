//! The circuits of the navigation lights, and the switches that show them (P9).

use super::lights::sails;
use super::outline::{Fitted, Outline};
use super::planned::{Circuits, Planned, SwitchFunction};
use crate::job::point::SwitchKind;
use crate::trade::lights::LightKind;

/// Plans the circuits of the lights, and the positions that work them.
pub(super) fn plan<'a>(outline: &Outline<'a>, circuits: &mut Circuits<'a>) {
    use LightKind::{AllRound, Masthead, Port, Sides, Starboard, Stern, Tricolor};
    let of = |lights: &[LightKind]| -> Vec<&Fitted<'a>> {
        let is_one = |fitted: &&Fitted<'_>| fitted.kind.light.is_some_and(|light| lights.contains(&light));
        outline.fitted.iter().filter(is_one).collect()
    };
    let running = of(&[Sides, Port, Starboard, Stern]);
    let (masthead, white, tricolor) = (of(&[Masthead]), of(&[AllRound]), of(&[Tricolor]));
    if running.is_empty() {
        return;
    }
    let function = |label: &str, throws: [&'static str; 2]| SwitchFunction {
        label: label.to_owned(),
        switch: SwitchKind::OnOffOn,
        throws: throws.to_vec(),
        poles: 2,
        rank: 0,
        amperes: 0.0,
    };
    let mut on = |lights: &[&Fitted<'a>], at: usize, throws: &[u16]| {
        if let Some(planned) = Planned::of_lights(outline, lights, at, throws) {
            circuits.planned.push(planned);
        }
    };
    if sails(outline) {
        circuits.functions.push(function("NAV STEAM", ["NAV", "STEAM"]));
        on(&running, 0, &[1, 2]);
        on(&masthead, 0, &[2]);
        if tricolor.is_empty() {
            let plain = SwitchFunction {
                switch: SwitchKind::OnOff,
                throws: Vec::new(),
                poles: 1,
                ..function("ANCHOR", ["", ""])
            };
            circuits.functions.push(plain);
            on(&white, 1, &[]);
        } else {
            circuits.functions.push(function("ANCHOR TRICOLOR", ["ANCHOR", "TRICOLOR"]));
            on(&white, 1, &[1]);
            on(&tricolor, 1, &[2]);
        }
        return;
    }
    circuits.functions.push(function("NAV ANCHOR", ["NAV", "ANCHOR"]));
    on(&running, 0, &[1]);
    on(&masthead, 0, &[1]);
    on(&white, 0, if masthead.is_empty() { &[1, 2] } else { &[2] });
}
