//! The built program: how it stops, and that it backs up by itself.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use driploop::store::{backup, restore};

/// Far more than it needs.
const LONG: Duration = Duration::from_secs(30);

/// The program on an empty shop, and the address it printed.
struct Running {
    child: Child,
    address: String,
}

impl Running {
    fn start(data: &Path, args: &[&str]) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_driploop"))
            .args(["serve", "--empty", "--listen", "127.0.0.1:0", "--data"])
            .arg(data)
            .args(args)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
        let line = lines.next().unwrap().unwrap();
        let address = line.split("http://").nth(1).unwrap().trim().to_owned();
        Self { child, address }
    }

    fn ask_to_stop(&self) {
        let asked = Command::new("kill").args(["-TERM", &self.child.id().to_string()]).status().unwrap();
        assert!(asked.success());
    }

    /// Waits until it ends by itself.
    fn ended(&mut self) -> Option<i32> {
        let begun = Instant::now();
        while begun.elapsed() < LONG {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status.code();
            }
            sleep(Duration::from_millis(20));
        }
        panic!("it does not end");
    }
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

#[test]
fn asked_to_stop_it_finishes_the_current_request() {
    let data = tempfile::tempdir().unwrap();
    let mut running = Running::start(data.path(), &["--backup-hours", "0"]);
    let mut in_hand = TcpStream::connect(&running.address).unwrap();
    let body = "theme=dark&back=%2F";
    let head = format!(
        "POST /theme HTTP/1.1\r\nhost: {}\r\ncontent-type: application/x-www-form-urlencoded\r\ncontent-length: {}\r\n\r\n",
        running.address,
        body.len()
    );
    in_hand.write_all(head.as_bytes()).unwrap();
    in_hand.write_all(&body.as_bytes()[..5]).unwrap();
    sleep(Duration::from_millis(300));

    running.ask_to_stop();
    let begun = Instant::now();
    while TcpStream::connect(&running.address).is_ok() {
        assert!(begun.elapsed() < LONG, "it still takes connections");
        sleep(Duration::from_millis(20));
    }
    in_hand.write_all(&body.as_bytes()[5..]).unwrap();
    let mut answer = String::new();
    in_hand.read_to_string(&mut answer).unwrap();
    assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    assert_eq!(running.ended(), Some(0));
}

#[tokio::test]
async fn it_backs_up_soon_after_the_start_and_the_backup_is_sound() {
    let data = tempfile::tempdir().unwrap();
    let elsewhere = tempfile::tempdir().unwrap();
    let to = elsewhere.path().to_str().unwrap();
    let _running = Running::start(data.path(), &["--backup-to", to]);
    let begun = Instant::now();
    let taken = loop {
        if let Some(taken) = backup::list(elsewhere.path()).unwrap().into_iter().next() {
            break taken;
        }
        assert!(begun.elapsed() < LONG, "no backup was taken");
        tokio::time::sleep(Duration::from_millis(50)).await;
    };
    restore::verify(&taken.path).await.unwrap();
}
