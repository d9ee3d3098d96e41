//! A tick: one person marks one step done, undone or not needed.

use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use jiff::Timestamp;
use uuid::Uuid;

use super::{release, show};
use crate::job::event::{History, Mark, Seen, Tick};
use crate::job::step::StepKey;
use crate::job::value::Prose;
use crate::job::work::{Refusal, Who, Work};
use crate::store::JobId;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, guard, keep, once, seen};
use crate::web::parts::bench::{self, Bench};
use crate::web::parts::step::Refused;

/// What a form sent.
struct Asked {
    id: Uuid,
    at: Timestamp,
    step: StepKey,
    mark: Mark,
    seen: Seen,
    back: String,
}

/// Marks a step, or answers with the page and the reason of the refusal.
pub async fn mark(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    headers: HeaderMap,
    mut form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let at = once::when(&form, &job, app.now());
    let asked = asked(&mut form, &job, at)?;
    let was_kept = once::was_kept(&form);
    // A step that the plan had when a tablet kept its tick is a stray one.
    if job.steps.get(&asked.step).is_none() && !was_kept {
        return Err(Error::NotFound("step"));
    }
    if said_before(&job.history, &asked) {
        return Ok(Redirect::to(&asked.back).into_response());
    }
    let who = bench::who(&frame).ok_or(Error::NotAllowed("apprentice"))?;
    let bench = Bench::new(&frame, &job, String::new());
    if let Err(Refusal::Needs(by)) = bench.work.may(&asked.step, asked.mark, who, user.name().as_str()) {
        return Err(needs(by));
    }
    let by = Work::marked_by(asked.step.action, asked.mark);
    user.access().may_accept(by, frame.job).map_err(|refused| guard::error(refused, &headers))?;
    let refusal = why_not(&bench, &asked, who).filter(|_| !was_kept);
    if let Some(why) = refusal {
        return show::with_refusal(frame, &job, &asked.step, StatusCode::CONFLICT, why);
    }
    let needs_reason = !was_kept && is_doubted(&bench, &asked);
    let Some(reason) = reason(&mut form, asked.mark, needs_reason) else {
        let text = form.error("reason").unwrap_or("Required.").to_owned();
        let typed = form.typed("reason").to_owned();
        let refused = Refused { step: asked.step, mark: asked.mark, typed, text };
        return show::with_refused_reason(frame, &job, &refused);
    };
    let tick = Tick {
        id: asked.id,
        step: asked.step.clone(),
        mark: asked.mark,
        reason,
        by: user.name().clone(),
        seen: asked.seen.clone(),
        at: asked.at,
    };
    let allows =
        |work: &Work<'_>| was_kept || work.may(&asked.step, asked.mark, who, user.name().as_str()).is_ok();
    if keep::allowed(&app, &user, &job, (&tick, None), allows).await? {
        return Ok(Redirect::to(&asked.back).into_response());
    }
    let job = Opened::load(&app, job.id).await?;
    let why = why_not(&Bench::new(&frame, &job, String::new()), &asked, who).unwrap_or_default();
    show::with_refusal(frame, &job, &asked.step, StatusCode::CONFLICT, why)
}

/// Whether this same tick is already stored: the form was sent twice.
fn said_before(history: &History, asked: &Asked) -> bool {
    let same = |tick: &&Tick| tick.id == asked.id && tick.step == asked.step && tick.mark == asked.mark;
    history.ticks.iter().any(|tick| same(&tick))
}

/// Why the step cannot get this mark now: it is on hold.
fn why_not(bench: &Bench<'_>, asked: &Asked, who: Who) -> Option<String> {
    let step = bench.job.steps.get(&asked.step)?;
    let may = bench.work.may(&asked.step, asked.mark, who, bench.name());
    let Err(Refusal::OnHold(holds)) = may else { return None };
    Some(format!("{}: {}", step.about, bench.words(&holds)?))
}

/// The error for a mark that needs another role.
fn needs(by: Who) -> Error {
    match by {
        Who::Nobody | Who::Judge => Error::Conflict("Nobody can mark this step as not needed.".to_owned()),
        by => Error::NotAllowed(release::role(by)),
    }
}

fn asked(form: &mut Form, job: &Opened, at: Timestamp) -> Result<Asked, Error> {
    let unread = || Error::BadRequest("The form did not name the step or its status.".to_owned());
    let id = once::event(form, "event")?;
    let step = form.required("step").ok_or_else(unread)?;
    let mark = form.required_choice("mark").ok_or_else(unread)?;
    let seen = seen::read(form, job, &step)?;
    Ok(Asked { id, at, step, mark, seen, back: back::path(form.typed("back")).to_owned() })
}

/// Whether the measurement deserves a look, so that the person who passes it must give a reason.
fn is_doubted(bench: &Bench<'_>, asked: &Asked) -> bool {
    asked.mark == Mark::Done
        && bench.job.steps.get(&asked.step).is_some_and(|step| bench.work.doubt(&step.key).is_some())
}

/// The reason for the mark; `None` if one is needed and was refused.
fn reason(form: &mut Form, mark: Mark, is_doubted: bool) -> Option<Option<Prose>> {
    match mark {
        Mark::Done if !is_doubted => {
            let reason = form.optional("reason");
            form.sound().map(|()| reason)
        }
        Mark::NotNeeded | Mark::Done => form.required("reason").map(Some),
        Mark::Undone => Some(None),
    }
}
