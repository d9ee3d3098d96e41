//! The handlers that create, change and remove a thing of the plan, for all kinds.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

use serde_json::Value;

use super::{next_id, refusal};
use crate::job::plan::item::{self as items, Item};
use crate::job::subject::{Subject, SubjectKind};
use crate::shop::profile::Units;
use crate::store::log::{self, Edition};
use crate::store::{self, JobId, Stale, Version, Versioned, item};
use crate::trade::conductor::System;
use crate::trade::say::capital;
use crate::web::kit::form::Form;
use crate::web::kit::form::declared::{Declared, FormContext, ShownForm};
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::FindingPiece;
use crate::web::parts::found;

/// A kind of thing of the plan, as its pages create, change and remove it. Its path below the plan's address is
/// its list in the job file: `locations`.
pub trait Thing: Item {
    /// The page that lists it.
    const TAB: Tab;

    /// Values that the form of a new thing starts with, besides those in the address.
    fn begin(form: &mut Form, job: &Opened);

    /// Its form, with every field once.
    fn declared() -> Declared<Edit>;

    /// Adds rows to the stored value that only the form shows, such as one for every circuit of the job.
    fn offered(&self, _stored: &mut Value, _job: &Opened) {}

    /// Adds what no form decides. `held` is the stored thing, `None` for a new one.
    fn completed(self, _held: Option<&Self>) -> Self {
        self
    }

    /// The kinds to choose from before the form is shown; none if one form fits all.
    fn kinds(_form: &Form) -> Vec<KindChoice> {
        Vec::new()
    }
}

/// What the page of every kind has around its own fields.
pub struct Edit {
    /// The job.
    pub job: Opened,
    /// The unit of lengths.
    pub unit: LengthUnit,
    /// The system of sizes in the shop.
    pub system: System,
    /// The currency of the shop, as its three letters.
    pub currency: String,
    /// The kind of thing.
    pub kind: SubjectKind,
    /// The kind as pages show it: `circuit`.
    pub word: &'static str,
    /// The address the form is sent to.
    pub action: String,
    /// The list to go back to.
    pub back: String,
    /// The id, if it already exists.
    pub old: Option<String>,
    /// Who saved meanwhile, if somebody did.
    pub meanwhile: Option<Meanwhile>,
    /// What still uses it and keeps it from being removed.
    pub users: Vec<UsedBy>,
}

/// The page of a thing of the plan.
#[derive(Template)]
#[template(path = "plan/edit.html")]
pub struct Page {
    title_block: TitleBlock,
    form: Form,
    edit: Edit,
    kinds: Vec<KindChoice>,
    fields: ShownForm,
}

/// A kind to choose before the form of a thing is shown, because the form depends on it.
pub struct KindChoice {
    /// Its key in the address.
    pub word: &'static str,
    /// Its name.
    pub title: &'static str,
    /// Its purpose.
    pub purpose: &'static str,
}

impl Page {
    /// The page of a kind of thing with the typed values in its form.
    pub fn of<T: Thing>(title_block: TitleBlock, mut form: Form, edit: Edit) -> Self {
        let declared = T::declared();
        form.label_errors(|name| declared.label_of(name));
        let fields = declared.shown(&form, &edit);
        Self { title_block, kinds: T::kinds(&form), fields, form, edit }
    }
}

impl FormContext for Edit {
    fn unit(&self) -> LengthUnit {
        self.unit
    }

    fn is_new(&self) -> bool {
        self.old.is_none()
    }
}

/// A save by somebody else between the opening and the saving of this form.
pub struct Meanwhile {
    /// Who saved.
    pub by: String,
    /// How long ago, in plain text.
    pub ago: String,
}

/// A thing that refers to the thing on the page.
pub struct UsedBy {
    /// Its kind and id.
    pub name: String,
    /// Its own page.
    pub href: String,
}

impl Edit {
    fn new<T: Thing>(frame: &Frame, job: Opened, old: Option<&T::Id>) -> Self {
        let plan = format!("{}/plan", job.href());
        let back = format!("{}{}", job.href(), T::TAB.path());
        Self {
            unit: frame.length_unit(),
            system: match frame.units() {
                Units::Us => System::Awg,
                Units::Metric => System::Metric,
            },
            currency: frame.currency().to_owned(),
            kind: T::KIND,
            word: spoken(T::KIND),
            action: match old {
                Some(id) => format!("{plan}/{}/{id}", T::LIST),
                None => format!("{plan}/new/{}", T::KIND.word()),
            },
            back: old.map_or(back.clone(), |id| format!("{back}#{id}")),
            old: old.map(ToString::to_string),
            meanwhile: None,
            users: Vec::new(),
            job,
        }
    }

    /// The findings about the stored thing.
    pub fn findings(&self) -> Vec<FindingPiece> {
        let Some(id) = &self.old else { return Vec::new() };
        let about = found::about(&self.job, self.kind, id);
        about.map(|finding| FindingPiece::new(finding, &self.job.href(), self.job.units)).collect()
    }

