//! The size of one circuit, and what the circuit requires of its wire.

use super::context::{CheckContext, insulation, laying, total};
use super::legs::Legs;
use super::protect::{self, ProtectionNeeds};
use super::size::{self, Sized};
use crate::job::plan::Circuit;
use crate::job::value::CircuitId;
use crate::trade::ampacity::{self, Ampacity, Conditions};
use crate::trade::conductor::Size;
use crate::trade::drop::PathLength;
use crate::trade::finding::RuleFinding;
use crate::trade::minimum::{self, Laying};
use crate::trade::protection::opening::Opener;
use crate::trade::sizing::{Demand, OwnFuse};
use std::collections::HashMap;
use uom::si::f64::{ElectricCurrent, Length, Ratio};
use uom::si::length::meter;

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
    let demand = Demand {
        rules: context.plan.job.rules,
        design_current: legs.design_current,
        length: length.map(PathLength::RoundTrip),
        nominal_voltage: Some(context.nominal()),
        drop_limit: limit.or_else(|| legs.strictest(context)),
        insulation: insulation(circuit.insulation_c),
        ambient: context.ambient(),
        engine_space: legs.conductors().any(|(conductor, _)| conductor.engine_space),
        bundle: context.bundle_of(circuit),
        laying: covered(context, circuit),
        exemption: None,
        own_fuse: circuit
            .protection
            .as_ref()
            .map_or(OwnFuse::AnyKind, |protection| OwnFuse::Of(protection.kind)),
    };
    size::settle(context, circuit.size, size::given(circuit.protection.as_ref()), &demand)
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
        nominal_voltage: Some(context.nominal()),
        bundle: context.bundle_of(circuit),
    };
    ampacity::allowable(size, &conditions)
}

/// What a circuit requires of its wire when it is sized together with its feeders. It holds the equivalent
/// length and the drop limit for each device, and the sizes with enough ampacity.
pub(super) struct BranchDemand {
    pub(super) current: ElectricCurrent,
    /// Equivalent length out and back, and drop limit, of each device.
    pub(super) ways: Vec<(Length, Ratio)>,
    /// Length of one conductor with the same copper as the whole circuit.
    pub(super) copper: Length,
    /// The sizes that its current, insulation and the rules allow, thinnest first, each with its ampacity.
    pub(super) sizes: Vec<(Size, ElectricCurrent)>,
    /// Whether some of its conductors have sizes of their own.
    pub(super) is_mixed: bool,
}

/// What a circuit requires of its wire, if its loads and lengths are known.
pub(super) fn branch(context: &CheckContext<'_>, circuit: &Circuit) -> Option<BranchDemand> {
    let legs = Legs::new(context, circuit);
    let current = legs.design_current?;
    let ways: Option<Vec<_>> = legs
        .ways
        .iter()
        .map(|leg| Some((leg.equivalent_length()?, context.drop_limit(leg.device))))
        .collect();
    let wires = context.conductors.of_circuit(&circuit.id);
    let nothing = Length::new::<meter>(0.0);
    let copper = wires.iter().try_fold(nothing, |sum, wire| Some(sum + wire.length?))?;
    let one_way = legs.longest(|leg| leg.one_way);
    let may = |size: &Size| {
        minimum::judge(*size, context.plan.job.rules, covered(context, circuit), one_way).is_none()
    };
    let carries = |size: Size| Some((size, allowable(context, circuit, &legs, size).ok()?.derated));
    let sizes = Size::stocked(context.plan.job.rules.system()).filter(may).filter_map(carries);
    Some(BranchDemand {
        current,
        ways: ways?,
        copper,
        sizes: sizes.collect(),
        is_mixed: legs.has_other_sizes(circuit.size),
    })
}

/// The smallest of the maximum fuse ratings that the manufacturers of its devices allow.
pub(super) fn device_largest(context: &CheckContext<'_>, circuit: &Circuit) -> Option<ElectricCurrent> {
    let largest = circuit.devices().filter_map(|device| context.device(device)?.max_fuse_a);
    largest.map(|rating| rating.quantity()).min_by(|one, other| one.value.total_cmp(&other.value))
}
