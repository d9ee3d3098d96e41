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
use driploop::store::{self, Error, JobId, Store, doctor, file, known_schema, log, photos, record, restore};
use jiff::SignedDuration;
use sha2::{Digest, Sha256};
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

/// What is in a folder, by name.
fn names_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<_> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

const DAY: i64 = 86_400;

async fn is_due(shop: &Shop, now: i64) -> bool {
    let into = shop.store.folder().backups();
    backup::is_due(&shop.store, &into, SignedDuration::from_hours(24), at(now)).await.unwrap()
}

#[tokio::test]
async fn rotation_keeps_the_newest_and_touches_nothing_else() {
    let shop = Shop::open().await;
    let into = shop.store.folder().backups();
    assert!(is_due(&shop, 0).await);
    for day in 0..3 {
        backup::take(&shop.store, &into, at(day * DAY)).await.unwrap();
    }
    let last = backup::take(&shop.store, &into, at(3 * DAY)).await.unwrap();
    for folder in ["driploop-20260201T000000Z.part", "driploop-my-own", "driploop-20260201T000000Z"] {
        fs::create_dir(into.join(folder)).unwrap();
    }
    assert!(!is_due(&shop, 3 * DAY).await);
    assert!(is_due(&shop, 4 * DAY).await);
    // A clock set back before the last one: its age is unknown, so one is due.
    assert!(is_due(&shop, DAY).await);
    assert_eq!(backup::rotate(&shop.store, &last, 2, at(3 * DAY)).await.unwrap().len(), 2);
    assert_eq!(
        names_in(&into),
        [
            "driploop-20260201T000000Z",
            "driploop-20260201T000000Z.part",
            "driploop-20260227T061320Z",
            "driploop-20260228T061320Z",
            "driploop-my-own"
        ]
    );
    let twice = backup::take(&shop.store, &into, at(3 * DAY)).await.unwrap_err();
    assert!(matches!(twice, Error::File { .. }), "{twice}");
}

#[tokio::test]
async fn rotation_counts_and_deletes_only_what_this_shop_made() {
    let (shop, other) = (Shop::open().await, Shop::open().await);
    let into = shop.store.folder().backups();
    for day in 0..5 {
        backup::take(&shop.store, &into, at(day * DAY)).await.unwrap();
        backup::take(&other.store, &into, at(day * DAY + 60)).await.unwrap();
    }
    let named = |day: i64, late: i64| at(day * DAY + late).strftime("driploop-%Y%m%dT%H%M%SZ").to_string();
    // One is set aside under another name, one by a link, and one got a note.
    fs::rename(into.join(named(0, 0)), into.join("driploop-20260225T061320Z.keep")).unwrap();
    fs::write(into.join(named(1, 0)).join("note.txt"), "the last one before the new engine").unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink(into.join(named(2, 60)), into.join("driploop-20260101T000000Z")).unwrap();
    let last = backup::take(&shop.store, &into, at(5 * DAY)).await.unwrap();
    let gone = backup::rotate(&shop.store, &last, 2, at(5 * DAY)).await.unwrap();
    let gone: Vec<_> = gone.iter().map(|gone| gone.path.file_name().unwrap().to_str().unwrap()).collect();
    assert_eq!(gone, [named(3, 0), named(2, 0)]);
    for kept in [named(1, 0), named(4, 0), named(5, 0), "driploop-20260225T061320Z.keep".to_owned()] {
        assert!(into.join(&kept).exists(), "{kept}");
    }
    for day in 0..5 {
        assert!(into.join(named(day, 60)).exists(), "of the other shop: {day}");
    }
}

