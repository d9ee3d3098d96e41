//! A thing that came off the boat: its form, and fitting it again.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};

use super::edit::{Edit, Thing};
use super::next_id::{beyond, next};
use crate::job::plan::{Device, Fate, RemovedEquipment};
use crate::job::subject::SubjectKind;
use crate::job::value::RemovedId;
use crate::store::{ChangeSet, JobId, Versioned, item};
use crate::web::kit::{AppState, Error};
use crate::web::kit::form::{Form, word};
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock};
use crate::web::kit::user::CurrentUser;

/// The form of a piece of removed equipment.
#[derive(Template)]
#[template(path = "plan/removed.html")]
pub struct Page {
    title_block: TitleBlock,
    form: Form,
    edit: Edit,
}

impl Thing for RemovedEquipment {
    type Page = Page;

    const TAB: Tab = Tab::Removed;

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("old", 2, job.plan.removed.iter().map(|removed| &removed.id))));
    }

    fn fill(&self, form: &mut Form, _: &Opened, _: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("name", Some(&self.name));
        form.put("location", self.location.as_ref());
        form.put("fate", word(self.fate));
        form.put("tested", self.tested.and_then(word));
        form.put("notes", self.notes.as_ref());
        form.put("worth_new", self.worth_new);
        form.put("device", self.device.as_ref());
    }

    fn read(form: &mut Form, _: LengthUnit) -> Option<Self> {
        let id = form.required("id");
        let name = form.required("name");
        let location = form.choice("location");
        let fate = form.required_choice("fate");
        let tested = form.choice("tested");
        let notes = form.optional("notes");
        let worth_new = form.optional("worth_new");
        let device = form.choice("device");
        form.sound()?;
        Some(Self { id: id?, name: name?, location, fate: fate?, tested, notes, worth_new, device })
    }

    fn page(title_block: TitleBlock, form: Form, edit: Edit) -> Page {
        Page { title_block, form, edit }
    }
}

/// Makes a kept thing a device of the plan, at the location it came off, in one tap.
///
/// # Errors
/// [`Error::BadRequest`] where it is not known where it goes, [`Error::Conflict`] where it is fitted already
/// or not to be kept.
pub async fn fit(
    user: CurrentUser,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, RemovedId)>,
    form: Form,
) -> Result<Response, Error> {
    let version = form.version()?;
    let opened = Opened::load(&app, job).await?;
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let Versioned { value: removed, .. } = item::get::<RemovedEquipment>(&mut write, job, &id).await?;
    if removed.device.is_some() || removed.fate != Fate::Keep {
        return Err(Error::Conflict(
            "Only what is kept, and is not fitted yet, can be fitted again.".to_owned(),
        ));
    }
    let Some(location) = removed.location.clone() else {
        return Err(Error::BadRequest(
            "location: missing; say where it came off first, then fit it again.".to_owned(),
        ));
    };
    let number = next("dev", 2, opened.plan.devices.iter().map(|device| &device.id));
    let gone = item::removed_ids(&mut write, job, Kind::Device).await?;
    let number = beyond(&number, &gone).parse().map_err(Error::internal)?;
    let device = Device { kept: true, ..Device::new(number, removed.name.clone(), location) };
    let mut change = ChangeSet::begin(&mut write, job).await?;
    change.save(&device, None)?;
    change.save(&RemovedEquipment { device: Some(device.id.clone()), ..removed }, Some(version))?;
    change.commit().await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("/jobs/{job}/plan/devices/{}", device.id)).into_response())
}
