//! Devices with more than one feed: from two sides of a battery switch, or with too many negatives.

use std::collections::BTreeSet;

use foldhash::HashMap;

use super::upstream::Upstream;
use crate::job::check::context::CheckContext;
use crate::job::plan::{Circuit, Device, Plan};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{DeviceId, PointId};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::{Part, say};
use crate::trade::units::count;

/// The circuits that feed each device.
pub(super) struct Feeds<'a>(HashMap<&'a DeviceId, Vec<&'a Circuit>>);

impl<'a> Feeds<'a> {
    pub(super) fn of(plan: &'a Plan) -> Self {
        let mut feeds: HashMap<&DeviceId, Vec<&Circuit>> = HashMap::default();
        for circuit in &plan.circuits {
            for device in circuit.devices() {
                feeds.entry(device).or_default().push(circuit);
            }
        }
        Self(feeds)
    }

    pub(super) fn of_device(&self, device: &DeviceId) -> &[&'a Circuit] {
        self.0.get(device).map(Vec::as_slice).unwrap_or_default()
    }
}

pub(super) fn check<'a>(context: &mut CheckContext<'a>, feeds: &Feeds<'a>, upstream: &Upstream<'a>) {
    for device in &context.plan.devices {
        let circuits = feeds.of_device(&device.id);
        if circuits.len() < 2 {
            continue;
        }
        let found = [
            back_feed(device, circuits, upstream),
            negatives(device, circuits),
            counted_twice(device, circuits),
        ];
        context.say_all(&Subject::new(SubjectKind::Device, &device.id), found.into_iter().flatten());
    }
}

fn names(circuits: &[&Circuit]) -> Part {
    Part::all(circuits.iter().map(|circuit| &circuit.id))
}

/// Two feeds of one input, from two sides of a battery switch or from two banks, join them inside the device.
/// Current then flows back through one of the two fuses. Common practice, no source.
fn back_feed<'a>(device: &Device, circuits: &[&'a Circuit], upstream: &Upstream<'a>) -> Option<RuleFinding> {
    let sides = circuits.iter().map(|circuit| upstream.first(&circuit.from)).filter(|side| !side.is_empty());
    let sides: BTreeSet<BTreeSet<&PointId>> = sides.collect();
    if sides.len() < 2 || circuits.len() <= device.input_count() {
        return None;
    }
    let from: BTreeSet<&PointId> = sides.into_iter().flatten().collect();
    let text = say!(
        "{} feed it from different sides, {}. With one of them off, current flows back into it through the fuses of \
         this device. Feed it from one side, by one fuse. A hand switch beside a float switch is fed by the same fuse.",
        names(circuits),
        Part::all(from)
    );
    Some(RuleFinding::new(Code::BackFeed, text))
}

/// One negative for each input: with two, the current of one circuit can return beside the other's. Common
/// practice, no source.
fn negatives(device: &Device, circuits: &[&Circuit]) -> Option<RuleFinding> {
    let inputs = device.input_count();
    if circuits.len() <= inputs {
        return None;
    }
    let text = say!(
        "{} each bring a negative to it: {}, for {} separate supplies. Keep one negative for each supply. If it has more \
         of them, enter how many.",
        names(circuits),
        count(circuits.len()),
        count(inputs)
    );
    Some(RuleFinding::new(Code::NegativesOverInputs, text))
}

/// With all on, the load counts once for each circuit that feeds the device. Arithmetic, no source.
fn counted_twice(device: &Device, circuits: &[&Circuit]) -> Option<RuleFinding> {
    device.load?;
    let text = say!(
        "{} each count its whole load. With everything on, the figures upstream are too high by the rest.",
        names(circuits)
    );
    Some(RuleFinding::new(Code::LoadCountedTwice, text))
}
