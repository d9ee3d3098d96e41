//! The rule computations against published tables, worked examples and their own laws.
//!
//! `tests/reference/` holds copies of tables; the first line of each names its source and says which
//! of its figures were read and which come from memory.

// The lint's exception for tests covers test functions only, not the helpers they share.
#![allow(clippy::unwrap_used)]

mod ampacity;
mod conductor;
mod drop;
mod handbook_sizes;
mod opening;
mod protection;
mod screw;
mod sizing;
mod terminal;

use csv::StringRecord;
use driploop::trade::conductor::{Size, System};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential, Length, ThermodynamicTemperature};
use uom::si::length::foot;
use uom::si::thermodynamic_temperature::degree_celsius;

/// The rows of a reference table, each a function from column name to text.
fn rows(table: &'static str) -> Vec<Row> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.as_bytes());
    let header = reader.headers().unwrap().clone();
    reader.records().map(|record| Row { header: header.clone(), record: record.unwrap() }).collect()
}

struct Row {
    header: StringRecord,
    record: StringRecord,
}

impl Row {
    fn text(&self, column: &str) -> &str {
        let at = self.header.iter().position(|name| name == column);
        self.record.get(at.unwrap_or_else(|| panic!("no column {column}"))).unwrap()
    }

    fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap_or_else(|_| panic!("{column}: {}", self.text(column)))
    }

    fn gauge(&self) -> Option<Size> {
        gauge(self.text("awg"))
    }

    fn metric(&self) -> Option<Size> {
        format!("{} mm2", self.text("mm2")).parse().ok()
    }
}

/// The size of a gauge written as the tables write it: `14`, `00`.
fn gauge(name: &str) -> Option<Size> {
    let name = match name {
        "0" => "1/0",
        "00" => "2/0",
        "000" => "3/0",
        "0000" => "4/0",
        name => name,
    };
    format!("{name} AWG").parse().ok()
}

fn size(text: &str) -> Size {
    text.parse().unwrap()
}

fn amperes(value: f64) -> ElectricCurrent {
    ElectricCurrent::new::<ampere>(value)
}

fn celsius(value: f64) -> ThermodynamicTemperature {
    ThermodynamicTemperature::new::<degree_celsius>(value)
}

fn volts(value: f64) -> ElectricPotential {
    ElectricPotential::new::<volt>(value)
}

fn feet(value: f64) -> Length {
    Length::new::<foot>(value)
}

fn both_systems() -> [System; 2] {
    [System::Awg, System::Metric]
}

#[track_caller]
fn close(value: f64, expected: f64, relative: f64) {
    assert!(
        (value - expected).abs() <= relative * expected.abs(),
        "{value} is not {expected} within {relative}"
    );
}
