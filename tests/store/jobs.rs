//! Whole jobs: in and out, all or nothing, listed, closed, deleted.

use driploop::job::event::{Mark, Tick};
use driploop::job::file::JobFile;
use driploop::job::plan::Location;
use driploop::job::value::Name;
use driploop::shop::access::Scope;
use driploop::shop::job_state::JobState;
use driploop::shop::picture::Picture;
use driploop::store::jobs::{self, Intake};
use driploop::store::log::Change;
use driploop::store::{Error, deletion, file, grants, item, job_state, log, photos, record};

use serde_json::{Value, json};
use uuid::Uuid;

use crate::fixture::{Shop, at, small};

#[tokio::test]
async fn a_job_file_goes_in_and_comes_out_the_same() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    assert_eq!(job.number(), 1001);
    assert_eq!(shop.export(job).await.write(), small().write());
}

#[tokio::test]
async fn two_jobs_of_one_file_stay_apart() {
    let shop = Shop::open().await;
    let (first, second) = (shop.import(&small()).await, shop.import(&small()).await);
    assert_ne!(first, second);
    assert_eq!(shop.export(first).await, shop.export(second).await);
    let mut write = shop.write().await;
    deletion::delete(&mut write, shop.store.folder(), first).await.unwrap();
    write.commit().await.unwrap();
    assert_eq!(shop.export(second).await, small());
}

#[tokio::test]
async fn an_import_that_fails_leaves_nothing() {
    let shop = Shop::open().await;
    let before = shop.rows().await;
    // The last thing written fails: an obstacle this long passes the file's rules and not the database's.
    let mut late = small();
    late.history.releases[0].obstacle = "x".repeat(70_000);
    let mut write = shop.write().await;
    let error = file::import(&mut write, &late).await.unwrap_err();
    assert_eq!(error.to_string(), "note: too long: expected at most 64 KiB in all");
    drop(write);
    assert_eq!(shop.rows().await, before);
}

#[tokio::test]
async fn a_job_that_does_not_fit_together_is_refused_with_every_fault() {
    let shop = Shop::open().await;
    let mut wrong = small();
    wrong.plan.circuits[0].from = "nowhere".parse().unwrap();
    wrong.plan.devices[1].location = "nowhere".parse().unwrap();
    let mut write = shop.write().await;
    wrong.history.releases[0].reason = " ".parse().unwrap();
    let Error::Faults(faults) = file::import(&mut write, &wrong).await.unwrap_err() else { panic!() };
    let paths: Vec<_> = faults.iter().map(|fault| fault.path.as_str()).collect();
    assert!(paths.contains(&"circuits[0].from") && paths.contains(&"devices[1].location"), "{paths:?}");
    assert!(paths.contains(&"history.releases[0].reason"), "{paths:?}");
}

#[tokio::test]
async fn an_intake_is_changed_by_one_person_at_a_time() {
    let shop = Shop::open().await;
    let JobFile { plan, .. } = small();
    let intake = Intake { job: plan.job, boat: plan.boat, customer: plan.customer };
    let mut write = shop.write().await;
    let job = jobs::create(&mut write, &intake).await.unwrap();
    let started_from = jobs::get(&mut write, job).await.unwrap().version;

    let renamed = Intake { customer: None, ..intake.clone() };
    let second = jobs::update(&mut write, job, &renamed, started_from).await.unwrap();
    assert_eq!(jobs::get(&mut write, job).await.unwrap().value, renamed);
    let Error::Stale(stale) = jobs::update(&mut write, job, &intake, started_from).await.unwrap_err() else {
        panic!()
    };
    assert_eq!((stale.version, &stale.theirs), (second, &serde_json::to_value(&renamed).unwrap()));
    write.commit().await.unwrap();

    let mut read = shop.store.read().await.unwrap();
    let lines = log::of_job(&mut read, job, None, 10).await.unwrap();
    let told: Vec<_> =
        lines.iter().map(|line| (line.change, line.subject.as_str(), line.by.as_str())).collect();
    assert_eq!(told, [(log::Change::Changed, "job/1001", "Ana"), (log::Change::Added, "job/1001", "Ana")]);
    assert_eq!((&lines[0].before, &lines[0].after), (&None, &None), "no history holds a customer");
    assert_eq!(lines[1].after.as_ref().unwrap()["boat"]["name"], "Small Gannet");
    assert_eq!(lines[0].at, at(0));
}

