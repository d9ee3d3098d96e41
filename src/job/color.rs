//! The color of each conductor: the chosen color, or else common practice, no source, from memory.
//!
//! Without a chosen color, only the plan itself counts: the side of the supply, and whether a light is a
//! navigation light. Every other fused conductor is an accessory feed, which is orange.

use super::conductor::{Conductor, Of};
use super::finding::Finding;
use super::plan::{Circuit, Feeder, Plan, Polarity};
use super::subject::{Subject, SubjectKind};
use crate::trade::color;

/// The color of a negative if none was chosen.
const NEGATIVE: &str = "black";

/// The color as text, in the terms that wire is sold by: `dark gray`.
pub fn of<'a>(plan: &'a Plan, conductor: &Conductor) -> &'a str {
    match (&conductor.of, conductor.polarity) {
        (Of::Feeder(id), polarity) => plan.feeder(id).map_or(main(polarity), of_feeder),
        (Of::Circuit(id), Polarity::Negative) => plan.circuit(id).map_or(NEGATIVE, back),
        (Of::Circuit(id), Polarity::Positive) => {
            plan.circuit(id).map_or("orange", |circuit| out(plan, circuit))
        }
    }
}

/// The color of a feeder.
pub fn of_feeder(feeder: &Feeder) -> &str {
    feeder.color.as_ref().map_or(main(feeder.polarity), |color| color.as_str())
}

/// The color of a circuit's positive conductors.
pub fn out<'a>(plan: &'a Plan, circuit: &'a Circuit) -> &'a str {
    let lights_the_way = |id| plan.device(id).is_some_and(|device| device.light.is_some());
    match &circuit.color {
        Some(color) => color.as_str(),
        None if circuit.devices().any(lights_the_way) => "dark gray",
        None => "orange",
    }
}

fn back(circuit: &Circuit) -> &str {
    circuit.return_color.as_ref().map_or(NEGATIVE, |color| color.as_str())
}

fn main(polarity: Polarity) -> &'static str {
    match polarity {
        Polarity::Positive => "red",
        Polarity::Negative => NEGATIVE,
    }
}

/// Findings about the chosen colors.
pub fn check(plan: &Plan) -> Vec<Finding> {
    let circuits = plan.circuits.iter().flat_map(|circuit| {
        let said = [color::positive(out(plan, circuit)), color::negative(back(circuit))];
        said.into_iter()
            .flatten()
            .map(|said| Finding::about(Subject::new(SubjectKind::Circuit, &circuit.id), said))
    });
    let feeders = plan.feeders.iter().filter_map(|feeder| {
        let said = match feeder.polarity {
            Polarity::Positive => color::positive(of_feeder(feeder)),
            Polarity::Negative => color::negative(of_feeder(feeder)),
        };
        Some(Finding::about(Subject::new(SubjectKind::Feeder, &feeder.id), said?))
    });
    circuits.chain(feeders).collect()
}
