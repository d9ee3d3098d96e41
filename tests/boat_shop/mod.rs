//! A shop with boats and one person of each role, asked through the router.
#![allow(dead_code, reason = "each test program uses a part of it")]

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use driploop::job::checked::Checked;
use driploop::job::event::History;
use driploop::job::file::JobFile;
use driploop::job::phase::Phase;
use driploop::job::plan::{Circuit, Plan};
use driploop::job::stage::Stage;
use driploop::job::step::{Action, StepKey};
use driploop::shop::profile::Profile;
use driploop::shop::role::Role;
use driploop::shop::secret::Passphrase;
use driploop::store::people::{self, Newcomer};
use driploop::store::sign_in::{self, Attempt};
use driploop::store::{Actor, ChangeSet, Hashed, JobId, Store, file, grants, shop};
use driploop::web::{self, AppState};
use http_body_util::BodyExt;
use jiff::Timestamp;
use tempfile::TempDir;
use tower::ServiceExt;

use uuid::Uuid;

use crate::worker::Worker;

const PASSPHRASE: &str = "copper before chrome";

/// The job of these tests: one battery, two circuits.
pub fn job() -> JobFile {
    JobFile::read(include_bytes!("job.json")).unwrap()
}

/// What a worker did of the steps that are wanted.
pub fn worked(plan: &Plan, wanted: impl Fn(&StepKey) -> bool) -> History {
    let mut worker = Worker::new();
    worker.by = "Ana";
    worker.work(&Checked::of(plan.clone()), wanted);
    worker.history
}

/// Everything done that comes before a phase.
pub fn done_before(plan: &Plan, phase: Phase) -> History {
    worked(plan, |step| step.action.phase() < phase)
}

/// Everything done that comes before the first circuit is powered.
pub fn ready_for_circuits(plan: &Plan) -> History {
    worked(plan, |step| {
        let before = Stage::of(step).is_some_and(|stage| stage < Stage::Circuits);
        let phase = step.action.phase();
        phase < Phase::PowerUpTest || before || step.action == Action::Fuse
    })
}

/// Everything done, each circuit measured.
pub fn all_done(plan: &Plan) -> History {
    worked(plan, |_| true)
}

/// A shop with its data folder, gone when dropped.
pub struct Shop {
    _folder: TempDir,
    pub store: Store,
    app: Router,
}

/// Somebody who is signed in.
pub struct CurrentUser {
    app: Router,
    cookie: String,
}

/// What was answered.
pub struct Answer {
    status: StatusCode,
    location: Option<String>,
    text: String,
}

fn actor() -> Actor {
    Actor { person: None, name: "Setup".parse().unwrap() }
}

fn name_of(role: Role) -> &'static str {
    match role {
        Role::Manager => "Ana",
        Role::Technician => "Cy",
        Role::Apprentice => "Bo",
        Role::Viewer => "Ron",
    }
}

impl Shop {
    /// With one boat.
    pub async fn open(job: JobFile) -> Self {
        Self::with(&[job]).await
    }

    /// With these boats.
    pub async fn with(jobs: &[JobFile]) -> Self {
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
        for role in Role::ALL {
            let name = name_of(role).parse().unwrap();
            people::add(&mut write, &Newcomer { name, role, passphrase: passphrase.clone(), pin: None })
                .await
                .unwrap();
        }
        for job in jobs {
            file::import(&mut write, job).await.unwrap();
        }
        write.commit().await.unwrap();
        let app = web::app(AppState::new(store.clone(), false));
        Self { _folder: folder, store, app }
    }

    pub async fn sign_in(&self, role: Role) -> CurrentUser {
        let attempt =
            Attempt { name: name_of(role), passphrase: PASSPHRASE, address: "10.0.0.7", device: "tablet" };
        let (token, person) = sign_in::open(&self.store, attempt, Timestamp::now()).await.unwrap();
        if role == Role::Viewer {
            let mut write = self.store.write(&actor(), Timestamp::now()).await.unwrap();
            grants::set(&mut write, person.id, &[JobId::from(1)].into()).await.unwrap();
            write.commit().await.unwrap();
        }
        CurrentUser { app: self.app.clone(), cookie: format!("sign-in={}", token.reveal()) }
    }

    /// Gives a circuit another label.
    pub async fn relabel(&self, circuit: &str, label: &str) {
        let mut write = self.store.write(&actor(), Timestamp::now()).await.unwrap();
        let mut change = ChangeSet::begin(&mut write, JobId::from(1)).await.unwrap();
        let label = Some(label.parse().unwrap());
        change.alter(&circuit.parse().unwrap(), |circuit: Circuit| Circuit { label, ..circuit }).unwrap();
        change.commit().await.unwrap();
        write.commit().await.unwrap();
    }

    pub async fn export(&self) -> JobFile {
        file::export(&mut self.store.read().await.unwrap(), JobId::from(1)).await.unwrap()
    }

