//! The temperature rating of an insulation.

use std::fmt;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The rated temperature of a conductor's insulation in whole degrees Celsius, 60 to 200.
///
/// The ampacity tables have only a few columns. A rating between two columns uses the lower one, so an
/// unusual rating never carries more than a column allows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(try_from = "u16", into = "u16")]
pub struct Insulation(#[schemars(range(min = 60, max = 200))] u16);

/// A temperature outside the ratings of the trade's insulations.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("insulation temperature {0} C: expected a whole number from 60 to 200 C, such as 105")]
pub struct InsulationError(u16);

impl Insulation {
    /// The usual rating of marine boat cable.
    pub const BOAT_CABLE: Self = Self(105);

    /// The insulation rated for `celsius`.
    ///
    /// # Errors
    ///
    /// Below 60 C or above 200 C.
    pub fn rated(celsius: u16) -> Result<Self, InsulationError> {
        if (60..=200).contains(&celsius) { Ok(Self(celsius)) } else { Err(InsulationError(celsius)) }
    }

    /// The column of a table to read: the highest of `columns` (rising, in C) that is not above the rating.
    /// `None` when even the first column is above it.
    pub(super) fn column(self, columns: &[u16]) -> Option<usize> {
        columns.iter().rposition(|&column| column <= self.0)
    }
}

impl TryFrom<u16> for Insulation {
    type Error = InsulationError;

    fn try_from(celsius: u16) -> Result<Self, InsulationError> {
        Self::rated(celsius)
    }
}

impl From<Insulation> for u16 {
    fn from(insulation: Insulation) -> Self {
        insulation.0
    }
}

impl fmt::Display for Insulation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} C", self.0)
    }
}
