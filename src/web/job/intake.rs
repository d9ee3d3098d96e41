//! Intake: a boat comes in, and what was written down then may be put right later.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

use crate::job::plan::{Boat, Customer, CutAllowances, Head};
use crate::job::value::LengthM;
use crate::store::jobs::{self, Intake};
use crate::store::{self, JobId, Stale, Versioned};
use crate::trade::rules::RuleSet;
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
    unit: LengthUnit,
    currency: String,
}

impl Page {
    fn rule_sets(&self) -> [(&'static str, &'static str); 2] {
        [("us", RuleSet::Us.words()), ("iso", RuleSet::Iso.words())]
    }

    fn hulls(&self) -> [(&'static str, &'static str); 5] {
        [
            ("", "Not known yet"),
            ("pointed", "Pointed bow, square stern"),
            ("square", "Square bow"),
            ("twin", "Two hulls and a deck"),
            ("double-ended", "Pointed at both ends"),
        ]
    }

    fn fuels(&self) -> [(&'static str, &'static str); 4] {
        [
            ("", "Not known yet"),
            ("gasoline", "Gasoline (gasoline)"),
            ("diesel", "Diesel"),
            ("electric", "Electric"),
        ]
    }

    fn engines(&self) -> [(&'static str, &'static str); 4] {
        [("", "Not known yet"), ("outboard", "Outboard"), ("inboard", "Inboard"), ("none", "No engine")]
    }
}

/// The empty form, with what most boats have filled in.
pub async fn blank(frame: Frame) -> Result<Html<String>, Error> {
    let mut form = Form::filled([("job.nominal_v", "12"), ("job.ambient_c", "30")]);
    form.put("job.received_on", Some(frame.today()));
    form.put("job.rules", word(frame.usual_rules()));
    html(&Page::new_job(frame, form))
}

/// Takes the boat in.
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

/// The form with what was written down.
pub async fn edit(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let mut read = app.store().read().await?;
    let held = jobs::get(&mut read, job).await?;
    let form = filled(&held, frame.length_unit());
    html(&Page::old_job(frame, &Opened::load(&app, job).await?, form))
}

/// Puts right what was written down.
pub async fn save(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let version = form.version()?;
    if let Some(intake) = read(&mut form, frame.length_unit()) {
        let mut write = app.store().write(&user.actor(), app.now()).await?;
        match jobs::update(&mut write, job, &intake, version).await {
            Ok(_) => {
                write.commit().await?;
                return Ok(Redirect::to(&format!("/jobs/{job}")).into_response());
            }
            Err(store::Error::Stale(stale)) => beside(&mut form, &stale, frame.length_unit())?,
            Err(error) => form.refuse_saving(error)?,
        }
    }
    refused(&Page::old_job(frame, &Opened::load(&app, job).await?, form))
}

impl Page {
    fn new_job(frame: Frame, form: Form) -> Self {
        let unit = frame.length_unit();
        let currency = frame.currency().to_owned();
        Self {
            title_block: frame.title_block("Intake").help("start#your-first-job"),
            form,
            action: "/jobs".to_owned(),
            unit,
            currency,
        }
    }

    fn old_job(frame: Frame, job: &Opened, form: Form) -> Self {
        let unit = frame.length_unit();
        let currency = frame.currency().to_owned();
        let block = job.block(&frame, Tab::Overview);
        let action = format!("{}/intake", job.href());
        Self {
            title_block: frame.job_title_block("Intake", block, Tab::Overview),
            form,
            action,
            unit,
            currency,
        }
    }
}

fn refused(page: &Page) -> Result<Response, Error> {
    Ok((StatusCode::UNPROCESSABLE_ENTITY, html(page)?).into_response())
}

/// Sets what somebody else saved meanwhile beside what was typed.
fn beside(form: &mut Form, stale: &Stale, unit: LengthUnit) -> Result<(), Error> {
    let value = serde_json::from_value(stale.theirs.clone()).map_err(Error::internal)?;
    form.refuse_stale(&filled(&Versioned { value, version: stale.version }, unit));
    Ok(())
}

/// Reads the whole form; `None` where any field was refused.
fn read(form: &mut Form, unit: LengthUnit) -> Option<Intake> {
    let job = head(form, unit);
    let boat = boat(form, unit);
    let customer = customer(form);
    form.sound()?;
    Some(Intake { job: job?, boat: boat?, customer })
}

