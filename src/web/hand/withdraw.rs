//! Undoes a reading, a pull, a note, a repair or a release. The record stays in the log and no longer counts.

use axum::extract::{Path, State};
use axum::response::Redirect;
use uuid::Uuid;

use crate::job::event::{History, Tick, Withdrawal};
use crate::job::record::{Record, RecordVisitor, visit};
use crate::job::value::Name;
use crate::store::{JobId, record};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, once};
use crate::web::parts::undo_button::may;

/// Undoes a record.
pub async fn withdraw(
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
    let withdrawal = Withdrawal { id, event, by: user.name().clone(), at: job.moment(app.now()) };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    record::add(&mut write, job.id, &withdrawal).await?;
    write.commit().await?;
    Ok(back)
}

/// Who made the record to undo. A tick is undone by another tick.
async fn author(app: &AppState, job: &Opened, event: Uuid) -> Result<Name, Error> {
    let history = record::history(&mut *app.store().read().await?, job.id).await?;
    let mut search = Author { history: &history, event, by: None };
    visit(&mut search);
    search.by.ok_or(Error::NotFound("record"))
}

struct Author<'a> {
    history: &'a History,
    event: Uuid,
    by: Option<Name>,
}

impl RecordVisitor for Author<'_> {
    fn visit<R: Record>(&mut self) {
        let undone_otherwise = [Tick::KIND, Withdrawal::KIND].contains(&R::KIND);
        let found = R::list(self.history).iter().find(|record| record.id() == self.event);
        self.by = self.by.take().or(found.filter(|_| !undone_otherwise).map(|record| record.by().clone()));
    }
}
