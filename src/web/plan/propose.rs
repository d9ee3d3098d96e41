//! A proposed plan: the boat form and the wishes, what they would change, and the change itself.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

use super::proposal_form::{self, WISHES};
use super::proposal_rows::{Group, groups};
use super::refusal;
use crate::job::kind::Catalog;
use crate::job::plan::ProposalRequest;
use crate::job::propose::{LeftOut, Present, Proposal, ProposeError, Said, propose_for};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::supposed::to_measure;
use crate::shop::role::Permission;
use crate::store::{ChangeSet, JobId, item};
use crate::trade::finding::Level;
use crate::web::kit::field::Field;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

const MEANWHILE: &str = "The plan changed after this proposal was shown. Show it again, then take it.";

#[derive(Template)]
#[template(path = "plan/propose.html")]
struct Page {
    title_block: TitleBlock,
    href: String,
    may_plan: bool,
    /// Whether the plan has things already.
    has_plan: bool,
    revision: i64,
    form: Form,
    fields: Vec<Field>,
    shown: Option<Shown>,
}

/// A proposal as the page shows it.
struct Shown {
    groups: Vec<Group>,
    changes: usize,
    left_out: Vec<LeftOut>,
    said: Vec<Said>,
    to_measure: usize,
    counts: [usize; 3],
    findings: Vec<(&'static str, String)>,
}

/// The page with the boat form.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let form = proposal_form::filled(&job.plan, frame.length_unit());
    html(&Page::of(frame, &job, form, None))
}

/// Shows the proposal, or takes it as one change.
pub async fn submit(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let Some(request) = proposal_form::read(&mut form, &job.plan, frame.length_unit()) else {
        return page(frame, &job, form, None);
    };
    let gone = gone(&app, job.id).await?;
    let proposal = match made(&job, request, gone).await? {
        Ok(proposal) => proposal,
        Err(error) => {
            form.refuse(WISHES, format!("No plan is proposed: {error}."));
            return page(frame, &job, form, None);
        }
    };
    if form.typed("act") != "take" {
        return page(frame, &job, form, Some(proposal));
    }
    if form.typed("revision") != job.revision().to_string() {
        form.refuse("", MEANWHILE);
        return page(frame, &job, form, Some(proposal));
    }
    if take(&app, &user, &job, &proposal, &mut form).await? {
        return Ok(Redirect::to(&format!("{}{}", job.href(), Tab::Measure.path())).into_response());
    }
    page(frame, &job, form, Some(proposal))
}

/// The ids of everything that was removed from the plan.
async fn gone(app: &AppState, job: JobId) -> Result<Vec<Subject>, Error> {
    let mut read = app.store().read().await?;
    let mut gone = Vec::new();
    for kind in [SubjectKind::Device, SubjectKind::Point, SubjectKind::Circuit, SubjectKind::Feeder] {
        let ids = item::removed_ids(&mut read, job, kind).await?;
        gone.extend(ids.into_iter().map(|id| Subject::new(kind, id)));
    }
    Ok(gone)
}

/// Makes the proposal on a thread of its own: it takes as long as several checks of the plan.
async fn made(
    job: &Opened,
    request: ProposalRequest,
    gone: Vec<Subject>,
) -> Result<Result<Proposal, ProposeError>, Error> {
    let plan = job.plan.clone();
    let make = move || propose_for(&request, Catalog::built_in(), Some(Present { plan: &plan, gone: &gone }));
    tokio::task::spawn_blocking(make).await.map_err(Error::internal)
}

/// Takes a proposal as one change; whether it was taken.
async fn take(
    app: &AppState,
    user: &CurrentUser,
    job: &Opened,
    proposal: &Proposal,
    form: &mut Form,
) -> Result<bool, Error> {
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    if !job.is_current(&mut write).await? {
        form.refuse("", MEANWHILE);
        return Ok(false);
    }
    let mut change = ChangeSet::begin(&mut write, job.id).await?;
    change.become_plan(&proposal.plan)?;
    if let Err(error) = change.commit().await {
        refusal::put(form, error, job, |_| Some(WISHES.to_owned()))?;
        return Ok(false);
    }
    write.commit().await?;
    Ok(true)
}

fn page(frame: Frame, job: &Opened, form: Form, proposal: Option<Proposal>) -> Result<Response, Error> {
    let status = if form.sound().is_some() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, html(&Page::of(frame, job, form, proposal))?).into_response())
}

impl Page {
    fn of(frame: Frame, job: &Opened, mut form: Form, proposal: Option<Proposal>) -> Self {
        form.label_errors(proposal_form::label);
        let form = form.refused_as("Nothing taken");
        let units = frame.length_unit();
        Self {
            href: job.href(),
            may_plan: frame.may(Permission::Plan) && frame.not_open().is_none(),
            has_plan: !job.plan.locations.is_empty(),
            revision: job.revision(),
            fields: proposal_form::fields(&form, units),
            shown: proposal.map(|proposal| Shown::of(job, proposal, units)),
            form,
            title_block: job.title_block(frame, Tab::Proposal),
        }
    }
}

impl Shown {
    fn of(job: &Opened, proposal: Proposal, lengths: LengthUnit) -> Self {
        let units = lengths.units();
        let groups = groups(&job.plan, &proposal, lengths);
        let findings = &proposal.report.findings;
        let count = |level| findings.iter().filter(|finding| finding.level == level).count();
        let wrong = findings.iter().filter(|finding| finding.level > Level::Note);
        Self {
            changes: groups.iter().map(|group| group.rows.len()).sum(),
            groups,
            to_measure: to_measure(&proposal.plan).len(),
            counts: [count(Level::Stop), count(Level::Fix), count(Level::Note)],
            findings: wrong.map(|finding| (finding.level.word(), finding.line().text(units))).collect(),
            left_out: proposal.left_out,
            said: proposal.said,
        }
    }
}
