//! The size of one circuit.

use super::context::{CheckContext, insulation, laying, total};
use super::legs::Legs;
use super::protect::{self, ProtectionNeeds};
use super::size::{self, Sized};
use crate::job::plan::Circuit;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::CircuitId;
use crate::trade::ampacity::{self, Ampacity, Conditions};
use crate::trade::conductor::Size;
use crate::trade::drop::PathLength;
use crate::trade::finding::RuleFinding;
use crate::trade::minimum::Laying;
use crate::trade::protection::opening::Opener;
use crate::trade::sizing::{Demand, OwnFuse};
use foldhash::HashMap;
use uom::si::f64::ElectricCurrent;

/// Only the size of each circuit, given or chosen.
pub(super) fn sizes(context: &CheckContext<'_>) -> HashMap<CircuitId, Size> {
    let size = |circuit: &Circuit| {
        circuit.size.or_else(|| sized(context, circuit, &Legs::new(context, circuit)).size())
    };
    context.plan.circuits.iter().filter_map(|circuit| Some((circuit.id.clone(), size(circuit)?))).collect()
}

/// The current of a circuit at nominal voltage, if all its loads are known.
pub(super) fn design_current(context: &CheckContext<'_>, circuit: &Circuit) -> Option<ElectricCurrent> {
    total(circuit.devices().map(|device| context.current_of(device)))
}

pub(super) fn sized(context: &CheckContext<'_>, circuit: &Circuit, legs: &Legs<'_>) -> Sized {
    let (length, limit) = legs.most_demanding(context).unzip();
    let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
    let rated = size::given(circuit.protection.as_ref());
    let demand = Demand {
        rules: context.plan.job.rules,
        design_current: legs.design_current,
        drop_current: None,
        length: length.map(PathLength::RoundTrip),
        longest_wire: legs.longest_wire(circuit.size),
        nominal_voltage: Some(context.sides().of_circuit(circuit)),
        drop_limit: limit.or_else(|| legs.strictest(context)),
        insulation: insulation(circuit.insulation_c),
        ambient: context.ambient(),
        engine_space: legs.conductors().any(|(conductor, _)| conductor.engine_space),
        bundle: context.bundle_of(circuit),
        laying: covered(context, circuit),
        exemption: None,
        own_fuse: match &circuit.protection {
            None => OwnFuse::AnyKind,
            Some(_) if rated.is_some() => OwnFuse::Rated,
            Some(protection) => OwnFuse::Of(protection.kind),
        },
        least_fuse: context.needed.rating(&subject),
        at_least: context.needed.size(&subject),
    };
    size::settle(circuit.size, rated, &demand)
}

/// A circuit's protection at its given or chosen rating, based on the size of the circuit as a whole.
pub(super) fn opener(context: &CheckContext<'_>, circuit: &Circuit) -> Option<Opener> {
    let protection = circuit.protection.as_ref()?;
    if let Some((_, rating)) = size::given(Some(protection)) {
        return Some(protection.opener(rating));
    }
    let legs = Legs::new(context, circuit);
    let judgment = sized(context, circuit, &legs).judgment?;
    let asked = ProtectionNeeds {
        load: legs.design_current,
        ampacity: judgment.ampacity.as_ref(),
        device_largest: device_largest(context, circuit),
        least_fuse: context.needed.rating(&Subject::new(SubjectKind::Circuit, &circuit.id)),
        nominal: Some(context.sides().of_circuit(circuit)),
        ..ProtectionNeeds::default()
    };
    protect::opener(context, protection, &asked)
}

/// How the conductors of the circuit's size are laid: jacketed or single. Panel jumpers are single wires,
/// even if the other conductors are jacketed.
pub(super) fn covered(context: &CheckContext<'_>, circuit: &Circuit) -> Laying {
    let wires = context.conductors.of_circuit(&circuit.id).iter();
    let mut of_its_size = wires.filter(|wire| wire.size.is_none_or(|own| Some(own) == circuit.size));
    laying(circuit.jacketed && !of_its_size.any(|wire| wire.role.is_jumper()))
}

pub(super) fn allowable(
    context: &CheckContext<'_>,
    circuit: &Circuit,
    legs: &Legs<'_>,
    size: Size,
) -> Result<Ampacity, Box<RuleFinding>> {
    let conditions = Conditions {
        rules: context.plan.job.rules,
        insulation: insulation(circuit.insulation_c),
        ambient: context.ambient(),
        engine_space: legs.conductors().any(|(conductor, _)| conductor.engine_space),
        nominal_voltage: Some(context.sides().of_circuit(circuit)),
        bundle: context.bundle_of(circuit),
    };
    ampacity::allowable(size, &conditions)
}

/// The smallest of the maximum fuse ratings that the manufacturers of its devices allow.
pub(super) fn device_largest(context: &CheckContext<'_>, circuit: &Circuit) -> Option<ElectricCurrent> {
    let largest = circuit.devices().filter_map(|device| context.device(device)?.max_fuse_a);
    largest.map(|rating| rating.quantity()).min_by(|one, other| one.value.total_cmp(&other.value))
}