#[tokio::test]
async fn a_clock_that_ran_ahead_is_said_and_costs_no_new_backup() {
    let shop = Shop::open().await;
    let into = shop.store.folder().backups();
    let ahead = [100 * DAY, 101 * DAY, 102 * DAY];
    for second in ahead {
        backup::take(&shop.store, &into, at(second)).await.unwrap();
    }
    assert!(is_due(&shop, 0).await, "nobody knows how old the last one is");
    let now = backup::take(&shop.store, &into, at(0)).await.unwrap();
    assert_eq!(backup::rotate(&shop.store, &now, 2, at(0)).await.unwrap().len(), 2);
    restore::verify(&now.path).await.unwrap();
    assert!(!is_due(&shop, 300).await, "one was made since the clock was set");
    let said = backup::ahead(&into, at(0)).unwrap();
    assert_eq!(said.iter().map(|backup| backup.made_at).collect::<Vec<_>>(), [at(102 * DAY)]);
    // The one made next is the newest, whatever the names say.
    let next = backup::take(&shop.store, &into, at(DAY)).await.unwrap();
    let gone = backup::rotate(&shop.store, &next, 2, at(DAY)).await.unwrap();
    assert_eq!(gone.iter().map(|gone| gone.made_at).collect::<Vec<_>>(), [at(102 * DAY)]);
    assert!(now.path.exists() && next.path.exists());
}

#[tokio::test]
async fn only_the_own_part_of_an_interrupted_backup_is_deleted_and_not_on_the_same_day() {
    let shop = Shop::open().await;
    let into = shop.store.folder().backups();
    let identity = store::shop::identity(&mut shop.store.read().await.unwrap()).await.unwrap();
    let part = |day: i64, of: &str| {
        let name = format!("{}-{of}.part", at(day * DAY).strftime("driploop-%Y%m%dT%H%M%SZ"));
        fs::create_dir(into.join(&name)).unwrap();
        name
    };
    let (old, young, others) = (part(0, &identity), part(2, &identity), part(0, &"0".repeat(32)));
    let made = backup::take(&shop.store, &into, at(2 * DAY + 60)).await.unwrap();
    backup::rotate(&shop.store, &made, 5, at(2 * DAY + 60)).await.unwrap();
    assert!(!into.join(old).exists() && into.join(young).exists() && into.join(others).exists());
}

/// Writes a changed list with a hash that matches it, as somebody who tampers would.
fn reseal(backup: &Path, change: impl FnOnce(&mut Vec<serde_json::Value>)) {
    let mut list: serde_json::Value =
        serde_json::from_slice(&fs::read(backup.join("manifest.json")).unwrap()).unwrap();
    change(list["files"].as_array_mut().unwrap());
    let text = serde_json::to_string(&list).unwrap();
    let hash: String = Sha256::digest(text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect();
    fs::write(backup.join("manifest.json"), text).unwrap();
    fs::write(backup.join("manifest.sha256"), format!("{hash}  manifest.json\n")).unwrap();
}

#[tokio::test]
async fn a_file_too_many_in_a_backup_is_refused_before_anything_is_replaced() {
    let (shop, _, backup) = backed_up().await;
    let machine = tempfile::tempdir().unwrap();
    let refused = async || {
        let error = put_back(&backup.path, machine.path()).await.unwrap_err();
        assert!(matches!(error, Error::Damaged { .. }), "{error}");
        assert_eq!(names_in(machine.path()), [""; 0]);
        error.to_string()
    };
    for extra in ["driploop.db-wal", "photos/ab/two.jpg", "notes.txt"] {
        fs::write(backup.path.join(extra), b"x").unwrap();
        let said = refused().await;
        assert!(
            said.ends_with(&format!("{extra} is not a file of this backup: its list does not name it")),
            "{said}"
        );
        fs::remove_file(backup.path.join(extra)).unwrap();
    }
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("/etc", backup.path.join("photos/etc")).unwrap();
        refused().await;
        fs::remove_file(backup.path.join("photos/etc")).unwrap();
    }
    restore::verify(&backup.path).await.unwrap();
    // The same in a list whose hash is right.
    fs::create_dir(backup.path.join("keys")).unwrap();
    fs::write(backup.path.join("keys/authority.json"), []).unwrap();
    let entry = serde_json::json!({
        "path": "keys/authority.json",
        "bytes": 0,
        "sha256": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"
    });
    reseal(&backup.path, |files| files.push(entry));
    assert!(refused().await.ends_with("names a file that no backup has: 'keys/authority.json'"));
    reseal(&backup.path, |files| {
        files.pop();
        files.push(files[0].clone());
    });
    assert!(refused().await.ends_with("names a file twice: 'driploop.db'"));
    drop(shop);
}

