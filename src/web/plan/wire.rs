//! The drawing of a circuit's or a feeder's wire in lists.

use uom::si::area::square_millimeter;

use crate::drawing::wire::DrawnWire;
use crate::job::color;
use crate::job::plan::{Circuit, Feeder, Plan};
use crate::trade::conductor::Size;

/// A circuit's positive wire with its id on both sleeves; `size` as given or as chosen.
pub fn of_circuit(plan: &Plan, circuit: &Circuit, size: Option<Size>) -> DrawnWire {
    piece(color::out(plan, circuit), size, circuit.id.as_str())
}

/// A feeder's wire with its id on both sleeves; `size` as given or as chosen.
pub fn of_feeder(feeder: &Feeder, size: Option<Size>) -> DrawnWire {
    piece(color::of_feeder(feeder), size, feeder.id.as_str())
}

fn piece(color: &str, size: Option<Size>, label: &str) -> DrawnWire {
    let wire = DrawnWire::new(color, size.map_or("size open", Size::text), [label, label]);
    match size {
        Some(size) => wire.area_mm2(size.area().get::<square_millimeter>()),
        None => wire,
    }
}
