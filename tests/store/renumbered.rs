//! The records of a database whose wires were counted from the source: they follow their wires.

use driploop::job::event::{Mark, Tick};
use driploop::store::events;
use sqlx::Connection;

use crate::fixture::{Shop, at, small};

const MIGRATION: &str = include_str!("../../migrations/0020_wires_keep_their_numbers.sql");

#[tokio::test]
async fn what_was_done_to_a_wire_follows_its_new_number() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    // C02 has both jumpers and stays; C01 has neither, so its four wires were 1 to 4.
    let steps =
        ["conductor/C02-3/pull", "conductor/C01-1/pull", "conductor/C01-4/label", "end/C01-2b/terminate"];
    let mut write = shop.write().await;
    for (step, second) in steps.iter().zip(1_u32..) {
        let id = uuid::Uuid::from_u128(second.into());
        let (step, by) = (step.parse().unwrap(), "Ana".parse().unwrap());
        let tick = Tick { id, step, mark: Mark::Done, reason: None, by, at: at(second.into()) };
        events::add(&mut write, job, &tick).await.unwrap();
    }
    write.commit().await.unwrap();
    let mut raw = shop.raw().await;
    sqlx::raw_sql(MIGRATION).execute(&mut raw).await.unwrap();
    let refused = sqlx::query("UPDATE ticks SET mark = 'undone'").execute(&mut raw).await;
    assert!(refused.is_err(), "ticks are guarded again");
    raw.close().await.unwrap();
    let history = shop.export(job).await.history;
    let told: Vec<String> = history.ticks.iter().map(|tick| tick.step.to_string()).collect();
    for step in
        ["conductor/C02-3/pull", "conductor/C01-3/pull", "conductor/C01-6/label", "end/C01-4b/terminate"]
    {
        assert!(told.contains(&step.to_owned()), "{step}: {told:?}");
    }
    assert_eq!(history.crimp_pulls[0].end.as_str(), "C02-1a");
}