#[tokio::test]
async fn the_shop_floor_lists_open_jobs_by_promised_day() {
    let shop = Shop::open().await;
    let mut unpromised = small();
    unpromised.plan.job.promised_on = None;
    let mut early = small();
    early.plan.job.promised_on = Some("2026-02-20".parse().unwrap());
    let last = shop.import(&unpromised).await;
    let middle = shop.import(&small()).await;
    let first = shop.import(&early).await;

    let mut write = shop.write().await;
    jobs::change_state(&mut write, middle, JobState::Closed).await.unwrap();
    let open = jobs::list(&mut write, JobState::Open, &Scope::All, 10).await.unwrap();
    assert_eq!(open.iter().map(|job| job.id).collect::<Vec<_>>(), [first, last]);
    let row = &open[0];
    assert_eq!((row.circuits, row.devices, row.boat.as_str()), (2, 3, "Small Gannet"));
    assert_eq!(row.last.as_ref().unwrap().by, "Ana");
    let closed = jobs::list(&mut write, JobState::Closed, &Scope::All, 10).await.unwrap();
    assert_eq!(closed.iter().map(|job| job.id).collect::<Vec<_>>(), [middle]);
    let only = Scope::Only([last].into());
    let granted = jobs::list(&mut write, JobState::Open, &only, 10).await.unwrap();
    assert_eq!(granted.iter().map(|job| job.id).collect::<Vec<_>>(), [last]);
    assert_eq!(jobs::list(&mut write, JobState::Open, &Scope::Only([].into()), 10).await.unwrap(), []);
    jobs::change_state(&mut write, middle, JobState::Open).await.unwrap();
    assert_eq!(job_state::of(&mut write, middle).await.unwrap(), Some(JobState::Open));
    assert_eq!(jobs::count(&mut write).await.unwrap(), 3);
}

#[tokio::test]
async fn what_is_not_there_is_said_so() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    deletion::delete(&mut write, shop.store.folder(), job).await.unwrap();
    for error in [
        jobs::get(&mut write, job).await.unwrap_err(),
        jobs::change_state(&mut write, job, JobState::Closed).await.unwrap_err(),
        deletion::delete(&mut write, shop.store.folder(), job).await.unwrap_err(),
    ] {
        assert!(matches!(&error, Error::NotFound(what) if what == "job 1001"), "{error}");
    }
}

#[tokio::test]
async fn deleting_a_job_keeps_who_did_it_and_nothing_of_the_customer() {
    let shop = Shop::open().await;
    let before = shop.rows().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write().await;
    deletion::delete(&mut write, shop.store.folder(), job).await.unwrap();
    write.commit().await.unwrap();
    assert_eq!(shop.rows().await, before + 1);
    let lines = log::of_shop(&mut shop.store.read().await.unwrap(), None, 10).await.unwrap();
    assert_eq!((lines[0].change, lines[0].subject.as_str()), (log::Change::Removed, "job/1001"));
    assert_eq!(lines[0].before, None);
    let kept = "job-1001-20260225T061320Z";
    assert_eq!(lines[0].after, Some(json!({"kept": kept})), "where the job file is, and nothing else");
    let kept = shop.store.folder().deleted().join(kept);
    assert_eq!(std::fs::read_to_string(kept.join("job.json")).unwrap(), small().write());
    assert_eq!(lines[0].by, Name::try_from("Ana".to_owned()).unwrap().as_str());
}

