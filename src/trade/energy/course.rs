//! The state of charge through a pattern.

use uom::si::f64::{ElectricCharge, ElectricCurrent, ElectricPotential, Ratio, Time};

/// One moment of the course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Time since the start.
    pub at: Time,
    /// State of charge.
    pub charge: Ratio,
    /// Mean current out of the bank over the step that ends here; below zero into it.
    pub current: ElectricCurrent,
    /// Voltage at the posts while the bank gives most current, where it can be told.
    pub volts: Option<ElectricPotential>,
    /// What went out and in since the start.
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

/// A way back up to full.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recovery {
    /// When the bank was lowest.
    pub at: Time,
    /// How low.
    pub from: Ratio,
    /// How long it took from there to full.
    pub takes: Time,
}

/// What went out and in over the whole course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// What the loads asked for.
    pub asked: ElectricCharge,
    /// What the sources gave straight to the loads.
    pub direct: ElectricCharge,
    /// What the bank gave.
    pub drawn: ElectricCharge,
    /// The same as it weighs on the bank by Peukert's relation.
    pub weighed: ElectricCharge,
    /// What the sources gave to the bank, before losses.
    pub accepted: ElectricCharge,
    /// What the loads did not get because the bank was empty.
    pub unserved: ElectricCharge,
}

/// The state of charge through the pattern.
#[derive(Debug, Clone, PartialEq)]
pub struct Course {
    /// Every step, the start first.
    pub samples: Vec<Sample>,
    /// The modes it passed through.
    pub bands: Vec<ModeBand>,
    /// The state of charge it should not fall under.
    pub floor: Ratio,
    /// The lowest moment.
    pub lowest: Sample,
    /// When it first fell under the floor.
    pub floor_at: Option<Time>,
    /// When it first fell under the low voltage.
    pub low_voltage_at: Option<Time>,
    /// The longest way back to full.
    pub recovery: Option<Recovery>,
    /// What went out and in.
    pub balance: Balance,
    /// Charge of the full bank, as it is counted with.
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
