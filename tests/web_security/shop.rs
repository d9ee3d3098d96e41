//! A shop with one boat and somebody of each role, asked through the router as a browser asks.

use std::net::{IpAddr, SocketAddr};
use std::path::Path;

use axum::Router;
use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use driploop::shop::demo;
use driploop::shop::picture::Picture;
use driploop::shop::profile::{Profile, Units};
use driploop::shop::role::Role;
use driploop::store::people::{self, Newcomer};
use driploop::store::{self, Actor, Hashed, JobId, PersonId, Store, file, grants, log, photos, shop};
use driploop::web::{self, AppState, ServerSettings};
use http_body_util::BodyExt;
use jiff::Timestamp;
use sqlx::ConnectOptions;
use sqlx::sqlite::SqliteConnectOptions;
use tempfile::TempDir;
use tower::ServiceExt;

/// Somebody of each role: name, role, passphrase, PIN.
pub const PEOPLE: [(&str, Role, &str, &str); 4] = [
    ("Ana Quill", Role::Manager, "copper before chrome", "4071"),
    ("Tess Marlin", Role::Technician, "two ends on every wire", "2583"),
    ("Bo Fenwick", Role::Apprentice, "leave a pull string", "9136"),
    ("Rae Sandling", Role::Viewer, "only here to look on", "7420"),
];

/// The one job of the shop.
pub const JOB: i64 = 1;

/// The program on a data folder of its own, which lives as long as the test.
pub struct Shop {
    folder: TempDir,
    pub store: Store,
    pub app: Router,
}

/// An answer, read to its end.
#[derive(Debug)]
pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub text: String,
}

/// What a browser keeps: its cookie, and the address it comes from.
#[derive(Debug, Clone, Default)]
pub struct Browser {
    pub cookie: Option<String>,
    pub from: Option<IpAddr>,
    pub headers: Vec<(&'static str, String)>,
}

impl Shop {
    /// On plain HTTP, as the program starts by itself.
    pub async fn open() -> Self {
        Self::set_up(ServerSettings::default()).await
    }

    pub async fn set_up(setting: ServerSettings) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let store = peopled(folder.path()).await;
        let profile = Profile {
            name: "Slip Number Nine".parse().unwrap(),
            address: None,
            phone: None,
            time_zone: "Europe/Oslo".parse().unwrap(),
            currency: "NOK".parse().unwrap(),
            units: Units::Metric,
        };
        let mut write = store.write(&actor(), Timestamp::now()).await.unwrap();
        shop::create(&mut write, &profile).await.unwrap();
        file::import(&mut write, &demo::files().unwrap()[0]).await.unwrap();
        let picture = Picture { bytes: b"a picture".to_vec(), width: 4, height: 3 };
        let subject = "job/job".parse().unwrap();
        photos::add(&mut write, store.folder(), JOB.into(), &subject, &picture).await.unwrap();
        store::mark::set(&mut write, Some(&mark())).await.unwrap();
        grants::set(&mut write, person(Role::Viewer), &[JOB.into()].into()).await.unwrap();
        write.commit().await.unwrap();
        let app = web::app(AppState::set_up(store.clone(), setting));
        Self { folder, store, app }
    }

    /// People made on the command line, and no shop yet.
    pub async fn without_shop() -> Self {
        Self::without_shop_at(ServerSettings::default()).await
    }

