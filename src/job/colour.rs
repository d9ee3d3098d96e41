//! The colour of a conductor where nobody chose one: common practice, no source, from memory.
//!
//! Only what the plan itself says is used: the side of the supply, and whether a light is a navigation
//! light. Everything else out of a fuse is an accessory feed, which is orange.

use super::plan::{Circuit, Plan, Polarity};
use super::wiring::{Conductor, Of};

/// The colour in words, as wire is sold: `dark grey`.
pub fn of<'a>(plan: &'a Plan, conductor: &Conductor) -> &'a str {
    match (conductor.polarity, &conductor.of) {
        (Polarity::Negative, _) => "black",
        (Polarity::Positive, Of::Feeder(_)) => "red",
        (Polarity::Positive, Of::Circuit(id)) => {
            plan.circuit(id).map_or("orange", |circuit| out(plan, circuit))
        }
    }
}

fn out<'a>(plan: &Plan, circuit: &'a Circuit) -> &'a str {
    let lights_the_way = |id| plan.device(id).is_some_and(|device| device.light.is_some());
    match &circuit.colour {
        Some(colour) => colour.as_str(),
        None if circuit.devices.iter().any(lights_the_way) => "dark grey",
        None => "orange",
    }
}
