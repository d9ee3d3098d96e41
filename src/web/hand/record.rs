//! Records the pull force of a sample crimp at an end.

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

use super::end::TypedEnd;
use super::find::WiresQuery;
use super::held::HeldWire;
use super::wire;
use crate::job::event::CrimpPull;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::Name;
use crate::store::{JobId, record};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::origin::Origin;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, once};
use crate::web::parts::labels;

/// Records the pull force of a sample crimp.
pub async fn pull(
    frame: Frame,
    user: CurrentUser,
    origin: Origin,
    State(app): State<AppState>,
    Path(path): Path<(JobId, String, String)>,
    mut form: Form,
) -> Result<Response, Error> {
    let (job, end) = open(&app, path).await?;
    let id = once::event(&form, "event")?;
    let back = back::path(form.typed("back")).to_owned();
    let at = once::when(&form, &job, app.now());
    let force = form.required("force_n");
    let note = form.optional("note");
    let (Some(()), Some(force_n)) = (form.sound(), force) else {
        return refused(&app, frame, &origin, &job, end, form).await;
    };
    let pull = CrimpPull { id, end, force_n, note, by: user.name().clone(), at };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    record::add(&mut write, job.id, &pull).await?;
    write.commit().await?;
    Ok(Redirect::to(&back).into_response())
}

/// The job, and the end in an address, if sample crimps are recorded there: a cable's end has a connector.
async fn open(app: &AppState, (job, id, side): (JobId, String, String)) -> Result<(Opened, Name), Error> {
    let job = Opened::load(app, job).await?;
    let end = job.pieces().get(&id).filter(|piece| piece.cable().is_none()).and_then(|piece| {
        let [near, far] = piece.ends();
        match side.as_str() {
            "a" => Some(near.id),
            "b" => Some(far.id),
            _ => None,
        }
    });
    let name = end.and_then(|end| end.parse().ok()).ok_or(Error::NotFound("end"))?;
    Ok((job, name))
}

/// The page of the end with the form as it was filled in, and the error.
async fn refused(
    app: &AppState,
    frame: Frame,
    origin: &Origin,
    job: &Opened,
    end: Name,
    form: Form,
) -> Result<Response, Error> {
    let (piece, held) =
        job.pieces().about(&Subject::new(SubjectKind::End, &end)).ok_or(Error::NotFound("end"))?;
    let hand = HeldWire { piece, end: held };
    let typed = TypedEnd { end: end.to_string(), form };
    let labels = labels::usual(app, job).await?;
    let page = wire::page(frame, origin, job, &labels, hand, &WiresQuery::default(), &typed)?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}
