//! The stages before any circuit is powered, as pieces of the power-up test's page.

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use super::hold_point::ReleaseLine;
use crate::job::before_power::{self, Unit};
use crate::job::event::StepReading;
use crate::job::phase::Phase;
use crate::job::stage::{Stage, Standing};
use crate::job::step::{self, StepKey};
use crate::job::steps::Step;
use crate::shop::role::Permission;
use crate::web::kit::figure::Figure;
use crate::web::kit::figure::fine;
use crate::web::kit::form::{Form, capital};
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::parts::bench::Bench;
use crate::web::parts::measured::{OutcomeMark, TypedReading};
use crate::web::parts::proof::remarks;
use crate::web::parts::step::{StepPiece, anchor};
use crate::web::parts::undo_button::UndoButton;

/// One stage with its steps.
#[derive(Debug, Template)]
#[template(path = "phases/stage.html")]
pub struct StagePiece {
    number: usize,
    stage: Stage,
    closed: usize,
    of: usize,
    shut: Option<String>,
    in_hand: bool,
    whole: Vec<Check>,
    circuits: Vec<OfCircuit>,
    release: ReleaseForm,
    released: Vec<ReleaseLine>,
}

impl HtmlSafe for StagePiece {}

/// A step with its measurement, if it has one.
#[derive(Debug)]
struct Check {
    step: StepPiece,
    measured: Option<StepMeasured>,
}

/// The checks of one circuit.
#[derive(Debug)]
struct OfCircuit {
    title: String,
    href: String,
    closed: bool,
    checks: Vec<Check>,
}

/// The form that lets the test continue while steps of a stage are open.
#[derive(Debug)]
struct ReleaseForm {
    action: String,
    back: String,
    may: bool,
    open: Vec<(String, String)>,
}

/// A step's measurement: the expected value, the reading, and the form for a new one.
#[derive(Debug, Template)]
#[template(path = "phases/step_measured.html")]
struct StepMeasured {
    anchor: String,
    action: String,
    back: String,
    step: String,
    field: &'static str,
    label: &'static str,
    unit: &'static str,
    expected: Option<Sentence>,
    last: Option<Read>,
    event: Uuid,
    tick: Uuid,
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

/// The stages before the last.
pub fn pieces(bench: &Bench<'_>, typed: &TypedReading) -> Vec<StagePiece> {
    let before = Stage::ALL.into_iter().filter(|stage| *stage < Stage::Circuits);
    before.zip(1..).map(|(stage, number)| StagePiece::new(bench, stage, number, typed)).collect()
}

/// Why the last stage is on hold, in plain text.
pub fn circuits_shut(bench: &Bench<'_>) -> Option<String> {
    bench.shut_stage(step::Action::Test, None)
}

impl StagePiece {
    fn new(bench: &Bench<'_>, stage: Stage, number: usize, typed: &TypedReading) -> Self {
        let of_stage = |step: &&Step| Stage::of(step.key.action) == Some(stage);
        let steps: Vec<&Step> =
            bench.progress.steps().in_phase(Phase::PowerUpTest).iter().filter(of_stage).collect();
        let (closed, of) = bench.closed(steps.iter().map(|step| &step.key));
        let first = steps.first().map(|step| step.key.action);
        let (of_circuits, whole): (Vec<&Step>, Vec<&Step>) =
            steps.into_iter().partition(|step| !step.circuits.is_empty());
        let standing = || bench.stages.open().iter().filter(|standing| standing.stage == stage);
        Self {
            number,
            stage,
            closed,
            of,
            shut: first.and_then(|action| bench.shut_stage(action, None)),
            in_hand: bench.stages.current() == stage,
            whole: whole.into_iter().map(|step| check(bench, step, typed)).collect(),
            circuits: by_circuit(bench, &of_circuits, typed),
            release: ReleaseForm::new(bench, standing().filter(|one| one.released.is_none())),
            released: standing().filter_map(|one| passed(bench, one)).collect(),
        }
    }

    fn title(&self) -> String {
        format!("{} {}", self.number, self.stage.title())
    }

    fn id(&self) -> String {
        format!("stage-{}", self.number)
    }

