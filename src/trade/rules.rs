//! The rule set that a job follows.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::conductor::System;

/// The rule set of a job. It decides the tables, the drop formula and the system of sizes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RuleSet {
    /// United States federal law for recreational boats, 33 CFR part 183 subpart I.
    Us,
    /// ISO 10133 and ISO 13297, small craft.
    Iso,
}

impl RuleSet {
    /// The system of conductor sizes that these rules are written in.
    pub fn system(self) -> System {
        match self {
            Self::Us => System::Awg,
            Self::Iso => System::Metric,
        }
    }

    /// The name of the rule set.
    pub fn words(self) -> &'static str {
        match self {
            Self::Us => "US rules (33 CFR 183)",
            Self::Iso => "ISO rules (ISO 10133 and 13297)",
        }
    }
}
