//! A circuit's or a feeder's wire as the drawn piece that stands for it on lists.

use uom::si::area::square_millimeter;

use crate::drawing::wire::Wire;
use crate::job::plan::{Circuit, Feeder, Polarity};
use crate::trade::conductor::Size;

/// The colour a positive wire has where nobody chose one; common practice.
const POSITIVE: &str = "red";
/// The colour of a return; common practice.
const NEGATIVE: &str = "black";

/// A circuit's positive wire, its id on both sleeves; `size` as given or as chosen.
pub fn of_circuit(circuit: &Circuit, size: Option<Size>) -> Wire {
    let colour = circuit.colour.as_ref().map_or(POSITIVE, |colour| colour.as_str());
    piece(colour, size, circuit.id.as_str())
}

/// A feeder's wire, its id on both sleeves; `size` as given or as chosen.
pub fn of_feeder(feeder: &Feeder, size: Option<Size>) -> Wire {
    let colour = match feeder.polarity {
        Polarity::Positive => POSITIVE,
        Polarity::Negative => NEGATIVE,
    };
    piece(colour, size, feeder.id.as_str())
}

fn piece(colour: &str, size: Option<Size>, label: &str) -> Wire {
    let wire = Wire::new(colour, size.map_or("size open", Size::text), [label, label]);
    match size {
        Some(size) => wire.area_mm2(size.area().get::<square_millimeter>()),
        None => wire,
    }
}