#[tokio::test]
async fn a_restore_that_stopped_halfway_keeps_the_previous_data_together() {
    let (shop, job, backup) = backed_up().await;
    let later = shop.import(&small()).await;
    let Shop { store, _folder: root } = shop;
    store.close().await;
    drop(store);
    // As if it was killed after the database was moved, before the photos were.
    fs::write(root.path().join("restore.halfway"), []).unwrap();
    fs::create_dir(root.path().join("before-restore.part")).unwrap();
    fs::rename(root.path().join("driploop.db"), root.path().join("before-restore.part/driploop.db")).unwrap();
    let error = Store::open(root.path()).await.unwrap_err();
    assert!(matches!(error, Error::RestoreInterrupted { halfway: true, .. }), "{error}");
    let error = doctor::examine(root.path()).await.unwrap_err();
    assert!(matches!(error, Error::RestoreInterrupted { halfway: true, .. }), "{error}");
    let aside = put_back(&backup.path, root.path()).await.unwrap().unwrap();
    assert_eq!(exported(root.path(), job).await, small());
    assert_eq!(exported(&aside, later).await, small());
    assert!(aside.join("photos/ab/one.jpg").exists());
    assert!(!root.path().join("restore.halfway").exists());
}

#[cfg(unix)]
#[tokio::test]
async fn only_the_account_of_the_server_can_read_the_data_and_its_backups() {
    use std::os::unix::fs::PermissionsExt;

    fn open_to_others(folder: &Path, found: &mut Vec<String>) {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if fs::metadata(&path).unwrap().permissions().mode() & 0o077 != 0 {
                found.push(path.display().to_string());
            }
            if path.is_dir() {
                open_to_others(&path, found);
            }
        }
    }

    let root = tempfile::tempdir().unwrap();
    // As an earlier version or a copy by hand left them.
    for (folder, mode) in [("photos", 0o755), ("backups", 0o755)] {
        fs::create_dir(root.path().join(folder)).unwrap();
        fs::set_permissions(root.path().join(folder), fs::Permissions::from_mode(mode)).unwrap();
    }
    fs::write(root.path().join("driploop.db"), []).unwrap();
    fs::set_permissions(root.path().join("driploop.db"), fs::Permissions::from_mode(0o644)).unwrap();
    let store = Store::open(root.path()).await.unwrap();
    let mut write = store.write(&actor("Ana"), at(0)).await.unwrap();
    let job = file::import(&mut write, &small()).await.unwrap();
    let picture = Picture { bytes: b"a picture".to_vec(), width: 2, height: 1 };
    let subject = "location/helm".parse().unwrap();
    photos::add(&mut write, store.folder(), job, &subject, &picture).await.unwrap();
    write.commit().await.unwrap();
    backup::take(&store, &store.folder().backups(), at(0)).await.unwrap();
    let mut write = store.write(&actor("Ana"), at(1)).await.unwrap();
    store::deletion::delete(&mut write, store.folder(), job).await.unwrap();
    write.commit().await.unwrap();
    assert!(root.path().join("driploop.db-wal").exists());
    let mut found = Vec::new();
    open_to_others(root.path(), &mut found);
    assert_eq!(found, [root.path().join("driploop.lock").display().to_string()], "the lock is an empty file");
}

#[tokio::test]
async fn a_restore_that_broke_off_keeps_the_program_from_starting_afresh() {
    let (shop, job, backup) = backed_up().await;
    let machine = tempfile::tempdir().unwrap();
    fs::create_dir(machine.path().join("restore.part")).unwrap();
    fs::write(machine.path().join("restore.part/driploop.db"), b"half").unwrap();
    let error = Store::open(machine.path()).await.unwrap_err();
    assert!(matches!(error, Error::RestoreInterrupted { halfway: false, .. }), "{error}");
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
