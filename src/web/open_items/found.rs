//! "Found something": adds an open item on any thing, with a photo if there is one.

use askama::Template;
use axum::extract::{FromRequest, Multipart, Path, Query, Request, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use uuid::Uuid;

use crate::job::called;
use crate::job::open_item::{Acts, OpenItem, Severity};
use crate::job::plan::item;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::Prose;
use crate::store::{JobId, photos, record};
use crate::trade::say::capital;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error, back, once, pictures};

#[derive(Template)]
#[template(path = "open_items/new.html")]
struct Page {
    title_block: TitleBlock,
    action: String,
    back: String,
    event: Uuid,
    /// The thing, with its name; without one the form has a list of all things.
    thing: Option<(String, String)>,
    things: Vec<(String, String)>,
    severities: Vec<(&'static str, String)>,
    acts: Vec<(&'static str, String)>,
    form: Form,
}

/// What the address asks for.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    thing: String,
    back: String,
}

/// The form.
///
/// # Errors
/// [`Error::NotFound`] if the job does not have the thing.
pub async fn ask(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Query(asked): Query<Asked>,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let form = Form::filled([("thing", asked.thing.as_str()), ("back", &asked.back)]);
    page(frame, &job, form)
}

/// Adds an open item, or answers with the form and its errors.
///
/// # Errors
/// [`Error::NotFound`] if the job does not have the thing. [`Error::BadRequest`]: the file is not a picture.
pub async fn add(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    request: Request,
) -> Result<Response, Error> {
    let sending = app.pictures().send(user.person().id).await?;
    let (mut form, photo) = match received(request).await {
        Ok(received) => received,
        Err(refused) => return Ok(refused),
    };
    let job = Opened::load(&app, job).await?;
    let id = once::event(&form, "event")?;
    let at = once::when(&form, &job, app.now());
    let back = onward(&job, &form);
    let (thing, found) = (form.required::<Subject>("thing"), form.required::<Prose>("found"));
    let (severity, acts) =
        (form.required_choice::<Severity>("severity"), form.required_choice::<Acts>("acts"));
    let (Some(()), Some(thing), Some(found), Some(severity), Some(acts)) =
        (form.sound(), thing, found, severity, acts)
    else {
        let page = page(frame, &job, form)?;
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    if !job.has(&thing) {
        return Err(Error::NotFound("thing"));
    }
    let picture = match photo {
        Some(photo) => Some(sending.decode(photo).await?),
        None => None,
    };
    drop(sending);
    let item = OpenItem { id, thing: thing.into(), found, severity, acts, by: user.name().clone(), at };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let is_new = record::add(&mut write, job.id, &item).await?;
    if let Some(picture) = picture.filter(|_| is_new) {
        let of = Subject::new(SubjectKind::OpenItem, id);
        photos::add(&mut write, app.store().folder(), job.id, &of, &picture).await?;
    }
    write.commit().await?;
    Ok(Redirect::to(&back).into_response())
}

/// The fields of the form, and the photo. A tablet that kept the form without network sends it without a photo.
async fn received(request: Request) -> Result<(Form, Option<Vec<u8>>), Response> {
    let kind = request.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
    if !kind.is_some_and(|kind| kind.starts_with("multipart/")) {
        return Form::from_request(request, &()).await.map(|form| (form, None));
    }
    let mut sent = Multipart::from_request(request, &()).await.map_err(IntoResponse::into_response)?;
    let (mut pairs, mut photo) = (Vec::new(), None);
    while let Some(field) = sent.next_field().await.map_err(IntoResponse::into_response)? {
        let name = field.name().unwrap_or_default().to_owned();
        if name == "photo" {
            let file = pictures::file(field).await.map_err(IntoResponse::into_response)?;
            photo = (!file.is_empty()).then_some(file);
        } else {
            pairs.push((name, field.text().await.map_err(IntoResponse::into_response)?));
        }
    }
    let form = Form::filled(pairs.iter().map(|(name, value)| (name.as_str(), value.as_str())));
    Ok((form, photo))
}

/// The page that the user came from, or the list of open items.
fn onward(job: &Opened, form: &Form) -> String {
    match form.typed("back") {
        "" => format!("{}/open-items", job.href()),
        from => back::path(from).to_owned(),
    }
}

fn page(frame: Frame, job: &Opened, mut form: Form) -> Result<Response, Error> {
    let thing = match form.typed("thing").parse::<Subject>() {
        Ok(thing) if !job.has(&thing) => return Err(Error::NotFound("thing")),
        Ok(thing) => Some((thing.to_string(), called::thing(job, &thing))),
        Err(_) => None,
    };
    for (field, usual) in [("severity", Severity::Should.word()), ("acts", Acts::Technician.word())] {
        if form.typed(field).is_empty() {
            form.put(field, Some(usual));
        }
    }
    let page = Page {
        action: format!("{}/open-items", job.href()),
        back: onward(job, &form),
        event: Uuid::now_v7(),
        things: if thing.is_some() { Vec::new() } else { things(job) },
        thing,
        severities: Severity::ALL
            .map(|one| (one.word(), format!("{}: {}", capital(one.word()), one.holds())))
            .to_vec(),
        acts: Acts::ALL.map(|one| (one.word(), capital(one.word()))).to_vec(),
        title_block: job.title_block(frame, Tab::OpenItems),
        form,
    };
    html(&page).map(IntoResponse::into_response)
}

/// How many things the list of the form has at most.
const MOST: usize = 300;

/// The boat and the items of its plan, to choose from.
fn things(job: &Opened) -> Vec<(String, String)> {
    let boat = Subject::new(SubjectKind::Job, "job");
    let items = item::subjects(&job.plan).into_iter().filter(|item| item.kind != SubjectKind::Proposed);
    let all = std::iter::once(boat).chain(items);
    all.take(MOST).map(|thing| (thing.to_string(), called::thing(job, &thing))).collect()
}
