//! Adds parts to a board, moves and removes them, and proposes a layout.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};

use super::show::refused;
use crate::job::board::parts;
use crate::job::board::{Corner, Mounting};
use crate::job::plan::Device;
use crate::job::point::Point;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::BoardId;
use crate::store::{ChangeSet, JobId};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};
use crate::web::parts::corner::corner;

/// Puts a part on the board and sets its position. Without distances it has no position.
pub async fn part(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, board)): Path<(JobId, BoardId)>,
    mut form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let subject: Subject = form.required("part").ok_or(Error::NotFound("part"))?;
    let known = parts::mountable(&job.plan).any(|thing| thing.subject == subject);
    job.plan.board(&board).filter(|_| known).ok_or(Error::NotFound("part"))?;
    let at = corner(&mut form, &subject.id);
    if form.sound().is_none() {
        return refused(frame, &job, &board, form);
    }
    let mounting = (!form.flag("off")).then(|| Mounting { board: board.clone(), at });
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let mut change = ChangeSet::begin(&mut write, job.id).await?;
    mount(&mut change, &subject, mounting)?;
    change.commit().await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("{}/boards/{board}", job.href())).into_response())
}

/// Proposes positions for parts without one. A part with a position stays there.
pub async fn propose(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, BoardId)>,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let board = job.plan.board(&id).cloned().ok_or(Error::NotFound("board"))?;
    let plan = job.plan.clone();
    let lay = move || {
        let on = parts::on(&plan, &board.id);
        parts::proposed(&board, &on)
            .map(|spots| spots.into_iter().map(|(part, at)| (part.subject.clone(), at)).collect())
    };
    let found: Option<Vec<(Subject, Corner)>> =
        app.line().run(job.load, lay).await.map_err(Error::internal)?;
    let Some(spots) = found else {
        let words = "No layout was found for the parts without a position. The board’s findings say why.";
        return Err(Error::Conflict(words.to_owned()));
    };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let mut change = ChangeSet::begin(&mut write, job.id).await?;
    for (subject, at) in spots {
        mount(&mut change, &subject, Some(Mounting { board: id.clone(), at: Some(at) }))?;
    }
    change.commit().await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("{}/boards/{id}", job.href())).into_response())
}

/// Changes only where a part is mounted.
fn mount(change: &mut ChangeSet<'_>, subject: &Subject, mounting: Option<Mounting>) -> Result<(), Error> {
    let id = subject.id.clone();
    let unknown = |_| Error::NotFound("part");
    if subject.kind == SubjectKind::Point {
        change.alter(&id.try_into().map_err(unknown)?, |point| Point { mounting, ..point })?;
    } else {
        change.alter(&id.try_into().map_err(unknown)?, |device| Device { mounting, ..device })?;
    }
    Ok(())
}
