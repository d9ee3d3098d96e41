//! Factory cables with a fixed length and a connector. The module checks whether they reach, and what to do
//! if not. It also checks how far they may be shortened, and whether the connector passes.
//!
//! Only coax is shortened, and not below what the manufacturer allows. Where that is not known, it is not
//! shortened. The spare length of any other cable is coiled. A short cable gets an extension. The join must
//! be where hands can reach it and water does not collect. It is therefore at a location on the route, never
//! inside a raceway.

use serde::{Deserialize, Serialize};
use uom::si::f64::Length;
use uom::si::length::{meter, millimeter};

use super::cut::Allowances;
use crate::trade::quantity::Quantity;
use crate::trade::source::FACTORY_CABLES;
use crate::trade::working::{self, Numbers, Working};

/// The use of a factory cable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CableKind {
    /// Coax to an antenna.
    Antenna,
    /// To a transducer.
    Transducer,
    /// A network drop, backbone or Ethernet cable.
    Network,
    /// The harness between engine and helm.
    EngineHarness,
    /// The wires of a sender, such as that of a tank.
    Sender,
    /// The pair of a speaker.
    Speaker,
    /// The line pair from a stereo to an amplifier.
    Audio,
    /// The cable of a camera or screen.
    Video,
    /// Wires that work a device without feeding it: of a rocker switch, a drive, a remote turn-on.
    Control,
    /// A device's own power lead.
    Power,
}

impl CableKind {
    /// Every kind.
    pub const ALL: [Self; 10] = [
        Self::Antenna,
        Self::Transducer,
        Self::Network,
        Self::EngineHarness,
        Self::Sender,
        Self::Speaker,
        Self::Audio,
        Self::Video,
        Self::Control,
        Self::Power,
    ];

    /// The name of the kind.
    pub fn words(self) -> &'static str {
        match self {
            Self::Antenna => "antenna coax",
            Self::Transducer => "transducer cable",
            Self::Network => "network cable",
            Self::EngineHarness => "engine harness",
            Self::Sender => "sender wires",
            Self::Speaker => "speaker wires",
            Self::Audio => "audio line",
            Self::Video => "video cable",
            Self::Control => "control wires",
            Self::Power => "power lead",
        }
    }

    /// Its outside diameter where none is given; common practice.
    pub fn usual_diameter(self) -> Length {
        Length::new::<millimeter>(match self {
            Self::Antenna => 6.1,
            Self::Transducer => 7.5,
            Self::Network => 6.8,
            Self::EngineHarness => 18.0,
            Self::Sender => 5.0,
            Self::Speaker => 6.0,
            Self::Audio => 5.5,
            Self::Video => 6.0,
            Self::Control => 6.5,
            Self::Power => 8.0,
        })
    }

    /// Whether it carries the current of a load.
    pub fn carries_current(self) -> bool {
        matches!(self, Self::Power | Self::EngineHarness)
    }
}

/// A cable as its manufacturer sells it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SoldCable {
    /// What it is for.
    pub kind: CableKind,
    /// How long it is.
    pub length: Length,
    /// The shortest length that its manufacturer allows.
    pub least_length: Option<Length>,
}

/// One raceway of a cable's route, counted from the device.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CableLeg {
    /// Its length.
    pub length: Length,
    /// Whether the location at its far end is dry, so that a join may be there.
    pub dry_beyond: bool,
}

/// Where an extension is joined.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CableJoin {
    /// The number of raceways between the device and the join; 0: at the device's own location.
    pub after: usize,
    /// Whether that location is dry.
    pub dry: bool,
    /// The length of extension that is needed from there.
    pub extension_m: f64,
}

/// The result of checking whether a cable reaches.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reach {
    /// The length that its route needs.
    pub needed_m: f64,
    /// The spare length; negative if the cable is too short.
    pub spare_m: f64,
    /// How much may be cut off; `None` if it must not be cut.
    pub cut_off_m: Option<f64>,
    /// How much spare length remains to coil.
    pub coil_m: f64,
    /// How many whole raceways from the device its bare end reaches, where it is too short.
    pub ends_after: Option<usize>,
    /// Where to join an extension, where it is too short.
    pub join: Option<CableJoin>,
    /// The working.
    pub working: Working,
}

impl Reach {
    /// Whether it reaches.
    pub fn reaches(&self) -> bool {
        // Half a millimeter is rounding.
        self.spare_m >= -0.0005
    }
}

/// Whether a cable reaches along its legs, which begin at the device. A factory cable has no waste from
/// cutting, so only the rises and loops count from the allowances.
pub fn reach(cable: &SoldCable, legs: &[CableLeg], device_is_dry: bool, allowances: &Allowances) -> Reach {
    let meters = |length: Length| length.get::<meter>();
    let path: Length = legs.iter().map(|leg| leg.length).sum();
    let left = [0, 1].map(|end| meters(allowances.left_at(end)));
    let needed_m = meters(path) + left[0] + left[1];
    let length_m = meters(cable.length);
    let spare_m = length_m - needed_m;
    let mut reach = Reach {
        needed_m,
        spare_m,
        cut_off_m: may_cut(cable, spare_m),
        coil_m: 0.0,
        ends_after: None,
        join: None,
        working: Working {
            what: Quantity::CableReach,
            formula: "its length - (path + at each end rise, service loop and drip loop)",
            numbers: Numbers::filled(
                "{} - ({} + {} + {})",
                [length_m, meters(path), left[0], left[1]].map(working::length),
            ),
            result: working::length((spare_m * 1000.0).round() / 1000.0),
            source: &FACTORY_CABLES,
        },
    };
    if reach.reaches() {
        reach.coil_m = (spare_m - reach.cut_off_m.unwrap_or(0.0)).max(0.0);
    } else {
        let free_m = length_m - left[0] - meters(allowances.service_loop);
        let ends_after = whole_legs(legs, free_m);
        reach.ends_after = Some(ends_after);
        reach.join = Some(join(legs, ends_after, device_is_dry, left[1], allowances));
    }
    reach
}

/// How much may be cut off a cable that is too long: only coax, and only as far as the manufacturer allows.
fn may_cut(cable: &SoldCable, spare_m: f64) -> Option<f64> {
    match (cable.kind, cable.least_length) {
        (CableKind::Power, _) => Some(spare_m.max(0.0)),
        (CableKind::Antenna, Some(least)) => {
            Some(spare_m.min((cable.length - least).get::<meter>()).max(0.0))
        }
        _ => None,
    }
}

/// How many whole raceways a length covers.
fn whole_legs(legs: &[CableLeg], mut free_m: f64) -> usize {
    let gets_through = |leg: &&CableLeg| {
        free_m -= leg.length.get::<meter>();
        free_m >= -0.0005
    };
    legs.iter().take_while(gets_through).count()
}

/// The last dry location that the cable reaches. If there is none, the last location that it reaches.
fn join(
    legs: &[CableLeg],
    ends_after: usize,
    device_is_dry: bool,
    left_m: f64,
    allowances: &Allowances,
) -> CableJoin {
    let is_dry = |after: usize| match after.checked_sub(1) {
        None => device_is_dry,
        Some(before) => legs.get(before).is_some_and(|leg| leg.dry_beyond),
    };
    let dry = (0..=ends_after).rev().find(|after| is_dry(*after));
    let after = dry.unwrap_or(ends_after);
    let rest: Length = legs.iter().skip(after).map(|leg| leg.length).sum();
    let extension_m = rest.get::<meter>() + left_m + allowances.service_loop.get::<meter>();
    CableJoin { after, dry: dry.is_some(), extension_m }
}
