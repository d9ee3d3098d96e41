//! In what order runs are pulled.
//!
//! Runs that end at the same place by the same way are pulled together, from the device back towards the source.
//! The longest pull comes first: it fixes how the string lies, and the short ones are laid beside it. Within a
//! pull the thickest goes first. Common practice, no source.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::report::{RoutesReport, RunReport};
use crate::job::value::{PassageId, PlaceId};
use crate::job::wiring::ConductorId;

/// Runs that are pulled together.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull<'r> {
    /// Where the pull begins: the devices' end.
    pub from: &'r PlaceId,
    /// Where it comes out: the end nearer the source.
    pub to: &'r PlaceId,
    /// The passages in the order of the pull.
    pub passages: Vec<&'r PassageId>,
    /// How far it is; none where a passage is of unknown length.
    pub path_m: Option<f64>,
    /// The runs, the thickest first.
    pub runs: Vec<(&'r ConductorId, &'r RunReport)>,
}

impl RoutesReport {
    /// The pulls of a job, in order. Runs without a way are in none.
    pub fn pulls(&self) -> Vec<Pull<'_>> {
        let mut together: BTreeMap<_, Vec<_>> = BTreeMap::new();
        for (id, run) in self.runs.iter().filter(|(_, run)| run.by.is_some()) {
            together.entry((&run.between, &run.passages)).or_default().push((id, run));
        }
        let mut pulls: Vec<Pull<'_>> = together
            .into_iter()
            .map(|(([to, from], passages), mut runs)| {
                runs.sort_by_key(|(_, run)| Reverse(run.sizes.iter().flatten().max().copied()));
                let path_m = runs.first().and_then(|(_, run)| Some(run.cut.as_ref()?.path_m));
                Pull { from, to, passages: passages.iter().rev().collect(), path_m, runs }
            })
            .collect();
        let length = |pull: &Pull<'_>| pull.path_m.unwrap_or(f64::INFINITY);
        pulls.sort_by(|one, other| length(other).total_cmp(&length(one)));
        pulls
    }

    /// Metres of each cut length together, a pair counted once; none where a run has no length.
    pub fn total_m(&self) -> Option<f64> {
        self.runs.values().map(|run| run.cut.as_ref().map(|cut| cut.total_m)).sum()
    }
}
