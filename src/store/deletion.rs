//! Deletes a job, after its job file and its photos are kept in a folder of their own.

use std::path::{Path, PathBuf};

use jiff::Timestamp;
use serde::Serialize;

use super::column::JobId;
use super::error::{Error, Result};
use super::folder::{Folder, private_dir};
use super::log::{self, Change};
use super::photos::Photo;
use super::pool::Write;
use super::{file, manifest, photos, plan};

/// What a line of the list of photos says.
#[derive(Serialize)]
struct Listed<'a> {
    file: String,
    subject: String,
    by: &'a str,
    at: Timestamp,
}

/// Deletes a job with its plan, records, photos and log, and returns the folder that keeps its job file and photos.
/// The line about the deletion stays in the log of the shop. It names that folder and has no data of the boat or
/// the customer.
///
/// The copy is on the disk before the job is deleted. If the transaction is not committed, the copy stays and does
/// no harm.
pub async fn delete(write: &mut Write, folder: &Folder, job: JobId) -> Result<PathBuf> {
    let whole = file::export(write, job).await?.write();
    let photos = photos::of_job(write, job).await?;
    let name = format!("job-{job}-{}", write.now().strftime("%Y%m%dT%H%M%SZ"));
    let kept = folder.deleted().join(&name);
    keep(folder, &kept, &whole, &photos)?;
    let done = sqlx::query!("DELETE FROM job WHERE id = ?", job).execute(&mut **write).await?;
    if done.rows_affected() == 0 {
        return Err(plan::missing(job));
    }
    let subject = log::subject_of(job);
    log::line(write, None, Change::Removed, &subject, None::<&()>, Some(&serde_json::json!({"kept": name})))
        .await?;
    Ok(kept)
}

/// Writes the job file, the photos and their list.
fn keep(folder: &Folder, kept: &Path, whole: &str, photos: &[Photo]) -> Result<()> {
    private_dir(kept).map_err(|error| Error::file(kept, error))?;
    let mut listed = Vec::with_capacity(photos.len());
    for photo in photos {
        let name = format!("photo-{}.jpg", photo.id);
        let from = photo.path(folder);
        // A photo whose file is lost already must not prevent the deletion. The list still names it.
        if from.exists() {
            manifest::copy(&from, &kept.join(&name))?;
        }
        let subject = photo.subject.to_string();
        listed.push(Listed { file: name, subject, by: photo.by.as_str(), at: photo.at });
    }
    manifest::write_through(&kept.join("job.json"), whole.as_bytes())?;
    manifest::write_through(&kept.join("photos.json"), serde_json::to_string_pretty(&listed)?.as_bytes())?;
    manifest::sync_folder(kept)?;
    manifest::sync_folder(&folder.deleted())
}
