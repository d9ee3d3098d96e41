//! A restore that is killed at any moment: it did not happen, or the next start tells of it. In no case is anybody
//! signed in again who had signed out, and no data is lost.

use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Instant;

use driploop::shop::role::Role;
use driploop::store::people::{self, Newcomer};
use driploop::store::sign_in::{self, Attempt};
use driploop::store::{Actor, Error, Hashed, Store, Token, backup};
use jiff::Timestamp;

use crate::kills;

/// In the backup.
const EARLY: &str = "Ana Quill";
/// Came after the backup.
const LATE: &str = "Tess Marlin";
const PASSPHRASE: &str = "copper before chrome";

async fn add(store: &Store, name: &str) {
    let passphrase = Hashed::passphrase(&PASSPHRASE.parse().expect("long enough")).await.expect("a hash");
    let newcomer =
        Newcomer { name: name.parse().expect("a name"), role: Role::Manager, passphrase, pin: None };
    let actor = Actor { person: None, name: "the test".parse().expect("a name") };
    let mut write = store.write(&actor, Timestamp::now()).await.expect("a transaction");
    people::add(&mut write, &newcomer).await.expect("a person");
    write.commit().await.expect("stored");
}

/// A shop with a backup in which somebody is signed in who signed out since. Returns the token of that sign-in.
async fn backed_up(data: &Path, into: &Path) -> (Token, backup::Backup) {
    let store = Store::open(data).await.expect("a new shop");
    add(&store, EARLY).await;
    for number in 0..40_u8 {
        let photo = store.folder().photos().join(format!("{number}.jpg"));
        std::fs::write(photo, vec![number; 20_000]).expect("a photo");
    }
    let attempt = Attempt { name: EARLY, passphrase: PASSPHRASE, address: "here", device: "a tablet" };
    let (token, person) = sign_in::open(&store, attempt, Timestamp::now()).await.expect("a sign-in");
    let made = backup::take(&store, into, Timestamp::now()).await.expect("a backup");
    let found = sign_in::find(&store, &token, Timestamp::now()).await.expect("an answer").expect("signed in");
    let mut write = store.write(&person.actor(), Timestamp::now()).await.expect("a transaction");
    sign_in::revoke(&mut write, found.id).await.expect("signed out");
    write.commit().await.expect("stored");
    add(&store, LATE).await;
    store.close().await;
    (token, made)
}

fn restore(backup: &Path, data: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_driploop"));
    command.arg("restore").arg(backup).arg("--data").arg(data);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped());
    command
}

/// Whether the shop has somebody, and that nobody is signed in.
async fn has(store: &Store, name: &str, ended: &Token) -> bool {
    let alive = sign_in::find(store, ended, Timestamp::now()).await.expect("an answer");
    assert_eq!(alive, None, "a sign-in that had ended is alive again");
    people::named(&mut store.read().await.expect("a view"), name).await.expect("an answer").is_some()
}

/// Whether somebody is in a folder with previous data.
async fn is_set_aside(data: &Path, name: &str) -> bool {
    for entry in std::fs::read_dir(data).expect("the data folder") {
        let path = entry.expect("an entry").path();
        if path.file_name().is_some_and(|file| file.to_string_lossy().starts_with("before-restore-")) {
            let store = Store::open(&path).await.expect("previous data opens as a shop");
            let there =
                people::named(&mut store.read().await.expect("a view"), name).await.expect("an answer");
            store.close().await;
            assert!(path.join("photos/39.jpg").exists(), "with its photos");
            if there.is_some() {
                return true;
            }
        }
    }
    false
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_restore_killed_at_any_moment_did_not_happen_or_is_reported_and_revives_no_sign_in() {
    let rounds = kills() / 2;
    let (first, into) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let (token, backup) = backed_up(first.path(), into.path()).await;
    let begun = Instant::now();
    let trial = tempfile::tempdir().expect("a folder");
    assert!(restore(&backup.path, trial.path()).status().expect("it runs").success());
    let whole = begun.elapsed();

    let (mut not_at_all, mut told, mut wholly) = (0, 0, 0);
    for round in 0..rounds {
        let data = tempfile::tempdir().expect("a folder");
        copy(first.path(), data.path());
        let mut child = restore(&backup.path, data.path()).spawn().expect("it starts");
        tokio::time::sleep(whole * (round * 37 % rounds) / rounds).await;
        let _ = child.kill();
        child.wait().expect("it ends");
        match Store::open(data.path()).await {
            Ok(store) if has(&store, LATE, &token).await => {
                not_at_all += 1;
                store.close().await;
                continue;
            }
            Ok(store) => {
                wholly += 1;
                store.close().await;
            }
            Err(Error::RestoreInterrupted { .. }) => {
                told += 1;
                let again = restore(&backup.path, data.path()).output().expect("it runs");
                assert!(again.status.success(), "round {round}: {}", String::from_utf8_lossy(&again.stderr));
            }
            Err(other) => panic!("round {round}: {other}"),
        }
        let store = Store::open(data.path()).await.expect("the restored shop");
        assert!(has(&store, EARLY, &token).await, "round {round}: what the backup has");
        assert!(!has(&store, LATE, &token).await, "round {round}: and nothing newer");
        store.close().await;
        assert!(data.path().join("photos/39.jpg").exists(), "round {round}: the photos of the backup");
        assert!(is_set_aside(data.path(), LATE).await, "round {round}: the previous data is kept");
    }
    println!(
        "{rounds} restores killed: {not_at_all} did not happen, {told} reported at the start, {wholly} were complete"
    );
    assert!(told > 0, "some were killed in the middle");
}

/// Copies a folder with all that is in it.
fn copy(from: &Path, to: &Path) {
    for entry in std::fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let target = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            std::fs::create_dir(&target).expect("a folder");
            copy(&path, &target);
        } else {
            std::fs::copy(&path, &target).expect("a copy");
        }
    }
}
