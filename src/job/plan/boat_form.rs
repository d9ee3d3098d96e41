//! The boat form: what a proposed plan needs to know of a boat before anybody has measured it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use strum::{EnumString, IntoStaticStr};

use super::boat::{Engine, Fuel};
use crate::job::value::{BeamM, BoatLengthM, CapacityAh, Name, Prose, SpeedKn};
use crate::trade::energy::battery::Chemistry;
use crate::trade::rules::RuleSet;

/// What a plan is proposed from: the boat form, and one wish a line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ProposalRequest {
    /// The boat form.
    pub boat: BoatForm,
    /// The wishes, one a line.
    pub wishes: Prose,
}

/// The boat form.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BoatForm {
    /// Name of the boat.
    pub name: Name,
    /// The pattern of its hull, which gives locations, raceways and hours of use.
    pub pattern: HullPattern,
    /// Length over all.
    pub length_m: BoatLengthM,
    /// Beam; left out: a usual one for the length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beam_m: Option<BeamM>,
    /// What is over the helm.
    #[serde(default)]
    pub top: Top,
    /// Where the engines are mounted.
    pub engine: Engine,
    /// Fuel of the engines.
    pub fuel: Fuel,
    /// How many engines.
    #[serde(default)]
    pub engines: EngineCount,
    /// Whether propane is aboard.
    #[serde(default)]
    pub propane: bool,
    /// Top speed; left out: a usual one for the pattern.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub top_speed_kn: Option<SpeedKn>,
    /// How many battery banks.
    pub banks: BankCount,
    /// Chemistry of the bank that feeds the equipment.
    #[serde(default = "agm")]
    pub chemistry: Chemistry,
    /// Capacity of the bank that feeds the equipment; left out: what the hours of use need.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub capacity_ah: Option<CapacityAh>,
    /// Nominal voltage.
    #[serde(default)]
    pub voltage: BoatVoltage,
    /// The rule set.
    pub rules: RuleSet,
}

fn agm() -> Chemistry {
    Chemistry::Agm
}

/// Declares a choice of the boat form: each value with its text.
macro_rules! choices {
    ($($(#[$doc:meta])* $name:ident { $($(#[$of:meta])* $value:ident = $words:literal,)+ })+) => {$(
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema, EnumString, IntoStaticStr,
        )]
        #[serde(rename_all = "kebab-case")]
        #[strum(serialize_all = "kebab-case")]
        pub enum $name { $($(#[$of])* $value,)+ }

        impl $name {
            /// Every value.
            pub const ALL: &'static [Self] = &[$(Self::$value,)+];

            /// The text for this value.
            pub fn words(self) -> &'static str {
                match self { $(Self::$value => $words,)+ }
            }

            /// The value in files and forms.
            pub fn word(self) -> &'static str {
                self.into()
            }
        }
    )+};
}

choices! {
    /// The pattern of a hull and its deck.
    HullPattern {
        /// An open boat with a side console or a tiller.
        #[default]
        OpenSkiff = "open skiff",
        /// An open boat with a console in the middle.
        CenterConsole = "center console",
        /// Two consoles behind a windshield.
        DualConsole = "dual console",
        /// A boat with a cuddy or cabin before the helm.
        Cabin = "cuddy or cabin",
        /// A boat with a closed wheelhouse.
        Pilothouse = "pilothouse",
        /// A sailboat with a cabin and an engine.
        Sail = "sailboat",
    }
    /// What is over the helm.
    Top {
        /// Nothing.
        #[default]
        None = "none",
        /// A top on tubes.
        TTop = "T-top or bimini on tubes",
        /// A rigid top.
        Hardtop = "hardtop",
    }
    /// How many engines a boat has.
    EngineCount {
        /// One.
        #[default]
        One = "one",
        /// Two.
        Two = "two",
    }
    /// How many battery banks a boat has.
    BankCount {
        /// One for everything.
        #[default]
        One = "one",
        /// One for the equipment and one to start the engine.
        Two = "two",
    }
    /// The nominal voltage of a boat.
    BoatVoltage {
        /// 12 V.
        #[serde(rename = "12-v")]
        #[strum(serialize = "12-v")]
        #[default]
        V12 = "12 V",
        /// 24 V, with 12 V for what is made for 12 V only.
        #[serde(rename = "24-v")]
        #[strum(serialize = "24-v")]
        V24 = "24 V",
        /// 24 V for pumps and large loads, 12 V for everything else.
        #[serde(rename = "24-and-12-v")]
        #[strum(serialize = "24-and-12-v")]
        V24And12 = "24 V, and 12 V for all small equipment",
    }
}

impl BoatForm {
    /// The nominal voltage of the banks, V.
    pub fn nominal(&self) -> f64 {
        if self.voltage == BoatVoltage::V12 { 12.0 } else { 24.0 }
    }

    /// Whether gasoline or propane is aboard.
    pub fn has_vapor(&self) -> bool {
        self.fuel == Fuel::Gasoline || self.propane
    }

    /// Whether an engine is inside the hull.
    pub fn is_inboard(&self) -> bool {
        self.engine == Engine::Inboard
    }

    /// Whether a bank of its own starts the engines. A lithium bank does not start them.
    pub fn has_start_bank(&self) -> bool {
        let is_lithium = self.chemistry == Chemistry::Lifepo4;
        (self.banks == BankCount::Two || is_lithium) && self.engine_count() > 0
    }

    /// How many engines.
    pub fn engine_count(&self) -> u16 {
        match (self.engine, self.engines) {
            (Engine::None, _) => 0,
            (_, EngineCount::One) => 1,
            (_, EngineCount::Two) => 2,
        }
    }
}
