//! Devices that need a wire and have none.

use foldhash::HashSet;

use super::feeds::Feeds;
use crate::job::check::context::CheckContext;
use crate::job::plan::{CableTo, Device, Plan};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::DeviceId;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::{Statement, say};

/// A device that draws current is on a circuit, and any other device has a cable, unless the plan says that it
/// needs no wire. Common practice, no source.
pub(super) fn check(context: &mut CheckContext<'_>, feeds: &Feeds<'_>) {
    let plugged = plugged_into(context.plan);
    for device in &context.plan.devices {
        if device.needs_no_wire || !feeds.of_device(&device.id).is_empty() {
            continue;
        }
        if let Some(text) = lacking(device, plugged.contains(&device.id)) {
            let subject = Subject::new(SubjectKind::Device, &device.id);
            context.say(subject, RuleFinding::new(Code::DeviceWithoutWire, text));
        }
    }
}

/// What a device that is on no circuit lacks.
fn lacking(device: &Device, is_plugged_into: bool) -> Option<Statement> {
    if device.load.is_some() {
        return Some(say!("It draws current, but no circuit feeds it. Add it to a circuit."));
    }
    let has_cable = is_plugged_into || !device.cables.is_empty();
    (!has_cable).then(|| {
        say!(
            "It has no load, no circuit and no cable. Add its circuit or its cable, or mark that it needs no wire."
        )
    })
}

/// The devices that cables of others lead to.
fn plugged_into(plan: &Plan) -> HashSet<&DeviceId> {
    let cables = plan.devices.iter().flat_map(|device| &device.cables);
    let into = cables.filter_map(|cable| match &cable.to {
        CableTo::Device(device) => Some(device),
        CableTo::Location(_) => None,
    });
    into.collect()
}
