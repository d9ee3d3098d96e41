//! How conductors are connected to a kind of equipment.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use crate::job::plan::Join;
use crate::job::value::{BadValue, TabMm};
use crate::trade::terminal::Stud;

/// How conductors are connected: written `stud 1/4 in`, `tab 6.3`, `leads` or `plug`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum Connection {
    /// Ring terminals on a stud or screw.
    Stud(Stud),
    /// Push-on terminals on tabs.
    Tab(TabMm),
    /// Joined to its own leads.
    Leads,
    /// By its own plug and lead.
    Plug,
}

const EXPECTED: &str = "`stud` with its size, `tab` with its width in mm, `leads` or `plug`";

impl Connection {
    /// The stud, if it is one.
    pub fn stud(self) -> Option<Stud> {
        if let Self::Stud(stud) = self { Some(stud) } else { None }
    }

    /// The width of the tabs, if it has them.
    pub fn tab(self) -> Option<TabMm> {
        if let Self::Tab(tab) = self { Some(tab) } else { None }
    }

    /// The usual join, if conductors are joined to leads.
    pub fn join(self) -> Option<Join> {
        matches!(self, Self::Leads | Self::Plug).then_some(Join::SealedButt)
    }
}

impl fmt::Display for Connection {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Stud(stud) => write!(f, "stud {}", stud.text()),
            Self::Tab(tab) => write!(f, "tab {tab}"),
            Self::Leads => f.write_str("leads"),
            Self::Plug => f.write_str("plug"),
        }
    }
}

impl FromStr for Connection {
    type Err = BadValue;

    fn from_str(text: &str) -> Result<Self, BadValue> {
        let bad = || BadValue { got: text.to_owned(), expected: EXPECTED };
        match text.trim().split_once(' ').unwrap_or((text.trim(), "")) {
            ("stud", size) => size.parse().map(Self::Stud).map_err(|_| bad()),
            ("tab", width) => width.parse().map(Self::Tab).map_err(|_| bad()),
            ("leads", "") => Ok(Self::Leads),
            ("plug", "") => Ok(Self::Plug),
            _ => Err(bad()),
        }
    }
}

impl TryFrom<String> for Connection {
    type Error = BadValue;

    fn try_from(text: String) -> Result<Self, BadValue> {
        text.parse()
    }
}

impl From<Connection> for String {
    fn from(connection: Connection) -> Self {
        connection.to_string()
    }
}
