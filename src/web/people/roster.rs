//! The people of the shop: added and changed by the manager.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

use super::granted::{self, Offered};
use crate::job::value::Name;
use crate::shop::role::Role;
use crate::shop::secret::{Passphrase, Pin};
use crate::store::people::{self, Newcomer, Person};
use crate::store::{self, Hashed, PersonId, Version, Versioned, Write};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::page::{Here, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

#[derive(Template)]
#[template(path = "people/list.html")]
struct List {
    title_block: TitleBlock,
    people: Vec<Person>,
}

#[derive(Template)]
#[template(path = "people/person.html")]
struct Page {
    title_block: TitleBlock,
    form: Form,
    action: String,
    is_new: bool,
    /// Whether it is the page of the user.
    is_own: bool,
    /// Every job, for a viewer.
    offered: Option<Vec<Offered>>,
}

/// The values of the form.
struct Typed {
    name: Name,
    role: Role,
    passphrase: Option<Passphrase>,
    pin: Option<Pin>,
    no_pin: bool,
    left: bool,
}

impl List {
    fn may(&self, person: &Person) -> &'static str {
        may(person.role)
    }
}

impl Page {
    fn new(frame: Frame, form: Form) -> Self {
        let title_block = frame.title_block("New person").at(Here::People);
        Self { title_block, form, action: "/people".to_owned(), is_new: true, is_own: false, offered: None }
    }

    async fn old(app: &AppState, frame: Frame, id: PersonId, form: Form) -> Result<Self, Error> {
        let person = people::get(&mut *app.store().read().await?, id).await?.value;
        Ok(Self {
            is_own: frame.user.as_ref().is_some_and(|user| user.person().id == id),
            title_block: frame.title_block("Person").at(Here::People),
            form,
            action: format!("/people/{id}"),
            is_new: false,
            offered: granted::offered(app, &person).await?,
        })
    }

    fn roles(&self) -> Vec<(&'static str, String)> {
        let roles = Role::ALL.into_iter().rev();
        roles.map(|role| (role.word(), format!("{}: {}", role.word(), may(role)))).collect()
    }

    fn refused(&self) -> Result<Response, Error> {
        Ok((StatusCode::UNPROCESSABLE_ENTITY, html(self)?).into_response())
    }
}

/// All people.
pub async fn list(frame: Frame, State(app): State<AppState>) -> Result<Html<String>, Error> {
    let people = people::all(&mut *app.store().read().await?).await?;
    let people = people.into_iter().map(|person| person.value).collect();
    html(&List { title_block: frame.title_block("People").at(Here::People), people })
}

/// The form for a new person.
pub async fn blank(frame: Frame) -> Result<Html<String>, Error> {
    html(&Page::new(frame, Form::filled([("role", Role::Technician.word())])))
}

/// Adds a person.
pub async fn add(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    mut form: Form,
) -> Result<Response, Error> {
    let passphrase: Option<Passphrase> = form.required("passphrase");
    let (Some(typed), Some(passphrase)) = (read(&mut form), passphrase) else {
        return Page::new(frame, form).refused();
    };
    let newcomer = Newcomer {
        name: typed.name,
        role: typed.role,
        passphrase: Hashed::passphrase(&passphrase).await?,
        pin: hashed_pin(typed.pin.as_ref()).await?,
    };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    match people::add(&mut write, &newcomer).await {
        Ok(_) => write.commit().await?,
        Err(error) => {
            form.refuse_saving(error)?;
            return Page::new(frame, form).refused();
        }
    }
    Ok(Redirect::to("/people").into_response())
}

/// The form for an existing person.
pub async fn edit(
    frame: Frame,
    State(app): State<AppState>,
    Path(id): Path<PersonId>,
) -> Result<Html<String>, Error> {
    let held = people::get(&mut *app.store().read().await?, id).await?;
    html(&Page::old(&app, frame, id, filled(&held)).await?)
}

