//! What a form shows of the plan, as it comes back with the form.

use super::Error;
use super::form::Form;
use super::opened::Opened;
use crate::job::event::Seen;
use crate::job::step::StepKey;
use crate::job::work::seen;

/// What the sender of a form about a step was shown. If the form does not say, it is what the plan says now.
///
/// # Errors
/// The text is not what this program writes into its forms.
pub fn read(form: &Form, job: &Opened, step: &StepKey) -> Result<Seen, Error> {
    match form.typed("seen") {
        "" => Ok(seen::today(job, step)),
        text => serde_json::from_str(text).map_err(|_| {
            Error::BadRequest(
                "The form did not say what it showed. Reload the page and try again.".to_owned(),
            )
        }),
    }
}
