//! The backups of the shop: made by the server, and shown, checked and started by the manager.

use std::path::Path as FilePath;

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use tokio::task;

use crate::store::backup::{self, Backup};
use crate::store::{self, Manifest, restore};
use crate::web::kit::figure::Figure;
use crate::web::kit::frame::Frame;
use crate::web::kit::page::{Here, TitleBlock, html};
use crate::web::kit::{AppState, Error};

#[derive(Template)]
#[template(path = "backups.html")]
struct Page {
    title_block: TitleBlock,
    folder: String,
    rows: Vec<Row>,
    verdict: Option<Verdict>,
}

struct Row {
    name: String,
    made: String,
    ago: String,
    /// Size and number of files, or the error if its list cannot be read.
    holds: Result<(Figure, usize), String>,
}

struct Verdict {
    name: String,
    /// What is wrong, if anything.
    problem: Option<String>,
}

impl Page {
    async fn new(app: &AppState, frame: Frame, verdict: Option<Verdict>) -> Result<Self, Error> {
        let backups = list(app).await?;
        let rows = backups.iter().map(|(backup, manifest)| Row::new(&frame, backup, manifest)).collect();
        let folder = app.backups().display().to_string();
        Ok(Self { title_block: frame.title_block("Backups").at(Here::Backups), folder, rows, verdict })
    }
}

impl Row {
    fn new(frame: &Frame, backup: &Backup, manifest: &store::Result<Manifest>) -> Self {
        let holds = match manifest {
            Ok(manifest) => Ok((size(manifest), manifest.files.len())),
            Err(error) => Err(error.to_string()),
        };
        let ago = if backup.is_ahead(frame.now) {
            "in the future: the clock was ahead then, or is behind now".to_owned()
        } else {
            frame.ago(backup.made_at)
        };
        Self { name: name(backup), made: frame.moment(backup.made_at), ago, holds }
    }
}

/// The page of backups.
pub async fn show(frame: Frame, State(app): State<AppState>) -> Result<Html<String>, Error> {
    html(&Page::new(&app, frame, None).await?)
}

/// Starts a backup. It is finished even if the browser does not wait for it.
pub async fn take(State(app): State<AppState>) -> Result<Redirect, Error> {
    let taking = task::spawn(async move { backup::take(app.store(), app.backups(), app.now()).await });
    match taking.await.map_err(Error::internal)? {
        Ok(_) => Ok(Redirect::to("/backups")),
        Err(store::Error::File { source, .. }) if source.kind() == std::io::ErrorKind::AlreadyExists => {
            Err(Error::Conflict("A backup is running now. Go back and wait for it.".to_owned()))
        }
        Err(error) => Err(error.into()),
    }
}

/// Checks a backup: every file against its hash, and the database by SQLite's own checks.
pub async fn prove(
    frame: Frame,
    State(app): State<AppState>,
    Path(asked): Path<String>,
) -> Result<Response, Error> {
    let backups = list(&app).await?;
    let found = backups.into_iter().map(|(backup, _)| backup).find(|backup| name(backup) == asked);
    let backup = found.ok_or(Error::NotFound("backup"))?;
    let problem = restore::verify(&backup.path).await.err().map(|error| error.to_string());
    let status = if problem.is_none() { StatusCode::OK } else { StatusCode::CONFLICT };
    let page = Page::new(&app, frame, Some(Verdict { name: asked, problem })).await?;
    Ok((status, html(&page)?).into_response())
}

/// The backups, newest first, each with its content by its list.
async fn list(app: &AppState) -> Result<Vec<(Backup, store::Result<Manifest>)>, Error> {
    let folder = app.backups().to_owned();
    let read = move || {
        let backups = backup::list(&folder)?;
        Ok::<_, store::Error>(backups.into_iter().map(|backup| (backup.clone(), backup.manifest())).collect())
    };
    Ok(task::spawn_blocking(read).await.map_err(Error::internal)??)
}

/// The name of a backup's folder.
fn name(backup: &Backup) -> String {
    backup.path.file_name().map(FilePath::new).map_or_else(String::new, |name| name.display().to_string())
}

fn size(manifest: &Manifest) -> Figure {
    let bytes: u64 = manifest.files.iter().map(|file| file.bytes).sum();
    let kibibytes = bytes.div_ceil(1024);
    if kibibytes < 10 * 1024 { Figure::new(kibibytes, "KiB") } else { Figure::new(kibibytes / 1024, "MiB") }
}
