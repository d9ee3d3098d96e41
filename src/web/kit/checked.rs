//! Checked plans that need not be made twice: a plan that nobody changed stays checked.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use crate::job::checked::Checked;
use crate::job::event::History;
use crate::job::plan::Plan;
use crate::job::work::Verdicts;
use crate::store::JobId;
use crate::store::log::Edition;

/// How many jobs' plans are kept: more than a shop works on in a day.
const MOST: usize = 64;

/// The checked plans opened lately, each with the revision of the plan it is for.
#[derive(Debug, Default)]
pub struct CheckedPlans(Mutex<HashMap<JobId, Kept>>);

#[derive(Debug, Clone)]
struct Kept {
    made_of: Edition,
    checked: Arc<Checked>,
    verdicts: Arc<Verdicts>,
}

impl CheckedPlans {
    /// The check of this revision of a plan, and the verdicts of all readings of its history. A plan without a
    /// revision is checked each time.
    pub fn get(
        &self,
        job: JobId,
        edition: Option<&Edition>,
        plan: Plan,
        history: &History,
    ) -> (Arc<Checked>, Arc<Verdicts>) {
        let kept = edition.and_then(|edition| self.kept(job, edition));
        let (checked, mut verdicts) = match kept {
            Some(kept) => (kept.checked, kept.verdicts),
            None => (Arc::new(Checked::of(plan)), Arc::default()),
        };
        if !verdicts.has_all(history) {
            Arc::make_mut(&mut verdicts).extend(&checked, history);
        }
        if let Some(edition) = edition {
            let (checked, verdicts) = (Arc::clone(&checked), Arc::clone(&verdicts));
            self.keep(job, Kept { made_of: edition.clone(), checked, verdicts });
        }
        (checked, verdicts)
    }

    fn kept(&self, job: JobId, edition: &Edition) -> Option<Kept> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.get(&job).filter(|kept| kept.made_of == *edition).cloned()
    }

    fn keep(&self, job: JobId, new: Kept) {
        // If a thread panicked while it held the map, at worst one check is missing.
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.len() >= MOST && !kept.contains_key(&job) {
            kept.clear();
        }
        kept.insert(job, new);
    }
}
