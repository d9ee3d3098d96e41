//! Factory cables as things in the hand: what they are called, and where their two ends go.
//!
//! A cable is called after the device that it comes with. Its end `a` is at the device, its end `b` where the
//! cable goes; their ids are written with a dash, as in `radar-a`.

use super::plan::{Device, FactoryCable, Plan};
use super::value::LocationId;

/// A factory cable with the device it comes with.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cable<'a> {
    /// The device.
    pub device: &'a Device,
    /// The cable as its manufacturer sells it.
    pub made: &'a FactoryCable,
}

/// One end of a factory cable.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CableEnd<'a> {
    /// Its id: `radar-a` at the device, `radar-b` where the cable goes.
    pub id: String,
    /// The location it is at.
    pub location: &'a LocationId,
}

/// The factory cables of a plan, in its order.
pub fn all(plan: &Plan) -> impl Iterator<Item = Cable<'_>> {
    plan.devices.iter().filter_map(|device| Some(Cable { device, made: device.cable.as_ref()? }))
}

/// The cable of the device with this id.
pub fn get<'a>(plan: &'a Plan, device: &str) -> Option<Cable<'a>> {
    all(plan).find(|cable| cable.id() == device)
}

impl<'a> Cable<'a> {
    /// Its id, which is its device's.
    pub fn id(self) -> &'a str {
        self.device.id.as_str()
    }

    /// Both ends, the device's first.
    pub fn ends(self) -> [CableEnd<'a>; 2] {
        [('a', &self.device.location), ('b', &self.made.to)]
            .map(|(side, location)| CableEnd { id: format!("{}-{side}", self.id()), location })
    }

    /// Whether it is pulled through the boat, rather than coiled within one location.
    pub fn is_pulled(self) -> bool {
        self.device.location != self.made.to
    }

    /// What it is, for people: `Radar, network cable`.
    pub fn called(self) -> String {
        format!("{}, {}", self.device.name, self.made.kind.words())
    }
}
