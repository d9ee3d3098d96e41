//! The eight phases, in the order of work.

use std::fmt;
use std::str::FromStr;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use strum::IntoStaticStr;

use super::value::BadValue;

/// A phase of the job.
#[derive(
    Debug,
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    JsonSchema,
    IntoStaticStr,
)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum Phase {
    /// Old equipment is removed, and pull strings are left in its place.
    StripOut,
    /// Devices, distribution points and boards are mounted.
    Mounting,
    /// Conductors are pulled and labeled.
    Runs,
    /// Both ends of every conductor get their terminals.
    Terminations,
    /// The switch panel is wired on the bench and installed.
    Switches,
    /// Every circuit is tested.
    PowerUpTest,
    /// Runs are tied, supported and protected from chafe.
    TieDown,
    /// Devices are configured.
    Setup,
}

impl Phase {
    /// All phases, in the order of work.
    pub const ALL: [Self; 8] = [
        Self::StripOut,
        Self::Mounting,
        Self::Runs,
        Self::Terminations,
        Self::Switches,
        Self::PowerUpTest,
        Self::TieDown,
        Self::Setup,
    ];

    /// The phase as files and addresses write it.
    pub fn word(self) -> &'static str {
        self.into()
    }

    /// The phase as a heading.
    pub fn title(self) -> &'static str {
        match self {
            Self::StripOut => "Strip-out",
            Self::Mounting => "Mounting",
            Self::Runs => "Runs",
            Self::Terminations => "Terminations",
            Self::Switches => "Switches",
            Self::PowerUpTest => "Power-up test",
            Self::TieDown => "Tie-down",
            Self::Setup => "Setup",
        }
    }
}

impl fmt::Display for Phase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

impl FromStr for Phase {
    type Err = BadValue;

    fn from_str(text: &str) -> Result<Self, BadValue> {
        Self::ALL.into_iter().find(|phase| phase.word() == text).ok_or_else(|| BadValue {
            got: text.to_owned(),
            expected: "a phase: strip-out, mounting, runs, terminations, switches, power-up-test, tie-down or setup",
        })
    }
}