    /// The thing in the button that removes it. A removed item is an entry of its list.
    fn word_to_remove(&self) -> &'static str {
        if self.kind == SubjectKind::Removed { "entry" } else { self.word }
    }

    /// The title of the page.
    fn title(&self, form: &Form) -> String {
        match (&self.old, form.typed("name")) {
            (None, _) => format!("New {}", self.word),
            (Some(id), "") => format!("{} {id}", capital(self.word)),
            // Of the things with a name, only a circuit is shown with its id as well.
            (Some(id), name) if self.kind == SubjectKind::Circuit => format!("{id} {name}"),
            (Some(_), name) => name.to_owned(),
        }
    }
}

/// The form of a new thing, filled in with the values in the address.
pub async fn blank<T: Thing>(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let mut form = Form::filled(asked.iter().map(|(name, value)| (name.as_str(), value)));
    T::begin(&mut form, &job);
    let removed = item::removed_ids(&mut *app.store().read().await?, job.id, T::KIND).await?;
    let id = next_id::beyond(form.typed("id"), &removed);
    form.put("id", Some(id));
    html(&page::<T>(frame, job, None, form))
}

/// Adds a thing.
pub async fn create<T: Thing>(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    if settle::<T>(&mut form).is_break() {
        return shown(StatusCode::OK, &page::<T>(frame, job, None, form));
    }
    if let Some(thing) = T::declared().take::<T>(&mut form, frame.length_unit()) {
        let thing = thing.completed(None);
        let mut write = app.store().write(&user.actor(), app.now()).await?;
        match item::save(&mut write, job.id, &thing, None).await {
            Ok(_) => {
                write.commit().await?;
                return Ok(Redirect::to(&after::<T>(&job, thing.id(), &form)).into_response());
            }
            Err(error) => refusal::put(&mut form, error, &job, |path| T::declared().input_at(path))?,
        }
    }
    shown(StatusCode::UNPROCESSABLE_ENTITY, &page::<T>(frame, job, None, form))
}

/// The form of an existing thing.
pub async fn edit<T: Thing>(
    frame: Frame,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, T::Id)>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let form = opened::<T>(&app, &job, &id, frame.length_unit()).await?;
    html(&page::<T>(frame, job, Some(&id), form))
}

/// Changes a thing. If somebody else changed it meanwhile, both versions are shown and nothing is saved yet.
pub async fn save<T: Thing>(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, T::Id)>,
    mut form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let version = form.version()?;
    form.put("id", Some(&id));
    let typed = form.clone();
    if settle::<T>(&mut form).is_break() {
        return shown(StatusCode::OK, &page::<T>(frame, job, Some(&id), form));
    }
    let held = T::list(&job.plan).iter().find(|held| *held.id() == id);
    if let Some(held) = held {
        form.keep_lengths(&stored(&Versioned { value: held.clone(), version }, &job, frame.length_unit())?);
    }
    let whole = held.map(serde_json::to_value).transpose().map_err(Error::internal)?.unwrap_or_default();
    if let Some(thing) = T::declared().take_over::<T>(&whole, &mut form, frame.length_unit()) {
        let thing = thing.completed(held);
        let mut write = app.store().write(&user.actor(), app.now()).await?;
        match item::save(&mut write, job.id, &thing, Some(version)).await {
            Ok(_) => {
                write.commit().await?;
                return Ok(Redirect::to(&after::<T>(&job, &id, &form)).into_response());
            }
            Err(store::Error::Stale(stale)) => {
                drop(write);
                return both::<T>(frame, &app, job, &id, typed, &stale, version).await;
            }
            Err(store::Error::Gone(_)) => {
                drop(write);
                return gone::<T>(frame, &app, job, &id, typed).await;
            }
            Err(error) => refusal::put(&mut form, error, &job, |path| T::declared().input_at(path))?,
        }
    }
    shown(StatusCode::UNPROCESSABLE_ENTITY, &page::<T>(frame, job, Some(&id), form))
}

/// Removes a thing that nothing refers to any more.
pub async fn remove<T: Thing>(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, T::Id)>,
    form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let users = match item::remove::<T>(&mut write, job.id, &id, form.version()?).await {
        Ok(()) => {
            write.commit().await?;
            return Ok(Redirect::to(&format!("{}{}", job.href(), T::TAB.path())).into_response());
        }
        Err(store::Error::InUse { by, .. }) => by,
        Err(store::Error::Stale(_)) => Vec::new(),
        Err(error) => return Err(error.into()),
    };
    drop(write);
    let mut form = opened::<T>(&app, &job, &id, frame.length_unit()).await?;
    if users.is_empty() {
        form.refuse("", "Somebody changed this meanwhile. Look at it again before you remove it.");
    }
    let users = users.iter().map(|user| UsedBy::of(user, &job)).collect();
    let mut edit = Edit::new::<T>(&frame, job, Some(&id));
    edit.users = users;
    shown(StatusCode::CONFLICT, &around::<T>(frame, edit, form))
}

