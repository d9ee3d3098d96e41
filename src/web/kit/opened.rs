//! An opened job: what every page of a job starts from, read in one view of the database.

use std::ops::Deref;
use std::sync::{Arc, OnceLock};

use jiff::Timestamp;

use super::frame::Frame;
use super::last_change::LastChange;
use super::page::{JobBlock, PhaseCell, PhaseStrip, Tab, TitleBlock};
use super::{AppState, Error};
use crate::job::checked::Checked;
use crate::job::crimp;
use crate::job::event::History;
use crate::job::finding::Finding;
use crate::job::phase::Phase;
use crate::job::subject::Subject;
use crate::job::work::{StepCount, Verdicts, Work};
use crate::store::log::{self, Edition, LogLine};
use crate::store::work::Basis;
use crate::store::{JobId, plan, record, shop};
use crate::trade::finding::Level;
use crate::trade::units::Units;

/// A job with its history and what follows from plan and history. Its checked plan is reached through it.
#[derive(Debug)]
pub struct Opened {
    /// Its key.
    pub id: JobId,
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
    /// [`Error::NotFound`] if there is no such job.
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
        let stored = plan::load(&mut read, id).await?;
        let records = record::history(&mut read, id).await?;
        let edition = log::edition(&mut read, id).await?;
        let log = log::of_job(&mut read, id, None, RECENT).await?;
        let units = shop::get(&mut read).await?.map_or(Units::Metric, |profile| profile.value.units);
        drop(read);
        let known = app.checked().get(id, edition.as_ref(), stored, &records).await?;
        let Some((checked, verdicts)) = known else { return Ok(None) };
        let history = records.clone().standing();
        Ok(Some(Self {
            id,
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
        let edition = self.edition.as_ref();
        JobBlock {
            href: self.href(),
            number: self.id.to_string(),
            name: self.plan.job.name.to_string(),
            boat: self.plan.boat.name.to_string(),
            edition: edition.map_or(0, |edition| edition.number),
            date: edition.map_or_else(String::new, |edition| frame.local(edition.at).date().to_string()),
            by: edition.map_or_else(String::new, |edition| edition.by.clone()),
            phases: self.strip(Some(here)),
            last_change: LastChange::of(&self.log, &self.href(), frame),
        }
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

/// Whether a phase has open steps and all of them are on hold.
fn is_held(work: &Work<'_>, phase: Phase) -> bool {
    let mut open = work.open_in(phase).peekable();
    open.peek().is_some() && open.all(|step| !work.on_hold(&step.key).is_empty())
}