    pub async fn history(&self) -> History {
        self.export().await.history
    }
}

impl CurrentUser {
    /// Looks at a page of the job.
    pub async fn page(&self, path: &str) -> Answer {
        self.at(&format!("/jobs/1{path}")).await
    }

    /// Looks at any page.
    pub async fn at(&self, path: &str) -> Answer {
        let request =
            Request::get(path).header(header::COOKIE, &self.cookie).header(header::HOST, "shop.test");
        self.ask(request.body(Body::empty()).unwrap()).await
    }

    /// Sends a form to an address of the job.
    pub async fn post<V: AsRef<str>>(&self, path: &str, fields: &[(&str, V)]) -> Answer {
        let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_ref())).collect();
        let body = serde_urlencoded::to_string(fields).unwrap();
        self.send(&format!("/jobs/1{path}"), "application/x-www-form-urlencoded", body).await
    }

    /// Imports a job file, as its page sends it.
    pub async fn import(&self, file: &str) -> Answer {
        let head = "--edge\r\ncontent-disposition: form-data; name=\"file\"; filename=\"job.json\"\r\n\r\n";
        let body = format!("{head}{file}\r\n--edge--\r\n");
        self.send("/jobs/from-file", "multipart/form-data; boundary=edge", body).await
    }

    async fn send(&self, path: &str, kind: &str, body: String) -> Answer {
        let request = Request::post(path)
            .header(header::COOKIE, &self.cookie)
            .header(header::CONTENT_TYPE, kind)
            .header(header::HOST, "shop.test")
            .header("sec-fetch-site", "same-origin");
        self.ask(request.body(Body::from(body)).unwrap()).await
    }

    /// Marks a step as its tick does, from the page of its phase.
    pub async fn tick(&self, step: &str, mark: &str) -> Answer {
        let key: driploop::job::step::StepKey = step.parse().unwrap();
        let back = format!("/jobs/1/phases/{}#step-{}", key.action.phase(), step.replace('/', "-"));
        let event = Uuid::now_v7().to_string();
        self.post("/ticks", &[("event", event.as_str()), ("step", step), ("mark", mark), ("back", &back)])
            .await
    }

    async fn ask(&self, request: Request<Body>) -> Answer {
        let response = self.app.clone().oneshot(request).await.unwrap();
        let location = response.headers().get(header::LOCATION).map(|to| to.to_str().unwrap().to_owned());
        let status = response.status();
        let bytes = response.into_body().collect().await.unwrap().to_bytes();
        Answer { status, location, text: String::from_utf8_lossy(&bytes).into_owned() }
    }
}

impl Answer {
    pub fn status(&self) -> StatusCode {
        self.status
    }

    #[track_caller]
    pub fn is(&self, status: StatusCode) -> &Self {
        assert_eq!(self.status, status, "{}", self.text);
        self
    }

    #[track_caller]
    pub fn leads_to(&self, location: &str) {
        assert_eq!(
            (self.status, self.location.as_deref()),
            (StatusCode::SEE_OTHER, Some(location)),
            "{}",
            self.text
        );
    }

    #[track_caller]
    pub fn says(&self, parts: &[&str]) -> &Self {
        for part in parts {
            assert!(self.text.contains(part), "{part:?} is not on the page:\n{}", self.text);
        }
        self
    }

    #[track_caller]
    pub fn lacks(&self, part: &str) {
        assert!(!self.text.contains(part), "{part:?} is on the page:\n{}", self.text);
    }

    /// What stands between two pieces of the page.
    #[track_caller]
    pub fn after(&self, before: &str, end: &str) -> String {
        let rest = self.text.split_once(before).unwrap().1;
        rest.split_once(end).unwrap().0.to_owned()
    }

    /// A hidden field of a form, as the form would send it.
    #[track_caller]
    pub fn hidden(&self, form: &str, field: &str) -> String {
        let form = self.text.split_once(&format!("id=\"{form}\"")).unwrap().1;
        let value = form.split_once(&format!("name=\"{field}\" value=\"")).unwrap().1;
        let value = value.split_once('"').unwrap().0;
        value.replace("&#38;", "&").replace("&amp;", "&")
    }

    /// How many figures open in place, each on one working of its own.
    #[track_caller]
    pub fn opens(&self) -> usize {
        let targets = self.text.split("popovertarget=\"").skip(1).map(|rest| rest.split('"').next().unwrap());
        let once = |target: &str| assert_eq!(self.count(&format!("id=\"{target}\" popover")), 1, "{target}");
        targets.inspect(|target| once(target)).count()
    }

    /// What a figure opens on: formula, numbers and source of each of its workings.
    #[track_caller]
    pub fn how(&self, figure: &str) -> String {
        self.after(&format!("id=\"how-{figure}\" popover>"), "</span></span></span>")
    }

    pub fn text(&self) -> &str {
        &self.text
    }

    pub fn count(&self, part: &str) -> usize {
        self.text.matches(part).count()
    }
}
