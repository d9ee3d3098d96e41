//! A shop with boats, and one person of a role who asks the router.

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use driploop::job::file::JobFile;
use driploop::shop::profile::Profile;
use driploop::shop::role::Role;
use driploop::shop::secret::Passphrase;
use driploop::store::people::{self, Newcomer};
use driploop::store::sign_in::{self, Attempt};
use driploop::store::{Actor, Hashed, Store, file, shop};
use driploop::web::{self, AppState};
use http_body_util::BodyExt;
use jiff::Timestamp;
use sqlx::{Connection, SqliteConnection};
use tempfile::TempDir;
use tower::ServiceExt;

const PASSPHRASE: &str = "copper before chrome";

/// The job of these tests: one battery, two circuits.
pub fn job() -> JobFile {
    JobFile::read(include_bytes!("../web_floor/job.json")).unwrap()
}

/// A shop whose pages one person asks for. Its data folder is gone when dropped.
pub struct Shop {
    _folder: TempDir,
    pub store: Store,
    app: Router,
    cookie: String,
}

fn actor() -> Actor {
    Actor { person: None, name: "Setup".parse().unwrap() }
}

impl Shop {
    /// With these boats, asked by a person of this role.
    pub async fn open(jobs: &[JobFile], role: Role) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).await.unwrap();
        let mut write = store.write(&actor(), Timestamp::now()).await.unwrap();
        let profile = Profile {
            name: "Otterslip Boat Wiring".parse().unwrap(),
            address: None,
            phone: None,
            time_zone: "America/New_York".parse().unwrap(),
            currency: "USD".parse().unwrap(),
            units: "metric".parse().unwrap(),
        };
        shop::create(&mut write, &profile).await.unwrap();
        let passphrase = Hashed::passphrase(&PASSPHRASE.parse::<Passphrase>().unwrap()).await.unwrap();
        let name = "Cy";
        let newcomer = Newcomer { name: name.parse().unwrap(), role, passphrase, pin: None };
        people::add(&mut write, &newcomer).await.unwrap();
        for job in jobs {
            file::import(&mut write, job).await.unwrap();
        }
        write.commit().await.unwrap();
        let attempt = Attempt { name, passphrase: PASSPHRASE, address: "10.0.0.7", device: "tablet" };
        let (token, _) = sign_in::open(&store, attempt, Timestamp::now()).await.unwrap();
        let app = web::app(AppState::new(store.clone(), false));
        Self { _folder: folder, store, app, cookie: format!("sign-in={}", token.reveal()) }
    }

    /// A page, which has to be there.
    pub async fn page(&self, path: &str) -> String {
        let request = Request::get(path)
            .header(header::COOKIE, &self.cookie)
            .header(header::HOST, "shop.test")
            .body(Body::empty());
        let (status, text) = self.ask(request.unwrap()).await;
        assert_eq!(status, StatusCode::OK, "{text}");
        text
    }

    /// Sends a form, which has to be accepted.
    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) {
        let request = Request::post(path)
            .header(header::COOKIE, &self.cookie)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .header("sec-fetch-site", "same-origin")
            .body(Body::from(serde_urlencoded::to_string(fields).unwrap()));
        let (status, text) = self.ask(request.unwrap()).await;
        assert_eq!(status, StatusCode::SEE_OTHER, "{text}");
    }

    async fn ask(&self, request: Request<Body>) -> (StatusCode, String) {
        let response = self.app.clone().oneshot(request).await.unwrap();
        let status = response.status();
        let bytes = response.into_body().collect().await.unwrap().to_bytes();
        (status, String::from_utf8(bytes.to_vec()).unwrap())
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
