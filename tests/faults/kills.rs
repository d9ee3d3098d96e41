//! Killed at any moment, the program keeps every tick it acknowledged, and keeps none twice.

use std::collections::HashMap;
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::Duration;

use driploop::job::event::Tick;
use driploop::store::{JobId, Store, record};
use uuid::Uuid;

use crate::shop_server::{Browser, DEMO_OWNER, QUIET_JOB, ShopServer};

const CLIENTS: usize = 20;

/// Ticks of the quiet demo boat that nothing forbids: a tick may always be undone.
const STEPS: [&str; 2] = ["location/bow/strip", "location/console/strip"];

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn no_acknowledged_tick_is_lost_and_none_is_kept_twice() {
    let kills = crate::kills();
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let browser = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    server.kill();

    let acknowledged = Arc::new(Mutex::new(Vec::new()));
    let mut sent = 0;
    for round in 0..kills {
        let server = ShopServer::start(data.path());
        let clients: Vec<_> = (0..CLIENTS)
            .map(|_| {
                tokio::spawn(tick_until_dead(browser.clone(), server.address.clone(), acknowledged.clone()))
            })
            .collect();
        let before = acknowledged.lock().expect("no client panicked").len();
        for _ in 0..2000 {
            if acknowledged.lock().expect("no client panicked").len() > before {
                break;
            }
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
        // In the thick of it, and at another moment of the work each time.
        tokio::time::sleep(Duration::from_millis(u64::from(round * 37 % 120))).await;
        server.kill();
        for client in clients {
            sent += client.await.expect("a client ends by itself");
        }
    }

    let stored = stored(data.path()).await;
    let acknowledged = acknowledged.lock().expect("no client panicked");
    println!(
        "{kills} kills: {sent} ticks sent, {} acknowledged, {} stored",
        acknowledged.len(),
        stored.len()
    );
    assert!(acknowledged.len() > kills as usize, "the clients hardly got a word in: {}", acknowledged.len());
    let lost: Vec<_> = acknowledged.iter().filter(|id| !stored.contains_key(*id)).collect();
    assert!(lost.is_empty(), "acknowledged and lost: {lost:?}");
    let twice: Vec<_> = stored.iter().filter(|(_, times)| **times > 1).collect();
    assert!(twice.is_empty(), "kept twice: {twice:?}");
}

/// Sends ticks, each one twice as a nervous finger does, until the server no longer answers.
async fn tick_until_dead(browser: Browser, address: String, acknowledged: Arc<Mutex<Vec<Uuid>>>) -> u32 {
    let mut sent = 0;
    loop {
        let id = Uuid::now_v7();
        let step = STEPS[sent as usize % STEPS.len()];
        sent += 1;
        if !browser.tick(&address, QUIET_JOB, step, "undone", id).await {
            return sent;
        }
        acknowledged.lock().expect("no client panicked").push(id);
        if !browser.tick(&address, QUIET_JOB, step, "undone", id).await {
            return sent;
        }
    }
}

/// How often each tick stands in the database.
async fn stored(data: &Path) -> HashMap<Uuid, u32> {
    let store = Store::open(data).await.expect("the database opens after the last kill");
    let mut read = store.read().await.expect("and can be read");
    let mut times = HashMap::new();
    for tick in record::all::<Tick>(&mut read, JobId::from(QUIET_JOB)).await.expect("ticks") {
        *times.entry(tick.id).or_insert(0) += 1;
    }
    times
}
