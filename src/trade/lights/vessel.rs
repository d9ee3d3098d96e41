//! The boat and its lights, with the values that the rules depend on.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::f64::{Length, Velocity};

/// A navigation light by its arc and color (rule 21).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum LightKind {
    /// White, 225 degrees, ahead.
    Masthead,
    /// Red to port and green to starboard, each 112.5 degrees, in one lantern or on one wire.
    Sides,
    /// Red, 112.5 degrees to port.
    Port,
    /// Green, 112.5 degrees to starboard.
    Starboard,
    /// White, 135 degrees, astern.
    Stern,
    /// White, all round.
    AllRound,
    /// Sidelights and sternlight in one lantern at the top of the mast, for sailing boats under 20 m (rule 25 (b)).
    Tricolor,
    /// Two lights all round, red over green, at the top of the mast, in addition to the other lights under
    /// sail (rule 25 (c)).
    RedOverGreen,
}

impl LightKind {
    /// The light as text: color and arc.
    pub fn words(self) -> &'static str {
        match self {
            Self::Masthead => "masthead light: white, 225\u{b0} ahead",
            Self::Sides => "sidelights: red and green, 112.5\u{b0} each",
            Self::Port => "sidelight: red, 112.5\u{b0} to port",
            Self::Starboard => "sidelight: green, 112.5\u{b0} to starboard",
            Self::Stern => "sternlight: white, 135\u{b0} astern",
            Self::AllRound => "all-round light: white, 360\u{b0}",
            Self::Tricolor => {
                "tricolor lantern: red and green, 112.5\u{b0} each, and white, 135\u{b0} astern, in one"
            }
            Self::RedOverGreen => "all-round lights: red over green, 360\u{b0}",
        }
    }
}

/// The boat's means of propulsion, as far as its lights depend on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Drive {
    /// An engine alone.
    Engine,
    /// An engine, or sails while the engine is stopped.
    EngineOrSail,
    /// Sails alone.
    Sail,
    /// Neither engine nor sails: oars.
    Oars,
}

impl Drive {
    /// The activities its lights are checked for.
    pub fn doings(self) -> &'static [Doing] {
        match self {
            Self::Engine => &[Doing::UnderPower, Doing::AtAnchor],
            Self::EngineOrSail => &[Doing::UnderPower, Doing::UnderSail, Doing::AtAnchor],
            Self::Sail => &[Doing::UnderSail, Doing::AtAnchor],
            Self::Oars => &[Doing::UnderOars, Doing::AtAnchor],
        }
    }
}

/// The boat's activity while its lights are checked. Sailing with the engine in gear counts as under power.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Doing {
    /// Driven by an engine (rule 23), whether sails are set or not.
    UnderPower,
    /// Driven by sails alone (rule 25).
    UnderSail,
    /// Rowed (rule 25 (d)).
    UnderOars,
    /// Anchored (rule 30).
    AtAnchor,
}

impl Doing {
    /// The activity as pages show it.
    pub fn words(self) -> &'static str {
        match self {
            Self::UnderPower => "under power",
            Self::UnderSail => "under sail",
            Self::UnderOars => "under oars",
            Self::AtAnchor => "at anchor",
        }
    }
}

/// The values of the boat that the rules depend on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vessel {
    /// Length over all.
    pub length: Length,
    /// Top speed; it matters under 7 m.
    pub top_speed: Option<Velocity>,
    /// Its means of propulsion.
    pub drive: Drive,
}

/// A light as fitted, with the switches that light it.
#[derive(Debug, Clone, PartialEq)]
pub struct FittedLight {
    /// Its name.
    pub name: String,
    /// Its kind.
    pub kind: LightKind,
    /// The switch positions, each of which turns it on. Without any, it is on whenever the boat has power.
    pub switches: Vec<String>,
}
