//! A plan with everything that follows from it alone: its conductors, its steps, and the report of its check.

use super::check::{Report, check};
use super::names::Names;
use super::plan::Plan;
use super::run::Pieces;
use super::steps::Steps;
use super::subject::{Subject, SubjectKind};
use super::wiring::Conductors;

/// A checked plan. It is made once for each change of the plan, and every page and every record reads it.
#[derive(Debug, Clone, PartialEq)]
pub struct Checked {
    /// The plan.
    pub plan: Plan,
    /// Its conductors, with the lengths of their routes.
    pub conductors: Conductors,
    /// The steps of the work.
    pub steps: Steps,
    /// Every figure, and the findings about the plan.
    pub report: Report,
}

impl Checked {
    /// Checks a plan without [faults](Plan::faults).
    pub fn of(plan: Plan) -> Self {
        let report = check(&plan);
        let conductors = report.conductors(&plan);
        let steps = Steps::of(&plan, &conductors, &report.routes);
        Self { plan, conductors, steps, report }
    }

    /// Whether the job has a thing: itself, an item of its plan, or a wire, cable, end, position or setting that
    /// follows from the plan.
    pub fn has(&self, thing: &Subject) -> bool {
        use SubjectKind::{Cable, Conductor, End, Job, Position, Setting};
        match thing.kind {
            Job => thing.id == "job",
            Position | Setting => self.steps.of_subject(thing).next().is_some(),
            Conductor | End | Cable => self.pieces().about(thing).is_some(),
            kind => Names::of(&self.plan).name(kind, &thing.id).is_some(),
        }
    }

    /// Everything on the job that is pulled, labeled and tied down.
    pub fn pieces(&self) -> Pieces<'_> {
        Pieces::of(&self.plan, &self.conductors)
    }
}
