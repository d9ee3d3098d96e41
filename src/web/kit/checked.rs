//! Checked plans that need not be made twice: a plan that nobody changed stays checked.
//!
//! Checks run on threads of their own, so that a heavy plan does not hold up the answers to other people.

use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use moka::future::Cache;
use moka::policy::EvictionPolicy;
use tokio::time::timeout;

use super::Error;
use super::line::{Line, Load, NotRun};
use crate::job::checked::Checked;
use crate::job::event::History;
use crate::job::plan::Plan;
use crate::job::work::Verdicts;
use crate::store::JobId;
use crate::store::log::Edition;

/// How much is kept, in KiB: a shop's work of a day.
const MOST_KIB: u64 = 64 * 1024;
/// What the heaviest one counts as. One that is larger than all that is kept would never be kept.
const HEAVIEST_KIB: u32 = 32 * 1024;
/// How long a page waits for the check of a heavy job.
const SOON: Duration = Duration::from_millis(800);

/// The checked plans opened lately, each with the revision of the plan it is for.
#[derive(Debug)]
pub struct CheckedPlans {
    kept: Cache<Key, Arc<Kept>>,
    /// Where checks wait for a thread.
    line: Line,
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
        let weigh = |_: &Key, kept: &Arc<Kept>| kept.weight_kib();
        // The one looked at last is kept, however heavy it is beside the others.
        let kept = Cache::builder().eviction_policy(EvictionPolicy::lru()).weigher(weigh);
        Self { kept: kept.max_capacity(MOST_KIB).build(), line: Line::default() }
    }
}

impl CheckedPlans {
    /// Where checks wait.
    pub fn line(&self) -> &Line {
        &self.line
    }

    /// Whether this revision of a plan is checked, so that its plan need not be read.
    pub fn has(&self, job: JobId, edition: Option<&Edition>) -> bool {
        self.kept.contains_key(&(job, edition.cloned()))
    }

    /// The check of this revision of a plan, and the verdicts of all readings of its history. However many ask, a
    /// revision is checked once, also if the first that asked leaves. `None` if a newer revision took its place
    /// while it waited, or the plan is missing and the check is no longer kept: read the job again.
    ///
    /// # Errors
    ///
    /// [`Error::BeingChecked`] if the job is heavy and its check takes longer, [`Error::Internal`] if the check
    /// panicked.
    pub async fn get(
        &self,
        (job, load): (JobId, Load),
        edition: Option<&Edition>,
        plan: Option<Plan>,
        history: &History,
    ) -> Result<Option<(Arc<Checked>, Arc<Verdicts>)>, Error> {
        let found = self.found((job, load), edition, plan, history);
        match load {
            Load::Light => found.await,
            Load::Heavy => timeout(SOON, found).await.map_err(|_| Error::BeingChecked(job))?,
        }
    }

    async fn found(
        &self,
        (job, load): (JobId, Load),
        edition: Option<&Edition>,
        plan: Option<Plan>,
        history: &History,
    ) -> Result<Option<(Arc<Checked>, Arc<Verdicts>)>, Error> {
        let Some(kept) = self.kept((job, load), edition, plan).await? else { return Ok(None) };
        let verdicts = kept.verdicts();
        if verdicts.has_all(history) {
            return Ok(Some((Arc::clone(&kept.checked), verdicts)));
        }
        let (judged, history) = (Arc::clone(&kept), history.clone());
        let judge = move || {
            let mut verdicts = Verdicts::clone(&verdicts);
            verdicts.extend(&judged.checked, &history);
            let verdicts = Arc::new(verdicts);
            // Two that judge at once may drop the other's verdicts here. They are made again when they are needed.
            *judged.verdicts.lock().unwrap_or_else(PoisonError::into_inner) = Arc::clone(&verdicts);
            verdicts
        };
        let line = self.line.clone();
        // A task of its own goes on if its asker leaves.
        let verdicts = tokio::spawn(async move { line.run(load, judge).await });
        let verdicts = verdicts.await.map_err(Error::internal)?.map_err(Error::internal)?;
        Ok(Some((Arc::clone(&kept.checked), verdicts)))
    }

