//! What if: a circuit with another size, length, fuse or load, as a form has it.

use crate::job::load::Load;
use crate::job::plan::{Circuit, Device, Plan, Protection};
use crate::job::value::{CurrentA, DeviceId, LoadOhm, PowerW, RatingA};
use crate::trade::conductor::Size;
use crate::trade::protection::Family;
use crate::web::kit::form::Form;
use crate::web::kit::length::LengthUnit;

/// A circuit and its devices with the what-if values.
#[derive(Debug, Clone, PartialEq)]
pub struct Supposed {
    /// The circuit.
    pub circuit: Circuit,
    /// Its devices, including those without a change.
    pub devices: Vec<Device>,
}

/// The field of a device's load.
pub fn load_field(device: &DeviceId) -> String {
    format!("load.{device}")
}

/// A form filled with the circuit as planned.
pub fn filled(plan: &Plan, circuit: &Circuit, unit: LengthUnit) -> Form {
    let mut form = Form::default();
    form.put("size", circuit.size);
    if let Some(length) = circuit.length_m {
        form.put_length("length_m", length.number(), unit);
    }
    form.put("rating_a", circuit.protection.as_ref().and_then(|protection| protection.rating_a));
    for device in devices(plan, circuit) {
        form.put(&load_field(&device.id), device.load.map(|load| figure(load).0));
    }
    form
}

/// Reads the what-if values; `None` if any field has an error.
pub fn read(form: &mut Form, plan: &Plan, circuit: &Circuit, unit: LengthUnit) -> Option<Supposed> {
    let size: Option<Size> = form.choice("size");
    form.keep_lengths(&filled(plan, circuit, unit));
    let length_m = form.length("length_m", unit);
    let rating_a: Option<RatingA> = form.optional("rating_a");
    let devices: Vec<Device> = devices(plan, circuit).map(|device| loaded(form, device)).collect();
    form.sound()?;
    let mut supposed = circuit.clone();
    if supposed.size != size {
        // The size in the form is for the whole circuit.
        supposed.conductors.iter_mut().for_each(|conductor| conductor.size = None);
    }
    supposed.size = size;
    supposed.length_m = length_m;
    supposed.protection = protection(circuit.protection.as_ref(), rating_a);
    Some(Supposed { circuit: supposed, devices })
}

impl Supposed {
    /// The plan with the what-if values in place of the planned ones.
    pub fn within(&self, plan: &Plan) -> Plan {
        let mut plan = plan.clone();
        for circuit in plan.circuits.iter_mut().filter(|circuit| circuit.id == self.circuit.id) {
            *circuit = self.circuit.clone();
        }
        for device in &mut plan.devices {
            if let Some(supposed) = self.devices.iter().find(|supposed| supposed.id == device.id) {
                *device = supposed.clone();
            }
        }
        plan
    }
}

/// The devices of a circuit, in order along the wire.
pub fn devices<'p>(plan: &'p Plan, circuit: &'p Circuit) -> impl Iterator<Item = &'p Device> {
    circuit.devices().filter_map(|id| plan.device(id))
}

/// The one figure of a load and its unit.
pub fn figure(load: Load) -> (f64, &'static str) {
    match load {
        Load::ConstantCurrent(a) => (a.number(), "A"),
        Load::ConstantPower(w) => (w.number(), "W"),
        Load::Resistance(ohm) => (ohm.number(), "\u{3a9}"),
    }
}

/// The device with another load of the same kind. A device without a load gets a current.
fn loaded(form: &mut Form, device: &Device) -> Device {
    let field = load_field(&device.id);
    let load = match device.load {
        None | Some(Load::ConstantCurrent(_)) => form.optional::<CurrentA>(&field).map(Load::ConstantCurrent),
        Some(Load::ConstantPower(_)) => form.optional::<PowerW>(&field).map(Load::ConstantPower),
        Some(Load::Resistance(_)) => form.optional::<LoadOhm>(&field).map(Load::Resistance),
    };
    Device { load, ..device.clone() }
}

/// The same protection with another rating; a blade fuse if there was none.
fn protection(planned: Option<&Protection>, rating_a: Option<RatingA>) -> Option<Protection> {
    match (planned, rating_a) {
        (Some(planned), rating_a) => Some(Protection { rating_a, ..planned.clone() }),
        (None, None) => None,
        (None, rating_a) => Some(Protection { rating_a, ..Protection::of(Family::BladeFuse) }),
    }
}
