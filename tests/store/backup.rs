//! Backups, restores and the doctor: nothing acknowledged is lost, nothing damaged is let in, nothing there is
//! overwritten.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use driploop::job::event::{Mark, Tick};
use driploop::job::file::JobFile;
use driploop::shop::picture::Picture;
use driploop::store::backup::{self, Backup};
use driploop::store::{Error, JobId, Store, doctor, file, known_schema, log, photos, record, restore};
use jiff::SignedDuration;
use tempfile::TempDir;
use uuid::Uuid;

use crate::fixture::{Shop, actor, at, small};

fn tick(id: u128) -> Tick {
    Tick {
        id: Uuid::from_u128(id),
        step: "circuit/C01/test".parse().unwrap(),
        mark: Mark::Done,
        reason: None,
        by: "Ana".parse().unwrap(),
        seen: Default::default(),
        at: at(60),
    }
}

/// A shop with one job and two photos, and a backup of it.
async fn backed_up() -> (Shop, JobId, Backup) {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let photos = shop.store.folder().photos();
    fs::create_dir(photos.join("ab")).unwrap();
    fs::write(photos.join("ab/one.jpg"), [7; 300]).unwrap();
    fs::write(photos.join("two.jpg"), []).unwrap();
    let backup = backup::take(&shop.store, &shop.store.folder().backups(), at(0)).await.unwrap();
    (shop, job, backup)
}

async fn put_back(backup: &Path, into: &Path) -> Result<Option<PathBuf>, Error> {
    restore::restore(backup, into, &actor("Ana"), at(100)).await.map(|restored| restored.set_aside)
}

async fn exported(folder: &Path, job: JobId) -> JobFile {
    let store = Store::open(folder).await.unwrap();
    let out = file::export(&mut store.read().await.unwrap(), job).await.unwrap();
    store.close().await;
    out
}

#[tokio::test]
async fn a_backup_restores_on_an_empty_machine() {
    let (_shop, job, backup) = backed_up().await;
    assert_eq!(backup.path.file_name().unwrap(), "driploop-20260225T061320Z");
    let machine = tempfile::tempdir().unwrap();
    let folder = machine.path().join("new");
    assert_eq!(put_back(&backup.path, &folder).await.unwrap(), None);
    assert_eq!(exported(&folder, job).await, small());
    assert_eq!(fs::read(folder.join("photos/ab/one.jpg")).unwrap(), [7; 300]);
    assert!(fs::read(folder.join("photos/two.jpg")).unwrap().is_empty());
    assert!(doctor::examine(&folder).await.unwrap().is_well());
}

#[tokio::test]
async fn a_restore_sets_aside_what_was_there_and_it_still_opens() {
    let (shop, job, backup) = backed_up().await;
    let later = shop.import(&small()).await;
    fs::write(shop.store.folder().photos().join("later.jpg"), b"x").unwrap();
    let in_use = put_back(&backup.path, shop.store.folder().root()).await.unwrap_err();
    assert!(matches!(in_use, Error::FolderInUse(_)), "{in_use}");

    let Shop { store, _folder: root } = shop;
    store.close().await;
    drop(store);
    let aside = put_back(&backup.path, root.path()).await.unwrap().unwrap();
    assert_eq!(aside.file_name().unwrap(), "before-restore-20260225T061500Z");
    assert_eq!(exported(root.path(), job).await, small());
    assert!(!root.path().join("photos/later.jpg").exists());
    assert_eq!(exported(&aside, later).await, small());
    assert!(aside.join("photos/later.jpg").exists());

    let store = Store::open(root.path()).await.unwrap();
    let lines = log::of_shop(&mut store.read().await.unwrap(), None, 1).await.unwrap();
    assert_eq!(lines[0].after.as_ref().unwrap()["backup_of"], "2026-02-25T06:13:20Z");
}

/// Twenty writers tick as fast as they can; every tick acknowledged before the backup began is in it.
#[tokio::test(flavor = "multi_thread")]
async fn a_backup_under_load_has_every_tick_acknowledged_before_it() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let done = Arc::new(AtomicBool::new(false));
    let acknowledged = Arc::new(tokio::sync::Mutex::new(Vec::new()));
    let mut writers = Vec::new();
    let ana = shop.hand("Ana").await;
    for writer in 0..20_u128 {
        let (store, done, acknowledged) = (shop.store.clone(), done.clone(), acknowledged.clone());
        let ana = ana.clone();
        writers.push(tokio::spawn(async move {
            for number in 0.. {
                if done.load(Ordering::Relaxed) {
                    break;
                }
                let tick = tick(writer << 64 | number);
                let mut write = store.write(&ana, at(0)).await.unwrap();
                record::add(&mut write, job, &tick).await.unwrap();
                write.commit().await.unwrap();
                acknowledged.lock().await.push(tick.id);
            }
        }));
    }
    while acknowledged.lock().await.len() < 100 {
        tokio::time::sleep(std::time::Duration::from_millis(5)).await;
    }
    let before = acknowledged.lock().await.clone();
    let backup = backup::take(&shop.store, &shop.store.folder().backups(), at(0)).await.unwrap();
    done.store(true, Ordering::Relaxed);
    for writer in writers {
        writer.await.unwrap();
    }

    let machine = tempfile::tempdir().unwrap();
    put_back(&backup.path, machine.path()).await.unwrap();
    let kept = exported(machine.path(), job).await.history.ticks;
    assert!(before.len() >= 100 && before.iter().all(|id| kept.iter().any(|tick| tick.id == *id)));
    assert_eq!(shop.export(job).await.history.ticks.len(), acknowledged.lock().await.len() + 2);
}

