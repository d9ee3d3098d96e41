//! The power-up test: the expected readings, the readings, and whether the circuit passed.

use askama::Template;
use axum::response::Html;

use super::anyway::PassAnyway;
use super::diagnosis;
use super::head::{PageNotes, PhaseHead, title_block};
use super::stage::{self, StagePiece};
use crate::job::phase::Phase;
use crate::job::plan::Circuit;
use crate::web::kit::Error;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{TitleBlock, html};
use crate::web::parts::bench::Bench;
use crate::web::parts::measured::{Measured, TypedReading};
use crate::web::parts::proof::test_of;
use crate::web::parts::step::StepPiece;

#[derive(Template)]
#[template(path = "phases/power_up_test.html")]
struct Page {
    title_block: TitleBlock,
    head: PhaseHead,
    stages: Vec<StagePiece>,
    shut: Option<String>,
    circuit_tests: Vec<CircuitTest>,
    diagnosis: String,
}

/// One circuit under test.
#[derive(Debug)]
struct CircuitTest {
    anchor: String,
    title: String,
    href: String,
    step: StepPiece,
    measured: Measured,
    pass_anyway: Option<PassAnyway>,
    /// Where the fault is by all readings together, if it did not pass.
    fault: Vec<String>,
}

/// The page of the power-up test.
pub fn page(
    frame: Frame,
    job: &Opened,
    said: PageNotes<'_>,
    typed: TypedReading,
) -> Result<Html<String>, Error> {
    let address = format!("{}/phases/{}", job.href(), Phase::PowerUpTest);
    let bench = Bench::new(&frame, job, address.clone()).refused(said.reason);
    let head = PhaseHead::new(&bench, Phase::PowerUpTest, said.release, said.refusal);
    let is_open = |circuit: &&Circuit| bench.is_open(&test_of(circuit));
    let next = job.plan.circuits.iter().find(is_open).map(|circuit| &circuit.id);
    let answer = diagnosis::answer(&bench);
    let mut circuit_tests = Vec::with_capacity(job.plan.circuits.len());
    for circuit in &job.plan.circuits {
        let Some(step) = job.steps.get(&test_of(circuit)) else { continue };
        let form = if typed.is_for(circuit) { typed.form.clone() } else { Form::default() };
        let back = format!("{address}#circuit-{}", circuit.id);
        let is_next = next == Some(&circuit.id);
        circuit_tests.push(CircuitTest {
            anchor: format!("circuit-{}", circuit.id),
            title: step.about.clone(),
            href: format!("{}/circuits/{}", job.href(), circuit.id),
            step: bench.step(step),
            measured: Measured::new(&bench, circuit, back.clone(), form, is_next),
            fault: match bench.progress.is_proven(&circuit.id) {
                true => Vec::new(),
                false => {
                    answer.as_ref().map_or_else(Vec::new, |answer| diagnosis::in_short(answer, &circuit.id))
                }
            },
            pass_anyway: pass_anyway(&bench, circuit, back),
        });
    }
    let (stages, shut) = (stage::pieces(&bench, &typed), stage::circuits_shut(&bench));
    html(&Page {
        title_block: title_block(frame.clone(), job, Phase::PowerUpTest),
        head,
        stages,
        shut,
        circuit_tests,
        diagnosis: format!("{}/diagnosis", job.href()),
    })
}

fn pass_anyway(bench: &Bench<'_>, circuit: &Circuit, back: String) -> Option<PassAnyway> {
    let step = test_of(circuit);
    let lack = bench.proof().lack(circuit)?;
    let release = bench.passed(circuit);
    if bench.shut_stage(step.action, Some(&circuit.id)).is_some()
        || (!bench.is_open(&step) && release.is_none())
    {
        return None;
    }
    Some(PassAnyway::new(bench, &step, (lack.words(), lack.takes()), release, back))
}
