//! Fuses that a switch joins.

use crate::job::check::context::CheckContext;
use crate::job::plan::Circuit;
use crate::job::point::{Body, Position};
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::{Part, say};
use crate::trade::units::count;

/// Each fuse needs a pole of its own in a switch. Two fuses on one contact are in parallel, and each wire then
/// has the sum of both ratings before it. Common practice, no source.
pub(super) fn check(context: &mut CheckContext<'_>) {
    for point in &context.plan.points {
        let Body::SwitchPanel(panel) = &point.body else { continue };
        for (number, position) in (1u16..).zip(&panel.positions) {
            let on: Vec<&Circuit> = context.plan.on_position(&point.id, number).collect();
            let together = most_together(&on);
            if together.len() > 1 {
                let subject = Subject::new(SubjectKind::Position, format!("{}-{number}", point.id));
                context.say_all(&subject, judge(position, &together));
            }
        }
    }
}

/// The circuits with a fuse of their own that are on in one throw, for the throw with most of them.
fn most_together<'a>(on: &[&'a Circuit]) -> Vec<&'a Circuit> {
    let fused = || on.iter().copied().filter(|circuit| circuit.protection.is_some());
    let throws = |circuit: &Circuit| circuit.switch.as_ref().map_or(Vec::new(), |at| at.throws.clone());
    let is_on = |circuit: &Circuit, throw: u16| {
        let throws = throws(circuit);
        throws.is_empty() || throws.contains(&throw)
    };
    let all = fused().flat_map(throws).chain([1]);
    let in_throw = |throw| fused().filter(|circuit| is_on(circuit, throw)).collect::<Vec<_>>();
    all.map(in_throw).max_by_key(Vec::len).unwrap_or_default()
}

fn judge(position: &Position, together: &[&Circuit]) -> Option<RuleFinding> {
    let ids = Part::all(together.iter().map(|circuit| &circuit.id));
    let Some(poles) = position.poles.map(usize::from) else {
        return Some(RuleFinding::missing(
            "the number of poles of the switch",
            say!("whether it joins the fuses of {}", ids),
        ));
    };
    (together.len() > poles).then(|| {
        let text = say!(
            "{} are on together, each with its own fuse; the switch has {} poles. One contact joins their fuses. Fit a \
             switch with a pole for each, or one fuse for all.",
            ids,
            count(poles)
        );
        RuleFinding::new(Code::FusesOnOneContact, text)
    })
}
