//! The state of charge over the use pattern.

use uom::si::f64::{ElectricCharge, ElectricCurrent, ElectricPotential, Ratio, Time};

/// One moment of the course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Time since the start.
    pub at: Time,
    /// State of charge.
    pub charge: Ratio,
    /// Mean current out of the bank over the step that ends here; negative when charging.
    pub current: ElectricCurrent,
    /// Voltage at the posts while the bank supplies the most current, where it can be calculated.
    pub volts: Option<ElectricPotential>,
    /// Charge out and in since the start.
    pub so_far: Balance,
}

/// A stretch of the course spent in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct ModeBand {
    /// The mode.
    pub mode: String,
    /// When it begins.
    pub from: Time,
    /// When it ends.
    pub to: Time,
}

/// A recovery to full charge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recovery {
    /// Time of the lowest state of charge.
    pub at: Time,
    /// The lowest state of charge.
    pub from: Ratio,
    /// The time from there to full.
    pub takes: Time,
}

/// Charge out and in over the whole course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// The loads' consumption if all of it is supplied.
    pub asked: ElectricCharge,
    /// Charge from the sources directly to the loads.
    pub direct: ElectricCharge,
    /// Charge from the bank.
    pub drawn: ElectricCharge,
    /// The same charge, Peukert-corrected.
    pub weighed: ElectricCharge,
    /// Charge from the sources to the bank, before losses.
    pub accepted: ElectricCharge,
    /// Charge that the loads did not get because the bank was empty.
    pub unserved: ElectricCharge,
}

/// The state of charge over the use pattern.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Every step, the start first.
    pub samples: Vec<Sample>,
    /// The modes it passed through.
    pub bands: Vec<ModeBand>,
    /// The minimum state of charge.
    pub floor: Ratio,
    /// The moment of the lowest state of charge.
    pub lowest: Sample,
    /// Time when the state of charge first falls below the minimum.
    pub floor_at: Option<Time>,
    /// Time when the voltage first falls below the low voltage.
    pub low_voltage_at: Option<Time>,
    /// The longest recovery to full charge.
    pub recovery: Option<Recovery>,
    /// Charge out and in.
    pub balance: Balance,
    /// Charge of the full bank, as used in the calculation.
    pub full: ElectricCharge,
    /// Peukert's exponent.
    pub exponent: f64,
    /// Share of the charging current that is stored.
    pub efficiency: Ratio,
}

impl Course {
    /// State of charge at the end.
    pub fn end(&self) -> Ratio {
        self.samples.last().map_or(self.lowest.charge, |sample| sample.charge)
    }
}
