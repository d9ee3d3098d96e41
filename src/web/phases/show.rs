//! A phase: its hold point, its cautions, its progress, and all its steps.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

use super::assign::Assign;
use super::handover::HandoverPiece;
use super::head::{PageNotes, PhaseHead, title_block};
use super::power_up_test;
use super::tally::TallyPiece;
use super::thing::{self, Group};
use crate::drawing::part::DrawnPart;
use crate::drawing::svg::Drawing;
use crate::job::phase::Phase;
use crate::job::point;
use crate::job::step::StepKey;
use crate::job::subject::SubjectKind;
use crate::store::JobId;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{TitleBlock, html};
use crate::web::kit::paging::Paging;
use crate::web::kit::{AppState, Error};
use crate::web::parts::bench::Bench;
use crate::web::parts::measured::TypedReading;
use crate::web::parts::place::phase_page;
use crate::web::parts::pulls::PullPiece;
use crate::web::parts::step::Refused;
use crate::web::parts::workings::WorkingPiece;

#[derive(Template)]
#[template(path = "phases/phase.html")]
struct Page {
    title_block: TitleBlock,
    head: PhaseHead,
    groups: Vec<Group>,
    panels: Vec<Drawing>,
    assign: Option<Assign>,
    tally: Option<TallyPiece>,
    /// The supplies for tying down the whole boat, with how the supports were counted.
    takes: Vec<String>,
    supports: Option<WorkingPiece>,
    /// The order in which runs and cables are pulled.
    pulls: Vec<PullPiece>,
    /// What holds the handover.
    handover: Option<HandoverPiece>,
    paging: Paging,
}

/// A phase of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path((job, phase)): Path<(JobId, String)>,
) -> Result<Response, Error> {
    let phase = phase.parse().map_err(|_| Error::NotFound("phase"))?;
    let job = Opened::load(&app, job).await?;
    page(frame, &job, phase, PageNotes::default()).map(IntoResponse::into_response)
}

/// The page of a phase with a refusal at the top.
pub fn with_refusal(
    frame: Frame,
    job: &Opened,
    step: &StepKey,
    status: StatusCode,
    why: String,
) -> Result<Response, Error> {
    let (frame, phase) = at_step(frame, job, step);
    let page = page(frame, job, phase, PageNotes { refusal: Some(why), ..PageNotes::default() })?;
    Ok((status, page).into_response())
}

/// The page of a phase with a refused reason beside its step.
pub fn with_refused_reason(frame: Frame, job: &Opened, refused: &Refused) -> Result<Response, Error> {
    let (frame, phase) = at_step(frame, job, &refused.step);
    let page = page(frame, job, phase, PageNotes { reason: Some(refused), ..PageNotes::default() })?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

/// The page of a phase with a measurement that was refused.
pub fn with_typed(
    frame: Frame,
    job: &Opened,
    step: &StepKey,
    status: StatusCode,
    typed: TypedReading,
) -> Result<Response, Error> {
    let (frame, phase) = at_step(frame, job, step);
    let page = page(frame, job, phase, PageNotes { typed, ..PageNotes::default() })?;
    Ok((status, page).into_response())
}

/// The frame of the page that has a step, as if that page was requested.
fn at_step(frame: Frame, job: &Opened, step: &StepKey) -> (Frame, Phase) {
    (Frame { path: phase_page(&job.href(), step), ..frame }, step.action.phase())
}

fn page(
    frame: Frame,
    job: &Opened,
    phase: Phase,
    said: PageNotes<'_>,
) -> Result<axum::response::Html<String>, Error> {
    if phase == Phase::PowerUpTest {
        return power_up_test::page(frame, job, said);
    }
    let bench = Bench::new(&frame, job, frame.path.clone()).refused(said.reason);
    let head = PhaseHead::new(&bench, phase, said.refusal);
    let (groups, of_groups) = thing::groups(&bench, phase, &said.typed);
    let panels = if phase == Phase::Switches { panels(job) } else { Vec::new() };
    let assign = if phase == Phase::Switches { Assign::of(&frame, job) } else { None };
    let (assign, of_assign) = assign.unzip();
    let tally = (phase == Phase::Terminations).then(|| TallyPiece::of(job, frame.length_unit()));
    let counts = Some(&job.report.materials.tie_down).filter(|_| phase == Phase::TieDown);
    let takes = counts.map_or_else(Vec::new, |counts| thing::takes(job, counts));
    let supports = counts
        .filter(|counts| counts.supports > 0)
        .map(|counts| WorkingPiece::new(&counts.working(SubjectKind::Circuit), job.units));
    let (pulls, of_pulls) = (phase == Phase::Runs).then(|| PullPiece::shown(job, &frame)).unzip();
    let paging = [of_assign, of_pulls].into_iter().flatten().fold(of_groups, Paging::longer);
    let handover = (phase == Phase::Setup).then(|| HandoverPiece::of(&bench));
    let title_block = title_block(frame.clone(), job, phase);
    html(&Page {
        title_block,
        head,
        groups,
        panels,
        assign,
        tally,
        takes,
        supports,
        pulls: pulls.unwrap_or_default(),
        handover,
        paging,
    })
}

/// The switch panels as they will look.
fn panels(job: &Opened) -> Vec<Drawing> {
    let address = |part: DrawnPart<'_>| match part {
        DrawnPart::Circuit(id) => Some(format!("{}/circuits/{id}", job.href())),
        DrawnPart::Position(panel, number) => Some(format!("#step-position-{panel}-{number}-wire")),
        _ => None,
    };
    let panels = job.plan.points.iter().filter(|point| point.body.kind() == point::PointKind::SwitchPanel);
    panels.filter_map(|point| crate::drawing::panel::draw(&job.plan, &point.id, &address)).collect()
}
