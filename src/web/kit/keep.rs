//! Stores what a person did, if the work allows it at the moment when it is stored.

use super::opened::Opened;
use super::user::CurrentUser;
use super::{AppState, Error};
use crate::job::event::Tick;
use crate::job::record::Record;
use crate::job::work::Work;
use crate::store::record;
use crate::store::work::{self, Added};

/// How often an act is decided again because somebody else changed the job meanwhile.
const TRIES: usize = 3;

/// Stores a record and the tick that it makes by itself. Returns whether the work allowed it; a record that was sent
/// before is not stored again.
///
/// # Errors
///
/// [`Error::Conflict`] if the job changed again and again meanwhile.
pub async fn allowed<R: Record>(
    app: &AppState,
    user: &CurrentUser,
    job: &Opened,
    (record, tick): (&R, Option<&Tick>),
    allows: impl Fn(&Work<'_>) -> bool,
) -> Result<bool, Error> {
    let mut newer: Option<Opened> = None;
    for _ in 0..TRIES {
        let basis = newer.as_ref().unwrap_or(job).basis();
        let mut write = app.store().write(&user.actor(), app.now()).await?;
        match work::add(&mut write, job.id, basis, record, &allows).await? {
            Added::New => {
                if let Some(tick) = tick {
                    record::add(&mut write, job.id, tick).await?;
                }
                write.commit().await?;
                return Ok(true);
            }
            Added::Known => return Ok(true),
            Added::Refused => return Ok(false),
            Added::Outdated => drop(write),
        }
        newer = Some(Opened::load(app, job.id).await?);
    }
    Err(Error::Conflict("Others are changing this job. Nothing was stored. Try again.".to_owned()))
}
