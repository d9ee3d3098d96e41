//! Compares the starting surges of motors with the protection they pass.

use super::circuit_size::design_current;
use super::context::CheckContext;
use super::report::Report;
use crate::job::plan::Circuit;
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::protection::opening::{MotorSurge, Opener, judge_inrush};
use crate::trade::say::say;
use crate::trade::units::amps;
use uom::si::electric_current::ampere;
use uom::si::f64::ElectricCurrent;

/// Reports surges that are not above the running current, and surges that trip the circuit's own
/// protection.
pub(super) fn say_inrush(context: &mut CheckContext<'_>, circuit: &Circuit, fitted: Option<Opener>) {
    for id in circuit.devices() {
        let inrush = context.device(id).and_then(|device| device.inrush);
        let Some((inrush, own)) = inrush.zip(context.current_of(id)) else { continue };
        if inrush.a.quantity() < own {
            context.say(Subject::new(SubjectKind::Device, id), inrush_under_load(inrush.a.number(), own));
        }
    }
    let said = fitted.into_iter().flat_map(|fitted| {
        surges(context, circuit).into_iter().filter_map(move |surge| judge_inrush(&fitted, &surge))
    });
    let said: Vec<_> = said.collect();
    context.say_all(&Subject::new(SubjectKind::Circuit, &circuit.id), said);
}

/// Reports the upstream protection that the motor surges of a circuit trip, with no other load on. Each of
/// several parallel feeders must carry the surge alone.
pub(super) fn say_inrush_before(context: &mut CheckContext<'_>, report: &Report) {
    let mut said = Vec::new();
    for circuit in &context.plan.circuits {
        let surges = surges(context, circuit);
        let [out, _] = context.ways_of(circuit) else { continue };
        for feeder in &out.feeders {
            let Some(opener) = report.opener(feeder) else { continue };
            let judged = surges.iter().filter_map(|surge| judge_inrush(&opener, surge));
            said.extend(judged.map(|judged| {
                let text = say!("Upstream protection of {}: {}", &feeder.id, judged.text);
                (Subject::new(SubjectKind::Circuit, &circuit.id), RuleFinding { text, ..judged })
            }));
        }
    }
    for (subject, finding) in said {
        context.say(subject, finding);
    }
}

/// The current of a circuit while one of its motors starts and its other devices run.
pub(super) fn surges(context: &CheckContext<'_>, circuit: &Circuit) -> Vec<MotorSurge> {
    let whole = design_current(context, circuit);
    let surge = |id| {
        let inrush = context.device(id)?.inrush?;
        let others = whole.zip(context.current_of(id)).map(|(whole, own)| whole - own);
        let nothing = ElectricCurrent::new::<ampere>(0.0);
        let current = inrush.a.quantity() + others.unwrap_or(nothing);
        Some(MotorSurge { current, lasts: inrush.s.quantity() })
    };
    circuit.devices().filter_map(surge).collect()
}

fn inrush_under_load(inrush: f64, load: ElectricCurrent) -> RuleFinding {
    let load = load.get::<ampere>();
    let text = say!(
        "The inrush of {} is below the running current of {}. Correct one of them.",
        amps(inrush).beside(load),
        amps(load)
    );
    RuleFinding::new(Code::InrushUnderLoad, text).against(inrush, load, "A")
}
