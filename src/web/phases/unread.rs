//! What a tablet kept and nobody can read as figures. It is stored as a note, and proves nothing.

use crate::job::value::Prose;
use crate::web::kit::form::Form;

/// The longest note, in characters.
const LONGEST: usize = 400;

/// What was typed into these fields, as a note; `None` if that is nothing.
pub fn note(form: &Form, fields: &[&str]) -> Option<Prose> {
    let typed = fields.iter().map(|field| (field.replace('_', " "), form.typed(field).trim()));
    let typed: Vec<String> =
        typed.filter(|(_, text)| !text.is_empty()).map(|(field, text)| format!("{field} {text}")).collect();
    if typed.is_empty() {
        return None;
    }
    let text = format!("Kept on a tablet, not readable: {}", typed.join(", "));
    text.chars().take(LONGEST).collect::<String>().parse().ok()
}
