//! The stops along a circuit as figures, each of which opens on its working.

use crate::drawing::voltage_path::{Stop, StopKind};
use crate::trade::quantity::Quantity;
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::working::{Working, figure};
use crate::web::kit::figure::Figure;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opens::Cell;

/// A stop as figures.
#[derive(Debug)]
pub struct StopRow {
    /// Its number on the path and its name.
    pub name: String,
    /// The conductor from the stop before, in the shop's unit.
    pub conductor: Option<Cell>,
    /// The drop from the stop before. The voltage that the device itself uses is not a drop.
    pub lost: Option<Cell>,
    /// The volts at the stop.
    pub left: Cell,
}

/// The stops with the piece before each, and the working of the volts at the first stop.
pub fn rows(
    stops: &[Stop],
    pieces: &[Option<PathPiece>],
    posts: Option<Working>,
    unit: LengthUnit,
) -> Vec<StopRow> {
    let first = stops.iter().take(1).map(|stop| StopRow::new(1, stop, Vec::new(), None, posts.clone(), unit));
    let pairs = stops.iter().zip(stops.iter().skip(1)).zip(pieces.iter().skip(1));
    let others = pairs.zip(2..).map(|(((before, stop), piece), number)| {
        let lost = before.volts - stop.volts;
        let working = piece.as_ref().map(|piece| lost_on(piece, lost));
        let of_device = stop.kind == StopKind::DeviceReturn;
        let lost = (!of_device).then_some((lost, working));
        let length = piece.as_ref().map(|piece| piece.length.clone());
        StopRow::new(number, stop, length.unwrap_or_default(), lost, Some(left_of(before, stop)), unit)
    });
    first.chain(others).collect()
}

impl StopRow {
    fn new(
        number: usize,
        stop: &Stop,
        length: Vec<Working>,
        lost: Option<(f64, Option<Working>)>,
        left: Option<Working>,
        unit: LengthUnit,
    ) -> Self {
        // Two stops may have the same name, such as the two posts of the battery.
        let of = format!("{number} {}", stop.name);
        let volts = |volts: f64| Figure::new(figure(volts), "V");
        Self {
            name: of.clone(),
            conductor: (stop.meters > 0.0)
                .then(|| Cell::by(&of, "conductor", Figure::length(stop.meters, unit), length)),
            lost: lost.map(|(lost, working)| Cell::by(&of, "drop", volts(lost), working)),
            left: Cell::by(&of, "left", volts(stop.volts), left),
        }
    }
}

/// The working of the volts at the posts of a source: its rest voltage, the volts there, and its current in A.
pub fn posts(at_rest: f64, volts: f64, amperes: f64) -> Working {
    let inside = ohms(at_rest - volts, amperes, "internal");
    Working {
        what: Quantity::PostVolts,
        formula: "voltage at rest - current x internal resistance, all circuits on",
        numbers: format!("{} V - {inside}", figure(at_rest)).into(),
        result: format!("{} V", figure(volts)).into(),
        source: &CIRCUIT_LAWS,
    }
}

fn lost_on(piece: &PathPiece, lost: f64) -> Working {
    Working {
        what: Quantity::LostOnPart,
        formula: "current x resistance with contacts and fuse, all circuits on",
        numbers: ohms(lost, piece.amperes, &piece.called).into(),
        result: format!("{} V", figure(lost)).into(),
        source: &CIRCUIT_LAWS,
    }
}

/// Without current there is no drop, whatever the resistance.
fn ohms(lost: f64, amperes: f64, of: &str) -> String {
    if amperes == 0.0 {
        return format!("0 A x its resistance ({of})");
    }
    format!("{} A x {} ohm ({of})", figure(amperes), figure(lost / amperes))
}

fn left_of(before: &Stop, stop: &Stop) -> Working {
    let formula = match stop.kind {
        StopKind::DeviceReturn => "voltage before the device - voltage between its terminals",
        _ => "voltage before it - its drop",
    };
    Working {
        what: Quantity::VoltsLeft,
        formula,
        numbers: format!("{} V - {} V", figure(before.volts), figure(before.volts - stop.volts)).into(),
        result: format!("{} V", figure(stop.volts)).into(),
        source: &CIRCUIT_LAWS,
    }
}

/// The piece before a stop, with the current through it in A.
#[derive(Debug, Clone)]
pub struct PathPiece {
    /// The label of a conductor, or the kind of protection.
    pub called: String,
    /// The current through it in amperes.
    pub amperes: f64,
    /// The working of its length, for a conductor.
    pub length: Vec<Working>,
}
