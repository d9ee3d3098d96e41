//! The summaries of the jobs on the shop floor: read from the database, and calculated again where they are old.

use std::collections::HashMap;
use std::sync::LazyLock;
use std::time::UNIX_EPOCH;

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use tokio::sync::Mutex;
use uuid::Uuid;

use crate::job::phase::Phase;
use crate::job::work::Summary;
use crate::store::JobId;
use crate::store::job_summary::{self, Summarized};
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{PhaseCell, PhaseStrip};
use crate::web::kit::{AppState, Error};
use crate::web::parts::activity;

/// How many summaries one page calculates at most. After an update of the program all are old; the page then shows
/// the others as not calculated yet, and the next page goes on.
pub const MOST_NEW: usize = 24;

/// Only one page at a time calculates summaries. The others wait for it and then read what it stored.
#[derive(Debug, Default)]
pub struct Summaries(Mutex<()>);

/// What the floor shows from a job's plan and records.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JobSummary {
    phases: Vec<Progress>,
    /// What holds the job.
    pub holds: Summary,
    /// Who did the last work on it, and when.
    pub last: Option<(String, Timestamp)>,
}

/// The progress of a phase.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Progress {
    phase: Phase,
    done: usize,
    of: usize,
    held: bool,
}

impl JobSummary {
    fn of(job: &Opened, frame: &Frame) -> Self {
        let cells = job.strip(None).cells.into_iter();
        let progress =
            |cell: PhaseCell| Progress { phase: cell.phase, done: cell.done, of: cell.of, held: cell.held };
        Self {
            phases: cells.map(progress).collect(),
            holds: job.work().summary(),
            last: activity::work(job, frame).map(|last| (last.by, last.when)),
        }
    }

    /// The phases of the job at this address.
    pub fn phases(&self, job: &str) -> PhaseStrip {
        let cell = |progress: &Progress| PhaseCell {
            phase: progress.phase,
            done: progress.done,
            of: progress.of,
            held: progress.held,
            href: format!("{job}/phases/{}", progress.phase),
            here: false,
        };
        PhaseStrip { cells: self.phases.iter().map(cell).collect() }
    }
}

impl Summaries {
    /// The summaries of these jobs, without those that are left for the next page.
    pub async fn of(
        &self,
        app: &AppState,
        frame: &Frame,
        jobs: &[JobId],
    ) -> Result<HashMap<JobId, JobSummary>, Error> {
        let stored = stored(app, jobs).await?;
        if stored.values().all(|job| job.summary.is_some()) {
            return Ok(known(stored));
        }
        let _one_page = self.0.lock().await;
        self.calculated(app, frame, jobs).await
    }

    async fn calculated(
        &self,
        app: &AppState,
        frame: &Frame,
        jobs: &[JobId],
    ) -> Result<HashMap<JobId, JobSummary>, Error> {
        let stored = stored(app, jobs).await?;
        let mut new = Vec::new();
        let old = |id: &&JobId| stored.get(id).is_some_and(|job| job.summary.is_none());
        for id in jobs.iter().filter(old).take(MOST_NEW) {
            // The numbers are from before the job is read. If it changes in between, the row is old at once.
            let Some(numbers) = stored.get(id).map(|job| job.numbers) else { continue };
            let job = match Opened::load(app, *id).await {
                Err(Error::NotFound(_)) => continue,
                job => job?,
            };
            new.push((*id, numbers, JobSummary::of(&job, frame)));
        }
        // The page shows what was calculated, whether or not it can be stored.
        if let Err(error) = job_summary::keep(app.store(), &BUILD, &new).await {
            tracing::warn!(%error, "summaries of jobs were not stored");
        }
        let mut all = known(stored);
        all.extend(new.into_iter().map(|(id, _, summary)| (id, summary)));
        Ok(all)
    }
}

async fn stored(app: &AppState, jobs: &[JobId]) -> Result<HashMap<JobId, Summarized<JobSummary>>, Error> {
    let mut read = app.store().read().await?;
    Ok(job_summary::of_jobs(&mut read, jobs, &BUILD).await?)
}

fn known(stored: HashMap<JobId, Summarized<JobSummary>>) -> HashMap<JobId, JobSummary> {
    stored.into_iter().filter_map(|(id, job)| Some((id, job.summary?))).collect()
}

/// This build of the program. Another build may decide otherwise, so it does not trust these summaries.
static BUILD: LazyLock<String> = LazyLock::new(|| {
    let file = std::env::current_exe().and_then(|path| path.metadata());
    let made = file.and_then(|file| Ok((file.len(), file.modified()?)));
    match made.map(|(bytes, at)| (bytes, at.duration_since(UNIX_EPOCH))) {
        Ok((bytes, Ok(at))) => format!("{} {bytes} {}", env!("CARGO_PKG_VERSION"), at.as_nanos()),
        // If the program cannot see its own file, it trusts only what it stored itself since its start.
        _ => Uuid::new_v4().to_string(),
    }
});
