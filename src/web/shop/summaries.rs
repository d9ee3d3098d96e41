//! The summaries of the jobs on the shop floor: read from the database, and calculated again where they are old.

use std::collections::HashMap;
use std::sync::{Arc, LazyLock};
use std::time::{Duration, UNIX_EPOCH};

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use tokio::sync::Mutex;
use uuid::Uuid;

use crate::job::phase::Phase;
use crate::job::work::Summary;
use crate::store::job_summary::{self, Summarized};
use crate::store::{JobId, job_size};
use crate::web::kit::frame::Frame;
use crate::web::kit::line::Load;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{PhaseCell, PhaseStrip};
use crate::web::kit::{AppState, Error};
use crate::web::parts::activity;

/// How much of plans one page of the floor checks at most, in bytes. After an update of the program all summaries
/// are old; the page then shows the others as not calculated yet. They are calculated after it is answered, and so
/// are all heavy jobs.
pub const MOST_NEW: i64 = 480 * 1024;
/// What the smallest plan counts for in that.
const LEAST: i64 = 20 * 1024;

/// How long to wait before a job that is being checked is asked for again.
const AGAIN: Duration = Duration::from_secs(1);

/// Only one page at a time calculates summaries. The others wait for it and then read what it stored.
#[derive(Debug, Default)]
pub struct Summaries {
    one_page: Mutex<()>,
    /// The same for those that are calculated after the page is answered.
    after: Arc<Mutex<()>>,
}

/// What the floor shows from a job's plan and records.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct JobSummary {
    phases: Vec<Progress>,
    /// What holds the job.
    pub holds: Summary,
    /// What to reduce, if the check of its plan reached the limit of its work.
    pub too_large: Option<String>,
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
            too_large: job.too_large(),
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
    /// The summaries of these jobs, without those that are left for later.
    pub async fn of(
        &self,
        app: &AppState,
        frame: &Frame,
        jobs: &[JobId],
    ) -> Result<HashMap<JobId, JobSummary>, Error> {
        let known = stored(app, jobs).await?;
        if known.values().all(|job| job.summary.is_some()) {
            return Ok(summaries(known));
        }
        let _one_page = self.one_page.lock().await;
        let known = stored(app, jobs).await?;
        let (now, later) = divided(app, jobs.iter().filter(|job| is_old(&known, job))).await?;
        let mut new = Vec::new();
        for id in now {
            new.extend(calculated(app, frame, id).await?.map(|summary| (id, summary)));
        }
        self.calculate_later(app.clone(), frame.clone(), later);
        Ok(summaries(known).into_iter().chain(new).collect())
    }

    /// Calculates summaries while nobody waits for them, one at a time, unless that is going on already.
    fn calculate_later(&self, app: AppState, frame: Frame, jobs: Vec<JobId>) {
        let Ok(alone) = Arc::clone(&self.after).try_lock_owned() else { return };
        tokio::spawn(async move {
            for id in jobs {
                if let Err(error) = when_checked(&app, &frame, id).await {
                    tracing::warn!(%error, job = %id, "the summary of a job was not calculated");
                }
            }
            drop(alone);
        });
    }
}

/// Those that are calculated at once, and those that are left for later: all heavy ones, and light ones after
/// [`MOST_NEW`] bytes.
async fn divided(
    app: &AppState,
    jobs: impl Iterator<Item = &JobId>,
) -> Result<(Vec<JobId>, Vec<JobId>), Error> {
    let (mut now, mut later, mut bytes) = (Vec::new(), Vec::new(), 0);
    let mut read = app.store().read().await?;
    for job in jobs {
        let size = job_size::of(&mut read, *job).await?;
        bytes += size.plan.max(LEAST);
        let is_later = Load::from(size) == Load::Heavy || bytes > MOST_NEW;
        if is_later { later.push(*job) } else { now.push(*job) }
    }
    Ok((now, later))
}

/// The summary of a job, which is stored too; `None` if the job is deleted meanwhile.
async fn calculated(app: &AppState, frame: &Frame, id: JobId) -> Result<Option<JobSummary>, Error> {
    // The numbers are from before the job is read. If it changes in between, the row is old at once.
    let Some(numbers) = stored(app, &[id]).await?.remove(&id).map(|job| job.numbers) else { return Ok(None) };
    let job = match Opened::load(app, id).await {
        Err(Error::NotFound(_)) => return Ok(None),
        job => job?,
    };
    let (frame, load) = (frame.clone(), job.load);
    let summary =
        app.line().run(load, move || JobSummary::of(&job, &frame)).await.map_err(Error::internal)?;
    // The page shows what was calculated, whether or not it can be stored.
    let row = [(id, numbers, summary)];
    if let Err(error) = job_summary::keep(app.store(), &BUILD, &row).await {
        tracing::warn!(%error, "the summary of a job was not stored");
    }
    let [(_, _, summary)] = row;
    Ok(Some(summary))
}

/// Calculates the summary of a job, also if its check takes long.
async fn when_checked(app: &AppState, frame: &Frame, id: JobId) -> Result<(), Error> {
    loop {
        match calculated(app, frame, id).await {
            Err(Error::BeingChecked(_)) => tokio::time::sleep(AGAIN).await,
            done => return done.map(drop),
        }
    }
}

fn is_old(known: &HashMap<JobId, Summarized<JobSummary>>, id: &JobId) -> bool {
    known.get(id).is_some_and(|job| job.summary.is_none())
}

async fn stored(app: &AppState, jobs: &[JobId]) -> Result<HashMap<JobId, Summarized<JobSummary>>, Error> {
    let mut read = app.store().read().await?;
    Ok(job_summary::of_jobs(&mut read, jobs, &BUILD).await?)
}

fn summaries(stored: HashMap<JobId, Summarized<JobSummary>>) -> HashMap<JobId, JobSummary> {
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
