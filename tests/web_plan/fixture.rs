//! A shop on an empty data folder, and somebody who asks it for pages.

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use driploop::job::file::JobFile;
use driploop::job::plan::Plan;
use driploop::shop::profile::Profile;
use driploop::shop::role::Role;
use driploop::shop::secret::Passphrase;
use driploop::store::people::{self, Newcomer};
use driploop::store::sign_in::{self, Attempt};
use driploop::store::{self as database, Actor, Hashed, JobId, Store, file, jobs, plan};
use driploop::web::{self, AppState};
use http_body_util::BodyExt;
use image::{ExtendedColorType, ImageEncoder};
use jiff::Timestamp;
use tempfile::TempDir;
use tower::ServiceExt;

/// A shop with one small job in it, and its pages.
pub struct Shop {
    _folder: TempDir,
    pub store: Store,
    app: Router,
    pub job: JobId,
    cookie: String,
}

/// An answer: its status, where it sends one, its page.
#[derive(Debug)]
pub struct Answer {
    pub status: StatusCode,
    pub to: String,
    pub page: String,
}

/// The small job of the store's tests, which has every kind of thing.
pub const SMALL: &str = include_str!("../store/small.json");

const PASSPHRASE: &str = "copper before chrome";

/// A shop that works in meters and square millimeters, asked by a technician.
pub async fn shop() -> Shop {
    Shop::open("metric", Role::Technician).await
}

/// A small green picture.
pub fn picture() -> Vec<u8> {
    let mut png = Vec::new();
    let pixels = [0, 160, 0].repeat(12);
    image::codecs::png::PngEncoder::new(&mut png)
        .write_image(&pixels, 4, 3, ExtendedColorType::Rgb8)
        .unwrap();
    png
}

impl Shop {
    /// A shop with its units, asked by somebody of a role.
    pub async fn open(units: &str, role: Role) -> Self {
        let folder = tempfile::tempdir().unwrap();
        let store = Store::open(folder.path()).await.unwrap();
        let actor = Actor { person: None, name: "Setup".parse().unwrap() };
        let mut write = store.write(&actor, Timestamp::now()).await.unwrap();
        let profile = Profile {
            name: "Otterslip Boat Wiring".parse().unwrap(),
            address: None,
            phone: None,
            time_zone: "America/New_York".parse().unwrap(),
            currency: "USD".parse().unwrap(),
            units: units.parse().unwrap(),
        };
        database::shop::create(&mut write, &profile).await.unwrap();
        let passphrase = Hashed::passphrase(&PASSPHRASE.parse::<Passphrase>().unwrap()).await.unwrap();
        let ana = Newcomer { name: "Ana".parse().unwrap(), role, passphrase, pin: None };
        let ana = people::add(&mut write, &ana).await.unwrap();
        let small = JobFile::read(SMALL.as_bytes()).unwrap();
        let job = file::import(&mut write, &small).await.unwrap();
        if role == Role::Viewer {
            database::grants::set(&mut write, ana, &[job].into()).await.unwrap();
        }
        write.commit().await.unwrap();
        let attempt = Attempt { name: "Ana", passphrase: PASSPHRASE, address: "10.0.0.7", device: "tablet" };
        let (token, _) = sign_in::open(&store, attempt, Timestamp::now()).await.unwrap();
        let app = web::app(AppState::new(store.clone(), false));
        Self { _folder: folder, store, app, job, cookie: format!("sign-in={}", token.reveal()) }
    }

    pub async fn get(&self, path: &str) -> Answer {
        self.ask(Request::get(self.address(path)), Body::empty()).await
    }

