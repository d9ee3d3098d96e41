//! Photos of the items of a job. The file is in the photo folder, and its name is the hash of its content. The row
//! says what it shows, who took it and when.

use std::fs::{self, File};
use std::io::Write as _;
use std::path::{Path, PathBuf};

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use sqlx::SqliteConnection;

use super::column::{At, JobId, PhotoId};
use super::error::{Error, Result};
use super::folder::{Folder, private_dir, private_file};
use super::log::{self, Change, LogLine};
use super::pool::Write;
use crate::job::subject::Subject;
use crate::job::value::Name;
use crate::shop::picture::Picture;

/// A photo of an item of a job.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Photo {
    /// Its key.
    pub id: PhotoId,
    /// What it shows.
    pub subject: Subject,
    /// Width in pixels.
    pub width: u32,
    /// Height in pixels.
    pub height: u32,
    /// Who added it.
    pub by: Name,
    /// When.
    pub at: Timestamp,
    file: String,
}

/// The data of a photo in the log: everything that is needed to restore it.
#[derive(Serialize, Deserialize)]
struct Logged {
    photo: i64,
    file: String,
    width: u32,
    height: u32,
    by: Name,
    at: Timestamp,
}

impl Photo {
    /// The path of its file.
    pub fn path(&self, folder: &Folder) -> PathBuf {
        path(folder, &self.file)
    }
}

/// All photos of a job, the oldest first.
pub async fn of_job(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Photo>> {
    select(conn, job, None).await
}

/// One photo.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: PhotoId) -> Result<Photo> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::NotFound(format!("photo {id}")))
}

/// Stores a photo. The file is written first, so that no row ever names a missing file.
pub async fn add(
    write: &mut Write,
    folder: &Folder,
    job: JobId,
    subject: &Subject,
    picture: &Picture,
) -> Result<PhotoId> {
    let file = picture.hash();
    keep(&path(folder, &file), &picture.bytes)?;
    let (by, at) = (write.actor().name.clone(), write.now());
    let (width, height) = (picture.width, picture.height);
    put(write, job, subject, Logged { photo: 0, file, width, height, by, at }).await
}

/// Adds a photo's row, and its line to the log.
async fn put(write: &mut Write, job: JobId, subject: &Subject, of: Logged) -> Result<PhotoId> {
    let at = At(of.at);
    let row = sqlx::query!(
        r#"INSERT INTO photos (job, subject, file, width, height, "by", at) VALUES (?, ?, ?, ?, ?, ?, ?)"#,
        job,
        subject,
        of.file,
        of.width,
        of.height,
        of.by,
        at
    )
    .execute(&mut **write)
    .await?;
    let id = PhotoId::from(row.last_insert_rowid());
    let logged = Logged { photo: id.number(), ..of };
    log::line(write, Some(job), Change::Photographed, &subject.to_string(), None::<&()>, Some(&logged))
        .await?;
    Ok(id)
}

/// Removes a photo. Its file stays until the folder is cleaned: another row may name it, and a backup may be
/// reading it.
pub async fn remove(write: &mut Write, job: JobId, id: PhotoId) -> Result<()> {
    let Photo { subject, width, height, by, at, file, .. } = get(write, job, id).await?;
    sqlx::query!("DELETE FROM photos WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    let logged = Logged { photo: id.number(), file, width, height, by, at };
    log::line(write, Some(job), Change::Photographed, &subject.to_string(), Some(&logged), None::<&()>).await
}

/// Undoes a line of the log: a removed photo is added again under a new number, and an added photo is removed.
///
/// # Errors
///
/// [`Error::NotFound`] if the line has too little data, or the photo is gone.
pub(super) async fn reverse(
    write: &mut Write,
    folder: &Folder,
    job: JobId,
    subject: &Subject,
    line: &LogLine,
) -> Result<()> {
    let told = |content: &Option<Value>| {
        let content = content.clone().and_then(|content| serde_json::from_value::<Logged>(content).ok());
        content.ok_or_else(|| Error::NotFound("photo that the log tells enough of".to_owned()))
    };
    if line.before.is_none() {
        return remove(write, job, PhotoId::from(told(&line.after)?.photo)).await;
    }
    let gone = told(&line.before)?;
    if !path(folder, &gone.file).exists() {
        return Err(Error::NotFound("file of that photo any more".to_owned()));
    }
    put(write, job, subject, gone).await.map(drop)
}

/// The files that rows name, as paths within the photo folder.
pub(super) async fn named(conn: &mut SqliteConnection) -> Result<Vec<PathBuf>> {
    let files = sqlx::query_scalar!("SELECT DISTINCT file FROM photos").fetch_all(conn).await?;
    Ok(files.iter().map(|file| within(file)).collect())
}

async fn select(conn: &mut SqliteConnection, job: JobId, only: Option<PhotoId>) -> Result<Vec<Photo>> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: PhotoId", subject AS "subject: Subject", file, width AS "width: u32",
                  height AS "height: u32", "by" AS "by: Name", at AS "at: At"
           FROM photos WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY id"#,
        job,
        only
    )
    .map(|row| Photo {
        id: row.id,
        subject: row.subject,
        width: row.width,
        height: row.height,
        by: row.by,
        at: row.at.0,
        file: row.file,
    });
    Ok(rows.fetch_all(conn).await?)
}

fn path(folder: &Folder, file: &str) -> PathBuf {
    folder.photos().join(within(file))
}

/// Each two digits have a folder of their own, so that no folder becomes slow to list.
fn within(file: &str) -> PathBuf {
    let (first, rest) = file.split_at(file.len().min(2));
    Path::new(first).join(format!("{rest}.jpg"))
}

/// Writes a file completely or not at all, and returns after it is on the disk.
fn keep(path: &Path, bytes: &[u8]) -> Result<()> {
    if path.exists() {
        return Ok(());
    }
    let trouble = |error| Error::file(path, error);
    let folder = path.parent().unwrap_or(path);
    private_dir(folder).map_err(trouble)?;
    let part = path.with_extension("part");
    // A file left by an interrupted run may be incomplete.
    match fs::remove_file(&part) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(trouble(error)),
        _ => {}
    }
    let written = private_file(&part).and_then(|mut file| {
        file.write_all(bytes)?;
        file.sync_all()?;
        fs::rename(&part, path)?;
        File::open(folder)?.sync_all()
    });
    if written.is_err() {
        // The partial file is useless. It does not matter if it cannot be removed.
        let _ = fs::remove_file(&part);
    }
    written.map_err(trouble)
}
