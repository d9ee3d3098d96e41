//! What surrounds the program fails: the disk is full, the database is locked, the clock goes back.

use std::io::Write;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use driploop::job::event::{Mark, Tick};
use driploop::store::{JobId, Store, record};
use uuid::Uuid;

use crate::shop_server::{Browser, DEMO_OWNER, QUIET_JOB, ShopServer};

const STEP: &str = "location/bow/strip";

/// A small file system of its own, taken away again at the end.
struct SmallDisk(tempfile::TempDir);

impl SmallDisk {
    fn mount(megabytes: u32) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let size = format!("size={megabytes}m");
        let mounted =
            Command::new("mount").args(["-t", "tmpfs", "-o", &size, "tmpfs"]).arg(folder.path()).status();
        assert!(mounted.is_ok_and(|status| status.success()), "this trial mounts a tmpfs: run it as root");
        Self(folder)
    }

    /// Makes it a medium that can only be read.
    fn forbid_writing(&self) {
        let mounted = Command::new("mount").args(["-o", "remount,ro"]).arg(self.0.path()).status();
        assert!(mounted.is_ok_and(|status| status.success()), "this trial mounts a tmpfs: run it as root");
    }

    fn fill(&self) {
        let mut filler = std::fs::File::create(self.0.path().join("filler")).expect("a file");
        while filler.write_all(&[0; 4096]).is_ok() {}
    }
}

