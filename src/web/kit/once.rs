//! Events that are sent twice or late: the id in a form, and when its event happened.

use jiff::{SignedDuration, Timestamp};
use uuid::Uuid;

use super::Error;
use super::form::Form;
use super::opened::Opened;

/// The id that a form was made with.
///
/// # Errors
/// There is none: the form does not come from this program.
pub fn event(form: &Form, field: &str) -> Result<Uuid, Error> {
    id(form.typed(field))
}

/// The longest time that a tablet may keep an event before it sends it.
const KEPT_AT_MOST: SignedDuration = SignedDuration::from_hours(24 * 30);
/// An event that waited less than this counts as sent at once.
const AT_ONCE: SignedDuration = SignedDuration::from_secs(2);

/// When an event happened: now, or earlier by the time that it waited on the tablet.
///
/// The tablet sends how long the event waited, not the time of day, because its clock may be wrong. The event
/// then keeps its position among the events of others.
pub fn when(form: &Form, job: &Opened, now: Timestamp) -> Timestamp {
    let waited = waited(form);
    if (AT_ONCE..=KEPT_AT_MOST).contains(&waited) {
        now.saturating_sub(waited).unwrap_or(now)
    } else {
        job.moment(now)
    }
}

/// Whether an event waited on the tablet before it was sent.
///
/// It happened where nobody could refuse it, so it is stored even if it is on hold. The status of the work says that
/// it does not count, and why.
pub fn was_kept(form: &Form) -> bool {
    waited(form) >= AT_ONCE
}

fn waited(form: &Form) -> SignedDuration {
    form.typed("waited_ms").parse().map_or(SignedDuration::ZERO, SignedDuration::from_millis)
}

/// An id as a form writes it.
///
/// # Errors
/// The text is not an id.
pub fn id(text: &str) -> Result<Uuid, Error> {
    text.parse().map_err(|_| {
        Error::BadRequest("The form did not say which event it is. Reload the page and try again.".to_owned())
    })
}
