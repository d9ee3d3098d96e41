//! Forms that declare each of their fields once.
//!
//! A [`Declared`] form lists its groups and inputs in the order of the page. An [`Input`] has the path of its value
//! in the job file, a label, and the type of its value. That one list fills the form with stored values, reads it
//! back with all errors at once, and shows it.
//!
//! ```
//! use driploop::job::value::{LengthM, Name};
//! use driploop::web::kit::form::Form;
//! use driploop::web::kit::form::declared::{Declared, FieldGroup, Input};
//! use driploop::web::kit::length::LengthUnit;
//!
//! let declared = Declared::<()>::new().group(FieldGroup::new("Location").inputs([
//!     Input::text::<Name>("name", "Name").required(),
//!     Input::length::<LengthM>("rise_m", "Rise of the wires"),
//! ]));
//! let mut form = Form::default();
//! declared.fill(&serde_json::json!({"name": "Helm", "rise_m": 0.9144}), &mut form, LengthUnit::Foot);
//! assert_eq!((form.typed("name"), form.typed("rise_m")), ("Helm", "3 ft"));
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
