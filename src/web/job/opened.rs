//! An opened job: what every page of a job starts from, read in one view of the database.

use crate::job::check::{self, Report};
use crate::job::event::History;
use crate::job::finding::Finding;
use crate::job::gate::Gate;
use crate::job::phase::Phase;
use crate::job::plan::Plan;
use crate::job::progress::Progress;
use crate::job::steps::Steps;
use crate::job::wiring::Conductors;
use crate::store::log::{self, Line};
use crate::store::{JobId, history, plan};
use crate::trade::finding::Level;
use crate::web::page::{Frame, JobBlock, PhaseCell, PhaseStrip, Sheet, Tab};
use crate::web::{AppState, Error};

/// A job with what happened on it and what follows from both.
#[derive(Debug)]
pub struct Opened {
    /// Its key.
    pub id: JobId,
    /// What is planned.
    pub plan: Plan,
    /// What happened.
    pub history: History,
    /// The pieces of wire.
    pub conductors: Conductors,
    /// What is to be done.
    pub steps: Steps,
    /// The check of the plan.
    pub report: Report,
    /// What the checks say, the gravest first.
    pub findings: Vec<Finding>,
    /// The newest lines of its log.
    pub log: Vec<Line>,
}

/// How many lines of the log a job is opened with.
const RECENT: u32 = 12;

impl Opened {
    /// Reads a job and derives the rest.
    ///
    /// # Errors
    /// [`Error::NotFound`] where there is no such job.
    pub async fn load(app: &AppState, id: JobId) -> Result<Self, Error> {
        let mut read = app.store().read().await?;
        let plan = plan::load(&mut read, id).await?;
        let history = history::load(&mut read, id).await?;
        let log = log::of_job(&mut read, id, None, RECENT).await?;
        Ok(Self::of(id, plan, history, log))
    }

    /// A job from its parts.
    pub fn of(id: JobId, plan: Plan, history: History, log: Vec<Line>) -> Self {
        let conductors = Conductors::of(&plan);
        let steps = Steps::of(&plan, &conductors);
        let report = check::check(&plan);
        let findings = report.findings.clone();
        Self { id, plan, history, conductors, steps, report, findings, log }
    }

    /// Its address.
    pub fn href(&self) -> String {
        format!("/jobs/{}", self.id)
    }

    /// How far it is.
    pub fn progress(&self) -> Progress<'_> {
        Progress::new(&self.steps, &self.history)
    }

    /// Its gates, in the order of work.
    pub fn gates(&self) -> Vec<Gate<'_>> {
        Gate::all(&self.progress(), &self.findings, &self.history)
    }

    /// How many findings of a level there are.
    pub fn count(&self, level: Level) -> usize {
        self.findings.iter().filter(|finding| finding.level == level).count()
    }

    /// A page of this job.
    pub fn sheet(&self, frame: Frame, tab: Tab) -> Sheet {
        let block = self.block(&frame, tab);
        frame.job_sheet(tab.title(), block, tab)
    }

    /// What the title block says of it.
    pub fn block(&self, frame: &Frame, here: Tab) -> JobBlock {
        let last = self.log.first();
        JobBlock {
            href: self.href(),
            number: self.id.to_string(),
            name: self.plan.job.name.to_string(),
            boat: self.plan.boat.name.to_string(),
            edition: last.map_or(0, |line| line.id),
            date: last.map_or_else(String::new, |line| frame.local(line.at).date().to_string()),
            by: last.map_or_else(String::new, |line| line.by.clone()),
            phases: self.strip(Some(here)),
        }
    }

    /// The eight phases, each filled as far as it is done.
    pub fn strip(&self, here: Option<Tab>) -> PhaseStrip {
        let progress = self.progress();
        let cells = self.gates().into_iter().map(|gate| self.cell(&progress, &gate, here));
        PhaseStrip { cells: cells.collect() }
    }

    fn cell(&self, progress: &Progress<'_>, gate: &Gate<'_>, here: Option<Tab>) -> PhaseCell {
        let (phase, count) = (gate.into, progress.phase(gate.into));
        PhaseCell {
            phase,
            done: count.done + count.not_needed,
            of: count.all(),
            held: !gate.is_open() && !count.is_finished(),
            href: format!("{}/phases/{phase}", self.href()),
            here: here == Some(Tab::Phase(phase)),
        }
    }

    /// The phase being worked in, and the gate into the next one that has work left.
    pub fn current_phase(&self) -> Option<Phase> {
        self.progress().current_phase()
    }
}
