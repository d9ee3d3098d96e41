//! Circuits that keep their drop limit by the handbook formula and break it in the solved network.
//!
//! The formula counts solid copper at some 25 to 30 C and the current at nominal voltage. What it leaves out is
//! named with its volts: the strands and their tin, the warmth of the load, contacts and fuse, and a current that
//! is larger at the voltage that arrives.

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::{milliohm, ohm};
use uom::si::f64::{ElectricalResistance, ThermodynamicTemperature};
use uom::si::thermodynamic_temperature::degree_celsius;

use super::context::CheckContext;
use super::legs::{DeviceLeg, Legs};
use super::remedy;
use super::report::{CircuitReport, DeviceReport, Report};
use super::warm::WarmCopper;
use crate::job::conductor::Conductor;
use crate::job::network::surroundings;
use crate::job::plan::Circuit;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::DeviceId;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::say::{Part, Statement, say};
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::units::{celsius, percent, volts};
use crate::trade::working::{Working, figure, keeps_to};

/// A cause is named from this share of the whole difference.
const WORTH_NAMING: f64 = 0.1;

/// Reports the worst device of each circuit that breaks its limit only in the solved network.
pub(super) fn check(context: &mut CheckContext<'_>, report: &Report, copper: &WarmCopper<'_>) {
    for circuit in &context.plan.circuits {
        let Some(figures) = report.circuits.get(&circuit.id) else { continue };
        let Some((device, own)) = worst(figures) else { continue };
        let finding = over_limit(context, circuit, figures, (device, own), copper);
        context.say_all(&Subject::new(SubjectKind::Circuit, &circuit.id), finding);
    }
}

/// The device farthest over its limit by its solved drop, among those that keep it by the calculated one.
fn worst(figures: &CircuitReport) -> Option<(&DeviceId, &DeviceReport)> {
    let only_solved = |(_, own): &(&DeviceId, &DeviceReport)| {
        let keeps = |share: Option<f64>| share.is_none_or(|share| keeps_to(share, own.drop_limit_pct));
        keeps(own.handbook_drop_pct) && !keeps(own.solved_drop_pct)
    };
    let strain = |own: &DeviceReport| own.solved_drop_pct.unwrap_or_default() / own.drop_limit_pct;
    figures
        .devices
        .iter()
        .filter(only_solved)
        .max_by(|(_, one), (_, other)| strain(one).total_cmp(&strain(other)))
}

fn over_limit(
    context: &CheckContext<'_>,
    circuit: &Circuit,
    figures: &CircuitReport,
    (device, own): (&DeviceId, &DeviceReport),
    copper: &WarmCopper<'_>,
) -> Option<RuleFinding> {
    let (share, limit) = (own.solved_drop_pct?, own.drop_limit_pct);
    let legs = Legs::new(context, circuit);
    let leg = legs.ways.iter().find(|leg| leg.device == device);
    let causes = leg.and_then(|leg| Causes::of(context, circuit, figures, (leg, own), copper));
    let text = say!(
        "The calculated drop to {} keeps the limit of {}. The solved drop with every circuit on is {}.",
        device,
        percent(limit),
        percent(share).beside(limit)
    );
    let text = match causes.as_ref().map(Causes::named).filter(|named| !named.is_empty()) {
        Some(named) => text.then(say!("Causes: {}.", Part::all(named))),
        None => text,
    };
    let unmet =
        context.needed.unmet(&Subject::new(SubjectKind::Circuit, &circuit.id), Code::SolvedDropOverLimit);
    let text = text.then(match unmet {
        Some(least) => remedy::of_own_drop(least, limit),
        None => say!("Use a thicker conductor or a shorter route."),
    });
    let finding = RuleFinding::new(Code::SolvedDropOverLimit, text).against(share, limit, "%");
    Some(match causes {
        Some(causes) => finding.working(causes.working(own)),
        None => finding,
    })
}

/// The solved drop less the calculated one, in V, by what the formula leaves out.
struct Causes {
    calculated: f64,
    strands: f64,
    warmth: f64,
    ends: f64,
    current: f64,
    /// The temperature of the warmest conductor, C.
    warmest: f64,
}

impl Causes {
    fn of(
        context: &CheckContext<'_>,
        circuit: &Circuit,
        figures: &CircuitReport,
        (leg, own): (&DeviceLeg<'_>, &DeviceReport),
        copper: &WarmCopper<'_>,
    ) -> Option<Self> {
        let (plan, size) = (context.plan, figures.conductor.size);
        let wires = leg.known()?;
        let lost = |at: &dyn Fn(&Conductor) -> ThermodynamicTemperature| {
            let lost = wires.iter().map(|(wire, current, length)| {
                let resistance = wire.size.or(size)?.resistance(*length, at(wire));
                Some((resistance * *current).get::<volt>())
            });
            lost.sum::<Option<f64>>()
        };
        let stranded = lost(&|wire| surroundings(plan, wire))?;
        let warm = lost(&|wire| copper.temperature(wire))?;
        let contact = plan.job.contact_mohm.map_or(0.0, |contact| contact.number()) / 1000.0;
        let fuse = circuit.protection.as_ref().and_then(|fuse| fuse.resistance_mohm);
        let fuse = fuse.map_or(0.0, |fuse| ElectricalResistance::new::<milliohm>(fuse.number()).get::<ohm>());
        let of_wires: f64 = wires.iter().map(|(_, current, _)| current.get::<ampere>()).sum();
        let ends = 2.0 * contact * of_wires + fuse * figures.conductor.design_current_a?;
        let calculated = own.handbook_drop_v?;
        let warmest = wires.iter().map(|(wire, ..)| copper.temperature(wire).get::<degree_celsius>());
        Some(Self {
            calculated,
            strands: stranded - calculated,
            warmth: warm - stranded,
            ends,
            current: own.solved_drop_v? - warm - ends,
            warmest: warmest.fold(f64::NEG_INFINITY, f64::max),
        })
    }

    /// The causes that are large enough to be named.
    fn named(&self) -> Vec<Statement> {
        let least = WORTH_NAMING * (self.strands + self.warmth + self.ends + self.current);
        let causes = [
            (self.strands, say!("tinned strands ({})", volts(self.strands))),
            (self.warmth, say!("copper at {} ({})", celsius(self.warmest), volts(self.warmth))),
            (self.ends, say!("contacts and fuse ({})", volts(self.ends))),
            (self.current, say!("more current at the voltage that arrives ({})", volts(self.current))),
        ];
        causes.into_iter().filter(|(lost, _)| *lost >= least.max(0.0)).map(|(_, cause)| cause).collect()
    }

    fn working(&self, own: &DeviceReport) -> Working {
        let terms = [
            (self.calculated, "formula"),
            (self.strands, "tinned strands"),
            (self.warmth, "warmth"),
            (self.ends, "contacts and fuse"),
            (self.current, "current at the voltage that arrives"),
        ];
        let terms = terms.map(|(lost, of)| format!("{} V ({of})", figure(lost)));
        Working {
            what: Quantity::SolvedDrop,
            formula: "calculated drop + what the formula leaves out",
            numbers: terms.join(" + ").into(),
            result: format!("{} V", figure(own.solved_drop_v.unwrap_or_default())).into(),
            source: &CIRCUIT_LAWS,
        }
    }
}
