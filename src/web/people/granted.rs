//! The boats that a viewer sees: granted by the manager on the person's page.

use std::collections::BTreeSet;

use axum::extract::{Path, State};
use axum::response::Redirect;

use crate::shop::access::Scope;
use crate::shop::job_state::JobState;
use crate::store::people::Person;
use crate::store::{JobId, PersonId, grants, jobs, people};
use crate::web::kit::form::Form;
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

/// How many jobs of each state the list offers.
const MOST: u32 = 1000;

/// A job in the list of grants.
pub struct Offered {
    /// Its key.
    pub id: JobId,
    /// Boat and job.
    pub name: String,
    /// Its state, if it is not open.
    pub state: Option<&'static str>,
    /// Whether it is granted.
    pub granted: bool,
}

/// Every job with what is granted to a person, for a viewer only; the other roles see every job.
pub(super) async fn offered(app: &AppState, person: &Person) -> Result<Option<Vec<Offered>>, Error> {
    if !person.role.sees_granted_only() {
        return Ok(None);
    }
    let mut read = app.store().read().await?;
    let granted = grants::of_person(&mut read, person.id).await?;
    let mut offered = Vec::new();
    for state in JobState::ALL {
        for job in jobs::list(&mut read, state, &Scope::All, MOST).await? {
            offered.push(Offered {
                id: job.id,
                name: format!("{}, {}", job.boat, job.name),
                state: state.refusal().map(|_| state.text()),
                granted: granted.contains(&job.id),
            });
        }
    }
    Ok(Some(offered))
}

/// Grants a person exactly the chosen jobs.
pub async fn save(
    user: CurrentUser,
    State(app): State<AppState>,
    Path(person): Path<PersonId>,
    form: Form,
) -> Result<Redirect, Error> {
    let chosen = form.every("job").map(str::parse).collect::<Result<BTreeSet<JobId>, _>>();
    let chosen = chosen.map_err(|_| Error::BadRequest("A job is named by its number.".to_owned()))?;
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let of = people::get(&mut write, person).await?.value;
    if !of.role.sees_granted_only() {
        return Err(Error::Conflict(format!(
            "{} is a {} and sees every boat. Only a viewer needs grants.",
            of.name, of.role
        )));
    }
    grants::set(&mut write, person, &chosen).await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("/people/{person}")))
}
