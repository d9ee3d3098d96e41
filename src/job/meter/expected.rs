//! The expected meter readings, and how they were calculated.

use serde::Serialize;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricPotential, Ratio};
use uom::si::ratio::ratio;

use crate::job::conductor::ConductorId;
use crate::job::load::Load;
use crate::job::value::DeviceId;
use crate::trade::quantity::Quantity;
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::working::{Working, figure};

/// The expected meter readings with one circuit on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExpectedReading {
    /// The device to measure at.
    pub device: DeviceId,
    /// Voltage at the circuit's source, under load.
    pub source_v: f64,
    /// Voltage at the device, under load.
    pub load_v: f64,
    /// The drop between them.
    pub drop_v: f64,
    /// The maximum drop.
    pub most_drop_v: f64,
    /// The circuit's current.
    pub current_a: f64,
    /// The rating of its fuse or breaker.
    pub fuse_a: Option<f64>,
    /// Resistance of the return, measured without power, from the device to the point it lands on.
    pub return_ohm: Option<f64>,
    /// How these were calculated.
    pub workings: Vec<Working>,
}

pub(super) fn at_source(source_v: f64, current_a: f64) -> Working {
    Working {
        what: Quantity::VoltsExpectedAtSource,
        formula: "the network solved with this circuit alone on, from the batteries at rest",
        numbers: format!("{} A drawn", figure(current_a)).into(),
        result: format!("{} V", figure(source_v)).into(),
        source: &CIRCUIT_LAWS,
    }
}

/// The current of each load at the voltage that reaches it.
pub(super) fn drawn(loads: &[(&DeviceId, Load, ElectricPotential)], current_a: f64) -> Working {
    let terms = loads.iter().map(|(id, load, volts)| {
        let volts = figure(volts.get::<volt>());
        match load {
            Load::ConstantCurrent(amperes) => format!("{amperes} A ({id})"),
            Load::ConstantPower(watts) => format!("{watts} W / {volts} V ({id})"),
            Load::Resistance(ohms) => format!("{volts} V / {ohms} ohm ({id})"),
        }
    });
    Working {
        what: Quantity::CurrentExpected,
        formula: "sum of what its loads draw at the volts that reach them: I, P / V or V / R",
        numbers: terms.collect::<Vec<_>>().join(" + ").into(),
        result: format!("{} A", figure(current_a)).into(),
        source: &CIRCUIT_LAWS,
    }
}

/// Without current there is no drop.
pub(super) fn at_load(source_v: f64, load_v: f64, current_a: f64) -> Option<Working> {
    (current_a > 0.0).then(|| Working {
        what: Quantity::VoltsExpectedAtLoad,
        formula: "volts at the source less current x resistance of fuse and wire, out and back",
        numbers: format!(
            "{} V - {} A x {} ohm",
            figure(source_v),
            figure(current_a),
            figure((source_v - load_v) / current_a)
        )
        .into(),
        result: format!("{} V, a drop of {} V", figure(load_v), figure(source_v - load_v)).into(),
        source: &CIRCUIT_LAWS,
    })
}

pub(super) fn allowed(limit: Ratio, nominal: f64) -> Working {
    Working {
        what: Quantity::DropAllowed,
        formula: "the device's limit x nominal voltage",
        numbers: format!("{} % x {} V", figure(100.0 * limit.get::<ratio>()), figure(nominal)).into(),
        result: format!("{} V", figure(limit.get::<ratio>() * nominal)).into(),
        source: &CIRCUIT_LAWS,
    }
}

/// Whether a working is about voltages, which change with the voltage at the source.
pub(super) fn is_of_volts(working: &Working) -> bool {
    [Quantity::VoltsExpectedAtSource, Quantity::VoltsExpectedAtLoad, Quantity::CurrentExpected]
        .contains(&working.what)
}

pub(super) fn along_return(wires: &[(&ConductorId, f64)]) -> Working {
    let terms: Vec<_> = wires.iter().map(|(id, ohms)| format!("{} ohm ({id})", figure(*ohms))).collect();
    Working {
        what: Quantity::ReturnResistance,
        formula: "sum of its wires with both their ends, at the temperature they lie in",
        numbers: terms.join(" + ").into(),
        result: format!("{} ohm", figure(wires.iter().map(|(_, ohms)| ohms).sum())).into(),
        source: &CIRCUIT_LAWS,
    }
}
