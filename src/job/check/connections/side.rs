//! What is fed ahead of the battery switch and what behind it.

use super::feeds::Feeds;
use super::upstream::Upstream;
use crate::job::check::context::CheckContext;
use crate::job::plan::{Circuit, Device, Purpose};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::DeviceId;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::{Part, say};

/// Names of devices that may have to work with the battery switch off.
const MAY_BE_ALWAYS_ON: [&str; 4] = ["bilge pump", "float", "high-water", "carbon monoxide"];

pub(super) fn check<'a>(context: &mut CheckContext<'a>, feeds: &Feeds<'a>, upstream: &Upstream<'a>) {
    if !upstream.has_switch() {
        return;
    }
    for device in &context.plan.devices {
        let circuits = feeds.of_device(&device.id);
        if let (Some(circuit), true) = (circuits.first(), must_be_always_on(device, circuits)) {
            let is_cut = circuits.iter().all(|circuit| is_cut_off(circuit, upstream));
            let found = is_cut.then(|| behind_switch(device, circuit, upstream));
            context.say_all(&Subject::new(SubjectKind::Circuit, &circuit.id), found);
        } else if !circuits.is_empty() && purpose_is_open(device) {
            let missing =
                RuleFinding::missing("what it is for", "on which side of the battery switch it belongs");
            context.say(Subject::new(SubjectKind::Device, &device.id), missing);
        }
    }
    for circuit in context.plan.circuits.iter().filter(|circuit| upstream.is_ahead_of_switch(&circuit.from)) {
        let found = ahead_of_switch(context, circuit);
        context.say_all(&Subject::new(SubjectKind::Circuit, &circuit.id), found);
    }
}

/// Whether a device must work with the battery switch off. A float switch on its circuit says it too.
fn must_be_always_on(device: &Device, circuits: &[&Circuit]) -> bool {
    let by_purpose = device.purpose.is_some_and(Purpose::is_always_on);
    by_purpose || circuits.iter().any(|circuit| circuit.float_switch)
}

/// Whether only the name of a device says that it may have to be always on.
fn purpose_is_open(device: &Device) -> bool {
    let name = device.name.as_str().to_lowercase();
    device.purpose.is_none() && MAY_BE_ALWAYS_ON.iter().any(|words| name.contains(words))
}

/// Whether somebody can switch off a circuit that should always be on.
fn is_cut_off<'a>(circuit: &'a Circuit, upstream: &Upstream<'a>) -> bool {
    let by_hand = circuit.switch.is_some() && !circuit.float_switch;
    by_hand || upstream.is_behind_switch(&circuit.from)
}

/// An automatic bilge pump and an alarm must work while nobody is aboard and the battery switch is off. Common
/// practice, no source.
fn behind_switch<'a>(device: &Device, circuit: &'a Circuit, upstream: &Upstream<'a>) -> RuleFinding {
    let text = if upstream.is_behind_switch(&circuit.from) {
        say!(
            "{} must work with the battery switch off, but is fed from behind it. Feed it from the post of the battery \
             by a fuse of its own, or from an always-on fuse block.",
            &device.id
        )
    } else {
        say!(
            "{} must always work, but the switch of this circuit turns it off. If a float works it too, mark that. \
             Otherwise remove the switch.",
            &device.id
        )
    };
    RuleFinding::new(Code::AlwaysOnBehindSwitch, text)
}

/// Ahead of the battery switch are automatic bilge pumps, alarms for water and carbon monoxide, charging and
/// memory, and nothing else. Common practice, no source.
fn ahead_of_switch(context: &CheckContext<'_>, circuit: &Circuit) -> Option<RuleFinding> {
    let may_not = |device: &&DeviceId| {
        let device = context.device(device);
        let may = device.and_then(|device| device.purpose).is_some_and(Purpose::may_be_ahead);
        // A device whose purpose is open has that as its finding.
        !may && !circuit.float_switch && !device.is_some_and(purpose_is_open)
    };
    let devices: Vec<_> = circuit.devices().filter(may_not).collect();
    (!devices.is_empty()).then(|| {
        let text = say!(
            "Fed ahead of the battery switch, which does not turn it off: {}. Only automatic bilge pumps, alarms, charging \
             and memory belong there. Feed it from behind the switch, or enter what the device is for.",
            Part::all(devices)
        );
        RuleFinding::new(Code::AheadOfBatterySwitch, text)
    })
}