fn head(form: &mut Form, unit: LengthUnit) -> Option<Head> {
    let name = form.required("job.name");
    let rules = form.required_choice("job.rules");
    let nominal_v = form.required("job.nominal_v");
    let ambient_c = form.required("job.ambient_c");
    let contact_mohm = form.optional("job.contact_mohm");
    let allowances = CutAllowances {
        rise_m: form.length("job.allowances.rise_m", unit),
        service_loop_m: form.length("job.allowances.service_loop_m", unit),
        drip_loop_m: form.length("job.allowances.drip_loop_m", unit),
        waste_pct: form.optional("job.allowances.waste_pct"),
    };
    let wishes = form.optional("job.wishes");
    let budget = form.optional("job.budget");
    let received_on = form.optional("job.received_on");
    let promised_on = form.optional("job.promised_on");
    if let (Some(received), Some(promised)) = (received_on, promised_on)
        && promised < received
    {
        form.refuse("job.promised_on", "This is before the day the boat came in.");
    }
    Some(Head {
        name: name?,
        rules: rules?,
        nominal_v: nominal_v?,
        ambient_c: ambient_c?,
        contact_mohm,
        allowances,
        wishes,
        budget,
        received_on,
        promised_on,
    })
}

fn boat(form: &mut Form, unit: LengthUnit) -> Option<Boat> {
    let name = form.required("boat.name");
    let length_m = form.required_length("boat.length_m", unit);
    let beam_m = form.length("boat.beam_m", unit);
    let hull = form.choice("boat.hull");
    let fuel = form.choice("boat.fuel");
    let engine = form.choice("boat.engine");
    let sails = form.flag("boat.sails");
    let top_speed_kn = form.optional("boat.top_speed_kn");
    Some(Boat { name: name?, length_m: length_m?, beam_m, hull, fuel, engine, sails, top_speed_kn })
}

/// The customer, where one is named; a contact alone belongs to nobody.
fn customer(form: &mut Form) -> Option<Customer> {
    let name = form.optional("customer.name");
    let contact = form.optional("customer.contact");
    if name.is_none() && contact.is_some() && form.error("customer.name").is_none() {
        form.refuse("customer.name", "Required where a contact is given.");
    }
    Some(Customer { name: name?, contact })
}

/// The form filled with what is stored.
fn filled(held: &Versioned<Intake>, unit: LengthUnit) -> Form {
    let Intake { job, boat, customer } = &held.value;
    let mut form = Form::filled([("version", held.version)]);
    form.put("job.name", Some(&job.name));
    form.put("job.rules", word(job.rules));
    form.put("job.nominal_v", Some(job.nominal_v));
    form.put("job.ambient_c", Some(job.ambient_c));
    form.put("job.contact_mohm", job.contact_mohm);
    let length = |length: Option<LengthM>| length.map(|length| unit.text(length.number()));
    form.put("job.allowances.rise_m", length(job.allowances.rise_m));
    form.put("job.allowances.service_loop_m", length(job.allowances.service_loop_m));
    form.put("job.allowances.drip_loop_m", length(job.allowances.drip_loop_m));
    form.put("job.allowances.waste_pct", job.allowances.waste_pct);
    form.put("job.wishes", job.wishes.as_ref());
    form.put("job.budget", job.budget);
    form.put("job.received_on", job.received_on);
    form.put("job.promised_on", job.promised_on);
    form.put("boat.name", Some(&boat.name));
    form.put("boat.length_m", Some(unit.text(boat.length_m.number())));
    form.put("boat.beam_m", boat.beam_m.map(|beam| unit.text(beam.number())));
    form.put("boat.hull", boat.hull.and_then(word));
    form.put("boat.fuel", boat.fuel.and_then(word));
    form.put("boat.engine", boat.engine.and_then(word));
    form.put("boat.sails", boat.sails.then_some("yes"));
    form.put("boat.top_speed_kn", boat.top_speed_kn);
    form.put("customer.name", customer.as_ref().map(|customer| &customer.name));
    form.put("customer.contact", customer.as_ref().and_then(|customer| customer.contact.as_ref()));
    form
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
            let mut intake = read(&mut typed(&more), LengthUnit::Meter).unwrap();
            let held = Versioned { value: intake.clone(), version: Version::first() };
            let back = read(&mut filled(&held, unit), unit).unwrap();
            // Feet are shown to a hundredth, so a length may come back a few millimeters off.
            assert!((back.boat.length_m.number() - intake.boat.length_m.number()).abs() < 0.005);
            (intake.boat.length_m, intake.boat.beam_m) = (back.boat.length_m, back.boat.beam_m);
            assert_eq!(back, intake);
        }
    }

    #[test]
    fn what_does_not_fit_together_is_refused() {
        let days = [("job.received_on", "2026-05-04"), ("job.promised_on", "2026-05-01")];
        assert_eq!(refusal("job.promised_on", &days), "This is before the day the boat came in.");
        assert_eq!(
            refusal("customer.name", &[("customer.contact", "slip 14")]),
            "Required where a contact is given."
        );
        assert_eq!(refusal("job.nominal_v", &[("job.nominal_v", "")]), "Required.");
    }
}