    async fn kept(
        &self,
        (job, load): (JobId, Load),
        edition: Option<&Edition>,
        plan: Option<Plan>,
    ) -> Result<Option<Arc<Kept>>, Error> {
        let (cache, line, key) = (self.kept.clone(), self.line.clone(), (job, edition.cloned()));
        let Some(plan) = plan else { return Ok(cache.get(&key).await) };
        let revision = Edition::number_of(edition);
        let check = async move { line.run_newest((job, load), revision, || Arc::new(Kept::of(plan))).await };
        // A task of its own goes on if its first asker leaves.
        let kept = tokio::spawn(async move { cache.try_get_with(key, check).await });
        match kept.await.map_err(Error::internal)? {
            Ok(kept) => Ok(Some(kept)),
            Err(why) if matches!(*why, NotRun::Newer) => Ok(None),
            Err(why) => Err(Error::internal(why)),
        }
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
        u32::try_from(count).unwrap_or(u32::MAX).saturating_add(16).min(HEAVIEST_KIB)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::plan::Circuit;
    use crate::job::value::Name;
    use crate::shop::demo;
    use crate::store::{Actor, ChangeSet, Store, file};
    use crate::web::kit::AppState;
    use crate::web::kit::opened::Opened;

    fn edition(number: i64) -> Edition {
        Edition { number, at: jiff::Timestamp::UNIX_EPOCH, by: "Ana".to_owned() }
    }

    #[tokio::test]
    async fn a_revision_is_checked_once_however_many_ask() {
        let plans = CheckedPlans::default();
        let file = demo::files().unwrap().remove(3);
        let ask = async || {
            plans
                .get((JobId::from(1), Load::Light), None, Some(file.plan.clone()), &file.history)
                .await
                .unwrap()
                .unwrap()
        };
        let ((first, verdicts), (second, _)) = tokio::join!(ask(), ask());
        assert!(Arc::ptr_eq(&first, &second));
        assert!(verdicts.has_all(&file.history));
        let (again, same) = ask().await;
        assert!(Arc::ptr_eq(&first, &again));
        assert_eq!(verdicts, same);
    }

    #[tokio::test]
    async fn a_check_goes_on_when_its_first_asker_leaves() {
        let plans = CheckedPlans::default();
        let file = demo::files().unwrap().remove(3);
        let left = tokio::time::timeout(
            std::time::Duration::ZERO,
            plans.get((JobId::from(1), Load::Light), None, Some(file.plan.clone()), &file.history),
        );
        assert!(left.await.is_err());
        while plans.kept.get(&(JobId::from(1), None)).await.is_none() {
            tokio::task::yield_now().await;
        }
    }

    #[tokio::test]
    async fn nobody_waits_long_for_a_heavy_job_and_its_check_goes_on() {
        let (plans, file) = (CheckedPlans::default(), demo::files().unwrap().remove(3));
        let busy = plans.line.hold_all(Load::Heavy).await;
        let ask = || plans.get((JobId::from(1), Load::Heavy), None, Some(file.plan.clone()), &file.history);
        assert!(matches!(ask().await, Err(Error::BeingChecked(job)) if job == JobId::from(1)));
        drop(busy);
        while !plans.has(JobId::from(1), None) {
            tokio::task::yield_now().await;
        }
        let known = plans.get((JobId::from(1), Load::Light), None, None, &file.history).await.unwrap();
        assert!(known.is_some(), "a check that is known needs no plan");
    }

    #[tokio::test]
    async fn of_many_revisions_that_wait_only_the_newest_is_checked() {
        let plans = Arc::new(CheckedPlans::default());
        let (busy, file) = (plans.line.hold_all(Load::Light).await, demo::files().unwrap().remove(3));
        let ask = |job: i64, number: i64| {
            let (plans, file) = (Arc::clone(&plans), file.clone());
            let get = async move {
                let got = plans
                    .get((job.into(), Load::Light), Some(&edition(number)), Some(file.plan), &file.history)
                    .await;
                got.unwrap().is_some()
            };
            tokio::spawn(get)
        };
        let (other, newest) = (ask(2, 1), ask(1, 30));
        let older: Vec<_> = (1..30).map(|number| ask(1, number)).collect();
        for asked in older {
            assert!(!asked.await.unwrap(), "it gives its place up while all threads are busy");
        }
        drop(busy);
        assert!(newest.await.unwrap());
        assert!(other.await.unwrap(), "another job keeps its place");
        plans.kept.run_pending_tasks().await;
        assert_eq!(plans.kept.entry_count(), 2, "nothing else was checked");
        assert!(ask(1, 29).await.unwrap(), "an older one that waits beside no newer one is checked");
    }

    #[tokio::test]
    async fn a_page_that_lost_its_place_shows_the_newest_revision() {
        let folder = tempfile::tempdir().unwrap();
        let app = AppState::new(Store::open(folder.path()).await.unwrap(), false);
        let actor = Actor { person: None, name: "Ana".parse().unwrap() };
        let mut write = app.store().write(&actor, app.now()).await.unwrap();
        let boat = demo::files().unwrap().remove(3);
        let circuit = boat.plan.circuits.first().unwrap().id.clone();
        let job = file::import(&mut write, &boat).await.unwrap();
        write.commit().await.unwrap();
        let (busy, mut pages) = (app.checked().line.hold_all(Load::Light).await, Vec::new());
        for revision in 1..=12 {
            let state = app.clone();
            pages.push(tokio::spawn(async move { Opened::load(&state, job).await }));
            app.checked().line.until_waiting(job, revision).await;
            if revision < 12 {
                let mut write = app.store().write(&actor, app.now()).await.unwrap();
                let mut change = ChangeSet::begin(&mut write, job).await.unwrap();
                let name: Name = format!("Lights {revision}").parse().unwrap();
                change.alter(&circuit, |before: Circuit| Circuit { name, ..before }).unwrap();
                change.commit().await.unwrap();
                write.commit().await.unwrap();
            }
        }
        // A page that lost its place reads the job again before it comes back. It needs the time for that.
        tokio::time::sleep(std::time::Duration::from_millis(500)).await;
        drop(busy);
        for page in pages {
            let page = page.await.unwrap().unwrap();
            assert_eq!(page.edition.unwrap().number, 12);
        }
        app.checked().kept.run_pending_tasks().await;
        assert_eq!(app.checked().kept.entry_count(), 1, "one check served all pages");
    }
}
