//! A thing that came off the boat: its form, and fitting it again.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};

use super::edit::{Edit, Thing};
use super::next_id::next;
use crate::job::plan::{Device, Fate, Removal};
use crate::job::subject::Kind;
use crate::job::value::RemovalId;
use crate::store::{JobId, devices, removals};
use crate::web::form::{Form, word};
use crate::web::job::Opened;
use crate::web::length::LengthUnit;
use crate::web::page::{Sheet, Tab};
use crate::web::viewer::Viewer;
use crate::web::{AppState, Error};

/// The form of a removal.
#[derive(Template)]
#[template(path = "plan/removal.html")]
pub struct Page {
    sheet: Sheet,
    form: Form,
    edit: Edit,
}

impl Thing for Removal {
    type Page = Page;

    const KIND: Kind = Kind::Removal;
    const TAB: Tab = Tab::Removals;
    const LIST: &'static str = "removals";

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("old", 2, job.plan.removals.iter().map(|removal| &removal.id))));
    }

    fn fill(&self, form: &mut Form, _: &Opened, _: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("name", Some(&self.name));
        form.put("place", self.place.as_ref());
        form.put("fate", word(self.fate));
        form.put("tested", self.tested.and_then(word));
        form.put("notes", self.notes.as_ref());
        form.put("worth_new", self.worth_new);
        form.put("device", self.device.as_ref());
    }

    fn read(form: &mut Form, _: LengthUnit) -> Option<Self> {
        let id = form.required("id");
        let name = form.required("name");
        let place = form.choice("place");
        let fate = form.required_choice("fate");
        let tested = form.choice("tested");
        let notes = form.optional("notes");
        let worth_new = form.optional("worth_new");
        let device = form.choice("device");
        form.sound()?;
        Some(Self { id: id?, name: name?, place, fate: fate?, tested, notes, worth_new, device })
    }

    fn page(sheet: Sheet, form: Form, edit: Edit) -> Page {
        Page { sheet, form, edit }
    }
}

/// Makes a kept thing a device of the plan, at the place it came off, in one tap.
///
/// # Errors
/// [`Error::BadRequest`] where it is not known where it goes, [`Error::Conflict`] where it is fitted already
/// or not to be kept.
pub async fn fit(
    viewer: Viewer,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, RemovalId)>,
    form: Form,
) -> Result<Response, Error> {
    let version = form.version()?;
    let opened = Opened::load(&app, job).await?;
    let mut write = app.store().write(&viewer.actor(), app.now()).await?;
    let removal = removals::get(&mut write, job, &id).await?.value;
    if removal.device.is_some() || removal.fate != Fate::Keep {
        return Err(Error::Conflict(
            "Only what is kept, and is not fitted yet, can be fitted again.".to_owned(),
        ));
    }
    let Some(place) = removal.place.clone() else {
        return Err(Error::BadRequest(
            "place: missing; say where it came off first, then fit it again.".to_owned(),
        ));
    };
    let number = next("dev", 2, opened.plan.devices.iter().map(|device| &device.id));
    let number = number.parse().map_err(Error::internal)?;
    let device = Device { kept: true, ..Device::new(number, removal.name.clone(), place) };
    devices::insert(&mut write, job, &device).await?;
    removals::update(&mut write, job, &Removal { device: Some(device.id.clone()), ..removal }, version)
        .await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("/jobs/{job}/plan/devices/{}", device.id)).into_response())
}
