//! The load script: fifty people at work in a shop with many jobs, beside the least that any program of
//! this kind could do, in the same run.
//!
//! `cargo bench --bench load` fills a shop with 500 jobs, then with 5,000; fifty clients look at pages and
//! make ticks for a fixed time; it prints requests a second, the median and 99th percentile, and the
//! server's memory. The yardstick is a bare axum handler that reads one row of SQLite.

#![allow(clippy::expect_used, reason = "a measurement that cannot go on has failed")]
#![allow(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "counts of requests are far below 2^52"
)]

#[path = "../tests/shop_server/mod.rs"]
mod shop_server;

use std::path::Path;
use std::time::{Duration, Instant};

use axum::Router;
use axum::extract::State;
use axum::routing::get;
use driploop::shop::demo;
use driploop::store::{Actor, Store};
use jiff::Timestamp;
use sqlx::SqlitePool;
use uuid::Uuid;

use shop_server::{Browser, DEMO_OWNER, QUIET_JOB, ShopServer};

const CLIENTS: usize = 50;
const EACH_LASTS: Duration = Duration::from_secs(8);

fn main() {
    // `cargo test --benches` asks for a run that only shows that it starts.
    if std::env::args().any(|argument| argument == "--test") {
        return;
    }
    let runtime = tokio::runtime::Runtime::new().expect("a runtime");
    runtime.block_on(async {
        println!("{:<34}{:>10}{:>10}{:>10}{:>10}", "what", "req/s", "p50 ms", "p99 ms", "MiB");
        bare_row().await;
        let data = tempfile::tempdir().expect("a folder");
        ShopServer::start(data.path()).kill();
        for jobs in [500, 5_000] {
            fill(data.path(), jobs).await;
            shop(data.path(), jobs).await;
        }
    });
}

/// What fifty clients measured.
struct Measured {
    took: Duration,
    each: Vec<Duration>,
}

impl Measured {
    fn print(mut self, what: &str, memory: Option<f64>) {
        self.each.sort_unstable();
        let at = |share: f64| {
            let place = (self.each.len() as f64 * share) as usize;
            self.each
                .get(place.min(self.each.len().saturating_sub(1)))
                .map_or(0.0, |d| d.as_secs_f64() * 1000.0)
        };
        let rate = self.each.len() as f64 / self.took.as_secs_f64();
        let memory = memory.map_or("-".to_owned(), |mib| format!("{mib:.0}"));
        println!("{what:<34}{rate:>10.0}{:>10.2}{:>10.2}{memory:>10}", at(0.5), at(0.99));
    }
}

/// Fifty clients ask the same kind of thing, one request after the other, until the time is up.
async fn crowd<Ask, Answer>(ask: Ask) -> Measured
where
    Ask: Fn(usize, usize) -> Answer + Clone + Send + 'static,
    Answer: Future<Output = ()> + Send,
{
    let started = Instant::now();
    let clients: Vec<_> = (0..CLIENTS)
        .map(|client| {
            let ask = ask.clone();
            tokio::spawn(async move {
                let mut each = Vec::new();
                while started.elapsed() < EACH_LASTS {
                    let asked = Instant::now();
                    ask(client, each.len()).await;
                    each.push(asked.elapsed());
                }
                each
            })
        })
        .collect();
    let mut each = Vec::new();
    for client in clients {
        each.extend(client.await.expect("a client ends by itself"));
    }
    Measured { took: started.elapsed(), each }
}

/// The yardstick: one handler, one row.
async fn bare_row() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = format!("sqlite://{}?mode=rwc", folder.path().join("row.db").display());
    let pool = SqlitePool::connect(&file).await.expect("a database");
    sqlx::query("CREATE TABLE row (id INTEGER PRIMARY KEY, name TEXT NOT NULL) STRICT")
        .execute(&pool)
        .await
        .expect("a table");
    sqlx::query("INSERT INTO row VALUES (1, 'a boat')").execute(&pool).await.expect("a row");
    let app = Router::new().route("/", get(one_row)).with_state(pool);
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a port");
    let address = format!("http://{}", listener.local_addr().expect("its address"));
    let server = tokio::spawn(async move { axum::serve(listener, app).await });
    let browser = Browser::stranger();
    let measured = crowd(move |_, _| {
        let (browser, address) = (browser.clone(), address.clone());
        async move { assert!(browser.get(&address, "/").await.is_some_and(|answer| answer.status() == 200)) }
    })
    .await;
    measured.print("bare axum, one SQLite row", None);
    server.abort();
}

async fn one_row(State(pool): State<SqlitePool>) -> String {
    sqlx::query_scalar("SELECT name FROM row WHERE id = 1").fetch_one(&pool).await.unwrap_or_default()
}

/// Brings the shop up to so many jobs: copies of the demo boats, in turn.
async fn fill(data: &Path, jobs: usize) {
    let store = Store::open(data).await.expect("the shop opens");
    let boats = demo::files().expect("the demo reads");
    let actor = Actor { person: None, name: "Load script".parse().expect("a name") };
    let mut read = store.read().await.expect("a viewer");
    let there = driploop::store::jobs::count(&mut read).await.expect("a count");
    drop(read);
    for number in usize::try_from(there).expect("a count")..jobs {
        let mut write = store.write(&actor, Timestamp::now()).await.expect("a writer");
        let mut file = boats[number % boats.len()].clone();
        renew(&mut file);
        driploop::store::file::import(&mut write, &file).await.expect("an import");
        write.commit().await.expect("a commit");
    }
    store.close().await;
}

/// Gives a copy's events ids of their own.
fn renew(file: &mut driploop::job::file::JobFile) {
    let history = &mut file.history;
    history.ticks.iter_mut().for_each(|tick| tick.id = Uuid::now_v7());
    history.readings.iter_mut().for_each(|reading| reading.id = Uuid::now_v7());
    history.releases.iter_mut().for_each(|release| release.id = Uuid::now_v7());
}

async fn shop(data: &Path, jobs: usize) {
    let server = ShopServer::start(data);
    let browser = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    for (what, path) in [
        ("shop floor", "/"),
        ("job overview, 37 circuits", "/jobs/1"),
        ("phase page, 37 circuits", "/jobs/1/phases/terminations"),
        ("circuit page", "/jobs/1/circuits/C01"),
    ] {
        let (browser, address) = (browser.clone(), server.address.clone());
        let measured =
            crowd(move |_, _| {
                let (browser, address) = (browser.clone(), address.clone());
                async move {
                    assert!(browser.get(&address, path).await.is_some_and(|answer| answer.status() == 200))
                }
            })
            .await;
        measured.print(&format!("{what}, {jobs} jobs"), memory(&server));
    }
    let address = server.address.clone();
    let measured = crowd(move |_, _| {
        let (browser, address) = (browser.clone(), address.clone());
        async move {
            assert!(browser.tick(&address, QUIET_JOB, "place/bow/strip", "undone", Uuid::now_v7()).await)
        }
    })
    .await;
    measured.print(&format!("ticks, {jobs} jobs"), memory(&server));
}

/// The server's resident memory in MiB.
fn memory(server: &ShopServer) -> Option<f64> {
    let status = std::fs::read_to_string(format!("/proc/{}/status", server.process())).ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
    let kib: f64 = line.trim().trim_end_matches("kB").trim().parse().ok()?;
    Some(kib / 1024.0)
}
