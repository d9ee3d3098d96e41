//! Not even somebody with the file in hand changes history by plain SQL, with or without SQLite's recursive triggers.

use driploop::job::event::{Mark, Tick};
use driploop::job::plan::{Location, RemovedEquipment};
use driploop::shop::job_state::JobState;
use driploop::store::{item, jobs, record};
use uuid::Uuid;

use crate::fixture::{Shop, at, small};

/// A shop whose job has a record, a change of an item and a removal.
async fn worked_on() -> Shop {
    let shop = Shop::open().await;
    let job = shop.import(&small()).await;
    let mut write = shop.write_by("Ana").await;
    let (step, by) = ("circuit/C01/test".parse().unwrap(), "Ana".parse().unwrap());
    let tick = Tick {
        id: Uuid::from_u128(1),
        step,
        mark: Mark::Done,
        reason: None,
        by,
        seen: Default::default(),
        at: at(60),
    };
    record::add(&mut write, job, &tick).await.unwrap();
    let helm = item::get::<Location>(&mut write, job, &"helm".parse().unwrap()).await.unwrap();
    item::save(&mut write, job, &Location { wet: true, ..helm.value }, Some(helm.version)).await.unwrap();
    let old = "old01".parse().unwrap();
    let removed = item::get::<RemovedEquipment>(&mut write, job, &old).await.unwrap();
    item::remove::<RemovedEquipment>(&mut write, job, &old, removed.version).await.unwrap();
    jobs::change_state(&mut write, job, JobState::Closed).await.unwrap();
    write.commit().await.unwrap();
    shop
}

/// Runs each statement on a connection past the store and finds it refused, for its reason.
async fn refused(recursive_triggers: bool, statements: &[(&str, &str)]) {
    let shop = worked_on().await;
    let before = shop.rows().await;
    let mut raw = shop.raw().await;
    let pragma = format!("PRAGMA recursive_triggers = {}", if recursive_triggers { "ON" } else { "OFF" });
    sqlx::query(sqlx::AssertSqlSafe(pragma)).execute(&mut raw).await.unwrap();
    for (sql, why) in statements {
        let error = sqlx::query(sqlx::AssertSqlSafe((*sql).to_owned())).execute(&mut raw).await.unwrap_err();
        assert!(error.to_string().contains(why), "{sql}: {error}");
    }
    assert_eq!(shop.rows().await, before);
}

#[tokio::test]
async fn history_and_log_only_ever_grow() {
    let statements = [
        ("UPDATE record SET body = '{}'", "never changed"),
        ("UPDATE record SET \"by\" = 'Bo'", "never changed"),
        ("UPDATE change SET \"by\" = 'Bo'", "never changed"),
        ("UPDATE item_change SET after = '{}'", "never changed"),
        ("UPDATE log SET \"by\" = 'Bo'", "never changed"),
        ("DELETE FROM record", "never deleted"),
        ("DELETE FROM change", "never deleted"),
        ("DELETE FROM item_change", "never deleted"),
        ("DELETE FROM log", "never deleted"),
    ];
    refused(true, &statements).await;
    refused(false, &statements).await;
}

#[tokio::test]
async fn insert_or_replace_passes_no_trigger() {
    let statements = [
        (
            "INSERT OR REPLACE INTO record SELECT job, no, line, id, kind, subject, step, at, received_at,
                 'Bo', person, origin, body, format FROM record",
            "never replaced",
        ),
        (
            "INSERT OR REPLACE INTO log SELECT id, at, 'Bo', person, job, line, act, subject, before, after FROM log",
            "never replaced",
        ),
        (
            "INSERT OR REPLACE INTO change SELECT job, no, line, at, 'Bo', person, act, undoes, format FROM change",
            "never replaced",
        ),
        (
            "INSERT OR REPLACE INTO item_change SELECT seq, job, no, kind, id, before, '{}', rank_before, rank_after
             FROM item_change WHERE after IS NOT NULL",
            "never replaced",
        ),
        ("UPDATE OR REPLACE record SET no = 1", "never changed"),
    ];
    refused(true, &statements).await;
    refused(false, &statements).await;
}

#[tokio::test]
async fn the_connections_of_the_store_have_recursive_triggers() {
    let shop = Shop::open().await;
    let on = "PRAGMA recursive_triggers";
    let mut read = shop.store.read().await.unwrap();
    assert_eq!(sqlx::query_scalar::<_, i64>(on).fetch_one(&mut *read).await.unwrap(), 1);
    let mut write = shop.write().await;
    assert_eq!(sqlx::query_scalar::<_, i64>(on).fetch_one(&mut *write).await.unwrap(), 1);
}

#[tokio::test]
async fn an_item_changes_by_a_change_alone_and_its_id_never_returns() {
    let back = "INSERT INTO item (job, kind, id, rank, version, body, format)
        SELECT job, kind, id, 1, (SELECT max(no) FROM change), before, 1 FROM item_change WHERE after IS NULL";
    let statements = [
        ("UPDATE item SET body = '{}'", "its version never goes back"),
        ("UPDATE item SET version = version - 1, body = '{}'", "its version never goes back"),
        ("UPDATE item SET id = 'other', version = version + 1", "never changes its id"),
        ("UPDATE item SET body = '{', version = version + 1 WHERE id = 'bow'", "malformed JSON"),
        ("UPDATE item SET body = json_set(body, '$.wet', 1), version = 99 WHERE id = 'bow'", "FOREIGN KEY"),
        ("DELETE FROM item WHERE id = 'bow'", "without a change that says so"),
        (back, "never returns"),
    ];
    refused(true, &statements).await;
    refused(false, &statements).await;
}
