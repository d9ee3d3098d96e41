//! The boat, its customer, and the cutting allowances for runs.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::job::value::is_default;
use crate::job::value::{BeamM, BoatLengthM, LengthM, Name, SpeedKn, WastePct};

/// What is added to the length of a run when it is cut. A value that is left out is the usual one of the
/// trade.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CutAllowances {
    /// From the opening of the raceway to where the wire lands, at each end; default 0.3 m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rise_m: Option<LengthM>,
    /// Service loop at each end, so that a new terminal can be fitted later; default 0.15 m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub service_loop_m: Option<LengthM>,
    /// The dip before each end where water drips off; default 0.1 m.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drip_loop_m: Option<LengthM>,
    /// Extra for bends and trimming, as a share of the total; default 5 %.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waste_pct: Option<WastePct>,
}

/// The boat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Boat {
    /// Name of the boat.
    pub name: Name,
    /// Length over all.
    pub length_m: BoatLengthM,
    /// Beam.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beam_m: Option<BeamM>,
    /// Shape of the hull seen from above.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hull: Option<Hull>,
    /// Fuel of the engine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fuel: Option<Fuel>,
    /// Where the engine is mounted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub engine: Option<Engine>,
    /// Whether propane is aboard; left out: not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub propane: Option<bool>,
    /// Whether it carries sails, so that it can sail with the engine stopped.
    #[serde(default, skip_serializing_if = "is_default")]
    pub sails: bool,
    /// Top speed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub top_speed_kn: Option<SpeedKn>,
}

/// Shape of a hull seen from above.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Hull {
    /// A pointed bow and a square stern.
    #[default]
    Pointed,
    /// A square bow, as on a punt or a landing craft.
    Square,
    /// Two hulls with a deck between them.
    Twin,
    /// Pointed at both ends.
    DoubleEnded,
}

/// Fuel of the engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Fuel {
    /// Gasoline: ignition protection applies.
    Gasoline,
    /// Diesel.
    Diesel,
    /// No fuel: electric propulsion.
    Electric,
}

/// Where the engine is mounted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Engine {
    /// On the transom, outside the hull.
    Outboard,
    /// Inside the hull.
    Inboard,
    /// No engine.
    None,
}

/// The customer whose boat it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Customer {
    /// Name of the customer.
    pub name: Name,
    /// How to reach the customer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub contact: Option<Name>,
}
