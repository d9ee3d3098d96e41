//! The stages before the circuits are powered, and the stage after them, as pieces of the power-up test's page.

use askama::Template;
use askama::filters::HtmlSafe;

use super::fuse_out::FuseOut;
use super::step_measured::StepMeasured;
use crate::job::phase::Phase;
use crate::job::stage::Stage;
use crate::job::steps::Step;
use crate::job::subject::{Subject, SubjectKind};
use crate::web::parts::bench::Bench;
use crate::web::parts::finding::sheet_of;
use crate::web::parts::measured::TypedReading;
use crate::web::parts::step::StepPiece;

/// One stage with its steps.
#[derive(Debug, Template)]
#[template(path = "phases/stage.html")]
pub struct StagePiece {
    number: usize,
    stage: Stage,
    closed: usize,
    of: usize,
    in_hand: bool,
    whole: Vec<Check>,
    circuits: Vec<OfRun>,
}

impl HtmlSafe for StagePiece {}

/// A step with its measurement, if it has one.
#[derive(Debug)]
struct Check {
    step: StepPiece,
    measured: Vec<StepMeasured>,
}

/// The checks of one circuit or feeder.
#[derive(Debug)]
struct OfRun {
    title: String,
    href: String,
    closed: bool,
    checks: Vec<Check>,
    /// The record that its fuse is out, where the feeders are tested.
    fuse_out: Option<FuseOut>,
}

/// The stages before the circuits, and those after them.
pub fn pieces(bench: &Bench<'_>, typed: &TypedReading) -> (Vec<StagePiece>, Vec<StagePiece>) {
    let all = Stage::ALL.into_iter().zip(1..).filter(|(stage, _)| *stage != Stage::Circuits);
    let (before, after): (Vec<_>, Vec<_>) = all.partition(|(stage, _)| *stage < Stage::Circuits);
    let piece = |(stage, number)| StagePiece::new(bench, stage, number, typed);
    (before.into_iter().map(piece).collect(), after.into_iter().map(piece).collect())
}

/// The steps of a stage.
pub fn steps_of<'a>(bench: &Bench<'a>, stage: Stage) -> impl Iterator<Item = &'a Step> {
    let steps = bench.work.steps().in_phase(Phase::PowerUpTest).iter();
    steps.filter(move |step| Stage::of(&step.key) == Some(stage))
}

/// Whether this is the first stage with an open step that can be done now.
fn is_in_hand(bench: &Bench<'_>, stage: Stage) -> bool {
    let has_open = |stage: &Stage| steps_of(bench, *stage).any(|step| bench.is_open(&step.key));
    Stage::ALL.into_iter().find(has_open) == Some(stage)
}

impl StagePiece {
    fn new(bench: &Bench<'_>, stage: Stage, number: usize, typed: &TypedReading) -> Self {
        let steps: Vec<&Step> = steps_of(bench, stage).collect();
        let (closed, of) = bench.closed(steps.iter().map(|step| &step.key));
        let (of_boat, of_runs): (Vec<&Step>, Vec<&Step>) =
            steps.into_iter().partition(|step| step.key.subject.kind == SubjectKind::Job);
        Self {
            number,
            stage,
            closed,
            of,
            in_hand: is_in_hand(bench, stage),
            whole: of_boat.into_iter().map(|step| check(bench, step, typed)).collect(),
            circuits: by_run(bench, stage, &of_runs, typed),
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

fn by_run(bench: &Bench<'_>, stage: Stage, steps: &[&Step], typed: &TypedReading) -> Vec<OfRun> {
    let of_one = |steps: &[&Step]| {
        let first = steps.first()?;
        Some(OfRun {
            title: first.about.clone(),
            href: page_of(bench, &first.key.subject),
            closed: steps.iter().all(|step| !bench.is_open(&step.key)),
            checks: steps.iter().map(|step| check(bench, step, typed)).collect(),
            fuse_out: FuseOut::of(bench, &first.key.subject).filter(|_| stage == Stage::AllOn),
        })
    };
    steps.chunk_by(|one, other| one.key.subject == other.key.subject).filter_map(of_one).collect()
}

fn check(bench: &Bench<'_>, step: &Step, typed: &TypedReading) -> Check {
    Check { step: bench.step(step), measured: StepMeasured::all(bench, step, typed) }
}

fn page_of(bench: &Bench<'_>, subject: &Subject) -> String {
    format!("{}{}", bench.job.href(), sheet_of(subject).unwrap_or_default())
}
