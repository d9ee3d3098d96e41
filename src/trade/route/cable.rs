//! Cables that come from the manufacturer with a fixed length and a connector on: whether they reach, what to do
//! where they do not, how far they may be shortened, whether the connector passes.
//!
//! Only coax is shortened, and not below what the manufacturer allows; where that is not known, not at all. A spare
//! length of anything else is coiled. A cable that is short gets an extension, joined where hands can get at it
//! and water does not stand: at a location on its way, never inside a raceway.

use serde::{Deserialize, Serialize};
use uom::si::f64::Length;
use uom::si::length::{meter, millimeter};

use super::cut::Allowances;
use crate::trade::quantity::Quantity;
use crate::trade::source::FACTORY_CABLES;
use crate::trade::working::{Working, figure};

/// What a factory cable is for.
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
    /// A device's own power lead.
    Power,
}

impl CableKind {
    /// Every kind.
    pub const ALL: [Self; 5] =
        [Self::Antenna, Self::Transducer, Self::Network, Self::EngineHarness, Self::Power];

    /// The kind in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Antenna => "antenna coax",
            Self::Transducer => "transducer cable",
            Self::Network => "network cable",
            Self::EngineHarness => "engine harness",
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
    /// The length that its manufacturer allows it to be shortened to.
    pub least_length: Option<Length>,
}

/// One raceway of a cable's way, seen from the device on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CableLeg {
    /// Its length.
    pub length: Length,
    /// Whether the location at its far end is dry, so that a join may lie there.
    pub dry_beyond: bool,
}

/// Where an extension is joined on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CableJoin {
    /// After how many raceways from the device; 0: at the device's own location.
    pub after: usize,
    /// Whether that location is dry.
    pub dry: bool,
    /// The extension that is needed from there.
    pub extension_m: f64,
}

/// Whether a cable reaches.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Reach {
    /// The length that its way asks for.
    pub needed_m: f64,
    /// What it has more than that; below nothing: what it is short by.
    pub spare_m: f64,
    /// How much may be cut off; none where it is not to be cut.
    pub cut_off_m: Option<f64>,
    /// How much is left to coil.
    pub coil_m: f64,
    /// Along how many whole raceways from the device its bare end gets, where it is short.
    pub ends_after: Option<usize>,
    /// Where to join an extension, where it is short.
    pub join: Option<CableJoin>,
    /// The sum.
    pub working: Working,
}

impl Reach {
    /// Whether it reaches.
    pub fn reaches(&self) -> bool {
        // Half a millimeter is rounding.
        self.spare_m >= -0.0005
    }
}

/// Whether a cable reaches along its legs, which begin at the device. Nothing is wasted on a cable that is not
/// cut to length, so of the allowances only rises and loops count.
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
            numbers: format!(
                "{} m - ({} m + {} m + {} m)",
                figure(length_m),
                figure(meters(path)),
                figure(left[0]),
                figure(left[1])
            ),
            result: format!("{} m", figure((spare_m * 1000.0).round() / 1000.0)),
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

/// What may be cut off a cable that is too long: only coax, and only as far as the manufacturer says.
fn may_cut(cable: &SoldCable, spare_m: f64) -> Option<f64> {
    match (cable.kind, cable.least_length) {
        (CableKind::Power, _) => Some(spare_m.max(0.0)),
        (CableKind::Antenna, Some(least)) => {
            Some(spare_m.min((cable.length - least).get::<meter>()).max(0.0))
        }
        _ => None,
    }
}

/// How many raceways a length gets through.
fn whole_legs(legs: &[CableLeg], mut free_m: f64) -> usize {
    let gets_through = |leg: &&CableLeg| {
        free_m -= leg.length.get::<meter>();
        free_m >= -0.0005
    };
    legs.iter().take_while(gets_through).count()
}

/// The last dry location the cable gets to; where there is none, the last location at all.
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
