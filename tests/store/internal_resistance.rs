//! A database whose sources had 0 for an internal resistance that nobody knew.

use sqlx::Connection;

use crate::fixture::{Shop, small};

const MIGRATION: &str = include_str!("../../migrations/0041_internal_resistance.sql");

#[tokio::test]
async fn no_internal_resistance_becomes_one_that_is_not_known() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut raw = shop.raw().await;
    let of_sources = "UPDATE points SET internal_mohm = 0 WHERE kind IN ('battery', 'charger')";
    assert!(sqlx::query(of_sources).execute(&mut raw).await.unwrap().rows_affected() > 0);
    sqlx::raw_sql(MIGRATION).execute(&mut raw).await.unwrap();
    raw.close().await.unwrap();
    let text = shop.export(job).await.write();
    assert!(!text.contains("internal_mohm"), "{text}");
}
