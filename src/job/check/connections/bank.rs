//! House loads on the bank that starts an engine.

use foldhash::HashSet;

use super::upstream::Upstream;
use crate::job::check::context::CheckContext;
use crate::job::plan::{Circuit, Polarity};
use crate::job::point::PointKind;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::PointId;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::{Part, say};

/// Where a boat has a house bank, the start bank is left to the engine and to what charges another bank. So the
/// engine still starts when the house bank is empty. Common practice, no source.
pub(super) fn check<'a>(context: &mut CheckContext<'a>, upstream: &Upstream<'a>) {
    let start = start_banks(context);
    let has_house_bank = context
        .plan
        .points
        .iter()
        .any(|point| point.body.kind() == PointKind::Battery && !start.contains(&point.id));
    if start.is_empty() || !has_house_bank {
        return;
    }
    for circuit in &context.plan.circuits {
        let banks = upstream.batteries(&circuit.from);
        let drains = !banks.is_empty() && banks.iter().all(|bank| start.contains(*bank));
        if let Some(finding) = drains.then(|| house_load(context, circuit, Part::all(banks))).flatten() {
            context.say(Subject::new(SubjectKind::Circuit, &circuit.id), finding);
        }
    }
}

/// The batteries whose own post feeds a starter.
fn start_banks<'a>(context: &CheckContext<'a>) -> HashSet<&'a PointId> {
    let cranking = context.plan.feeders.iter().filter(|feeder| feeder.cranking);
    let positive = cranking.filter(|feeder| feeder.polarity == Polarity::Positive);
    positive
        .map(|feeder| &feeder.from)
        .filter(|from| context.kind(from) == Some(PointKind::Battery))
        .collect()
}

fn house_load(context: &CheckContext<'_>, circuit: &Circuit, banks: Part) -> Option<RuleFinding> {
    let of_house = |device: &&_| {
        let purpose = context.device(device).and_then(|device| device.purpose);
        !purpose.is_some_and(|purpose| purpose.may_use_start_bank())
    };
    let drawing: Vec<_> = circuit.devices().filter(of_house).collect();
    if drawing.is_empty() {
        return None;
    }
    let text = say!(
        "{} draw from {}, which starts the engine. Empty, it does not start. Feed them from the house bank, or enter what \
         they are for.",
        Part::all(drawing),
        banks
    );
    Some(RuleFinding::new(Code::HouseLoadOnStartBank, text))
}
