//! What the store refused, put where the form can show it.

use crate::job::fault::Fault;
use crate::store;
use crate::web::Error;
use crate::web::form::{Form, capital};
use crate::web::job::Opened;

/// Puts what the store refused beside its field; what belongs to another thing of the plan is named with it.
/// `input_at` says which input shows what is wrong at a path of the job file.
///
/// # Errors
/// What the store said, where a form can do nothing about it.
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

fn put_one(form: &mut Form, fault: &Fault, job: &Opened, input_at: fn(&str) -> Option<String>) {
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

/// Which other thing of the plan a path of the job file leads to: `circuits[3].from` is of circuit C04.
fn elsewhere(path: &str, job: &Opened) -> Option<String> {
    let plan = &job.plan;
    let (list, rest) = path.split_once('[')?;
    let (index, field) = rest.split_once("].")?;
    let index: usize = index.parse().ok()?;
    let id = match list {
        "locations" => plan.locations.get(index)?.id.to_string(),
        "raceways" => plan.raceways.get(index)?.id.to_string(),
        "boards" => plan.boards.get(index)?.id.to_string(),
        "points" => plan.points.get(index)?.id.to_string(),
        "feeders" => plan.feeders.get(index)?.id.to_string(),
        "circuits" => plan.circuits.get(index)?.id.to_string(),
        "modes" => plan.modes.get(index)?.id.to_string(),
        "devices" => plan.devices.get(index)?.id.to_string(),
        _ => return None,
    };
    Some(format!("{} {id}, {}", capital(list.trim_end_matches('s')), field.replace(['.', '_'], " ")))
}
