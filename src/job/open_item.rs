//! Open items: what was seen on the boat and is not settled yet. The list of them is the punch list.

use jiff::Timestamp;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uuid::Uuid;

use super::subject::Thing;
use super::value::{Name, Prose};

/// Something seen on any thing of the job and not yet settled.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OpenItem {
    /// Id made by the client.
    pub id: Uuid,
    /// The thing that it was seen on.
    pub thing: Thing,
    /// What was found.
    pub found: Prose,
    /// How serious it is.
    pub severity: Severity,
    /// Who acts on it.
    pub acts: Acts,
    /// Name of the person.
    pub by: Name,
    /// When it was seen.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// The end of an open item: what was done about it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Closing {
    /// Id made by the client.
    pub id: Uuid,
    /// The id of the open item.
    pub item: Uuid,
    /// What was done, or why nothing is.
    pub done: Prose,
    /// Name of the person.
    pub by: Name,
    /// When it was closed.
    #[schemars(with = "String", extend("format" = "date-time"))]
    pub at: Timestamp,
}

/// How serious an open item is, the least first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Severity {
    /// Good to know. It holds nothing.
    Note,
    /// It is closed before the handover.
    Should,
    /// It holds the power-up test of its thing and the handover.
    Must,
}

impl Severity {
    /// All of them, the most serious first.
    pub const ALL: [Self; 3] = [Self::Must, Self::Should, Self::Note];

    /// Its name in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Must => "must",
            Self::Should => "should",
            Self::Note => "note",
        }
    }

    /// What it holds, in plain text.
    pub fn holds(self) -> &'static str {
        match self {
            Self::Must => "holds its power-up test and the handover",
            Self::Should => "holds the handover",
            Self::Note => "holds nothing",
        }
    }
}

/// Who acts on an open item.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Acts {
    /// A technician of the shop.
    Technician,
    /// The manager.
    Manager,
    /// The customer.
    Customer,
    /// A supplier.
    Supplier,
}

impl Acts {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Technician, Self::Manager, Self::Customer, Self::Supplier];

    /// Its name in files.
    pub fn word(self) -> &'static str {
        match self {
            Self::Technician => "technician",
            Self::Manager => "manager",
            Self::Customer => "customer",
            Self::Supplier => "supplier",
        }
    }
}
