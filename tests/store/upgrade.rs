//! Items of an older format are rewritten when the database is opened, once there is a copy of it.

use driploop::store::Store;
use sqlx::{Connection, SqliteConnection};

use crate::fixture::{Shop, small};

#[tokio::test]
async fn items_of_an_older_format_are_rewritten_after_a_copy() {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut raw = shop.raw().await;
    // A database of the format before: nobody but an older program writes it so.
    sqlx::raw_sql("DROP TRIGGER item_keeps_its_id; UPDATE item SET format = 0;")
        .execute(&mut raw)
        .await
        .unwrap();
    raw.close().await.unwrap();
    let Shop { store, _folder: folder } = shop;
    store.close().await;
    drop(store);

    let store = Store::open(folder.path()).await.unwrap();
    let shop = Shop { store, _folder: folder };
    assert_eq!(shop.export(job).await, small());
    let old = "SELECT count(*) FROM item WHERE format = 0";
    let mut raw = shop.raw().await;
    assert_eq!(sqlx::query_scalar::<_, i64>(old).fetch_one(&mut raw).await.unwrap(), 0);
    let copy = shop.store.folder().backups().join("items-of-format-0-1.db");
    let mut copy = SqliteConnection::connect(&format!("sqlite://{}", copy.display())).await.unwrap();
    assert!(sqlx::query_scalar::<_, i64>(old).fetch_one(&mut copy).await.unwrap() > 0);
}
