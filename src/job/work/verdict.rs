//! What each reading proves by itself, compared with the values that the checked plan expects.

use foldhash::HashMap;
use uom::si::electrical_resistance::ohm;
use uuid::Uuid;

use crate::job::before_power::{self, StepExpected};
use crate::job::checked::Checked;
use crate::job::event::History;
use crate::job::meter::{MeterModel, ReadingVerdict};
use crate::job::modes::StateOf;
use crate::job::plan::Polarity;
use crate::job::point::Body;
use crate::job::step::{Action, StepKey};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::PointId;

/// The verdict of each reading of a history, by its id. It needs a solved network, so it is made once for each
/// reading and plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Verdicts {
    known: HashMap<Uuid, Option<ReadingVerdict>>,
}

impl Verdicts {
    /// The verdicts of all readings of a history.
    pub fn of(checked: &Checked, history: &History) -> Self {
        let mut verdicts = Self::default();
        verdicts.extend(checked, history);
        verdicts
    }

    /// Adds the verdicts of the readings that have none yet. All known verdicts must be of the same plan.
    pub fn extend(&mut self, checked: &Checked, history: &History) {
        let readings: Vec<_> =
            history.readings.iter().filter(|reading| !self.known.contains_key(&reading.id)).collect();
        let of_steps: Vec<_> =
            history.step_readings.iter().filter(|reading| !self.known.contains_key(&reading.id)).collect();
        if readings.is_empty() && of_steps.is_empty() {
            return;
        }
        let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).ok();
        let judged =
            readings.iter().map(|reading| (reading.id, meter.as_ref().map(|meter| meter.judge(reading))));
        self.known.extend(judged);
        for reading in of_steps {
            let expected = expected(checked, meter.as_ref(), &reading.step, reading.point.as_ref());
            let verdict = before_power::judge(reading, &expected, checked.report.nominal_v);
            self.known.insert(reading.id, Some(verdict));
        }
    }

    /// Whether every reading of a history has its verdict.
    pub fn has_all(&self, history: &History) -> bool {
        let readings = history.readings.iter().map(|reading| reading.id);
        let of_steps = history.step_readings.iter().map(|reading| reading.id);
        readings.chain(of_steps).all(|id| self.known.contains_key(&id))
    }

    /// The verdict of a reading; `None` if it was not judged.
    pub fn get(&self, reading: Uuid) -> Option<&ReadingVerdict> {
        self.known.get(&reading)?.as_ref()
    }
}

/// The values that the plan expects for the measurement of a step.
pub fn expected(
    checked: &Checked,
    meter: Option<&MeterModel<'_>>,
    key: &StepKey,
    point: Option<&PointId>,
) -> StepExpected {
    let resistance =
        (key.action == Action::Continuity).then(|| resistance_of(checked, meter?, &key.subject)).flatten();
    let volts = match key.action {
        Action::AllOn => point.and_then(|point| voltage(checked, point)),
        Action::Test => at_far_end(checked, &key.subject),
        Action::Crank => while_cranking(checked, &key.subject),
        Action::Charge => regulated(checked, &key.subject),
        _ => None,
    };
    StepExpected { ohm: resistance, volts, rating_a: checked.report.planned_rating(&key.subject) }
}

/// The resistance of a circuit's return from its farthest device, or of a feeder from end to end, in ohm.
fn resistance_of(checked: &Checked, meter: &MeterModel<'_>, subject: &Subject) -> Option<f64> {
    match subject.kind {
        SubjectKind::Circuit => {
            let circuit = checked.plan.circuits.with(&subject.id)?;
            meter.return_of(circuit)
        }
        _ => {
            let wire = checked.conductors.get(&subject.id)?;
            Some(meter.wired().resistance_of(&wire.id)?.get::<ohm>())
        }
    }
}

/// The voltage at the posts of an engine while its starter turns, in V.
fn while_cranking(checked: &Checked, engine: &Subject) -> Option<f64> {
    let is_start =
        |of: &StateOf| matches!(of, StateOf::EngineStart { engine: of } if of.as_str() == engine.id);
    let start = checked.report.modes.as_ref()?.states.iter().find(|state| is_start(&state.of))?;
    start.volts.iter().find(|(point, _)| point.as_str() == engine.id).map(|(_, volts)| *volts)
}

/// The voltage that a charger or alternator regulates to, in V.
fn regulated(checked: &Checked, of: &Subject) -> Option<f64> {
    let point = checked.plan.points.iter().find(|point| point.id.as_str() == of.id)?;
    match &point.body {
        Body::Charger(charger) => Some(charger.open_circuit_v.number()),
        _ => None,
    }
}

/// The voltage at a distribution point with everything on, in V.
fn voltage(checked: &Checked, point: &PointId) -> Option<f64> {
    checked.report.points.get(point)?.voltage_v
}

/// The voltage at the far end of a feeder with everything on. A positive feeder is measured against the negative
/// of the source, a negative feeder against its positive.
fn at_far_end(checked: &Checked, subject: &Subject) -> Option<f64> {
    let feeder = checked.plan.feeders.with(&subject.id)?;
    match feeder.polarity {
        Polarity::Positive => voltage(checked, &feeder.to),
        Polarity::Negative => {
            let sources = checked.report.points.values().filter(|point| point.kind.is_source());
            let source = sources
                .filter_map(|point| point.voltage_v)
                .fold(None, |most, volts| Some(f64::max(most.unwrap_or(volts), volts)));
            Some(source? - voltage(checked, &feeder.from)?)
        }
    }
}
