//! Taking back a reading, a pull, a note, a repair or a release: it stays on record and counts no more.

use askama::Template;
use askama::filters::HtmlSafe;
use axum::extract::{Path, State};
use axum::response::Redirect;
use uuid::Uuid;

use crate::job::event::{Mark, Tick, Withdrawal};
use crate::job::meter::Outcome;
use crate::job::progress;
use crate::job::step::StepKey;
use crate::job::value::Name;
use crate::shop::role::Action;
use crate::store::{JobId, record};
use crate::web::form::Form;
use crate::web::job::Opened;
use crate::web::page::Frame;
use crate::web::phases::{Proof, once, test_of};
use crate::web::user::CurrentUser;
use crate::web::{AppState, Error, back};

/// The button that takes a record back, right beside it.
#[derive(Debug, Clone, Template)]
#[template(path = "hand/take_back.html")]
pub struct TakeBack {
    id: Uuid,
    event: Uuid,
    action: String,
    back: String,
    what: String,
    onward: bool,
}

impl HtmlSafe for TakeBack {}

impl TakeBack {
    /// The button for a record of this id that somebody made; `None` where the user may not take it back.
    pub fn new(frame: &Frame, job: &Opened, (id, by): (Uuid, &str), back: &str, what: &str) -> Option<Self> {
        may(frame, by).then(|| Self {
            id,
            event: Uuid::now_v7(),
            action: format!("{}/withdrawals", job.href()),
            back: back.to_owned(),
            what: what.to_owned(),
            onward: false,
        })
    }

    /// The same button, after which more of the page is another than what stands around it.
    pub fn onward(self) -> Self {
        Self { onward: true, ..self }
    }
}

/// Whether the user may take back what somebody wrote down: their own, or anybody's as a technician.
fn may(frame: &Frame, by: &str) -> bool {
    let own = frame.user.as_ref().is_some_and(|user| user.name().as_str() == by);
    frame.may(Action::Release) || (own && frame.may(Action::Tick))
}

/// Takes something back.
pub async fn take_back(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    form: Form,
) -> Result<Redirect, Error> {
    let (id, event) = (once::event(&form, "event")?, once::event(&form, "of")?);
    let job = Opened::load(&app, job).await?;
    let back = Redirect::to(back::path(form.typed("back")));
    if job.history.withdrawals.iter().any(|withdrawal| withdrawal.event == event) {
        return Ok(back);
    }
    let by = author(&app, &job, event).await?;
    if !may(&frame, by.as_str()) {
        return Err(Error::NotAllowed("technician"));
    }
    if let Some(why) = rests_on(&job, event) {
        return Err(Error::Conflict(why));
    }
    if let Some(circuit) = proven_by(&job, event) {
        return Err(Error::Conflict(format!(
            "{circuit} is ticked as passed on the strength of its readings. Take that tick back first."
        )));
    }
    let withdrawal = Withdrawal { id, event, by: user.name().clone(), at: job.moment(app.now()) };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let new = record::add(&mut write, job.id, &withdrawal).await?;
    if let Some(step) = closed_by(&job, event).filter(|_| new) {
        record::add(&mut write, job.id, &undone(step, &withdrawal)).await?;
    }
    write.commit().await?;
    Ok(back)
}

/// Who wrote down what is to be taken back.
async fn author(app: &AppState, job: &Opened, event: Uuid) -> Result<Name, Error> {
    let history = record::history(&mut *app.store().read().await?, job.id).await?;
    let readings = history.readings.iter().map(|reading| (reading.id, &reading.by));
    let of_steps = history.step_readings.iter().map(|reading| (reading.id, &reading.by));
    let repairs = history.repairs.iter().map(|repair| (repair.id, &repair.by));
    let pulls = history.crimp_pulls.iter().map(|pull| (pull.id, &pull.by));
    let notes = history.end_notes.iter().map(|note| (note.id, &note.by));
    let releases = history.releases.iter().map(|release| (release.id, &release.by));
    let mut all = releases.chain(readings).chain(of_steps).chain(repairs).chain(pulls).chain(notes);
    let found = all.find(|(id, _)| *id == event);
    found.map(|(_, by)| by.clone()).ok_or(Error::NotFound("record"))
}

/// Why a release is not taken back yet: the step that it let pass is done on the strength of it.
fn rests_on(job: &Opened, event: Uuid) -> Option<String> {
    let release = job.history.releases.iter().find(|release| release.id == event)?;
    let key: StepKey = release.obstacle.parse().ok()?;
    let step = job.steps.get(&key)?;
    let done = job.progress().state(&key) == progress::State::Done;
    done.then(|| {
        format!("{} is done on the strength of that release. Take that tick back first.", step.about)
    })
}

/// The circuit that is ticked as passed and whose reading this is.
fn proven_by(job: &Opened, event: Uuid) -> Option<String> {
    let reading = job.history.readings.iter().find(|reading| reading.id == event)?;
    let circuit = job.plan.circuit(&reading.circuit)?;
    let closed = job.progress().state(&test_of(circuit)).is_closed();
    closed.then(|| format!("{} {}", circuit.id, circuit.name))
}

/// The step that was closed on the strength of this measurement of it, and that no other one bears out.
fn closed_by(job: &Opened, event: Uuid) -> Option<StepKey> {
    let of_steps = &job.history.step_readings;
    let step = &of_steps.iter().find(|reading| reading.id == event)?.step;
    let others = of_steps.iter().filter(|other| other.step == *step && other.id != event);
    let latest = others.max_by_key(|other| (other.at, other.id));
    let borne_out = latest.is_some_and(|other| Proof::of(job).judge_step(other).outcome == Outcome::Pass);
    (job.progress().state(step) == progress::State::Done && !borne_out).then(|| step.clone())
}

/// The tick that opens a step again when its measurement is taken back.
fn undone(step: StepKey, withdrawal: &Withdrawal) -> Tick {
    let (by, at) = (withdrawal.by.clone(), withdrawal.at);
    Tick { id: Uuid::now_v7(), step, mark: Mark::Undone, reason: None, by, at }
}