/// The form with both versions.
async fn both<T: Thing>(
    frame: Frame,
    app: &AppState,
    job: Opened,
    id: &T::Id,
    mut typed: Form,
    stale: &Stale,
    version: Version,
) -> Result<Response, Error> {
    let mut read = app.store().read().await?;
    let form_of = |value: T| stored(&Versioned { value, version: stale.version }, &job, frame.length_unit());
    let theirs = form_of(serde_json::from_value(stale.theirs.clone()).map_err(Error::internal)?)?;
    let before = item::in_version::<T>(&mut read, job.id, id, version).await?.map(form_of).transpose()?;
    typed.beside(&theirs, before.as_ref());
    let saved = log::made(&mut read, job.id, stale.version.number()).await?;
    let mut edit = Edit::new::<T>(&frame, job, Some(id));
    edit.meanwhile = Some(Meanwhile::of(saved.as_ref(), &frame));
    shown(StatusCode::CONFLICT, &around::<T>(frame, edit, typed))
}

/// The form as typed, for a thing that somebody removed meanwhile.
async fn gone<T: Thing>(
    frame: Frame,
    app: &AppState,
    job: Opened,
    id: &T::Id,
    mut typed: Form,
) -> Result<Response, Error> {
    let mut read = app.store().read().await?;
    let removal = item::last_change(&mut read, job.id, &Subject::new(T::KIND, id)).await?;
    let made = match removal {
        Some(no) => log::made(&mut read, job.id, no.number()).await?,
        None => None,
    };
    let Meanwhile { by, ago } = Meanwhile::of(made.as_ref(), &frame);
    let text = format!(
        "{by} removed this {ago}. Nothing you typed is saved yet. Undo the removal in the log, then save again."
    );
    typed.refuse("", text);
    shown(StatusCode::CONFLICT, &page::<T>(frame, job, Some(id), typed))
}

impl Meanwhile {
    fn of(change: Option<&Edition>, frame: &Frame) -> Self {
        match change {
            Some(change) => Self { by: change.by.clone(), ago: frame.ago(change.at) },
            None => Self { by: "Somebody else".to_owned(), ago: "meanwhile".to_owned() },
        }
    }
}

/// Orders the rows of the form's lists; stops if the user only wanted more rows.
fn settle<T: Thing>(form: &mut Form) -> std::ops::ControlFlow<()> {
    T::declared().settle(form);
    if form.flag("more") { std::ops::ControlFlow::Break(()) } else { std::ops::ControlFlow::Continue(()) }
}

/// The form of a thing as it is stored now.
async fn opened<T: Thing>(app: &AppState, job: &Opened, id: &T::Id, unit: LengthUnit) -> Result<Form, Error> {
    stored::<T>(&item::get(&mut *app.store().read().await?, job.id, id).await?, job, unit)
}

/// The form filled with the stored values.
fn stored<T: Thing>(held: &Versioned<T>, job: &Opened, unit: LengthUnit) -> Result<Form, Error> {
    let mut form = Form::filled([("version", held.version)]);
    let mut value = serde_json::to_value(&held.value).map_err(Error::internal)?;
    held.value.offered(&mut value, job);
    T::declared().fill(&value, &mut form, unit);
    Ok(form)
}

/// A kind of thing as pages show it.
fn spoken(kind: SubjectKind) -> &'static str {
    match kind {
        SubjectKind::Point => "distribution point",
        SubjectKind::Removed => "removed item",
        other => other.word(),
    }
}

fn page<T: Thing>(frame: Frame, job: Opened, old: Option<&T::Id>, form: Form) -> Page {
    let edit = Edit::new::<T>(&frame, job, old);
    around::<T>(frame, edit, form)
}

fn around<T: Thing>(frame: Frame, edit: Edit, form: Form) -> Page {
    let block = edit.job.block(&frame, T::TAB);
    let title_block = frame.job_title_block(edit.title(&form), block, T::TAB);
    Page::of::<T>(title_block, form, edit)
}

fn shown(status: StatusCode, page: &impl Template) -> Result<Response, Error> {
    Ok((status, html(page)?).into_response())
}

/// Where to go after a save: to the row in its list, or to the form of another new thing.
fn after<T: Thing>(job: &Opened, id: &T::Id, form: &Form) -> String {
    match form.typed("then") {
        "another" => format!("{}/plan/new/{}", job.href(), T::KIND.word()),
        _ => format!("{}{}#{id}", job.href(), T::TAB.path()),
    }
}

impl UsedBy {
    fn of(user: &Subject, job: &Opened) -> Self {
        let name = format!("{} {}", user.kind.word(), user.id);
        let list = items::list_of(user.kind.word());
        let href = format!("{}/plan/{list}/{}", job.href(), user.id);
        Self { name, href }
    }
}
