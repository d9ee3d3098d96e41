//! Reports that need not be made twice: a plan that nobody changed keeps its report.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

use crate::job::check::{Report, check};
use crate::job::plan::Plan;
use crate::store::JobId;
use crate::store::log::Edition;

/// How many jobs' reports are kept: more than a shop works on in a day.
const MOST: usize = 64;

/// The reports of the plans opened lately, each with the revision of the plan it is for.
#[derive(Debug, Default)]
pub struct ReportCache(Mutex<HashMap<JobId, (Edition, Report)>>);

impl ReportCache {
    /// The report of this revision of a plan. A plan without a revision is checked each time.
    pub fn report(&self, job: JobId, edition: Option<&Edition>, plan: &Plan) -> Report {
        let Some(edition) = edition else { return check(plan) };
        if let Some(report) = self.kept(job, edition) {
            return report;
        }
        let report = check(plan);
        // If a thread panicked while it held the map, at worst one report is missing.
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() >= MOST {
            kept.clear();
        }
        kept.insert(job, (edition.clone(), report.clone()));
        report
    }

    fn kept(&self, job: JobId, edition: &Edition) -> Option<Report> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.get(&job).filter(|(made_of, _)| made_of == edition).map(|(_, report)| report.clone())
    }
}
