//! The boat, its customer, and what is added to a run when it is cut.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::job::value::is_default;
use crate::job::value::{BeamM, BoatLengthM, LengthM, Name, SpeedKn, WastePct};

/// What is added to the way of a run when it is cut; what is left out is as the trade usually has it.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CutAllowances {
    /// From the mouth of the raceway to where the wire lands, at each end; 0.3 m where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rise_m: Option<LengthM>,
    /// Left coiled at each end, so that a terminal can be made anew; 0.15 m where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub service_loop_m: Option<LengthM>,
    /// The dip before each end, off which water drips; 0.1 m where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drip_loop_m: Option<LengthM>,
    /// What crooked ways and trimming take of it all; 5 % where left out.
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
    /// How the hull looks from above.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hull: Option<Hull>,
    /// Fuel of the engine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fuel: Option<Fuel>,
    /// How the engine stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub engine: Option<Engine>,
    /// Whether it carries sails, so that it can be under sail with any engine stopped.
    #[serde(default, skip_serializing_if = "is_default")]
    pub sails: bool,
    /// Greatest speed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub top_speed_kn: Option<SpeedKn>,
}

/// How a hull looks from above.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Hull {
    /// A pointed bow and a square stern.
    #[default]
    Pointed,
    /// A square bow, as on a punt or a landing craft.
    Square,
    /// Two hulls and a deck between.
    Twin,
    /// Pointed at both ends.
    DoubleEnded,
}

/// Fuel of the engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Fuel {
    /// Gasoline (gasoline): ignition protection applies.
    Gasoline,
    /// Diesel.
    Diesel,
    /// No fuel: electric propulsion.
    Electric,
}

/// How the engine stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Engine {
    /// On the transom, outside the hull.
    Outboard,
    /// Inside the hull.
    Inboard,
    /// None.
    None,
}

/// Who owns the boat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Customer {
    /// Name of the customer.
    pub name: Name,
    /// How to reach the customer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub contact: Option<Name>,
}
