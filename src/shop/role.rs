//! What each person of the shop may do. This is the one location where it is decided.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use strum::IntoStaticStr;

use crate::job::value::BadValue;

/// What somebody is in the shop; a greater role may do all that a lesser one may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, IntoStaticStr)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum Role {
    /// Looks and changes nothing: the boat's manager, an insurer.
    Viewer,
    /// Marks steps and takes readings.
    Apprentice,
    /// Does everything on a job.
    Technician,
    /// Also answers for prices, people, what is dangerous and what is deleted.
    Manager,
}

/// Something that not everybody may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Action {
    /// See jobs, findings and reports.
    Look,
    /// Mark a step or write down a reading.
    Tick,
    /// New boat, change what is planned, import a job, close one.
    Plan,
    /// Pass a gate in spite of something that is not dangerous.
    Release,
    /// Pass a gate in spite of a `stop` finding.
    ReleaseStop,
    /// See and change prices.
    Price,
    /// Add and disable people, change roles and passphrases, end the sign-ins of others.
    People,
    /// Change the shop's name, time zone, currency and units.
    Shop,
    /// Delete a job with all that happened on it.
    Delete,
}

impl Action {
    /// Every action.
    pub const ALL: [Self; 9] = [
        Self::Look,
        Self::Tick,
        Self::Plan,
        Self::Release,
        Self::ReleaseStop,
        Self::Price,
        Self::People,
        Self::Shop,
        Self::Delete,
    ];

    /// The least role that may.
    pub fn least(self) -> Role {
        match self {
            Self::Look => Role::Viewer,
            Self::Tick => Role::Apprentice,
            Self::Plan | Self::Release => Role::Technician,
            Self::ReleaseStop | Self::Price | Self::People | Self::Shop | Self::Delete => Role::Manager,
        }
    }
}

impl Role {
    /// Every role, from the least to the greatest.
    pub const ALL: [Self; 4] = [Self::Viewer, Self::Apprentice, Self::Technician, Self::Manager];

    /// Whether the role may do something.
    pub fn may(self, action: Action) -> bool {
        self >= action.least()
    }

    /// The role as forms and the database write it.
    pub fn word(self) -> &'static str {
        self.into()
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

impl FromStr for Role {
    type Err = BadValue;

    fn from_str(text: &str) -> Result<Self, BadValue> {
        let expected = "a role: manager, technician, apprentice or viewer";
        Self::ALL
            .into_iter()
            .find(|role| role.word() == text)
            .ok_or_else(|| BadValue { got: text.to_owned(), expected })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_role_may_exactly_this() {
        use Action::*;
        let may = |role: Role| Action::ALL.into_iter().filter(|&action| role.may(action)).collect::<Vec<_>>();
        assert_eq!(may(Role::Viewer), [Look]);
        assert_eq!(may(Role::Apprentice), [Look, Tick]);
        assert_eq!(may(Role::Technician), [Look, Tick, Plan, Release]);
        assert_eq!(may(Role::Manager), Action::ALL);
    }

    #[test]
    fn words_are_read_as_they_are_written() {
        for role in Role::ALL {
            assert_eq!(role.word().parse::<Role>(), Ok(role));
        }
        assert!("Manager ".parse::<Role>().is_err());
    }
}