    pub async fn without_shop_at(setting: ServerSettings) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let store = peopled(folder.path()).await;
        let app = web::app(AppState::set_up(store.clone(), setting));
        Self { folder, store, app }
    }

    /// Where the data lies.
    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    pub async fn ask(&self, request: Request<Body>) -> Answer {
        let response = self.app.clone().oneshot(request).await.unwrap();
        let (head, body) = response.into_parts();
        let bytes = body.collect().await.unwrap().to_bytes();
        let text = String::from_utf8_lossy(&bytes).into_owned();
        Answer { status: head.status, headers: head.headers, text }
    }

    /// A file that anyone may have: its media type, and what is in it.
    pub async fn file(&self, path: &str) -> (String, Vec<u8>) {
        let request = Browser::default().request(Method::GET, path, &[]);
        let (head, body) = self.app.clone().oneshot(request).await.unwrap().into_parts();
        let kind = head.headers[header::CONTENT_TYPE].to_str().unwrap().to_owned();
        (kind, body.collect().await.unwrap().to_bytes().to_vec())
    }

    pub async fn get(&self, browser: &Browser, path: &str) -> Answer {
        self.ask(browser.request(Method::GET, path, &[])).await
    }

    pub async fn post(&self, browser: &Browser, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.ask(browser.request(Method::POST, path, fields)).await
    }

    /// Signs somebody in from a fresh browser.
    pub async fn sign_in(&self, role: Role) -> Browser {
        let (name, _, passphrase, _) = PEOPLE.into_iter().find(|person| person.1 == role).unwrap();
        let mut browser = Browser::default();
        let answer = self.try_sign_in(&browser, name, passphrase).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{name}: {}", answer.text);
        browser.take_cookie(&answer);
        browser
    }

    /// Signs the apprentice in, and switches to somebody with a PIN. The apprentice is switched to from the
    /// technician's tablet.
    pub async fn switch_to(&self, role: Role) -> Browser {
        let from = if role == Role::Apprentice { Role::Technician } else { Role::Apprentice };
        let mut browser = self.sign_in(from).await;
        let (_, _, _, pin) = PEOPLE.into_iter().find(|person| person.1 == role).unwrap();
        let person = person(role).to_string();
        let fields = [("person", person.as_str()), ("pin", pin), ("back", "/")];
        let answer = self.post(&browser, "/switch", &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{role}: {}", answer.text);
        browser.take_cookie(&answer);
        browser
    }

    /// Grants the viewer exactly these jobs.
    pub async fn grant(&self, jobs: &[i64]) {
        let jobs = jobs.iter().map(|job| JobId::from(*job)).collect();
        let mut write = self.store.write(&actor(), Timestamp::now()).await.unwrap();
        grants::set(&mut write, person(Role::Viewer), &jobs).await.unwrap();
        write.commit().await.unwrap();
    }

    /// Ends every sign-in as the passing of time does.
    pub async fn expire_sign_ins(&self) {
        let mut raw =
            SqliteConnectOptions::new().filename(self.store.folder().database()).connect().await.unwrap();
        sqlx::query("UPDATE sign_ins SET expires_at = created_at").execute(&mut raw).await.unwrap();
    }

    pub async fn try_sign_in(&self, browser: &Browser, name: &str, passphrase: &str) -> Answer {
        self.post(browser, "/sign-in", &[("name", name), ("passphrase", passphrase), ("next", "/")]).await
    }

    /// How many lines the log has: nothing is changed without one.
    pub async fn log_lines(&self) -> usize {
        let mut read = self.store.read().await.unwrap();
        let of_shop = log::of_shop(&mut read, None, 1000).await.unwrap().len();
        of_shop + log::of_job(&mut read, JOB.into(), None, 1000).await.unwrap().len()
    }
}

/// The key of the person with a role.
pub fn person(role: Role) -> PersonId {
    let place = PEOPLE.iter().position(|person| person.1 == role).unwrap();
    PersonId::from(i64::try_from(place).unwrap() + 1)
}

/// The mark of the shop.
pub fn mark() -> Picture {
    Picture { bytes: b"a mark".to_vec(), width: 4, height: 3 }
}

pub fn actor() -> Actor {
    Actor { person: None, name: "the test".parse().unwrap() }
}

/// A fresh database with somebody of each role.
async fn peopled(folder: &Path) -> Store {
    let store = Store::open(folder).await.unwrap();
    let mut newcomers = Vec::new();
    for (name, role, passphrase, pin) in PEOPLE {
        newcomers.push(Newcomer {
            name: name.parse().unwrap(),
            role,
            passphrase: Hashed::passphrase(&passphrase.parse().unwrap()).await.unwrap(),
            pin: Some(Hashed::pin(&pin.parse().unwrap()).await.unwrap()),
        });
    }
    let mut write = store.write(&actor(), Timestamp::now()).await.unwrap();
    for newcomer in &newcomers {
        people::add(&mut write, newcomer).await.unwrap();
    }
    write.commit().await.unwrap();
    store
}

impl Browser {
    pub fn from(address: &str) -> Self {
        Self { from: Some(address.parse().unwrap()), ..Self::default() }
    }

    pub fn with(mut self, name: &'static str, value: impl Into<String>) -> Self {
        self.headers.push((name, value.into()));
        self
    }

    /// Keeps the sign-in's cookie of an answer.
    pub fn take_cookie(&mut self, answer: &Answer) {
        self.cookie = Some(answer.cookie().split(';').next().unwrap().to_owned());
    }

    pub fn request(&self, method: Method, path: &str, fields: &[(&str, &str)]) -> Request<Body> {
        let mut request = Request::builder().method(&method).uri(path).header(header::HOST, "boats.test");
        if let Some(cookie) = &self.cookie {
            request = request.header(header::COOKIE, cookie);
        }
        for (name, value) in &self.headers {
            request = request.header(*name, value);
        }
        let body = if method == Method::POST {
            request = request.header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
            Body::from(serde_urlencoded::to_string(fields).unwrap())
        } else {
            Body::empty()
        };
        let mut request = request.body(body).unwrap();
        if let Some(from) = self.from {
            request.extensions_mut().insert(ConnectInfo(SocketAddr::new(from, 50_000)));
        }
        request
    }
}

impl Answer {
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }

    /// The cookie of the sign-in that it sets, whole.
    pub fn cookie(&self) -> &str {
        let cookies = self.headers.get_all(header::SET_COOKIE).iter().map(|cookie| cookie.to_str().unwrap());
        cookies.into_iter().find(|cookie| cookie.contains("sign-in=")).expect("a cookie of the sign-in")
    }
}
