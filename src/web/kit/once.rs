//! Events sent twice: the id that a form carries, and whether what it says is kept already.

use jiff::{SignedDuration, Timestamp};
use uuid::Uuid;

use super::Error;
use super::form::Form;
use super::opened::Opened;

/// The id that a form was made with.
///
/// # Errors
/// When there is none: the form is not one of ours.
pub fn event(form: &Form, field: &str) -> Result<Uuid, Error> {
    id(form.typed(field))
}

/// The longest that a tablet may have kept an event before it is sent.
const KEPT_AT_MOST: SignedDuration = SignedDuration::from_hours(24 * 30);
/// Sent within this it was sent at once.
const AT_ONCE: SignedDuration = SignedDuration::from_secs(2);

/// When an event happened: now, or as long ago as the tablet says that it waited to be sent.
///
/// The tablet tells how long, not when, so that its clock may be wrong. What waited keeps its place among
/// what others did meanwhile.
pub fn when(form: &Form, job: &Opened, now: Timestamp) -> Timestamp {
    let waited = form.typed("waited_ms").parse().map_or(SignedDuration::ZERO, SignedDuration::from_millis);
    if (AT_ONCE..=KEPT_AT_MOST).contains(&waited) {
        now.saturating_sub(waited).unwrap_or(now)
    } else {
        job.moment(now)
    }
}

/// An id as a form writes it.
///
/// # Errors
/// When it is none.
pub fn id(text: &str) -> Result<Uuid, Error> {
    text.parse().map_err(|_| {
        Error::BadRequest("The form did not say which event it is. Reload the page and try again.".to_owned())
    })
}