#[tokio::test]
async fn one_flipped_byte_anywhere_is_refused_and_nothing_is_touched() {
    let (shop, _, backup) = backed_up().await;
    let machine = tempfile::tempdir().unwrap();
    for name in ["manifest.json", "manifest.sha256", "driploop.db", "photos/ab/one.jpg"] {
        let path = backup.path.join(name);
        let sound = fs::read(&path).unwrap();
        // Every 13th byte of the small files, and some of the database's; each bit is somebody's turn.
        let step = (sound.len() / 20).max(13);
        for (turn, position) in (0..sound.len()).step_by(step).enumerate() {
            let mut flipped = sound.clone();
            flipped[position] ^= 1 << (turn % 8);
            fs::write(&path, &flipped).unwrap();
            let refused = put_back(&backup.path, machine.path()).await.unwrap_err();
            assert!(matches!(refused, Error::Damaged { .. }), "{name} {position}: {refused}");
        }
        fs::write(&path, &sound).unwrap();
    }
    assert_eq!(fs::read_dir(machine.path()).unwrap().count(), 0);
    restore::verify(&backup.path).await.unwrap();
    drop(shop);
}

#[tokio::test]
async fn what_is_missing_or_shortened_or_leads_outside_is_refused() {
    let (_shop, _, backup) = backed_up().await;
    let photo = backup.path.join("photos/ab/one.jpg");
    fs::write(&photo, [7; 299]).unwrap();
    let error = restore::verify(&backup.path).await.unwrap_err().to_string();
    assert!(error.ends_with("one.jpg has 299 bytes where the backup had 300"), "{error}");
    fs::remove_file(&photo).unwrap();
    let error = restore::verify(&backup.path).await.unwrap_err();
    assert!(matches!(&error, Error::File { path, .. } if *path == photo), "{error}");
    let error = restore::verify(backup.path.parent().unwrap()).await.unwrap_err();
    assert!(matches!(error, Error::File { .. }), "{error}");
}

#[tokio::test]
async fn a_newer_schema_is_refused_by_opening_and_restoring_alike() {
    let shop = Shop::open().await;
    let mut raw = shop.raw().await;
    sqlx::query(
        "INSERT INTO _sqlx_migrations (version, description, success, checksum, execution_time)
         VALUES (999, 'from the future', 1, x'00', 0)",
    )
    .execute(&mut raw)
    .await
    .unwrap();
    let error = Store::open(shop.store.folder().root()).await.unwrap_err();
    assert!(matches!(error, Error::NewerSchema { found: 999, known } if known == known_schema()), "{error}");
    assert!(
        error.to_string().starts_with("this database has schema 999 and this program knows schemas up to")
    );
    let error = backup::take(&shop.store, &shop.store.folder().backups(), at(0)).await.unwrap_err();
    assert!(matches!(error, Error::NewerSchema { .. }), "{error}");
    assert_eq!(backup::list(&shop.store.folder().backups()).unwrap(), []);
    let report = doctor::examine(shop.store.folder().root()).await.unwrap();
    assert_eq!((report.schema, report.is_well()), (999, false));
}

#[tokio::test]
async fn rotation_keeps_the_newest_and_touches_nothing_else() {
    let shop = Shop::open().await;
    let into = shop.store.folder().backups();
    assert!(backup::is_due(&into, SignedDuration::from_hours(24), at(0)).unwrap());
    for day in 0..4 {
        backup::take(&shop.store, &into, at(day * 86_400)).await.unwrap();
    }
    fs::create_dir(into.join("driploop-20260201T000000Z.part")).unwrap();
    fs::create_dir(into.join("driploop-20260228T061300Z.part")).unwrap();
    fs::create_dir(into.join("driploop-my-own")).unwrap();
    let now = at(3 * 86_400);
    assert!(!backup::is_due(&into, SignedDuration::from_hours(24), now).unwrap());
    assert!(backup::is_due(&into, SignedDuration::from_hours(24), at(4 * 86_400)).unwrap());
    // A clock set back before the newest: its age is unknown, so one is due.
    assert!(backup::is_due(&into, SignedDuration::from_hours(24), at(86_400)).unwrap());
    assert_eq!(backup::rotate(&into, 2, now).unwrap().len(), 3);
    let mut left: Vec<_> = fs::read_dir(&into).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    left.sort();
    assert_eq!(
        left,
        [
            "driploop-20260227T061320Z",
            "driploop-20260228T061300Z.part",
            "driploop-20260228T061320Z",
            "driploop-my-own"
        ]
    );
    let twice = backup::take(&shop.store, &into, now).await.unwrap_err();
    assert!(matches!(twice, Error::File { .. }), "{twice}");
}

