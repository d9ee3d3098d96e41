//! How the batteries fare through the days, as pages and files show it.

use serde::{Serialize, Serializer};
use uom::si::electric_charge::ampere_hour;
use uom::si::f64::ElectricCharge;
use uom::si::ratio::percent;

use crate::job::value::{CircuitId, PointId};
use crate::trade::energy::{Balance, Sample};
use crate::trade::working::Working;

/// How each bank of the boat fares.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EnergyReport {
    /// How many days the pattern is followed.
    pub days: u8,
    /// Each bank.
    pub banks: Vec<BankReport>,
}

/// A bank and how it fares.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BankReport {
    /// Its batteries.
    pub batteries: Vec<PointId>,
    /// What people call it.
    pub name: String,
    /// The chargers and alternators on its feeders.
    pub chargers: Vec<PointId>,
    /// Capacity of all its batteries at the 20-hour rate.
    pub capacity_ah: Option<f64>,
    /// Charge that a day takes.
    pub daily_ah: f64,
    /// Charge by mode.
    pub modes: Vec<ModeCharge>,
    /// Circuits with a load that is not known, which are counted without it.
    pub not_counted: Vec<CircuitId>,
    /// The course of its state of charge; none without capacity and chemistry.
    pub course: Option<CourseReport>,
}

/// What one mode takes out of a bank, and what may go in.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ModeCharge {
    /// The mode.
    pub mode: String,
    /// Hours of a day.
    pub hours: f64,
    /// What its loads take.
    pub used_ah: f64,
    /// The most that chargers and alternators give meanwhile.
    pub charging_a: f64,
    /// The sum.
    pub working: Working,
}

/// The state of charge through the days.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CourseReport {
    /// The curve: every half hour, and where it is lowest.
    pub curve: Vec<Moment>,
    /// The modes along it.
    pub bands: Vec<BandReport>,
    /// The state of charge it should not fall under, in percent.
    pub floor_pct: f64,
    /// The lowest state of charge, in percent.
    pub lowest_pct: f64,
    /// When it is lowest, in hours from the start.
    pub lowest_at_h: f64,
    /// State of charge at the end.
    pub end_pct: f64,
    /// When it first falls under the floor.
    pub floor_at_h: Option<f64>,
    /// When it first falls under the low voltage.
    pub low_voltage_at_h: Option<f64>,
    /// How long the longest way back to full takes.
    pub back_to_full_h: Option<f64>,
    /// How long it lasts with nothing charging; `None`: more than a week.
    pub alone_h: Option<f64>,
    /// A capacity that would do, where this one does not.
    pub needed_ah: Option<f64>,
    /// Charge of the full bank, as it is counted with.
    pub full_ah: f64,
    /// Peukert's exponent.
    pub peukert: f64,
    /// Share of the charging current that is stored.
    pub efficiency: f64,
    /// How the figures came about.
    pub workings: Vec<Working>,
}

/// A moment of the curve.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Moment {
    /// Hours from the start.
    #[serde(rename = "at_h", serialize_with = "hundredths")]
    pub hours: f64,
    /// State of charge in percent.
    #[serde(serialize_with = "hundredths")]
    pub charge_pct: f64,
    /// Current out of the bank; below nothing into it.
    #[serde(serialize_with = "hundredths")]
    pub current_a: f64,
    /// What went out and in since the moment before; `None`: it is the first.
    #[serde(skip)]
    pub since: Option<Since>,
}

/// What a bank's state of charge went through from one moment of the curve to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Since {
    /// State of charge before, in percent.
    pub before_pct: f64,
    /// Drawn from the bank.
    pub drawn_ah: f64,
    /// The same as it weighs by Peukert.
    pub weighed_ah: f64,
    /// Taken in, of which a share is stored.
    pub charged_ah: f64,
}

impl Since {
    pub(super) fn of(before: &Sample, now: &Sample) -> Self {
        let between = |what: fn(&Balance) -> ElectricCharge| {
            (what(&now.so_far) - what(&before.so_far)).get::<ampere_hour>()
        };
        Self {
            before_pct: before.charge.get::<percent>(),
            drawn_ah: between(|balance| balance.drawn),
            weighed_ah: between(|balance| balance.weighed),
            charged_ah: between(|balance| balance.accepted),
        }
    }
}

/// A stretch of the curve in one mode.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BandReport {
    /// The mode.
    pub mode: String,
    /// Hours from the start.
    pub from_h: f64,
    /// Hours from the start.
    pub to_h: f64,
}

/// A curve is read to two decimals, and written no finer.
fn hundredths<S: Serializer>(value: &f64, serializer: S) -> Result<S::Ok, S::Error> {
    serializer.serialize_f64((value * 100.0).round() / 100.0)
}