    fn circuits_closed(&self) -> usize {
        self.circuits.iter().filter(|circuit| circuit.closed).count()
    }
}

impl ReleaseForm {
    fn new<'s>(bench: &Bench<'_>, open: impl Iterator<Item = &'s Standing<'s>>) -> Self {
        let named = |standing: &Standing<'_>| {
            let step = standing.step;
            let value = format!("{} {}", Uuid::now_v7(), step.key);
            (value, format!("{}: {}", step.about, step.key.action.open()))
        };
        Self {
            action: format!("{}/releases", bench.job.href()),
            back: format!("{}/phases/{}", bench.job.href(), Phase::PowerUpTest),
            may: bench.frame.may(Permission::Release),
            open: open.map(named).collect(),
        }
    }
}

fn passed(bench: &Bench<'_>, standing: &Standing<'_>) -> Option<ReleaseLine> {
    let text = format!("{}: {}", capital(&standing.step.about), standing.step.key.action.open());
    let back = format!("{}/phases/{}", bench.job.href(), Phase::PowerUpTest);
    Some(ReleaseLine::new(bench, standing.released?, text, &back))
}

fn by_circuit(bench: &Bench<'_>, steps: &[&Step], typed: &TypedReading) -> Vec<OfCircuit> {
    let of_one = |steps: &[&Step]| {
        let first = steps.first()?;
        Some(OfCircuit {
            title: first.about.clone(),
            href: format!("{}/circuits/{}", bench.job.href(), first.key.subject.id),
            closed: steps.iter().all(|step| !bench.is_open(&step.key)),
            checks: steps.iter().map(|step| check(bench, step, typed)).collect(),
        })
    };
    steps.chunk_by(|one, other| one.key.subject == other.key.subject).filter_map(of_one).collect()
}

fn check(bench: &Bench<'_>, step: &Step, typed: &TypedReading) -> Check {
    Check { step: bench.step(step), measured: StepMeasured::new(bench, step, typed) }
}

impl StepMeasured {
    fn new(bench: &Bench<'_>, step: &Step, typed: &TypedReading) -> Option<Self> {
        let circuit = step.circuits.first();
        let step = &step.key;
        let unit = before_power::unit(step.action)?;
        let (field, label, word) = match unit {
            Unit::Ohm => ("ohm", "Ohms read", "\u{3a9}"),
            Unit::Volt => ("v", "Volts read", "V"),
        };
        let anchor = anchor(step);
        let shut = bench.shut_gate(Phase::PowerUpTest).or_else(|| bench.shut_stage(step.action, circuit));
        let back = format!("{}/phases/{}#{anchor}", bench.job.href(), Phase::PowerUpTest);
        let last = before_power::latest(&bench.job.history, step).map(|reading| read(bench, reading, &back));
        Some(Self {
            action: format!("{}/step-readings", bench.job.href()),
            back,
            step: step.to_string(),
            expected: expected(bench, step),
            form: if typed.is_for_step(step) { typed.form.clone() } else { Form::default() },
            may: bench.frame.may(Permission::Tick) && shut.is_none(),
            event: Uuid::now_v7(),
            tick: Uuid::now_v7(),
            unit: word,
            anchor,
            field,
            label,
            last,
        })
    }

    /// Whether the form asks the user to confirm the reading.
    fn asked(&self) -> bool {
        self.form.flag("asked")
    }

    fn is_open(&self) -> bool {
        self.last.is_none() || !self.form.errors().is_empty()
    }

    fn id(&self) -> String {
        format!("{}-{}", self.field, self.anchor)
    }
}

fn read(bench: &Bench<'_>, reading: &StepReading, back: &str) -> Read {
    let verdict = bench.proof().judge_step(reading);
    let ohms = reading.ohm.map(|ohms| format!("{ohms} \u{3a9}"));
    let figure = ohms.or(reading.v.map(|volts| format!("{volts} V"))).unwrap_or_default();
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
fn expected(bench: &Bench<'_>, step: &StepKey) -> Option<Sentence> {
    let of = step.subject.id.as_str();
    match step.action {
        step::Action::BetweenPoles => Some("1000 \u{3a9} or more, by common practice".into()),
        step::Action::Continuity => {
            let value = Figure::new(fine(bench.proof().return_of(step)?), "\u{3a9}");
            let ohms = Cell::by(of, "negative, power off", value, bench.proof().return_working(step));
            Some(Sentence::default().figure(ohms).words(" plus the resistance of the leads"))
        }
        _ => {
            let (volts, working) = before_power::at_first_power(bench.job.report.nominal_v);
            let volts = Cell::by(of, "first power", Figure::rounded(volts, 1, "V"), [working]);
            Some(Sentence::from("about ").figure(volts).words(": a full battery at rest"))
        }
    }
}
