//! A plan with everything that follows from it alone: its conductors, its steps, and the report of its check.

use super::check::{Report, check};
use super::plan::Plan;
use super::run::Pieces;
use super::steps::Steps;
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

    /// Everything on the job that is pulled, labeled and tied down.
    pub fn pieces(&self) -> Pieces<'_> {
        Pieces::of(&self.plan, &self.conductors)
    }
}
