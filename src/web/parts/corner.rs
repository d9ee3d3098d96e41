//! Reads the position of a part on its board from a form.

use crate::job::board::Corner;
use crate::web::kit::form::Form;

/// Reads the position of a part on its board: both distances or none.
pub fn corner(form: &mut Form, group: &str) -> Option<Corner> {
    let [x, y, turned] = ["x_mm", "y_mm", "turned"].map(|key| format!("{group}.{key}"));
    let (x_mm, y_mm) = (form.optional(&x), form.optional(&y));
    for (given, other) in [(&x, &y), (&y, &x)] {
        if form.flag(given) && !form.flag(other) {
            form.refuse(other, "Required beside the other.");
        }
    }
    Some(Corner { x_mm: x_mm?, y_mm: y_mm?, turned: form.flag(&turned) })
}
