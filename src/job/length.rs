//! How the length of a wire was calculated. It is given, follows from its route and the allowances, or is
//! the rest of the length of its circuit. The rules themselves are in [`wiring`](super::wiring).

use uom::si::f64::Length;
use uom::si::length::meter;

use super::conductor::{Conductor, ConductorRole, Of};
use super::plan::{Circuit, Plan, Polarity, Wiring};
use super::routing::RoutesReport;
use super::value::CircuitId;
use super::wiring::Conductors;
use crate::trade::quantity::Quantity;
use crate::trade::source::GIVEN_LENGTHS;
use crate::trade::working::{self, Numbers, Working};

/// The workings of a wire's length; none if the length is unknown, or counts as zero.
pub fn of_wire(
    plan: &Plan,
    conductors: &Conductors,
    routes: &RoutesReport,
    wire: &Conductor,
) -> Vec<Working> {
    if let Some(length) = wire.length.filter(|_| wire.measured) {
        return vec![given(length)];
    }
    if wire.length.is_none_or(|length| length.get::<meter>() == 0.0) {
        return Vec::new();
    }
    let circuit = match &wire.of {
        Of::Circuit(id) => plan.circuit(id),
        Of::Feeder(_) => None,
    };
    // The route counts only if the plan gives no length.
    let by_plan = circuit.is_some_and(|circuit| circuit.length_m.is_some());
    let run = routes.run_of(wire).filter(|_| !by_plan);
    if let Some((run, cut)) = run.and_then(|run| Some((run, run.cut.as_ref()?))) {
        return run.path.iter().chain([&cut.working]).cloned().collect();
    }
    circuit.and_then(|circuit| share(circuit, conductors.of_circuit(&circuit.id), wire)).into_iter().collect()
}

/// The total conductor length of a circuit, wire by wire; `None` if one wire has no length.
pub fn of_circuit(conductors: &Conductors, circuit: &CircuitId) -> Option<Working> {
    let wires = conductors.of_circuit(circuit);
    let terms: Option<Vec<_>> =
        wires.iter().map(|wire| Some(of(wire.length?, wire.id.to_string()))).collect();
    let whole = wires.iter().filter_map(|wire| wire.length).sum();
    Some(Working {
        what: Quantity::ConductorInAll,
        formula: "sum of its wires, out and back",
        numbers: Numbers::joined(terms?, " + "),
        result: shown(whole),
        source: &GIVEN_LENGTHS,
    })
}

fn given(length: Length) -> Working {
    Working {
        what: Quantity::WireLength,
        formula: "as given in the plan for this very wire",
        numbers: Numbers::filled("{} given", [shown(length)]),
        result: shown(length),
        source: &GIVEN_LENGTHS,
    }
}

/// The rest of the length for one wire, after the other wires of the circuit or path.
fn share(circuit: &Circuit, wires: &[Conductor], wire: &Conductor) -> Option<Working> {
    let is_chain = circuit.wiring == Wiring::Chain;
    let others = |polarity| {
        let of_path = wires.iter().filter(|one| one.role != ConductorRole::ToFloat && one.id != wire.id);
        of_path.filter(move |one| one.polarity == polarity)
    };
    let out = others(Polarity::Positive);
    let named = |wire: &Conductor| Some((wire.length?, wire.id.to_string()));
    let whole = circuit.length_m.map(|length| vec![(length.quantity(), circuit.id.to_string())]);
    let (formula, plus, less): (_, _, Vec<_>) = match (wire.role, wire.polarity) {
        (ConductorRole::ToFloat, _) => ("the length of the circuit one way", whole?, Vec::new()),
        (ConductorRole::ToDevice | ConductorRole::BetweenDevices, Polarity::Positive) => {
            let before = out.filter(|one| is_chain || one.role.is_jumper());
            (
                "what the length of the circuit one way leaves for it",
                whole?,
                before.filter_map(named).collect(),
            )
        }
        (ConductorRole::Return, _) => {
            let way = out.filter(|one| is_chain || one.role.is_jumper() || one.to.id() == wire.from.id());
            let plus = whole.unwrap_or_else(|| way.filter_map(named).collect());
            let between = others(Polarity::Negative).filter(|_| is_chain);
            ("as long as the positive", plus, between.filter_map(named).collect())
        }
        (ConductorRole::BetweenDevices, Polarity::Negative) => {
            let beside = out.filter(|one| one.to.id() == wire.from.id());
            ("as long as the wire beside it", beside.filter_map(named).collect(), Vec::new())
        }
        _ => return None,
    };
    Some(Working {
        what: Quantity::WireLength,
        formula,
        numbers: difference(&plus, &less),
        result: shown(wire.length?),
        source: &GIVEN_LENGTHS,
    })
}

/// The terms of a sum, then those that are taken off; zero lengths are left out.
fn difference(plus: &[(Length, String)], less: &[(Length, String)]) -> Numbers {
    let terms = |lengths: &[(Length, String)]| -> Vec<Numbers> {
        let there = lengths.iter().filter(|(length, _)| length.get::<meter>() > 0.0);
        there.map(|(length, whose)| of(*length, whose.clone())).collect()
    };
    let sum = Numbers::joined(terms(plus), " + ");
    Numbers::joined([sum].into_iter().chain(terms(less)), " - ")
}

/// A length, and what it is of.
fn of(length: Length, whose: String) -> Numbers {
    Numbers::filled("{} ({})", [shown(length), whose.into()])
}

fn shown(length: Length) -> Numbers {
    working::length((length.get::<meter>() * 1000.0).round() / 1000.0)
}
