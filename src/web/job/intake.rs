//! A new boat with its job, and changes to that data.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

use super::intake_form::{self, IntakeShop};
use crate::store::jobs::{self, Intake};
use crate::store::{self, JobId, Versioned};
use crate::web::kit::form::declared::ShownForm;
use crate::web::kit::form::{Form, word};
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

#[derive(Template)]
#[template(path = "job/intake.html")]
struct Page {
    title_block: TitleBlock,
    form: Form,
    action: String,
    fields: ShownForm,
}

/// The empty form, with the values of most boats.
pub async fn blank(frame: Frame) -> Result<Html<String>, Error> {
    let mut form = Form::filled([("job.nominal_v", "12"), ("job.ambient_c", "30")]);
    form.put("job.received_on", Some(frame.today()));
    form.put("job.rules", word(frame.usual_rules()));
    html(&Page::new_job(frame, form))
}

/// Adds the boat with its job.
pub async fn create(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    mut form: Form,
) -> Result<Response, Error> {
    let Some(intake) = read(&mut form, frame.length_unit()) else {
        return refused(&Page::new_job(frame, form));
    };
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let job = jobs::create(&mut write, &intake).await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("/jobs/{job}")).into_response())
}

/// The form with the stored data.
pub async fn edit(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let mut read = app.store().read().await?;
    let held = jobs::get(&mut read, job).await?;
    let form = filled(&held, frame.length_unit())?;
    html(&Page::old_job(frame, &Opened::load(&app, job).await?, form))
}

/// Saves changes.
pub async fn save(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let version = form.version()?;
    let held = jobs::get(&mut *app.store().read().await?, job).await?;
    form.keep_lengths(&filled(&held, frame.length_unit())?);
    if let Some(intake) = read(&mut form, frame.length_unit()) {
        let mut write = app.store().write(&user.actor(), app.now()).await?;
        match jobs::update(&mut write, job, &intake, version).await {
            Ok(_) => {
                write.commit().await?;
                return Ok(Redirect::to(&format!("/jobs/{job}")).into_response());
            }
            Err(store::Error::Stale(stale)) => {
                form.refuse_held(*stale, |theirs| filled(theirs, frame.length_unit()))?;
            }
            Err(error) => form.refuse_saving(error)?,
        }
    }
    refused(&Page::old_job(frame, &Opened::load(&app, job).await?, form))
}

impl Page {
    fn new_job(frame: Frame, form: Form) -> Self {
        let shop = IntakeShop::of(&frame, true);
        Self::new(frame.title_block("New boat"), form, "/jobs".to_owned(), &shop)
    }

    fn old_job(frame: Frame, job: &Opened, form: Form) -> Self {
        let (shop, block) = (IntakeShop::of(&frame, false), job.block(&frame, Tab::Overview));
        let action = format!("{}/intake", job.href());
        Self::new(frame.job_title_block("Boat and job", block, Tab::Overview), form, action, &shop)
    }

    fn new(title_block: TitleBlock, mut form: Form, action: String, shop: &IntakeShop) -> Self {
        let declared = intake_form::declared();
        form.label_errors(|name| declared.label_of(name));
        let fields = declared.shown(&form, shop);
        Self { title_block, form, action, fields }
    }
}

fn refused(page: &Page) -> Result<Response, Error> {
    Ok((StatusCode::UNPROCESSABLE_ENTITY, html(page)?).into_response())
}

/// Reads the whole form; `None` if any field has an error.
fn read(form: &mut Form, unit: LengthUnit) -> Option<Intake> {
    let intake: Option<Intake> = intake_form::declared().take(form, unit);
    let days = |intake: &Intake| intake.job.received_on.zip(intake.job.promised_on);
    if let Some((received, promised)) = intake.as_ref().and_then(days)
        && promised < received
    {
        form.refuse("job.promised_on", "This is before the day the boat was received.");
    }
    form.sound().and(intake)
}

/// The form filled with the stored data.
fn filled(held: &Versioned<Intake>, unit: LengthUnit) -> Result<Form, Error> {
    let mut form = Form::filled([("version", held.version)]);
    let stored = serde_json::to_value(&held.value).map_err(Error::internal)?;
    intake_form::declared().fill(&stored, &mut form, unit);
    Ok(form)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::Version;

    fn typed(more: &[(&'static str, &'static str)]) -> Form {
        let mut form = Form::filled([
            ("job.name", "Rewire"),
            ("job.rules", "us"),
            ("job.nominal_v", "12"),
            ("job.ambient_c", "30"),
            ("boat.name", "Skua"),
            ("boat.length_m", "7.1"),
        ]);
        for (name, value) in more {
            form.put(name, Some(*value));
        }
        form
    }

    fn refusal(field: &str, more: &[(&'static str, &'static str)]) -> String {
        let mut form = typed(more);
        assert!(read(&mut form, LengthUnit::Meter).is_none());
        assert_eq!(form.errors().len(), 1, "{:?}", form.errors());
        form.error(field).unwrap_or_default().to_owned()
    }

    #[test]
    fn the_least_that_is_needed_is_enough() {
        let intake = read(&mut typed(&[]), LengthUnit::Meter).unwrap();
        assert_eq!((intake.boat.name.as_str(), intake.boat.fuel, intake.customer), ("Skua", None, None));
    }

    #[test]
    fn a_form_filled_from_what_is_stored_reads_back_the_same() {
        let more = [
            ("boat.fuel", "gasoline"),
            ("boat.beam_m", "2.45"),
            ("boat.sails", "yes"),
            ("customer.name", "R. Vane"),
        ];
        for unit in [LengthUnit::Meter, LengthUnit::Foot] {
            let intake = read(&mut typed(&more), LengthUnit::Meter).unwrap();
            let held = Versioned { value: intake.clone(), version: Version::first() };
            let back = read(&mut filled(&held, unit).unwrap(), unit).unwrap();
            assert_eq!(back, intake);
        }
    }

    #[test]
    fn what_does_not_fit_together_is_refused() {
        let days = [("job.received_on", "2026-05-04"), ("job.promised_on", "2026-05-01")];
        assert_eq!(refusal("job.promised_on", &days), "This is before the day the boat was received.");
        assert_eq!(
            refusal("customer.name", &[("customer.contact", "slip 14")]),
            "This is needed where a contact is given."
        );
        assert_eq!(refusal("job.nominal_v", &[("job.nominal_v", "")]), "Required.");
    }
}
