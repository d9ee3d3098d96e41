//! Stored documents of histories, read in the present format.

use jiff::Timestamp;
use serde_json::Value;
use uuid::Uuid;

use super::error::{Error, Result};
use crate::job::plan::item;
use crate::job::{record, upgrade};

/// The columns that hold a record.
pub(super) struct Stored {
    /// The name of its kind.
    pub(super) kind: String,
    /// The id that its creator gave it.
    pub(super) id: Uuid,
    /// Who.
    pub(super) by: String,
    /// When, by the clock of that person's device.
    pub(super) at: Timestamp,
    /// The rest of the record.
    pub(super) body: String,
    /// The format of the rest.
    pub(super) format: u32,
}

/// The fields of a record that have columns of their own.
pub(super) const OWN_COLUMNS: [&str; 3] = ["id", "by", "at"];

impl Stored {
    /// The rest in the present format.
    pub(super) fn rest(&self) -> Result<Value> {
        let value = parse(&self.kind, &self.body)?;
        Ok(upgrade::document(self.format, record::list_of(&self.kind), value))
    }

    /// The whole record, by the field names of the job file.
    pub(super) fn whole(&self) -> Result<Value> {
        let mut value = self.rest()?;
        let own = [serde_json::to_value(self.id)?, self.by.as_str().into(), serde_json::to_value(self.at)?];
        if let Some(fields) = value.as_object_mut() {
            fields.extend(OWN_COLUMNS.map(str::to_owned).into_iter().zip(own));
        }
        Ok(value)
    }
}

/// A document of an item change in the present format.
pub(super) fn of_item(kind: &str, format: u32, body: &str) -> Result<Value> {
    Ok(upgrade::document(format, item::list_of(kind), parse(kind, body)?))
}

fn parse(kind: &str, body: &str) -> Result<Value> {
    let unreadable = |problem: serde_json::Error| Error::Unreadable {
        what: format!("a {kind} of the history"),
        problem: problem.to_string(),
    };
    serde_json::from_str(body).map_err(unreadable)
}
