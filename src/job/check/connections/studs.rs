//! How many terminals are on one stud.

use std::collections::BTreeMap;

use crate::job::check::context::CheckContext;
use crate::job::conductor::Landing;
use crate::job::plan::Polarity;
use crate::job::point::PointKind;
use crate::job::subject::Subject;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::say;
use crate::trade::units::count;

/// Terminals that one stud may hold.
const MOST_ON_A_STUD: usize = 4;

/// A stud of the plan: what it is on, its side of the supply, and whether conductors begin there.
type Stud = (Subject, bool, bool);

/// At most four terminals on one stud (ABYC E-11, read second hand). Battery posts, the terminals of switches
/// and the feed of a block are one stud each. Bars, blocks and panels have positions for the rest.
pub(super) fn check(context: &mut CheckContext<'_>) {
    let mut studs: BTreeMap<Stud, usize> = BTreeMap::new();
    for conductor in context.conductors.all() {
        for (at, begins) in [(&conductor.from, true), (&conductor.to, false)] {
            let stud = stud(context, at, conductor.polarity, begins);
            stud.into_iter().for_each(|stud| *studs.entry(stud).or_default() += 1);
        }
    }
    for ((subject, ..), held) in studs.into_iter().filter(|(_, held)| *held > MOST_ON_A_STUD) {
        let text = say!(
            "{} terminals are on one stud of it; {} are allowed. Fit a bar beside it and move some there.",
            count(held),
            count(MOST_ON_A_STUD)
        );
        let finding = RuleFinding::new(Code::TerminalsOverStud, text);
        context.say(subject, finding);
    }
}

/// The stud that an end is on; `None` for an end on a position, a screw or a lead.
fn stud(context: &CheckContext<'_>, at: &Landing, polarity: Polarity, begins: bool) -> Option<Stud> {
    let is_positive = polarity == Polarity::Positive;
    match at {
        Landing::Device(id) => {
            let has_stud = context.device(id).is_some_and(|device| device.stud.is_some());
            has_stud.then(|| (at.subject(), is_positive, false))
        }
        Landing::Point { id, .. } => match context.kind(id)? {
            PointKind::Battery | PointKind::Charger => Some((at.subject(), is_positive, false)),
            // The inputs and the output of a switch are studs of their own; each bank has its own input.
            PointKind::BatterySwitch if begins => Some((at.subject(), is_positive, true)),
            _ => None,
        },
    }
}
