//! A piece of removed equipment: its form, and the button to fit it again.

use axum::extract::{Path, State};
use axum::response::{IntoResponse, Redirect, Response};

use super::edit::{Edit, Thing};
use super::inputs::id;
use super::next_id::{beyond, next};
use crate::job::plan::{Device, Fate, RemovedEquipment, Tested};
use crate::job::subject::SubjectKind;
use crate::job::value::{DeviceId, LocationId, Money, Name, Prose, RemovedId};
use crate::store::{ChangeSet, JobId, Versioned, item};
use crate::web::kit::form::Form;
use crate::web::kit::form::declared::{Declared, FieldGroup, Input};
use crate::web::kit::opened::Opened;
use crate::web::kit::page::Tab;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

impl Thing for RemovedEquipment {
    const TAB: Tab = Tab::Removed;

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("old", 2, job.plan.removed.iter().map(|removed| &removed.id))));
    }

    fn declared() -> Declared<Edit> {
        Declared::new().group(
            FieldGroup::new("Removed equipment").inputs([
                id::<RemovedId>(),
                Input::text::<Name>("name", "What it is").required().hint("Such as: Bilge pump, 1100 gal/h"),
                Input::select::<LocationId>("location", "Removed from", |edit| {
                    edit.locations_or_none("Not recorded")
                }),
                Input::select::<Fate>("fate", "What to do with it", Edit::fates).required().usual("unsure"),
                Input::select::<Tested>("tested", "Tested", Edit::tests),
                Input::number_in::<Money>("worth_new", "Price new", |edit| edit.currency.clone()),
                Input::select::<DeviceId>("device", "Fitted again as", Edit::devices),
                Input::area::<Prose>("notes", "What was found")
                    .hint("Corrosion, what the bench test showed, what is missing"),
            ]),
        )
    }
}

/// Makes a kept piece a device of the plan, at the location it was removed from, in one tap.
///
/// # Errors
/// [`Error::BadRequest`]: its location is not known. [`Error::Conflict`]: it is fitted already, or it is not
/// kept.
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
            "Only equipment that is kept and not fitted yet can be fitted again.".to_owned(),
        ));
    }
    let Some(location) = removed.location.clone() else {
        return Err(Error::BadRequest(
            "location: missing. Enter the location it was removed from, then fit it again.".to_owned(),
        ));
    };
    let number = next("dev", 2, opened.plan.devices.iter().map(|device| &device.id));
    let gone = item::removed_ids(&mut write, job, SubjectKind::Device).await?;
    let number = beyond(&number, &gone).parse().map_err(Error::internal)?;
    let device = Device { kept: true, ..Device::new(number, removed.name.clone(), location) };
    let mut change = ChangeSet::begin(&mut write, job).await?;
    change.save(&device, None)?;
    change.save(&RemovedEquipment { device: Some(device.id.clone()), ..removed }, Some(version))?;
    change.commit().await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("/jobs/{job}/plan/devices/{}", device.id)).into_response())
}