impl Drop for SmallDisk {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("--lazy").arg(self.0.path()).status();
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_full_disk_refuses_ticks_and_keeps_what_was_acknowledged() {
    let disk = SmallDisk::mount(24);
    let data = disk.0.path();
    let server = ShopServer::start(data);
    let browser = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    let before = Uuid::now_v7();
    assert!(browser.tick(&server.address, QUIET_JOB, STEP, "undone", before).await);

    disk.fill();
    let mut refused = false;
    let mut acknowledged = vec![before];
    for _ in 0..2000 {
        let id = Uuid::now_v7();
        if browser.tick(&server.address, QUIET_JOB, STEP, "undone", id).await {
            acknowledged.push(id);
        } else {
            refused = true;
            break;
        }
    }
    assert!(refused, "a full disk must come to light");
    let page = browser.get(&server.address, "/").await.expect("pages are still answered");
    assert_eq!(page.status(), 200, "and the shop can still be read");

    std::fs::remove_file(data.join("filler")).expect("room again");
    let after = Uuid::now_v7();
    assert!(
        browser.tick(&server.address, QUIET_JOB, STEP, "undone", after).await,
        "room again: work goes on"
    );
    acknowledged.push(after);
    server.kill();
    let kept = kept(data).await;
    assert!(acknowledged.iter().all(|id| kept.contains(id)), "every acknowledged tick is there");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_doctor_reads_a_folder_that_cannot_be_written() {
    for killed in [true, false] {
        let disk = SmallDisk::mount(24);
        let server = ShopServer::start(disk.0.path());
        let browser = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
        let last = Uuid::now_v7();
        assert!(browser.tick(&server.address, QUIET_JOB, STEP, "undone", last).await);
        if killed {
            server.kill();
            std::fs::remove_file(disk.0.path().join("driploop.db-shm")).expect("its index is there");
        } else {
            assert_eq!(server.stop().0, Some(0));
        }
        assert_eq!(disk.0.path().join("driploop.db-wal").exists(), killed);
        disk.forbid_writing();
        let doctor = Command::new(env!("CARGO_BIN_EXE_driploop"))
            .args(["doctor", "--data"])
            .arg(disk.0.path())
            .output()
            .expect("the built program starts");
        let said = String::from_utf8_lossy(&doctor.stdout);
        let why = String::from_utf8_lossy(&doctor.stderr);
        assert_eq!(doctor.status.code(), Some(0), "killed: {killed}; {said}{why}");
        assert!(said.contains("database file: nothing found"), "{said}");
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn asked_to_stop_it_ends_within_twenty_seconds_whatever_hangs() {
    let data = tempfile::tempdir().expect("a folder");
    // A backup on a disk that does not answer: whoever opens this file waits for ever.
    let stuck = data.path().join("backups/driploop-20260101T000000Z");
    std::fs::create_dir_all(&stuck).expect("a folder");
    let pipe = Command::new("mkfifo").arg(stuck.join("manifest.json")).status();
    assert!(pipe.is_ok_and(|status| status.success()), "a file that nobody writes");
    let server = ShopServer::start(data.path());
    let browser = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    let address = server.address.clone();
    let hangs = tokio::spawn(async move { browser.get(&address, "/backups").await });
    tokio::time::sleep(Duration::from_secs(1)).await;
    let (_, took) = tokio::task::spawn_blocking(move || server.stop()).await.expect("it ends");
    println!("stopped after {took:?}");
    assert!(took < Duration::from_secs(21), "it took {took:?}");
    hangs.abort();
}

/// Another program that sits on the database until it is told to go.
struct Squatter(Child);

impl Squatter {
    fn on(data: &Path) -> Self {
        let database = std::fs::read_dir(data)
            .expect("the data folder")
            .filter_map(|entry| Some(entry.ok()?.path()))
            .find(|path| path.extension().is_some_and(|end| end == "db" || end == "sqlite"))
            .expect("the database file");
        let mut child = Command::new("sqlite3")
            .arg(database)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .expect("tests/run installs sqlite3");
        let input = child.stdin.as_mut().expect("its input is piped");
        writeln!(input, "BEGIN IMMEDIATE;\nSELECT 'mine';").expect("it listens");
        let mut said = [0; 5];
        std::io::Read::read_exact(child.stdout.as_mut().expect("its output is piped"), &mut said)
            .expect("it answers");
        Self(child)
    }
}

impl Drop for Squatter {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_locked_database_delays_or_refuses_but_never_lies() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let browser = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;

    let squatter = Squatter::on(data.path());
    let short = Uuid::now_v7();
    let waiting = {
        let (browser, address) = (browser.clone(), server.address.clone());
        tokio::spawn(async move { browser.tick(&address, QUIET_JOB, STEP, "undone", short).await })
    };
    let reading = browser.get(&server.address, "/").await.expect("reading does not wait for a writer");
    assert_eq!(reading.status(), 200);
    tokio::time::sleep(Duration::from_secs(2)).await;
    drop(squatter);
    assert!(waiting.await.expect("the client ends"), "a short wait is waited out");

    let squatter = Squatter::on(data.path());
    let long = Uuid::now_v7();
    assert!(!browser.tick(&server.address, QUIET_JOB, STEP, "undone", long).await, "a long wait is refused");
    drop(squatter);
    server.kill();
    let kept = kept(data.path()).await;
    assert!(kept.contains(&short) && !kept.contains(&long), "what was said is what is kept");
}

#[tokio::test]
async fn a_clock_set_back_does_not_hide_what_was_done_last() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let browser = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    assert!(browser.tick(&server.address, QUIET_JOB, STEP, "undone", Uuid::now_v7()).await);
    server.kill();

    let server = ShopServer::start_with_clock(data.path(), "-3h");
    let page = browser.get(&server.address, "/").await.expect("the sign-in still holds");
    let said = page.headers()["date"].to_str().expect("a plain date");
    let clock = jiff::fmt::rfc2822::parse(said).expect("a date").timestamp();
    let behind = jiff::Timestamp::now().duration_since(clock);
    assert!((10_790..10_810).contains(&behind.as_secs()), "its clock is three hours behind, not {behind:?}");
    let last = Uuid::now_v7();
    assert!(
        browser.tick(&server.address, QUIET_JOB, STEP, "undone", last).await,
        "and what is done is taken"
    );
    server.kill();
    let store = Store::open(data.path()).await.expect("the database opens");
    let mut read = store.read().await.expect("and can be read");
    let mut all = record::all::<Tick>(&mut read, JobId::from(QUIET_JOB)).await.expect("ticks");
    all.retain(|tick| tick.step.to_string() == STEP && tick.mark == Mark::Undone);
    all.sort_by_key(|tick| (tick.at, tick.id));
    assert_eq!(all.last().expect("two ticks").id, last, "the tick made last decides");
}

async fn kept(data: &Path) -> Vec<Uuid> {
    let store = Store::open(data).await.expect("the database opens");
    let mut read = store.read().await.expect("and can be read");
    record::all::<Tick>(&mut read, JobId::from(QUIET_JOB))
        .await
        .expect("ticks")
        .into_iter()
        .map(|tick| tick.id)
        .collect()
}
