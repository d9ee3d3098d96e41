//! The power-up test: the expected readings, the readings, and whether the circuit passed.

use askama::Template;
use axum::response::Html;

use super::diagnosis;
use super::fuse_out::FuseOut;
use super::head::{PageNotes, PhaseHead, title_block};
use super::stage::{self, StagePiece, steps_of};
use super::step_measured::StepMeasured;
use crate::job::phase::Phase;
use crate::job::plan::Circuit;
use crate::job::stage::Stage;
use crate::job::step::{Action, StepKey};
use crate::job::steps::Step;
use crate::job::subject::SubjectKind;
use crate::job::value::CircuitId;
use crate::job::work::test_of;
use crate::web::kit::Error;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{TitleBlock, html};
use crate::web::kit::paging::{Paging, page_with};
use crate::web::parts::bench::Bench;
use crate::web::parts::measured::Measured;
use crate::web::parts::step::StepPiece;

#[derive(Template)]
#[template(path = "phases/power_up_test.html")]
struct Page {
    title_block: TitleBlock,
    head: PhaseHead,
    stages: Vec<StagePiece>,
    circuit_tests: Vec<CircuitTest>,
    cables: Vec<StepPiece>,
    after: Vec<StagePiece>,
    diagnosis: String,
    paging: Paging,
}

/// One circuit under test.
#[derive(Debug)]
struct CircuitTest {
    anchor: String,
    title: String,
    href: String,
    /// The fitted fuse read.
    fuse: Option<StepPiece>,
    fuse_read: Vec<StepMeasured>,
    fuse_out: Option<FuseOut>,
    step: StepPiece,
    measured: Measured,
    /// Where the fault is by all readings together, if it did not pass.
    fault: Vec<String>,
}

/// The page of the power-up test.
pub fn page(frame: Frame, job: &Opened, said: PageNotes<'_>) -> Result<Html<String>, Error> {
    let (typed, address) = (said.typed, frame.path.clone());
    let bench = Bench::new(&frame, job, address.clone()).refused(said.reason);
    let head = PhaseHead::new(&bench, Phase::PowerUpTest, said.refusal);
    let is_open = |circuit: &&Circuit| bench.is_open(&test_of(&circuit.id));
    let next = job.plan.circuits.iter().find(is_open).map(|circuit| &circuit.id);
    let answer = diagnosis::answer(&bench);
    let has = |circuit: &Circuit, key: &str| key.parse().is_ok_and(|key: StepKey| is_of(&key, &circuit.id));
    let (shown, of_circuits) = page_with(&job.plan.circuits, &frame, has);
    let mut circuit_tests = Vec::with_capacity(shown.len());
    for circuit in shown {
        let Some(step) = job.steps.get(&test_of(&circuit.id)) else { continue };
        let form = if typed.is_for(circuit) { typed.form.clone() } else { Form::default() };
        let back = format!("{address}#circuit-{}", circuit.id);
        let is_next = next == Some(&circuit.id);
        let fuse = job.steps.get(&step.key.also(Action::Fuse));
        circuit_tests.push(CircuitTest {
            anchor: format!("circuit-{}", circuit.id),
            title: step.about.clone(),
            href: format!("{}/circuits/{}", job.href(), circuit.id),
            fuse: fuse.map(|step| bench.step(step)),
            fuse_read: fuse.map_or_else(Vec::new, |step| StepMeasured::all(&bench, step, &typed)),
            fuse_out: FuseOut::of(&bench, &step.key.subject),
            step: bench.step(step),
            measured: Measured::new(&bench, circuit, back, form, is_next),
            fault: match !bench.is_open(&step.key) {
                true => Vec::new(),
                false => {
                    answer.as_ref().map_or_else(Vec::new, |answer| diagnosis::in_short(answer, &circuit.id))
                }
            },
        });
    }
    let (stages, after, of_stages) = stage::pieces(&bench, &typed);
    let cables = steps_of(&bench, Stage::Circuits).filter(|step| step.key.action == Action::Inspect);
    let cables: Vec<&Step> = cables.collect();
    let (cables, of_cables) = page_with(&cables, &frame, |step, key| step.key.to_string() == key);
    html(&Page {
        title_block: title_block(frame.clone(), job, Phase::PowerUpTest),
        head,
        stages,
        circuit_tests,
        cables: cables.iter().map(|step| bench.step(step)).collect(),
        after,
        paging: of_circuits.longer(of_cables).longer(of_stages),
        diagnosis: format!("{}/diagnosis", job.href()),
    })
}

/// Whether a step is shown with the test of a circuit.
fn is_of(key: &StepKey, circuit: &CircuitId) -> bool {
    key.subject.kind == SubjectKind::Circuit
        && key.subject.id == circuit.as_str()
        && Stage::of(key) == Some(Stage::Circuits)
}
