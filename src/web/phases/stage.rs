//! The stages before the circuits are powered, and the stage after them, as pieces of the power-up test's page.

use askama::Template;
use askama::filters::HtmlSafe;

use super::fuse_out::FuseOut;
use super::step_measured::StepMeasured;
use crate::job::phase::Phase;
use crate::job::stage::Stage;
use crate::job::steps::Step;
use crate::job::subject::{Subject, SubjectKind};
use crate::web::kit::paging::{Paging, page_with};
use crate::web::parts::bench::Bench;
use crate::web::parts::finding::sheet_of;
use crate::web::parts::measured::TypedReading;
use crate::web::parts::open_item::FoundHere;
use crate::web::parts::place::step_page;
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
    /// The circuits and feeders that the page shows; how many there are, and how many are closed.
    circuits: Vec<OfRun>,
    runs: usize,
    runs_closed: usize,
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
    checks: Vec<Check>,
    /// What was found on it.
    found: FoundHere,
    /// The record that its fuse is out, where the feeders are tested.
    fuse_out: Option<FuseOut>,
}

/// The stages before the circuits, and those after them, with the links to the other rows of the longest list.
pub fn pieces(bench: &Bench<'_>, typed: &TypedReading) -> (Vec<StagePiece>, Vec<StagePiece>, Paging) {
    let mut paging = Paging::default();
    let (mut before, mut after) = (Vec::new(), Vec::new());
    for (stage, number) in Stage::ALL.into_iter().zip(1..).filter(|(stage, _)| *stage != Stage::Circuits) {
        let (piece, own) = StagePiece::new(bench, stage, number, typed);
        paging = paging.longer(own);
        if stage < Stage::Circuits { before.push(piece) } else { after.push(piece) }
    }
    (before, after, paging)
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
    fn new(bench: &Bench<'_>, stage: Stage, number: usize, typed: &TypedReading) -> (Self, Paging) {
        let steps: Vec<&Step> = steps_of(bench, stage).collect();
        let (closed, of) = bench.closed(steps.iter().map(|step| &step.key));
        let (of_boat, of_runs): (Vec<&Step>, Vec<&Step>) =
            steps.into_iter().partition(|step| step.key.subject.kind == SubjectKind::Job);
        let same = |one: &&Step, other: &&Step| one.key.subject == other.key.subject;
        let runs: Vec<&[&Step]> = of_runs.chunk_by(same).collect();
        let has = |steps: &&[&Step], key: &str| steps.iter().any(|step| step.key.to_string() == key);
        let (shown, paging) = page_with(&runs, bench.frame, has);
        let own = Self {
            number,
            stage,
            closed,
            of,
            in_hand: is_in_hand(bench, stage),
            whole: of_boat.into_iter().map(|step| check(bench, step, typed)).collect(),
            circuits: shown.iter().filter_map(|steps| of_run(bench, stage, steps, typed)).collect(),
            runs: runs.len(),
            runs_closed: runs.iter().filter(|steps| is_closed(bench, steps)).count(),
        };
        (own, paging)
    }

    fn title(&self) -> String {
        format!("{} {}", self.number, self.stage.title())
    }

    fn id(&self) -> String {
        format!("stage-{}", self.number)
    }
}

fn of_run(bench: &Bench<'_>, stage: Stage, steps: &[&Step], typed: &TypedReading) -> Option<OfRun> {
    let first = steps.first()?;
    Some(OfRun {
        title: first.about.clone(),
        href: page_of(bench, &first.key.subject),
        checks: steps.iter().map(|step| check(bench, step, typed)).collect(),
        found: FoundHere::on(bench, &first.key.subject, &step_page(&bench.job.href(), &first.key)),
        fuse_out: FuseOut::of(bench, &first.key.subject).filter(|_| stage == Stage::AllOn),
    })
}

fn is_closed(bench: &Bench<'_>, steps: &[&Step]) -> bool {
    steps.iter().all(|step| !bench.is_open(&step.key))
}

fn check(bench: &Bench<'_>, step: &Step, typed: &TypedReading) -> Check {
    Check { step: bench.step(step), measured: StepMeasured::all(bench, step, typed) }
}

fn page_of(bench: &Bench<'_>, subject: &Subject) -> String {
    format!("{}{}", bench.job.href(), sheet_of(subject).unwrap_or_default())
}
