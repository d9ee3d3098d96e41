//! An opened job: what every page of a job starts from, read in one view of the database.

use std::cmp::Reverse;

use jiff::Timestamp;

use super::frame::Frame;
use super::last_change::LastChange;
use super::page::{JobBlock, PhaseCell, PhaseStrip, Tab, TitleBlock};
use super::{AppState, Error};
use crate::job::check::{Report, Sizes, with_records};
use crate::job::crimp;
use crate::job::event::History;
use crate::job::file::JobFile;
use crate::job::hold_point::HoldPoint;
use crate::job::plan::Plan;
use crate::job::progress::Progress;
use crate::job::run::Pieces;
use crate::job::steps::Steps;
use crate::job::wiring::Conductors;
use crate::store::log::{self, Edition, LogLine};
use crate::store::{JobId, plan, record, shop};
use crate::trade::units::Units;

/// A job with its history and what follows from plan and history.
#[derive(Debug)]
pub struct Opened {
    /// Its key.
    pub id: JobId,
    /// The plan.
    pub plan: Plan,
    /// The history.
    pub history: History,
    /// The pieces of wire.
    pub conductors: Conductors,
    /// The steps of the work.
    pub steps: Steps,
    /// The report of the checks: every figure, and the findings.
    pub report: Report,
    /// The sorts of crimp whose latest sample failed.
    pub failed_crimps: Vec<crimp::Failed>,
    /// The revision of its plan.
    pub edition: Option<Edition>,
    /// The newest lines of its log.
    pub log: Vec<LogLine>,
    /// The shop's units.
    pub units: Units,
}

/// How many log lines are read with a job.
const RECENT: u32 = 12;

impl Opened {
    /// Reads a job and derives the rest.
    ///
    /// # Errors
    /// [`Error::NotFound`] if there is no such job.
    pub async fn load(app: &AppState, id: JobId) -> Result<Self, Error> {
        let mut read = app.store().read().await?;
        let file = JobFile {
            plan: plan::load(&mut read, id).await?,
            history: record::history(&mut read, id).await?,
        };
        let edition = log::edition(&mut read, id).await?;
        let log = log::of_job(&mut read, id, None, RECENT).await?;
        let report = app.checked().report(id, edition.as_ref(), &file.plan);
        let units = shop::get(&mut read).await?.map_or(Units::Metric, |profile| profile.value.units);
        Ok(Self::of(id, file, report, (edition, log), units))
    }

    /// A job from its parts and the report of its plan.
    fn of(
        id: JobId,
        file: JobFile,
        report: Report,
        (edition, log): (Option<Edition>, Vec<LogLine>),
        units: Units,
    ) -> Self {
        let mut report = with_records(report, &file);
        report.findings.sort_by_key(|finding| Reverse(finding.level));
        let JobFile { plan, history } = file;
        let history = history.standing();
        let conductors = report.conductors(&plan);
        let steps = Steps::of(&plan, &conductors, &report.routes);
        let sizes = Sizes::of(&report);
        let failed_crimps = crimp::failed(&plan, &conductors, |wire| sizes.get(wire), &history);
        Self { id, plan, history, conductors, steps, report, failed_crimps, edition, log, units }
    }

    /// The time of a new event: now, but never before the last event.
    pub fn moment(&self, now: Timestamp) -> Timestamp {
        self.history.moment(now)
    }

    /// Everything on the job that is pulled, labeled and tied down.
    pub fn pieces(&self) -> Pieces<'_> {
        Pieces::of(&self.plan, &self.conductors)
    }

    /// Its address.
    pub fn href(&self) -> String {
        format!("/jobs/{}", self.id)
    }

    /// The progress of the work.
    pub fn progress(&self) -> Progress<'_> {
        Progress::new(&self.steps, &self.history)
    }

    /// Its hold points, in the order of work.
    pub fn hold_points(&self) -> Vec<HoldPoint<'_>> {
        HoldPoint::all(&self.progress(), &self.report.findings, &self.history)
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
        let progress = self.progress();
        let cells = self.hold_points().into_iter().map(|hold_point| self.cell(&progress, &hold_point, here));
        PhaseStrip { cells: cells.collect() }
    }

    fn cell(&self, progress: &Progress<'_>, hold_point: &HoldPoint<'_>, here: Option<Tab>) -> PhaseCell {
        let (phase, count) = (hold_point.into, progress.phase(hold_point.into));
        PhaseCell {
            phase,
            done: count.done + count.not_needed,
            of: count.all(),
            held: !hold_point.is_open() && !count.is_finished(),
            href: format!("{}/phases/{phase}", self.href()),
            here: here == Some(Tab::Phase(phase)),
        }
    }
}
