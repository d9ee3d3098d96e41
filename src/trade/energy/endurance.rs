//! How long a bank alone supplies the loads of one mode.

use uom::si::f64::Time;
use uom::si::time::hour;

use super::bank::Bank;
use super::follow::{DayPhase, Model};
use super::pattern::DayStretch;
use crate::trade::quantity::Quantity;
use crate::trade::source::PEUKERT;
use crate::trade::working::{Working, figure};

/// The time from full to the minimum state of charge with these loads and without any source; `None` without
/// capacity or chemistry, or without a load.
///
/// ```
/// use driploop::trade::energy::battery::{Chemistry, RatedCapacity};
/// use driploop::trade::energy::{Bank, DayStretch, LoadUse, Starting, endurance};
/// use uom::si::electric_current::ampere;
/// use uom::si::electric_potential::volt;
/// use uom::si::f64::{ElectricCurrent, ElectricPotential, Ratio, ThermodynamicTemperature, Time};
/// use uom::si::ratio::ratio;
/// use uom::si::thermodynamic_temperature::degree_celsius;
/// use uom::si::time::hour;
///
/// let bank = Bank {
///     capacity: Some(RatedCapacity::over_20_hours(100.0)),
///     chemistry: Some(Chemistry::Agm),
///     nominal: ElectricPotential::new::<volt>(12.0),
///     temperature: ThermodynamicTemperature::new::<degree_celsius>(25.0),
///     internal: None,
///     peukert: None,
///     floor: None,
///     low_voltage: None,
///     starting: Starting::NotFromBank,
/// };
/// let light = LoadUse {
///     what: "light".to_owned(),
///     current: ElectricCurrent::new::<ampere>(2.0),
///     share: Ratio::new::<ratio>(1.0),
/// };
/// let night = DayStretch {
///     mode: "night".to_owned(),
///     lasts: Time::new::<hour>(10.0),
///     uses: vec![light],
///     unknown: Vec::new(),
///     charging: ElectricCurrent::new::<ampere>(0.0),
/// };
/// let (time, _) = endurance(&bank, &night).unwrap();
/// assert!((time.get::<hour>() - 25.0).abs() < 1e-9, "50 Ah at 2 A");
/// ```
pub fn endurance(bank: &Bank, stretch: &DayStretch) -> Option<(Time, Working)> {
    let model = Model::new(bank, bank.capacity?, bank.chemistry?);
    let phase = DayPhase::of(stretch);
    let drawn = phase.mean(0.0, |amperes| amperes);
    let weighed = phase.mean(0.0, |amperes| model.weight(amperes));
    let hours = model.full_ah * (1.0 - model.floor) / weighed;
    let working = Working {
        what: Quantity::TimeToMinimum,
        formula: "capacity x (100 % - minimum state of charge) / Peukert-corrected load",
        numbers: format!(
            "{} Ah x (100 % - {} %) / {} A, for {} A drawn on average; rated {} A, k = {}",
            figure(model.full_ah),
            figure(model.floor * 100.0),
            figure(weighed),
            figure(drawn),
            figure(model.rated_a),
            figure(model.exponent)
        )
        .into(),
        result: format!("{} h", figure(hours)).into(),
        source: &PEUKERT,
    };
    hours.is_finite().then(|| (Time::new::<hour>(hours), working))
}
