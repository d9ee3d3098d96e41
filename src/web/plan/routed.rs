//! What the forms of circuits and feeders both have: a route set by hand, and the usual insulation.

use crate::job::value::RacewayId;
use crate::web::kit::form::Form;
use crate::web::kit::form::rows::cell;

/// The list of the raceways in the form, in order from the source.
pub const ROUTE: &str = "route";

/// Puts a route set by hand into a form.
pub fn fill_route(route: &[RacewayId], form: &mut Form) {
    for (row, raceway) in route.iter().enumerate() {
        form.put(&cell(ROUTE, row, ""), Some(raceway));
    }
}

/// The raceways of a route set by hand, in the order of their rows.
pub fn route(form: &mut Form) -> Vec<RacewayId> {
    let count = form.settle(ROUTE, &[""]);
    (0..count).filter_map(|row| form.choice(&cell(ROUTE, row, ""))).collect()
}

/// What the insulation of boat cable usually stands; common practice.
pub const USUAL_INSULATION_C: f64 = 105.0;
