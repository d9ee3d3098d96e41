//! An opened job: what every page of a job starts from, read in one view of the database.

use std::ops::Deref;
use std::sync::{Arc, OnceLock};

use jiff::Timestamp;

use super::frame::Frame;
use super::last_change::LastChange;
use super::line::Load;
use super::page::{JobBlock, PhaseCell, PhaseStrip, Tab, TitleBlock};
use super::{AppState, Error};
use crate::job::checked::Checked;
use crate::job::crimp;
use crate::job::event::History;
use crate::job::finding::Finding;
use crate::job::phase::Phase;
use crate::job::subject::Subject;
use crate::job::value::Name;
use crate::job::work::{StepCount, Verdicts, Work};
use crate::store::log::{self, Edition, LogLine};
use crate::store::work::Basis;
use crate::store::{JobId, Write, job_size, jobs, plan, record, shop};
use crate::trade::finding::{Code, Level};
use crate::trade::units::Units;

/// A job with its history and what follows from plan and history. Its checked plan is reached through it.
#[derive(Debug)]
pub struct Opened {
    /// Its key.
    pub id: JobId,
    /// How heavy it is.
    pub load: Load,
    /// The checked plan.
    checked: Arc<Checked>,
    /// The verdict of every reading.
    verdicts: Arc<Verdicts>,
    /// All records, withdrawn ones too.
    records: History,
    /// The records that were not withdrawn.
    pub history: History,
    /// What every page shows of the work.
    derived: OnceLock<Derived>,
    /// The revision of its plan.
    pub edition: Option<Edition>,
    /// The newest lines of its log.
    pub log: Vec<LogLine>,
    /// The shop's units.
    pub units: Units,
}

/// What every page shows of the work. It is made with the first [`Work`] of a request, and outlives it.
#[derive(Debug)]
struct Derived {
    /// The findings about plan and records, the most serious first.
    findings: Vec<Finding>,
    /// The sorts of crimp whose latest sample failed.
    failed_crimps: Vec<crimp::Failed>,
    /// The progress of each phase, and whether all its open steps are on hold.
    phases: Vec<(Phase, StepCount, bool)>,
}

impl Derived {
    fn of(work: &Work<'_>) -> Self {
        Self {
            findings: work.findings().to_vec(),
            failed_crimps: work.failed_crimps().to_vec(),
            phases: Phase::ALL.map(|phase| (phase, work.phase(phase), is_held(work, phase))).to_vec(),
        }
    }
}

impl Deref for Opened {
    type Target = Checked;

    fn deref(&self) -> &Checked {
        &self.checked
    }
}

/// How many log lines are read with a job.
const RECENT: u32 = 12;

impl Opened {
    /// Reads a job and derives the rest.
    ///
    /// # Errors
    /// [`Error::NotFound`] if there is no such job, [`Error::BeingChecked`] if it is heavy and not checked yet.
    pub async fn load(app: &AppState, id: JobId) -> Result<Self, Error> {
        loop {
            // A newer revision is read if it took the place of this one before the check began.
            if let Some(opened) = Self::read(app, id).await? {
                return Ok(opened);
            }
        }
    }

    /// Reads a job as it is now; `None` if a newer revision is checked instead.
    async fn read(app: &AppState, id: JobId) -> Result<Option<Self>, Error> {
        let mut read = app.store().read().await?;
        let load = Load::from(job_size::of(&mut read, id).await?);
        let edition = log::edition(&mut read, id).await?;
        let stored = match app.checked().has(id, edition.as_ref()) {
            true => None,
            false => Some(plan::load(&mut read, id).await?),
        };
        let records = record::history(&mut read, id).await?;
        let log = log::of_job(&mut read, id, None, RECENT).await?;
        let units = shop::get(&mut read).await?.map_or(Units::Metric, |profile| profile.value.units);
        drop(read);
        let known = app.checked().get((id, load), edition.as_ref(), stored, &records).await?;
        let Some((checked, verdicts)) = known else { return Ok(None) };
        let history = records.clone().standing();
        Ok(Some(Self {
            id,
            load,
            checked,
            verdicts,
            records,
            history,
            derived: OnceLock::new(),
            edition,
            log,
            units,
        }))
    }

    /// The time of a new event: now, but never before the last event.
    pub fn moment(&self, now: Timestamp) -> Timestamp {
        self.history.moment(now)
    }

    /// Its address.
    pub fn href(&self) -> String {
        format!("/jobs/{}", self.id)
    }