#[tokio::test]
async fn a_job_that_is_not_open_takes_no_work_until_it_is_reopened() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let tick = |n| Tick {
        id: Uuid::from_u128(n),
        step: "circuit/C01/test".parse().unwrap(),
        mark: Mark::Done,
        reason: None,
        by: "Ana".parse().unwrap(),
        seen: Default::default(),
        at: at(60),
    };
    let picture = Picture { bytes: b"a picture".to_vec(), width: 4, height: 3 };
    for state in [JobState::Closed, JobState::PutAside] {
        let mut write = shop.write_by("Ana").await;
        jobs::change_state(&mut write, job, state).await.unwrap();
        write.commit().await.unwrap();
        let before = shop.rows().await;
        let mut write = shop.write_by("Ana").await;
        let refused = record::add(&mut write, job, &tick(1)).await.unwrap_err();
        assert!(matches!(refused, Error::NotOpen(held) if held == state), "{refused}");
        let helm = item::get::<Location>(&mut write, job, &"helm".parse().unwrap()).await.unwrap();
        let wet = Location { wet: !helm.value.wet, ..helm.value };
        let refused = item::save(&mut write, job, &wet, Some(helm.version)).await.unwrap_err();
        assert!(matches!(refused, Error::NotOpen(held) if held == state), "{refused}");
        let (folder, subject) = (shop.store.folder(), "job/job".parse().unwrap());
        let refused = photos::add(&mut write, folder, job, &subject, &picture).await.unwrap_err();
        assert!(matches!(refused, Error::NotOpen(held) if held == state), "{refused}");
        drop(write);
        assert_eq!(shop.rows().await, before);
    }
    let mut write = shop.write_by("Ana").await;
    jobs::change_state(&mut write, job, JobState::Open).await.unwrap();
    jobs::change_state(&mut write, job, JobState::Open).await.unwrap();
    assert!(record::add(&mut write, job, &tick(1)).await.unwrap());
    write.commit().await.unwrap();
    let lines = log::of_job(&mut shop.store.read().await.unwrap(), job, None, 10).await.unwrap();
    let changes: Vec<_> = lines.iter().map(|line| line.change).collect();
    let expected = [Change::Ticked, Change::Reopened, Change::PutAside, Change::Closed, Change::Imported];
    assert_eq!(changes, expected, "each change of the state once");
}

#[tokio::test]
async fn the_photos_of_a_deleted_job_are_kept_with_its_job_file() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let picture = Picture { bytes: b"a picture".to_vec(), width: 4, height: 3 };
    let mut write = shop.write().await;
    let subject = "location/helm".parse().unwrap();
    let photo = photos::add(&mut write, shop.store.folder(), job, &subject, &picture).await.unwrap();
    write.commit().await.unwrap();
    let mut write = shop.write().await;
    let kept = deletion::delete(&mut write, shop.store.folder(), job).await.unwrap();
    write.commit().await.unwrap();
    assert_eq!(std::fs::read(kept.join(format!("photo-{photo}.jpg"))).unwrap(), b"a picture");
    let list: Value = serde_json::from_slice(&std::fs::read(kept.join("photos.json")).unwrap()).unwrap();
    assert_eq!(list[0]["subject"], "location/helm");
    assert_eq!(list[0]["file"], format!("photo-{photo}.jpg"));
}

#[tokio::test]
async fn a_grant_is_in_the_log_of_its_job_and_goes_with_it() {
    let shop = Shop::open().await;
    let (first, second) = (shop.import(&small()).await, shop.import(&small()).await);
    let rae = shop.hand("Rae").await.person.unwrap();
    let mut write = shop.write().await;
    jobs::change_state(&mut write, second, JobState::Closed).await.unwrap();
    grants::set(&mut write, rae, &[first, second].into()).await.unwrap();
    grants::set(&mut write, rae, &[second].into()).await.unwrap();
    assert_eq!(grants::of_person(&mut write, rae).await.unwrap(), [second].into());
    let lines = log::of_job(&mut write, first, None, 2).await.unwrap();
    assert_eq!((lines[0].change, &lines[0].before), (Change::GrantEnded, &Some(json!("Rae"))));
    assert_eq!((lines[1].change, &lines[1].after), (Change::Granted, &Some(json!("Rae"))));
    assert_eq!(lines[0].subject, format!("person/{rae}"));
    let lines = log::of_job(&mut write, second, None, 1).await.unwrap();
    assert_eq!(lines[0].change, Change::Granted, "a closed job can be granted");
    deletion::delete(&mut write, shop.store.folder(), second).await.unwrap();
    assert_eq!(grants::of_person(&mut write, rae).await.unwrap(), [].into());
    let missing = grants::set(&mut write, rae, &[second].into()).await.unwrap_err();
    assert!(matches!(missing, Error::NoSuchJob), "{missing}");
}
