//! A job gives the same status where its work was done and where its job file was imported, once a manager there
//! confirmed what was released and waived.

use std::collections::HashMap;

use driploop::job::checked::Checked;
use driploop::job::event::{Confirmation, History, Mark};
use driploop::job::work::{Verdicts, Work};
use driploop::shop::demo;
use driploop::store::{JobId, file, record};
use uuid::Uuid;

use crate::fixture::Shop;

/// The status of every step, by its key.
fn status(checked: &Checked, history: &History) -> Vec<String> {
    let verdicts = Verdicts::of(checked, history);
    let work = Work::of(checked, history, &verdicts);
    checked.steps.all().iter().map(|step| format!("{}: {:?}", step.key, work.state(&step.key))).collect()
}

async fn history(shop: &Shop, job: JobId) -> History {
    record::history(&mut shop.store.read().await.unwrap(), job).await.unwrap()
}

/// What a manager of the shop that imports it can confirm.
fn to_confirm(history: &History) -> Vec<Uuid> {
    let releases = history.releases.iter().map(|release| release.id);
    let judgments = history.judgments.iter().map(|judgment| judgment.id);
    let waivers = history.ticks.iter().filter(|tick| tick.mark == Mark::NotNeeded).map(|tick| tick.id);
    releases.chain(judgments).chain(waivers).collect()
}

#[tokio::test]
async fn a_job_file_gives_the_same_status_once_its_releases_are_confirmed() {
    for boat in demo::files().unwrap() {
        let shop = Shop::open().await;
        let checked = Checked::of(boat.plan.clone());

        let mut people = HashMap::new();
        for name in demo::people().iter().map(|person| person.name) {
            people.insert(name.to_owned(), shop.hand(name).await.person.unwrap());
        }
        let mut write = shop.write_by("Ines Tarrowby").await;
        let own = file::import_own(&mut write, &boat, &people).await.unwrap();
        write.commit().await.unwrap();
        let own = history(&shop, own).await;
        assert!(own.imported.is_empty());
        let where_it_was_done = status(&checked, &own);

        let job = shop.import(&boat).await;
        let imported = history(&shop, job).await;
        assert!(boat.history.ticks.iter().all(|tick| imported.imported.contains(&tick.id)));
        if !boat.history.releases.is_empty() {
            assert_ne!(status(&checked, &imported), where_it_was_done, "not confirmed, yet it counts");
        }
        let mut write = shop.write_by("Ines Tarrowby").await;
        for event in to_confirm(&imported) {
            let (id, at) = (Uuid::now_v7(), imported.latest().unwrap());
            let confirmation = Confirmation { id, event, by: "Ines Tarrowby".parse().unwrap(), at };
            record::add(&mut write, job, &confirmation).await.unwrap();
        }
        write.commit().await.unwrap();
        assert_eq!(
            status(&checked, &history(&shop, job).await),
            where_it_was_done,
            "{}",
            boat.plan.boat.name
        );
    }
}
