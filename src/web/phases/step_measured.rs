//! A step's own measurement as a piece of a page: the expected value, the latest reading, and the form for a new one.

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use crate::job::before_power::{self, Unit};
use crate::job::event::StepReading;
use crate::job::step::{Action as Done, StepKey};
use crate::job::steps::Step;
use crate::job::subject::SubjectKind;
use crate::job::value::PointId;
use crate::job::work::remarks;
use crate::shop::role::Permission;
use crate::web::kit::figure::{Figure, fine};
use crate::web::kit::form::Form;
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::parts::bench::Bench;
use crate::web::parts::measured::{OutcomeMark, TypedReading};
use crate::web::parts::step::anchor;
use crate::web::parts::undo_button::UndoButton;

/// A step's measurement.
#[derive(Debug, Template)]
#[template(path = "phases/step_measured.html")]
pub struct StepMeasured {
    anchor: String,
    action: String,
    back: String,
    step: String,
    /// The distribution point measured at, with its name, for a step that is measured at several.
    point: Option<(String, String)>,
    field: &'static str,
    label: &'static str,
    unit: &'static str,
    expected: Option<Sentence>,
    last: Option<Read>,
    event: Uuid,
    tick: Uuid,
    seen: Option<String>,
    form: Form,
    may: bool,
}

impl HtmlSafe for StepMeasured {}

#[derive(Debug)]
struct Read {
    figure: String,
    mark: OutcomeMark,
    why: Vec<String>,
    by: String,
    when: String,
    undo: Option<UndoButton>,
}

/// The field of the form for a unit, its label, and the unit's symbol.
pub fn field_of(unit: Unit) -> (&'static str, &'static str, &'static str) {
    match unit {
        Unit::Ohm => ("ohm", "Ohms read", "\u{3a9}"),
        Unit::Volt => ("v", "Volts read", "V"),
        Unit::Ampere => ("rating_a", "Rating on the fuse", "A"),
    }
}

impl StepMeasured {
    /// The measurements of a step: one, or one for each distribution point where it must be measured. None for a
    /// step that is not measured by itself.
    pub fn all(bench: &Bench<'_>, step: &Step, typed: &TypedReading) -> Vec<Self> {
        let Some(unit) = before_power::unit(&step.key) else { return Vec::new() };
        let points = bench.work.points_to_measure(&step.key);
        if points.is_empty() {
            return vec![Self::new(bench, step, unit, None, typed)];
        }
        points.into_iter().map(|point| Self::new(bench, step, unit, Some(point), typed)).collect()
    }

    fn new(
        bench: &Bench<'_>,
        step: &Step,
        unit: Unit,
        point: Option<&PointId>,
        typed: &TypedReading,
    ) -> Self {
        let key = &step.key;
        let (field, label, symbol) = field_of(unit);
        let anchor = anchor(key);
        let back = format!("{}/phases/{}#{anchor}", bench.job.href(), key.action.phase());
        let readings = &bench.job.history.step_readings;
        let here = readings.iter().filter(|reading| reading.step == *key && reading.point.as_ref() == point);
        let last = here.max_by_key(|reading| (reading.at, reading.id));
        let name = |id: &PointId| {
            bench.job.plan.point(id).map_or_else(|| id.to_string(), |it| it.called().to_owned())
        };
        let is_typed =
            typed.is_for_step(key) && typed.form.typed("point") == point.map_or("", |id| id.as_str());
        Self {
            action: format!("{}/step-readings", bench.job.href()),
            step: key.to_string(),
            expected: expected(bench, key, point),
            form: if is_typed { typed.form.clone() } else { Form::default() },
            may: bench.frame.may(Permission::Tick) && bench.work.may_measure(key),
            event: Uuid::now_v7(),
            tick: Uuid::now_v7(),
            seen: bench.seen(key),
            last: last.map(|reading| read(bench, reading, &back)),
            point: point.map(|id| (id.to_string(), name(id))),
            unit: symbol,
            back,
            anchor,
            field,
            label,
        }
    }

    /// Whether the form asks the user to confirm the reading.
    fn asked(&self) -> bool {
        self.form.flag("asked")
    }

    fn is_open(&self) -> bool {
        self.last.is_none() || !self.form.errors().is_empty()
    }

    fn id(&self) -> String {
        let point = self.point.as_ref().map_or("", |(id, _)| id.as_str());
        format!("{}-{}{point}", self.field, self.anchor)
    }
}

fn read(bench: &Bench<'_>, reading: &StepReading, back: &str) -> Read {
    let verdict = bench.expected().judge_step(reading);
    let figures = [
        reading.ohm.map(|ohms| format!("{ohms} \u{3a9}")),
        reading.v.map(|volts| format!("{volts} V")),
        reading.rating_a.map(|rating| format!("{rating} A")),
    ];
    let figure = figures.into_iter().flatten().next().unwrap_or_default();
    Read {
        undo: UndoButton::new(bench.frame, bench.job, (reading.id, reading.by.as_str()), back, &figure)
            .map(UndoButton::onward),
        figure,
        mark: OutcomeMark(verdict.outcome),
        why: remarks(&verdict),
        by: reading.by.to_string(),
        when: bench.frame.moment(reading.at),
    }
}

/// The expected value, which opens on its working if it is calculated.
fn expected(bench: &Bench<'_>, step: &StepKey, point: Option<&PointId>) -> Option<Sentence> {
    let of = step.subject.id.as_str();
    let expected = bench.expected().of_step(step, point);
    match step.action {
        Done::Isolate => Some("0 V".into()),
        Done::BetweenPoles => Some("1000 \u{3a9} or more, by common practice".into()),
        Done::Continuity => {
            let value = Figure::new(fine(expected.ohm?), "\u{3a9}");
            let workings = bench.expected().return_working(step);
            let name =
                if step.subject.kind == SubjectKind::Feeder { "end to end" } else { "negative, power off" };
            let ohms = Cell::by(of, name, value, workings);
            Some(Sentence::default().figure(ohms).words(" plus the resistance of the leads"))
        }
        Done::NoShort => Some("1000 \u{3a9} or more, by common practice".into()),
        Done::Crank => expected.volts.map(|volts| format!("{volts:.1} V while cranking").into()),
        Done::Charge => {
            expected.volts.map(|volts| format!("at most {volts:.1} V, and more than at rest").into())
        }
        Done::FirstPower => {
            let (volts, working) = before_power::at_first_power(bench.job.report.nominal_v);
            let volts = Cell::by(of, "first power", Figure::rounded(volts, 1, "V"), [working]);
            Some(Sentence::from("about ").figure(volts).words(": a full battery at rest"))
        }
        Done::AllOn | Done::Test => {
            expected.volts.map(|volts| format!("{volts:.1} V with everything on").into())
        }
        Done::Fuse => expected.rating_a.map(|rating| format!("{rating} A, as planned").into()),
        _ => None,
    }
}
