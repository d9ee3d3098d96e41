//! A fresh shop for one test, and a job small enough to read.

use driploop::job::file::JobFile;
use driploop::job::value::Name;
use driploop::store::{Actor, JobId, PersonId, Store, Write, file};
use jiff::Timestamp;
use sqlx::{Connection, SqliteConnection};
use tempfile::TempDir;

/// A shop's data folder, gone when dropped.
pub struct Shop {
    pub _folder: TempDir,
    pub store: Store,
}

impl Shop {
    pub async fn open() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).await.unwrap();
        let shop = Self { _folder: folder, store };
        let mut raw = shop.raw().await;
        for (table, start) in [("job", 1000), ("people", 2000), ("sign_ins", 3000), ("log", 4000)] {
            sqlx::query("INSERT INTO sqlite_sequence (name, seq) VALUES (?, ?)")
                .bind(table)
                .bind(start)
                .execute(&mut raw)
                .await
                .unwrap();
        }
        raw.close().await.unwrap();
        shop
    }

    /// A connection past the store, as somebody with the file in hand has it.
    pub async fn raw(&self) -> SqliteConnection {
        let url = format!("sqlite://{}", self.store.folder().database().display());
        let mut raw = SqliteConnection::connect(&url).await.unwrap();
        sqlx::query("PRAGMA foreign_keys = ON").execute(&mut raw).await.unwrap();
        raw
    }

    pub async fn write(&self) -> Write {
        self.store.write(&actor("Ana"), at(0)).await.unwrap()
    }

    /// A person of this shop, who joins it where nobody is called so.
    pub async fn hand(&self, name: &str) -> Actor {
        let mut raw = self.raw().await;
        let join = "INSERT OR IGNORE INTO people (name, role, passphrase_hash, created_at)
                    VALUES (?, 'technician', '$argon2id$none', '2026-01-01T00:00:00.000000000Z')";
        sqlx::query(join).bind(name).execute(&mut raw).await.unwrap();
        let id = sqlx::query_scalar("SELECT id FROM people WHERE name = ?").bind(name);
        let id: i64 = id.fetch_one(&mut raw).await.unwrap();
        raw.close().await.unwrap();
        Actor { person: Some(PersonId::from(id)), ..actor(name) }
    }

    /// A transaction in the name of a person of this shop.
    pub async fn write_by(&self, name: &str) -> Write {
        let hand = self.hand(name).await;
        self.store.write(&hand, at(0)).await.unwrap()
    }

    pub async fn import(&self, job: &JobFile) -> JobId {
        let mut write = self.write().await;
        let id = file::import(&mut write, job).await.unwrap();
        write.commit().await.unwrap();
        id
    }

    pub async fn export(&self, job: JobId) -> JobFile {
        file::export(&mut self.store.read().await.unwrap(), job).await.unwrap()
    }

    /// How many rows there are in all tables of the shop's own.
    pub async fn rows(&self) -> i64 {
        let mut raw = self.raw().await;
        let tables: Vec<String> = sqlx::query_scalar(
            "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' AND name NOT LIKE '_sqlx%'",
        )
        .fetch_all(&mut raw)
        .await
        .unwrap();
        let mut rows = 0;
        for table in tables {
            let sql = sqlx::AssertSqlSafe(format!("SELECT count(*) FROM {table}"));
            let count: i64 = sqlx::query_scalar(sql).fetch_one(&mut raw).await.unwrap();
            rows += count;
        }
        rows
    }
}

pub fn actor(name: &str) -> Actor {
    Actor { person: None, name: name.parse::<Name>().unwrap() }
}

/// So many seconds after the start of a day at work.
pub fn at(seconds: i64) -> Timestamp {
    Timestamp::from_second(1_772_000_000 + seconds).unwrap()
}

/// One value of everything that a job can hold.
pub fn small() -> JobFile {
    JobFile::read(SMALL.as_bytes()).unwrap()
}

const SMALL: &str = include_str!("small.json");
