//! Job files: a new job from a file, and a job as a file.

use askama::Template;
use axum::extract::multipart::{Field, MultipartError};
use axum::extract::{Multipart, Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

use crate::job::file::{FileError, JobFile, LIMIT};
use crate::store::job_size::JobSize;
use crate::store::{self, JobId, file};
use crate::trade::say::capital;
use crate::web::kit::download::{Kind, download};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::line::{For, Load};
use crate::web::kit::page::{TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

/// The longest body that is read to its end. A body that is too large must be read so that the answer arrives.
/// No more than [`LIMIT`] of it is kept.
pub const BODY_LIMIT: usize = 64 * 1024 * 1024;

#[derive(Template)]
#[template(path = "plan/file.html")]
struct Page {
    title_block: TitleBlock,
    form: Form,
    faults: Vec<Fault>,
}

/// One fault of a file.
#[derive(Debug, PartialEq, Eq)]
struct Fault {
    location: String,
    text: String,
}

impl Page {
    fn new(frame: Frame, form: Form, faults: Vec<Fault>) -> Self {
        Self { title_block: frame.title_block("Job file").help("job-file"), form, faults }
    }
}

/// The page to import a job file.
pub async fn blank(frame: Frame) -> Result<Html<String>, Error> {
    html(&Page::new(frame, Form::default(), Vec::new()))
}

/// Makes a new job from a file. A file with any fault changes nothing.
pub async fn import(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    sent: Multipart,
) -> Result<Response, Error> {
    let sent = received(sent).await?;
    if sent.bytes().is_empty() {
        let mut form = Form::default();
        form.refuse("file", "Choose a file, or paste its text below.");
        return refused(StatusCode::UNPROCESSABLE_ENTITY, &Page::new(frame, form, Vec::new()));
    }
    let size = i64::try_from(sent.bytes().len()).unwrap_or(i64::MAX);
    let (line, importer) = (app.line().clone(), For::Importer(user.person().id));
    let work = imported(app, user, sent);
    let (sent, made) = match Load::from(JobSize { plan: size, records: 0 }) {
        Load::Light => work.await,
        Load::Heavy => line.page(importer, work).await?,
    };
    let faults = match made? {
        Ok(job) => return Ok(Redirect::to(&format!("/jobs/{job}")).into_response()),
        Err(faults) => faults,
    };
    if sent.is_too_large() {
        // The kept part of the file is incomplete, so it is not sent back.
        return refused(StatusCode::PAYLOAD_TOO_LARGE, &Page::new(frame, Form::default(), faults));
    }
    let form = Form::filled([("text", sent.pasted.as_str())]);
    refused(StatusCode::UNPROCESSABLE_ENTITY, &Page::new(frame, form, faults))
}

/// Reads what was sent and stores it as a new job, or says its faults.
async fn imported(
    app: AppState,
    user: CurrentUser,
    sent: Sent,
) -> (Sent, Result<Result<JobId, Vec<Fault>>, Error>) {
    let job = match JobFile::read(sent.bytes()) {
        Ok(job) => job,
        Err(error) => return (sent, Ok(Err(of_file(error)))),
    };
    let made = stored(&app, &user, &job).await;
    (sent, made)
}

async fn stored(
    app: &AppState,
    user: &CurrentUser,
    job: &JobFile,
) -> Result<Result<JobId, Vec<Fault>>, Error> {
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    match file::import(&mut write, job).await {
        Ok(job) => {
            write.commit().await?;
            Ok(Ok(job))
        }
        Err(store::Error::Faults(faults)) => Ok(Err(faults.into_iter().map(Fault::from).collect())),
        Err(error) => Err(error.into()),
    }
}

fn refused(status: StatusCode, page: &Page) -> Result<Response, Error> {
    Ok((status, html(page)?).into_response())
}

/// Sends a job as a job file.
pub async fn export(State(app): State<AppState>, Path(job): Path<JobId>) -> Result<Response, Error> {
    let file = file::export(&mut *app.store().read().await?, job).await?;
    Ok(download(Kind::Json, file.plan.boat.name.as_str(), job, "", file.write()))
}

/// What was sent: a file or a pasted text. If both were sent, the file counts.
#[derive(Default)]
struct Sent {
    file: Vec<u8>,
    pasted: String,
}

impl Sent {
    fn bytes(&self) -> &[u8] {
        if self.file.is_empty() { self.pasted.as_bytes() } else { &self.file }
    }

    fn is_too_large(&self) -> bool {
        self.bytes().len() > LIMIT
    }
}

async fn received(mut sent: Multipart) -> Result<Sent, MultipartError> {
    let mut received = Sent::default();
    while let Some(field) = sent.next_field().await? {
        match field.name() {
            Some("file") => received.file = at_most_a_job(field).await?,
            // A text area sends line ends with carriage returns, which JSON allows.
            Some("text") => {
                received.pasted = String::from_utf8_lossy(&at_most_a_job(field).await?).into_owned()
            }
            _ => {}
        }
    }
    Ok(received)
}

/// Reads a field to its end and keeps at most one byte more than a job file may have.
async fn at_most_a_job(mut field: Field<'_>) -> Result<Vec<u8>, MultipartError> {
    let mut kept = Vec::new();
    while let Some(chunk) = field.chunk().await? {
        let room = (LIMIT + 1).saturating_sub(kept.len());
        kept.extend_from_slice(&chunk[..chunk.len().min(room)]);
    }
    Ok(kept)
}

impl From<crate::job::fault::PlanFault> for Fault {
    fn from(fault: crate::job::fault::PlanFault) -> Self {
        Self { location: fault.path, text: sentence(&fault.text) }
    }
}

fn of_file(error: FileError) -> Vec<Fault> {
    match error {
        FileError::Faults(faults) => faults.into_iter().map(Fault::from).collect(),
        FileError::NotAJob { fault, line, column } => {
            vec![Fault {
                location: format!("{} (line {line}, column {column})", fault.path),
                text: sentence(&fault.text),
            }]
        }
        whole => vec![Fault { location: "the whole file".to_owned(), text: sentence(&whole.to_string()) }],
    }
}

fn sentence(text: &str) -> String {
    format!("{}.", capital(text))
}
