//! Events sent twice: the id that a form carries, and whether what it says is kept already.

use uuid::Uuid;

use crate::store;
use crate::web::Error;
use crate::web::form::Form;

/// The id that a form was made with.
///
/// # Errors
/// When there is none: the form is not one of ours.
pub fn event(form: &Form, field: &str) -> Result<Uuid, Error> {
    id(form.typed(field))
}

/// Lets an event pass that was kept already, when its form was sent twice.
///
/// # Errors
/// When the id was taken by something else.
pub fn sent_before(same: bool, id: Uuid) -> Result<(), Error> {
    if same { Ok(()) } else { Err(store::Error::EventDiffers(id).into()) }
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
