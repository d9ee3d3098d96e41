//! The most that each circuit and feeder draws with every circuit on, against its fuse and its conductor.
//!
//! The design current is the one at nominal voltage. Some loads draw more. Constant power draws more at the low
//! voltage that arrives. A resistance draws most from a full battery without any drop. Batteries drive current
//! between each other.

use foldhash::HashMap;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;

use super::context::CheckContext;
use super::report::{CircuitReport, ConductorReport, Report};
use crate::job::load::Load;
use crate::job::plan::Circuit;
use crate::job::point::Body;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::CircuitId;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::{Statement, say};
use crate::trade::units::{amps, volts as volts_of};
use crate::trade::working::keeps_to;

/// The largest current of each circuit, in A.
pub(super) struct FullLoad<'a>(HashMap<&'a CircuitId, f64>);

impl<'a> FullLoad<'a> {
    /// The currents of the circuits whose devices have a voltage in the report.
    pub(super) fn of(context: &CheckContext<'a>, report: &Report) -> Self {
        let drawn = context.plan.circuits.iter().filter_map(|circuit| {
            Some((&circuit.id, most_drawn(context, circuit, report.circuits.get(&circuit.id)?)?))
        });
        Self(drawn.collect())
    }

    /// Reports currents over a fuse or a conductor, unless the design current has the same finding.
    pub(super) fn say(&self, context: &mut CheckContext<'a>, report: &Report) {
        for circuit in &context.plan.circuits {
            let Some((most, figures)) = self.0.get(&circuit.id).zip(report.circuits.get(&circuit.id)) else {
                continue;
            };
            let lowest = figures.lowest_v().unwrap_or_default();
            let flows = say!("{} arrives at its loads, which draw up to", volts_of(lowest));
            let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
            say_over(context, &subject, &figures.conductor, *most, flows);
        }
        for feeder in &context.plan.feeders {
            let Some(figures) = report.feeders.get(&feeder.id) else { continue };
            let drawn = figures.circuits.iter().filter_map(|circuit| self.0.get(circuit)).sum::<f64>();
            let most = drawn.max(figures.conductor.solved_current_a.unwrap_or_default().abs());
            let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
            say_over(context, &subject, &figures.conductor, most, say!("it carries up to"));
        }
    }
}

/// The most that a circuit draws; `None` if a device has no voltage.
fn most_drawn(context: &CheckContext<'_>, circuit: &Circuit, figures: &CircuitReport) -> Option<f64> {
    let full = full_voltage(context, circuit);
    let currents = circuit.devices().map(|id| {
        let voltage = figures.devices.get(id)?.voltage_v.filter(|volts| *volts > 0.0)?;
        Some(match context.device(id)?.load? {
            Load::ConstantCurrent(current) => current.quantity().get::<ampere>(),
            Load::ConstantPower(power) => power.number() / voltage,
            Load::Resistance(load) => full / load.number(),
        })
    });
    currents.sum()
}

/// The voltage of the fullest battery that may feed a circuit, and at least the nominal one.
fn full_voltage(context: &CheckContext<'_>, circuit: &Circuit) -> f64 {
    let points = context.ways_to(&circuit.from).map(|ways| ways.points.as_slice()).unwrap_or_default();
    let at_rest = points.iter().filter_map(|point| match &context.point(point)?.body {
        Body::Battery(battery) => Some(battery.open_circuit_v.number()),
        _ => None,
    });
    at_rest.fold(context.sides().of_circuit(circuit).get::<volt>(), f64::max)
}

fn say_over(
    context: &mut CheckContext<'_>,
    subject: &Subject,
    figures: &ConductorReport,
    most: f64,
    flows: Statement,
) {
    let Some(design) = figures.design_current_a else { return };
    let fuse = figures.protection.as_ref().and_then(|fuse| fuse.rating_a);
    let limits = [
        (Code::FuseUnderLoad, "The rating of its fuse or breaker", fuse),
        (Code::CurrentOverAmpacity, "The ampacity of its conductor", figures.derated_ampacity_a),
    ];
    for (code, what, limit) in limits {
        // An excess at nominal voltage already has its own finding.
        let Some(limit) = limit.filter(|limit| keeps_to(design, *limit) && !keeps_to(most, *limit)) else {
            continue;
        };
        let text = say!(
            "With every circuit on, {} {}. {} is {}. Use a larger one.",
            flows.clone(),
            amps(most).beside(limit),
            what,
            amps(limit)
        );
        context.say(subject.clone(), RuleFinding::new(code, text).against(most, limit, "A"));
    }
}
