//! The cables of devices, each with its device.

use uom::si::f64::Length;

use super::end::At;
use crate::job::conductor::Landing;
use crate::job::plan::{Cable, CableTo, Device, Plan};
use crate::job::value::{LocationId, Name};

/// A cable with the device it belongs to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DeviceCable<'a> {
    /// The device.
    pub device: &'a Device,
    /// The cable.
    pub cable: &'a Cable,
}

/// The cables of a plan, device by device in its order.
pub fn all(plan: &Plan) -> impl Iterator<Item = DeviceCable<'_>> {
    plan.devices
        .iter()
        .flat_map(|device| device.cables.iter().map(move |cable| DeviceCable { device, cable }))
}

impl<'a> DeviceCable<'a> {
    /// The locations of its two ends, that of its device first.
    pub(super) fn at(self) -> [At; 2] {
        let other = match &self.cable.to {
            CableTo::Location(location) => At::Location(location.clone()),
            CableTo::Device(device) => At::Landing(Landing::Device(device.clone())),
        };
        [At::Landing(Landing::Device(self.device.id.clone())), other]
    }

    /// The locations of its two ends, that of its device first. The second is `None` if the plan does not have the
    /// other device.
    pub fn between(self, plan: &'a Plan) -> [Option<&'a LocationId>; 2] {
        let other = match &self.cable.to {
            CableTo::Location(location) => Some(location),
            CableTo::Device(device) => plan.device(device).map(|device| &device.location),
        };
        [Some(&self.device.location), other]
    }

    /// Its name on screen: `Radar, network cable`.
    pub fn called(self) -> String {
        format!("{}, {}", self.device.name, self.cable.kind.words())
    }

    /// The type of the connector at an end: 0 at its device, 1 at the other end.
    pub fn connector(self, end: usize) -> Option<&'a Name> {
        let connector = if end == 0 { &self.cable.connector } else { &self.cable.far_connector };
        connector.as_ref()?.name.as_ref()
    }

    /// What it is in a list: a factory cable, or one that is cut to length.
    pub fn part(self) -> &'static str {
        if self.made_length().is_some() { "factory cable" } else { "cable cut to length" }
    }

    /// The length as supplied; `None` if the cable is cut to length.
    pub fn made_length(self) -> Option<Length> {
        self.cable.length_m.map(|length| length.quantity())
    }
}