    /// Sends a form, as a browser does.
    pub async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let request = Request::post(self.address(path))
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.ask(request, Body::from(serde_urlencoded::to_string(fields).unwrap())).await
    }

    /// Opens a page, changes some fields of its form, and sends it back: what a person does.
    pub async fn change(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let form = self.form(path).await;
        self.send(path, &form, fields).await
    }

    /// The fields of a page's form, as a browser would send them untouched.
    pub async fn form(&self, path: &str) -> Vec<(String, String)> {
        let answer = self.get(path).await;
        assert_eq!(answer.status, StatusCode::OK, "{path}: {}", answer.page);
        answer.fields()
    }

    /// Sends a form with some of its fields changed.
    pub async fn send(&self, path: &str, form: &[(String, String)], fields: &[(&str, &str)]) -> Answer {
        let mut sent: Vec<(&str, &str)> = form
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .filter(|(name, _)| fields.iter().all(|(changed, _)| changed != name))
            .collect();
        sent.extend(fields);
        self.post(path, &sent).await
    }

    /// Sends a multipart form with one field.
    pub async fn upload(&self, name: &str, content: &[u8]) -> Answer {
        let mut body = format!(
            "--edge\r\ncontent-disposition: form-data; name=\"{name}\"; filename=\"job.json\"\r\n\r\n"
        )
        .into_bytes();
        body.extend_from_slice(content);
        body.extend_from_slice(b"\r\n--edge--\r\n");
        let request = Request::post("/jobs/from-file")
            .header(header::CONTENT_TYPE, "multipart/form-data; boundary=edge");
        self.ask(request, Body::from(body)).await
    }

    /// Sends a multipart form with plain fields and, where there is one, a photo.
    pub async fn upload_to(&self, path: &str, fields: &[(&str, &str)], photo: Option<&[u8]>) -> Answer {
        let mut body = Vec::new();
        for (name, value) in fields {
            let part =
                format!("--edge\r\ncontent-disposition: form-data; name=\"{name}\"\r\n\r\n{value}\r\n");
            body.extend_from_slice(part.as_bytes());
        }
        if let Some(photo) = photo {
            let head = "--edge\r\ncontent-disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\n";
            body.extend_from_slice(head.as_bytes());
            body.extend_from_slice(photo);
            body.extend_from_slice(b"\r\n");
        }
        body.extend_from_slice(b"--edge--\r\n");
        let request = Request::post(path).header(header::CONTENT_TYPE, "multipart/form-data; boundary=edge");
        self.ask(request, Body::from(body)).await
    }

    /// A file's media type and how many bytes it has.
    pub async fn file(&self, path: &str) -> (String, usize) {
        let (status, kind, body) = self.bytes(path).await;
        assert_eq!(status, StatusCode::OK, "{path}");
        (kind, body.len())
    }

    /// A file: its status, its media type and what is in it.
    pub async fn bytes(&self, path: &str) -> (StatusCode, String, Vec<u8>) {
        let request =
            Request::get(path).header(header::HOST, "boats.test").header(header::COOKIE, &self.cookie);
        let response = self.app.clone().oneshot(request.body(Body::empty()).unwrap()).await.unwrap();
        let status = response.status();
        let kind = response.headers()[header::CONTENT_TYPE].to_str().unwrap().to_owned();
        (status, kind, response.into_body().collect().await.unwrap().to_bytes().to_vec())
    }

    /// What is stored of the job.
    pub async fn plan(&self) -> Plan {
        plan::load(&mut self.store.read().await.unwrap(), self.job).await.unwrap()
    }

    pub async fn job_count(&self) -> i64 {
        jobs::count(&mut self.store.read().await.unwrap()).await.unwrap()
    }

    /// An address within the job's plan; one that begins at the top is left as it is.
    fn address(&self, path: &str) -> String {
        if path.starts_with('/') { path.to_owned() } else { format!("/jobs/{}/plan/{path}", self.job) }
    }

    async fn ask(&self, request: axum::http::request::Builder, body: Body) -> Answer {
        let request = request
            .header(header::HOST, "boats.test")
            .header("sec-fetch-site", "same-origin")
            .header(header::COOKIE, &self.cookie);
        let response = self.app.clone().oneshot(request.body(body).unwrap()).await.unwrap();
        let status = response.status();
        let to = response.headers().get(header::LOCATION).map_or("", |to| to.to_str().unwrap()).to_owned();
        let bytes = response.into_body().collect().await.unwrap().to_bytes();
        Answer { status, to, page: String::from_utf8(bytes.to_vec()).unwrap() }
    }
}

impl Answer {
    pub fn says(&self, text: &str) -> bool {
        self.page.contains(text)
    }

    /// Asserts that a save went through and led to a row of a list.
    pub fn saved(&self, row: &str) {
        assert_eq!(self.status, StatusCode::SEE_OTHER, "{}", self.page);
        assert!(self.to.ends_with(row), "{} is not {row}", self.to);
    }

    /// Asserts that a save was refused with this text beside this field.
    pub fn refused(&self, field: &str, text: &str) {
        assert_eq!(self.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", self.page);
        let marker = format!("id=\"{field}-error\"");
        let at = self.page.find(&marker).unwrap_or_else(|| panic!("no error beside {field}: {}", self.page));
        let beside = &self.page[at..self.page[at..].find("</p>").unwrap() + at];
        assert!(beside.contains(text), "beside {field}: {beside}");
    }

    /// The fields of the page's largest form, read from its tags.
    pub fn fields(&self) -> Vec<(String, String)> {
        Self::fields_of(self.forms().max_by_key(|form| form.len()).unwrap())
    }

    /// The fields of the form that has this field.
    pub fn form_with(&self, field: &str) -> Vec<(String, String)> {
        let field = format!("name=\"{field}\"");
        Self::fields_of(self.forms().find(|form| form.contains(&field)).unwrap())
    }

    fn forms(&self) -> impl Iterator<Item = &str> {
        self.page.split("<form ").skip(1).map(|form| form.split("</form>").next().unwrap())
    }

    fn fields_of(form: &str) -> Vec<(String, String)> {
        let inputs = form.split("<input ").skip(1).filter_map(|tag| input(tag.split('>').next().unwrap()));
        let selects =
            form.split("<select ").skip(1).map(|rest| select(rest.split("</select>").next().unwrap()));
        inputs.chain(selects).collect()
    }

    /// What one field of the page's form holds.
    pub fn field(&self, name: &str) -> String {
        self.fields().into_iter().find(|(known, _)| known == name).unwrap_or_else(|| panic!("no {name}")).1
    }
}

fn input(tag: &str) -> Option<(String, String)> {
    let unticked = tag.contains("type=\"checkbox\"") && !tag.contains(" checked");
    (!unticked).then(|| (attribute(tag, "name"), attribute(tag, "value")))
}

fn select(select: &str) -> (String, String) {
    let name = attribute(select.split('>').next().unwrap(), "name");
    let options = || select.split("<option ").skip(1).map(|option| option.split('>').next().unwrap());
    let chosen = options().find(|option| option.ends_with(" selected")).or_else(|| options().next());
    (name, attribute(chosen.unwrap(), "value"))
}

fn attribute(tag: &str, name: &str) -> String {
    let start = format!("{name}=\"");
    let Some(at) = tag.find(&start) else { return String::new() };
    let value = tag[at + start.len()..].split('"').next().unwrap();
    value
        .replace("&#38;", "&")
        .replace("&#60;", "<")
        .replace("&#62;", ">")
        .replace("&#39;", "'")
        .replace("&#34;", "\"")
}
