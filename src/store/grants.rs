//! Grants: which jobs a viewer sees.

use std::collections::BTreeSet;

use sqlx::SqliteConnection;

use super::column::{JobId, PersonId};
use super::error::Result;
use super::log::{self, Change};
use super::people;
use super::pool::Write;
use super::sign_in::SignedIn;
use crate::shop::access::Access;

/// The jobs granted to a person.
pub async fn of_person(conn: &mut SqliteConnection, person: PersonId) -> Result<BTreeSet<JobId>> {
    let jobs = sqlx::query_scalar!(r#"SELECT job AS "job: JobId" FROM job_grant WHERE person = ?"#, person);
    Ok(jobs.fetch_all(conn).await?.into_iter().collect())
}

/// What the user of a signed-in device may see and do.
pub async fn access(conn: &mut SqliteConnection, signed_in: &SignedIn) -> Result<Access<JobId>> {
    let SignedIn { person, proof, .. } = signed_in;
    let granted = of_person(conn, person.id).await?;
    Ok(Access::Person { role: person.role, proof: *proof, granted })
}

/// Grants a person exactly these jobs. The log of each job gets a line for what differs.
///
/// # Errors
///
/// [`Error::NoSuchJob`](super::Error::NoSuchJob) and [`Error::NotFound`](super::Error::NotFound) if there is no
/// such job or person.
pub async fn set(write: &mut Write, person: PersonId, jobs: &BTreeSet<JobId>) -> Result<()> {
    let name = people::get(write, person).await?.value.name;
    let held = of_person(write, person).await?;
    let subject = people::subject(person);
    for job in jobs.difference(&held) {
        sqlx::query!("INSERT INTO job_grant (job, person) VALUES (?, ?)", job, person)
            .execute(&mut **write)
            .await?;
        log::line(write, Some(*job), Change::Granted, &subject, None::<&()>, Some(&name)).await?;
    }
    for job in held.difference(jobs) {
        sqlx::query!("DELETE FROM job_grant WHERE job = ? AND person = ?", job, person)
            .execute(&mut **write)
            .await?;
        log::line(write, Some(*job), Change::GrantEnded, &subject, Some(&name), None::<&()>).await?;
    }
    Ok(())
}