    /// The status of the work, from the plan and all records.
    ///
    /// It is derived at each call. A page asks once, and what all pages show is kept from the first call.
    pub fn work(&self) -> Work<'_> {
        let work = Work::of(&self.checked, &self.records, &self.verdicts);
        self.derived.get_or_init(|| Derived::of(&work));
        work
    }

    fn derived(&self) -> &Derived {
        self.derived.get_or_init(|| Derived::of(&Work::of(&self.checked, &self.records, &self.verdicts)))
    }

    /// The findings about plan and records, the most serious first.
    pub fn findings(&self) -> &[Finding] {
        &self.derived().findings
    }

    /// The sorts of crimp whose latest sample failed.
    pub fn failed_crimps(&self) -> &[crimp::Failed] {
        &self.derived().failed_crimps
    }

    /// What an act of a person who sees this is decided on.
    pub fn basis(&self) -> Basis<'_> {
        Basis { edition: self.edition.as_ref(), checked: &self.checked, verdicts: &self.verdicts }
    }

    /// The earliest phase with an open step; `None` if all is done.
    pub fn current_phase(&self) -> Option<Phase> {
        self.derived().phases.iter().find(|(_, count, _)| !count.is_finished()).map(|(phase, _, _)| *phase)
    }

    /// How many findings there are of a level.
    pub fn count(&self, level: Level) -> usize {
        self.findings().iter().filter(|finding| finding.level == level).count()
    }

    /// The findings about one thing.
    pub fn about<'a>(&'a self, subject: &'a Subject) -> impl Iterator<Item = &'a Finding> {
        self.findings().iter().filter(move |finding| finding.subject == *subject)
    }

    /// A page of this job.
    pub fn title_block(&self, frame: Frame, tab: Tab) -> TitleBlock {
        let block = self.block(&frame, tab);
        frame.job_title_block(tab.title(), block, tab)
    }

    /// The job's part of the title block.
    pub fn block(&self, frame: &Frame, here: Tab) -> JobBlock {
        JobBlock {
            phases: self.strip(Some(here)),
            last_change: LastChange::of(&self.log, &self.href(), frame),
            too_large: self.too_large(),
            ..stamp(self.id, &self.plan.boat.name, &self.plan.job.name, self.edition.as_ref(), frame)
        }
    }

    /// The revision of its plan.
    pub fn revision(&self) -> i64 {
        Edition::number_of(self.edition.as_ref())
    }

    /// Whether its plan is still the stored one.
    ///
    /// # Errors
    /// The database cannot be read.
    pub async fn is_current(&self, write: &mut Write) -> Result<bool, Error> {
        Ok(Edition::number_of(log::edition(write, self.id).await?.as_ref()) == self.revision())
    }

    /// What to reduce, if its check reached the limit of its work.
    pub fn too_large(&self) -> Option<String> {
        let limit = self.report.findings.iter().find(|finding| finding.code == Code::WorkLimit)?;
        Some(limit.text.text(self.units))
    }

    /// The eight phases, each filled to its progress.
    pub fn strip(&self, here: Option<Tab>) -> PhaseStrip {
        let cell = |(phase, count, held): &(Phase, StepCount, bool)| PhaseCell {
            phase: *phase,
            done: count.done + count.not_needed,
            of: count.all(),
            held: *held,
            href: format!("{}/phases/{phase}", self.href()),
            here: here == Some(Tab::Phase(*phase)),
        };
        PhaseStrip { cells: self.derived().phases.iter().map(cell).collect() }
    }
}

/// A page of a job that shows nothing of its check, and so does not wait for it.
///
/// # Errors
/// [`Error::NotFound`] if there is no such job.
pub async fn unchecked(app: &AppState, id: JobId, frame: Frame, tab: Tab) -> Result<TitleBlock, Error> {
    let mut read = app.store().read().await?;
    let intake = jobs::get(&mut read, id).await?.value;
    let edition = log::edition(&mut read, id).await?;
    let block = stamp(id, &intake.boat.name, &intake.job.name, edition.as_ref(), &frame);
    Ok(frame.job_title_block(tab.title(), block, tab))
}

/// The job's part of the title block, without anything that follows from its plan.
fn stamp(id: JobId, boat: &Name, job: &Name, edition: Option<&Edition>, frame: &Frame) -> JobBlock {
    JobBlock {
        href: format!("/jobs/{id}"),
        number: id.to_string(),
        name: job.to_string(),
        boat: boat.to_string(),
        edition: Edition::number_of(edition),
        date: edition.map_or_else(String::new, |edition| frame.local(edition.at).date().to_string()),
        by: edition.map_or_else(String::new, |edition| edition.by.clone()),
        phases: PhaseStrip::default(),
        last_change: None,
        too_large: None,
    }
}

/// Whether a phase has open steps and all of them are on hold.
fn is_held(work: &Work<'_>, phase: Phase) -> bool {
    let mut open = work.open_in(phase).peekable();
    open.peek().is_some() && open.all(|step| work.is_on_hold(&step.key))
}
