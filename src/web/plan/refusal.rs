//! What the store refused, put where the form can show it.

use super::edit::Thing;
use crate::job::fault::Fault;
use crate::job::plan::item;
use crate::store;
use crate::web::Error;
use crate::web::form::{Form, capital};
use crate::web::job::Opened;

/// Puts what the store refused beside its field; what belongs to another thing of the plan is named with it.
///
/// # Errors
/// What the store said, where a form can do nothing about it.
pub fn put<T: Thing>(form: &mut Form, error: store::Error, job: &Opened) -> Result<(), Error> {
    match error {
        store::Error::Faults(faults) => faults.iter().for_each(|fault| put_one::<T>(form, fault, job)),
        store::Error::InUse { .. } => form.refuse("", sentence(&error.to_string())),
        other => return Err(other.into()),
    }
    Ok(())
}

fn put_one<T: Thing>(form: &mut Form, fault: &Fault, job: &Opened) {
    match elsewhere(&fault.path, job) {
        Some(location) => form.refuse("", format!("{location}: {}", sentence(&fault.text))),
        None => form.refuse(T::field_at(&fault.path), sentence(&fault.text)),
    }
}

fn sentence(text: &str) -> String {
    format!("{}.", capital(text))
}

/// Which other thing of the plan a path of the job file leads to: `circuits[3].from` is of circuit C04.
fn elsewhere(path: &str, job: &Opened) -> Option<String> {
    let (subject, field) = item::at_path(&job.plan, path)?;
    Some(format!("{} {}, {}", capital(subject.kind.word()), subject.id, field.replace(['.', '_'], " ")))
}
