//! Checked plans that need not be made twice: a plan that nobody changed stays checked.
//!
//! Checks run on threads of their own, so that a heavy plan does not hold up the answers to other people.

use std::sync::{Arc, Mutex, PoisonError};
use std::thread;

use moka::future::Cache;
use tokio::sync::Semaphore;
use tokio::task;

use super::Error;
use crate::job::checked::Checked;
use crate::job::event::History;
use crate::job::plan::Plan;
use crate::job::work::Verdicts;
use crate::store::JobId;
use crate::store::log::Edition;

/// How much is kept, in KiB: a shop's work of a day.
const MOST_KIB: u64 = 64 * 1024;

/// The checked plans opened lately, each with the revision of the plan it is for.
#[derive(Debug)]
pub struct CheckedPlans {
    kept: Cache<Key, Arc<Kept>>,
    /// As many checks run at once as there are cores, but for one that answers.
    threads: Arc<Semaphore>,
}

type Key = (JobId, Option<Edition>);

#[derive(Debug)]
struct Kept {
    checked: Arc<Checked>,
    /// The verdicts made so far.
    verdicts: Mutex<Arc<Verdicts>>,
}

impl Default for CheckedPlans {
    fn default() -> Self {
        let cores = thread::available_parallelism().map_or(1, usize::from);
        let weigh = |_: &Key, kept: &Arc<Kept>| kept.weight_kib();
        Self {
            kept: Cache::builder().weigher(weigh).max_capacity(MOST_KIB).build(),
            threads: Arc::new(Semaphore::new((cores - 1).max(1))),
        }
    }
}

impl CheckedPlans {
    /// The check of this revision of a plan, and the verdicts of all readings of its history. However many ask, a
    /// revision is checked once, also if the first that asked leaves.
    ///
    /// # Errors
    ///
    /// [`Error::Internal`] if the check panicked.
    pub async fn get(
        &self,
        job: JobId,
        edition: Option<&Edition>,
        plan: Plan,
        history: &History,
    ) -> Result<(Arc<Checked>, Arc<Verdicts>), Error> {
        let (cache, threads, key) = (self.kept.clone(), Arc::clone(&self.threads), (job, edition.cloned()));
        let check = on_thread(threads, move || Arc::new(Kept::of(plan)));
        let kept = tokio::spawn(async move { cache.try_get_with(key, check).await });
        let kept = kept.await.map_err(Error::internal)?.map_err(Error::internal)?;
        let verdicts = kept.verdicts();
        if verdicts.has_all(history) {
            return Ok((Arc::clone(&kept.checked), verdicts));
        }
        let (checked, history) = (Arc::clone(&kept.checked), history.clone());
        let judge = move || {
            let mut verdicts = Verdicts::clone(&verdicts);
            verdicts.extend(&checked, &history);
            Arc::new(verdicts)
        };
        let verdicts = on_thread(Arc::clone(&self.threads), judge).await.map_err(Error::internal)?;
        // Two that judge at once may drop the other's new verdicts here. They are made again when they are needed.
        *kept.verdicts.lock().unwrap_or_else(PoisonError::into_inner) = Arc::clone(&verdicts);
        Ok((Arc::clone(&kept.checked), verdicts))
    }
}

impl Kept {
    fn of(plan: Plan) -> Self {
        Self { checked: Arc::new(Checked::of(plan)), verdicts: Mutex::default() }
    }

    fn verdicts(&self) -> Arc<Verdicts> {
        Arc::clone(&self.verdicts.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// About its size in memory, by counts: a conductor, a step and a finding take about 1 KiB each.
    fn weight_kib(&self) -> u32 {
        let Checked { conductors, steps, report, .. } = &*self.checked;
        let count = conductors.all().len() + steps.all().len() + report.findings.len();
        u32::try_from(count).unwrap_or(u32::MAX).saturating_add(16)
    }
}

/// Runs work on a thread that may block, once there is room.
async fn on_thread<T: Send + 'static>(
    threads: Arc<Semaphore>,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, Arc<task::JoinError>> {
    // The semaphore is never closed; then the work runs without a permit.
    let permit = threads.acquire_owned().await.ok();
    let run = move || {
        let _held = permit;
        work()
    };
    task::spawn_blocking(run).await.map_err(Arc::new)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shop::demo;

    #[tokio::test]
    async fn a_revision_is_checked_once_however_many_ask() {
        let plans = CheckedPlans::default();
        let file = demo::files().unwrap().remove(3);
        let ask = || plans.get(JobId::from(1), None, file.plan.clone(), &file.history);
        let ((first, verdicts), (second, _)) = tokio::try_join!(ask(), ask()).unwrap();
        assert!(Arc::ptr_eq(&first, &second));
        assert!(verdicts.has_all(&file.history));
        let (again, same) = ask().await.unwrap();
        assert!(Arc::ptr_eq(&first, &again));
        assert_eq!(verdicts, same);
    }

    #[tokio::test]
    async fn a_check_goes_on_when_its_first_asker_leaves() {
        let plans = CheckedPlans::default();
        let file = demo::files().unwrap().remove(3);
        let left = tokio::time::timeout(
            std::time::Duration::ZERO,
            plans.get(JobId::from(1), None, file.plan.clone(), &file.history),
        );
        assert!(left.await.is_err());
        while plans.kept.get(&(JobId::from(1), None)).await.is_none() {
            tokio::task::yield_now().await;
        }
    }
}
