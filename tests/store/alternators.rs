//! A database whose alternators had one figure at idle, and whose modes said that the engine idles.

use sqlx::{Connection, SqliteConnection};

const MIGRATION: &str = include_str!("../../migrations/0042_alternators_by_speed.sql");

#[tokio::test]
async fn what_was_given_at_idle_becomes_a_curve_of_one_speed() {
    let mut old = SqliteConnection::connect("sqlite::memory:").await.unwrap();
    let tables = "CREATE TABLE points (id TEXT, kind TEXT NOT NULL, idle_a REAL
                      CONSTRAINT points_only_alternators_idle CHECK (idle_a IS NULL OR kind = 'charger')) STRICT;
                  CREATE TABLE modes (id TEXT, idling INTEGER NOT NULL DEFAULT 0
                      CONSTRAINT modes_idling CHECK (idling IN (0, 1))) STRICT;
                  INSERT INTO points VALUES ('house', 'battery', NULL), ('engine', 'charger', 28.5);
                  INSERT INTO modes VALUES ('running', 0), ('trolling', 1);";
    sqlx::raw_sql(tables).execute(&mut old).await.unwrap();
    sqlx::raw_sql(MIGRATION).execute(&mut old).await.unwrap();
    let curves: Vec<(String, Option<String>)> =
        sqlx::query_as("SELECT id, curve FROM points ORDER BY id").fetch_all(&mut old).await.unwrap();
    let curve = r#"[{"rpm":700,"a":28.5}]"#.to_owned();
    assert_eq!(curves, [("engine".to_owned(), Some(curve)), ("house".to_owned(), None)]);
    let speeds: Vec<(String, Option<f64>)> =
        sqlx::query_as("SELECT id, rpm FROM modes ORDER BY id").fetch_all(&mut old).await.unwrap();
    assert_eq!(speeds, [("running".to_owned(), None), ("trolling".to_owned(), Some(700.0))]);
    let of_a_battery = "UPDATE points SET curve = '[]' WHERE id = 'house'";
    assert!(sqlx::query(of_a_battery).execute(&mut old).await.is_err());
}