/// Changes a person.
pub async fn save(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(id): Path<PersonId>,
    mut form: Form,
) -> Result<Response, Error> {
    let version = form.version()?;
    if user.person().id == id && !form.typed("passphrase").is_empty() {
        form.refuse("passphrase", "Change your own passphrase on its page. It needs the current one.");
    }
    let Some(typed) = read(&mut form) else {
        return Page::old(&app, frame, id, form).await?.refused();
    };
    let passphrase = match &typed.passphrase {
        Some(passphrase) => Some(Hashed::passphrase(passphrase).await?),
        None => None,
    };
    let pin = hashed_pin(typed.pin.as_ref()).await?;
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    match change(&mut write, id, &typed, passphrase, pin, version).await {
        Ok(()) => write.commit().await?,
        Err(store::Error::Stale(_)) => {
            form.refuse_stale(&filled(&people::get(&mut write, id).await?));
            return Page::old(&app, frame, id, form).await?.refused();
        }
        Err(error) => {
            form.refuse_saving(error)?;
            return Page::old(&app, frame, id, form).await?.refused();
        }
    }
    Ok(Redirect::to("/people").into_response())
}

/// Changes only what differs, so that the log shows exactly what was done.
async fn change(
    write: &mut Write,
    id: PersonId,
    typed: &Typed,
    passphrase: Option<Hashed>,
    pin: Option<Hashed>,
    version: Version,
) -> Result<(), store::Error> {
    let held = people::get(write, id).await?;
    people::update(write, id, &typed.name, typed.role, version).await?;
    if pin.is_some() || (typed.no_pin && held.value.has_pin) {
        people::set_pin(write, id, pin.as_ref()).await?;
    }
    if let Some(passphrase) = passphrase {
        people::set_passphrase(write, id, &passphrase).await?;
    }
    if held.value.enabled == typed.left {
        people::enable(write, id, !typed.left).await?;
    }
    Ok(())
}

async fn hashed_pin(pin: Option<&Pin>) -> Result<Option<Hashed>, Error> {
    match pin {
        Some(pin) => Ok(Some(Hashed::pin(pin).await?)),
        None => Ok(None),
    }
}

fn read(form: &mut Form) -> Option<Typed> {
    let name = form.required("name");
    let role = form.required("role");
    let passphrase = if form.error("passphrase").is_none() { form.optional("passphrase") } else { None };
    let pin = form.optional("pin");
    let no_pin = form.flag("no_pin");
    if no_pin && pin.is_some() {
        form.refuse("pin", "Either a new PIN or none, not both.");
    }
    form.sound()?;
    Some(Typed { name: name?, role: role?, passphrase, pin, no_pin, left: form.flag("left") })
}

fn filled(held: &Versioned<Person>) -> Form {
    let person = &held.value;
    let mut form = Form::filled([("version", held.version.to_string()), ("name", person.name.to_string())]);
    form.put("role", Some(person.role.word()));
    form.put("left", (!person.enabled).then_some("yes"));
    form
}

/// What a role may do, in one line.
fn may(role: Role) -> &'static str {
    match role {
        Role::Manager => "everything, also people, settings, judgments of stop findings and deletion",
        Role::Technician => "all work on every job",
        Role::Apprentice => "ticks and readings on every job",
        Role::Viewer => "sees the granted boats and changes nothing",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_person_is_read_from_the_form() {
        let mut form = Form::filled([("name", "Juno"), ("role", "apprentice"), ("pin", "9136")]);
        let typed = read(&mut form).unwrap();
        assert_eq!((typed.role, typed.pin.is_some(), typed.left), (Role::Apprentice, true, false));
        let mut both =
            Form::filled([("name", "Juno"), ("role", "viewer"), ("pin", "9136"), ("no_pin", "yes")]);
        assert!(read(&mut both).is_none() && both.error("pin").is_some());
        let mut wrong = Form::filled([("name", ""), ("role", "captain"), ("pin", "1111")]);
        assert!(read(&mut wrong).is_none());
        assert_eq!(wrong.errors().len(), 3, "{:?}", wrong.errors());
    }
}
