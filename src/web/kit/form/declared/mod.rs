//! Forms that declare each of their fields once.
//!
//! A [`Declared`] form lists its groups and inputs in the order of the page. An [`Input`] has the path of its value
//! in the job file, a label, and how it is typed. By that one list the form is filled with what is stored, read back
//! with every wrong field at once, and shown.
//!
//! ```
//! use driploop::job::value::{LengthM, Name};
//! use driploop::web::form::Form;
//! use driploop::web::form::declared::{Declared, FieldGroup, Input};
//! use driploop::web::length::LengthUnit;
//!
//! let declared = Declared::<()>::new().group(FieldGroup::new("Location").inputs([
//!     Input::text::<Name>("name", "Name").required(),
//!     Input::length::<LengthM>("rise_m", "Rise of the wires"),
//! ]));
//! let mut form = Form::default();
//! declared.fill(&serde_json::json!({"name": "Helm", "rise_m": 0.9144}), &mut form, LengthUnit::Foot);
//! assert_eq!((form.typed("name"), form.typed("rise_m")), ("Helm", "3"));
//! form.put("name", Some(""));
//! assert_eq!(declared.read(&mut form, LengthUnit::Foot), None);
//! assert_eq!(form.error("name"), Some("Required."));
//! ```

mod choice;
mod fill;
mod group;
mod input;
mod path;
mod read;
mod rows;
mod show;
#[cfg(test)]
mod tests;
mod whole;

pub use choice::{Choice, listed, or_none};
pub use group::FieldGroup;
pub use input::{Input, TypedText, chosen, parsed};
pub use rows::{FieldRows, RowLayout};
pub use show::{FormContext, ShownForm};
pub use whole::Declared;
