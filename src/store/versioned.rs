//! The value of a row, with the number of its changes.

use serde::Serialize;

use super::column::Version;
use super::error::{Error, Stale};

/// The value of a row, with the version that an edit form must send back.
#[derive(Debug, Clone, PartialEq)]
pub struct Versioned<T> {
    /// How often it was changed, counted from 1.
    pub version: Version,
    /// The value.
    pub value: T,
}

impl Version {
    /// The version of a new row.
    pub fn first() -> Self {
        Self::from(1)
    }

    /// The version after one more change.
    pub(super) fn next(self) -> Self {
        Self::from(self.number() + 1)
    }
}

impl<T: Serialize> Versioned<T> {
    /// Refuses a change that started from another version.
    pub(super) fn started_from(&self, expected: Version, subject: impl ToString) -> Result<(), Error> {
        if self.version == expected {
            return Ok(());
        }
        let theirs = serde_json::to_value(&self.value)?;
        Err(Error::Stale(Box::new(Stale { subject: subject.to_string(), version: self.version, theirs })))
    }
}
