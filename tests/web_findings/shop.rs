//! A shop with boats, and one person of a role who asks the router.

use axum::http::StatusCode;
use driploop::job::file::JobFile;
use driploop::shop::role::Role;
use driploop::store::Store;
use sqlx::{Connection, SqliteConnection};

use crate::boat_shop::{self, CurrentUser};

pub use crate::boat_shop::job;

/// A shop whose pages one person asks for.
pub struct Shop {
    _shop: boat_shop::Shop,
    pub store: Store,
    user: CurrentUser,
}

impl Shop {
    /// With these boats, asked by a person of this role.
    pub async fn open(jobs: &[JobFile], role: Role) -> Self {
        let shop = boat_shop::Shop::with(jobs).await;
        let user = shop.sign_in(role).await;
        Self { store: shop.store.clone(), user, _shop: shop }
    }

    /// A page, which has to be there.
    pub async fn page(&self, path: &str) -> String {
        self.user.at(path).await.is(StatusCode::OK).text().to_owned()
    }

    /// Sends a form about the first boat, which has to be accepted.
    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) {
        let path = path.strip_prefix("/jobs/1").unwrap();
        self.user.post(path, fields).await.is(StatusCode::SEE_OTHER);
    }

    /// What the floor says of the first boat.
    pub async fn status(&self) -> String {
        let floor = self.page("/").await;
        between(&floor, "<dt>Status</dt><dd>", "</dd>")
    }

    /// A connection past the store, as another process has it.
    pub async fn raw(&self) -> SqliteConnection {
        let url = format!("sqlite://{}", self.store.folder().database().display());
        SqliteConnection::connect(&url).await.unwrap()
    }

    /// Runs a statement past the store.
    pub async fn run(&self, statement: &'static str) {
        let mut raw = self.raw().await;
        sqlx::query(statement).execute(&mut raw).await.unwrap();
        raw.close().await.unwrap();
    }

    /// A number from the database.
    pub async fn number(&self, query: &'static str) -> i64 {
        let mut raw = self.raw().await;
        let number = sqlx::query_scalar(query).fetch_one(&mut raw).await.unwrap();
        raw.close().await.unwrap();
        number
    }
}

/// The text between two parts of a page.
#[track_caller]
pub fn between(text: &str, before: &str, end: &str) -> String {
    let rest = text.split_once(before).unwrap_or_else(|| panic!("{before} is not in:\n{text}")).1;
    rest.split_once(end).unwrap().0.to_owned()
}
