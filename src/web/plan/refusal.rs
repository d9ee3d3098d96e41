//! Shows the errors of the store in the form.

use crate::job::fault::PlanFault;
use crate::job::plan::item;
use crate::store;
use crate::trade::say::capital;
use crate::web::kit::Error;
use crate::web::kit::form::Form;
use crate::web::kit::opened::Opened;

/// Shows an error of the store beside its field. An error of another thing of the plan is shown with its name.
/// `input_at` gives the input that shows an error at a path of the job file.
///
/// # Errors
/// The store's error, if no field of the form can correct it.
pub fn put(
    form: &mut Form,
    error: store::Error,
    job: &Opened,
    input_at: fn(&str) -> Option<String>,
) -> Result<(), Error> {
    match error {
        store::Error::Faults(faults) => faults.iter().for_each(|fault| put_one(form, fault, job, input_at)),
        store::Error::InUse { .. } => form.refuse("", sentence(&error.to_string())),
        other => return Err(other.into()),
    }
    Ok(())
}

fn put_one(form: &mut Form, fault: &PlanFault, job: &Opened, input_at: fn(&str) -> Option<String>) {
    match elsewhere(&fault.path, job) {
        Some(location) => form.refuse("", format!("{location}: {}", sentence(&fault.text))),
        None => {
            let input = input_at(&fault.path).unwrap_or_else(|| fault.path.clone());
            form.refuse(&input, sentence(&fault.text));
        }
    }
}

fn sentence(text: &str) -> String {
    format!("{}.", capital(text))
}

/// Which other thing of the plan a path of the job file belongs to: `circuits[3].from` belongs to C04.
fn elsewhere(path: &str, job: &Opened) -> Option<String> {
    let (subject, field) = item::at_path(&job.plan, path)?;
    Some(format!("{} {}, {}", capital(subject.kind.word()), subject.id, field.replace(['.', '_'], " ")))
}