#[tokio::test]
async fn a_restore_that_broke_off_keeps_the_program_from_starting_afresh() {
    let (shop, job, backup) = backed_up().await;
    let machine = tempfile::tempdir().unwrap();
    fs::create_dir(machine.path().join("restore.part")).unwrap();
    fs::write(machine.path().join("restore.part/driploop.db"), b"half").unwrap();
    let error = Store::open(machine.path()).await.unwrap_err();
    assert!(matches!(error, Error::RestoreInterrupted(_)), "{error}");
    put_back(&backup.path, machine.path()).await.unwrap();
    assert_eq!(exported(machine.path(), job).await, small());
    drop(shop);
}

#[tokio::test]
async fn the_doctor_finds_what_is_wrong_and_changes_nothing() {
    let (shop, job, _) = backed_up().await;
    let root = shop.store.folder().root().to_owned();
    let report = doctor::examine(&root).await.unwrap();
    assert!(report.is_well());
    assert_eq!(report.orphaned_photos, [PathBuf::from("ab/one.jpg"), PathBuf::from("two.jpg")]);

    let mut raw = shop.raw().await;
    let nowhere = "DROP TRIGGER item_keeps_its_id;
        UPDATE item SET body = json_set(body, '$.location', 'nowhere') WHERE kind = 'device' AND id IN ('horn', 'nav');
        PRAGMA foreign_keys = OFF;
        INSERT INTO customer (job, name) VALUES (77, 'Nobody');";
    sqlx::raw_sql(nowhere).execute(&mut raw).await.unwrap();
    let report = doctor::examine(&root).await.unwrap();
    assert_eq!(report.dangling, ["a row of customer refers to a row of job that is not there"]);
    let told: Vec<&str> = report.unreadable.iter().map(|(_, fault)| fault.as_str()).collect();
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(told[0].starts_with("devices[0].location: 'nowhere' is not valid here"), "{told:?}");

    let shorter = "UPDATE item SET body = json_set(body, '$.length_m', -3.0) WHERE id = 'C02'";
    sqlx::query(shorter).execute(&mut raw).await.unwrap();
    let report = doctor::examine(&root).await.unwrap();
    assert_eq!(report.unreadable[0].0, job);
    assert!(report.unreadable[0].1.starts_with("circuit 'C02' cannot be read"), "{report:?}");
    assert!(report.unreadable[0].1.contains("'-3' is not valid here: expected a length"), "{report:?}");
    let empty = TempDir::new().unwrap();
    assert!(doctor::examine(empty.path()).await.is_err());
    assert_eq!(fs::read_dir(empty.path()).unwrap().count(), 0);
}

#[tokio::test]
async fn a_damaged_file_is_reported_by_the_doctor() {
    let (shop, ..) = backed_up().await;
    shop.store.close().await;
    let path = shop.store.folder().database();
    let mut torn = fs::read(&path).unwrap();
    let middle = torn.len() / 2;
    torn[middle..].fill(0x5a);
    fs::write(&path, torn).unwrap();
    match doctor::examine(shop.store.folder().root()).await {
        Ok(report) => assert!(!report.is_well() && !report.broken.is_empty(), "{report:?}"),
        Err(error) => assert!(matches!(error, Error::Database(_)), "{error}"),
    }
}

#[tokio::test]
async fn the_doctor_tells_photos_that_nothing_names_from_those_that_are_missing() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let (subject, folder) = ("location/helm".parse().unwrap(), shop.store.folder());
    let picture = |bytes: &[u8]| Picture { bytes: bytes.to_vec(), width: 2, height: 1 };
    let mut write = shop.write().await;
    let kept = photos::add(&mut write, folder, job, &subject, &picture(b"kept")).await.unwrap();
    let lost = photos::add(&mut write, folder, job, &subject, &picture(b"lost")).await.unwrap();
    write.commit().await.unwrap();
    assert!(doctor::examine(folder.root()).await.unwrap().is_well());

    let mut read = shop.store.read().await.unwrap();
    let path = photos::get(&mut read, job, lost).await.unwrap().path(folder);
    fs::remove_file(&path).unwrap();
    fs::write(folder.photos().join("stray.jpg"), b"x").unwrap();
    let report = doctor::examine(folder.root()).await.unwrap();
    assert_eq!(report.orphaned_photos, [PathBuf::from("stray.jpg")]);
    assert_eq!(report.missing_photos, [path.strip_prefix(folder.photos()).unwrap()]);
    assert!(!report.is_well(), "a photo that is gone has to be looked for");
    assert!(photos::get(&mut read, job, kept).await.unwrap().path(folder).exists());
}
