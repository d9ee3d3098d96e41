//! What each person of the shop may do. All permissions are defined here.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};
use strum::IntoStaticStr;

use crate::job::value::BadValue;
use crate::job::work::Who;

/// The role of a person in the shop. A higher role may do everything that a lower one may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, IntoStaticStr)]
#[serde(rename_all = "kebab-case")]
#[strum(serialize_all = "kebab-case")]
pub enum Role {
    /// Views the jobs granted to them and changes nothing: an insurer, a helper of the customer.
    Viewer,
    /// Marks steps and takes readings.
    Apprentice,
    /// Does everything on a job.
    Technician,
    /// Is also responsible for prices, people, dangerous findings and deletion.
    Manager,
}

/// A permission for an action that not everybody may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Permission {
    /// View jobs, findings and reports.
    Look,
    /// Mark a step or record a reading.
    Tick,
    /// Add a boat, change the plan, import a job.
    Plan,
    /// Release a hold point with an open item that is not dangerous.
    Release,
    /// Release a hold point with an open `stop` finding.
    ReleaseStop,
    /// View and change prices.
    Price,
    /// Close a job, put it aside, reopen it.
    Close,
    /// Add and disable people, change their roles, PINs and passphrases, grant jobs to viewers.
    People,
    /// Change the settings of the shop and of its labels, make backups, read the log of the shop.
    Shop,
    /// Delete a job with its whole history.
    Delete,
}

impl Permission {
    /// Every action.
    pub const ALL: [Self; 10] = [
        Self::Look,
        Self::Tick,
        Self::Plan,
        Self::Release,
        Self::ReleaseStop,
        Self::Price,
        Self::Close,
        Self::People,
        Self::Shop,
        Self::Delete,
    ];

    /// The lowest role that may do it.
    pub fn least(self) -> Role {
        match self {
            Self::Look => Role::Viewer,
            Self::Tick => Role::Apprentice,
            Self::Plan | Self::Release => Role::Technician,
            Self::ReleaseStop | Self::Price | Self::Close | Self::People | Self::Shop | Self::Delete => {
                Role::Manager
            }
        }
    }

    /// Whether it needs a passphrase, because a PIN is short: everything that only a manager may do, and every
    /// release.
    pub fn needs_passphrase(self) -> bool {
        self.least() == Role::Manager || self == Self::Release
    }

    /// What it takes to let a step pass, or to accept its result, where the table of hold points names this person.
    pub fn to_accept(by: Who) -> Self {
        match by {
            Who::Apprentice => Self::Tick,
            Who::Technician => Self::Release,
            Who::Manager | Who::Judge | Who::Nobody => Self::ReleaseStop,
        }
    }

    /// Whether it is work on a job, so that it needs an open job.
    pub fn is_work(self) -> bool {
        matches!(self, Self::Tick | Self::Plan | Self::Release | Self::ReleaseStop)
    }
}

impl Role {
    /// Every role, from the lowest to the highest.
    pub const ALL: [Self; 4] = [Self::Viewer, Self::Apprentice, Self::Technician, Self::Manager];

    /// Whether the role may do an action.
    pub fn may(self, action: Permission) -> bool {
        self >= action.least()
    }

    /// Whether the role sees only the jobs that are granted.
    pub fn sees_granted_only(self) -> bool {
        self == Self::Viewer
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
        use Permission::*;
        let may =
            |role: Role| Permission::ALL.into_iter().filter(|&action| role.may(action)).collect::<Vec<_>>();
        assert_eq!(may(Role::Viewer), [Look]);
        assert_eq!(may(Role::Apprentice), [Look, Tick]);
        assert_eq!(may(Role::Technician), [Look, Tick, Plan, Release]);
        assert_eq!(may(Role::Manager), Permission::ALL);
    }

    #[test]
    fn these_actions_need_a_passphrase() {
        use Permission::*;
        let needed =
            Permission::ALL.into_iter().filter(|action| action.needs_passphrase()).collect::<Vec<_>>();
        assert_eq!(needed, [Release, ReleaseStop, Price, Close, People, Shop, Delete]);
    }

    #[test]
    fn words_are_read_as_they_are_written() {
        for role in Role::ALL {
            assert_eq!(role.word().parse::<Role>(), Ok(role));
        }
        assert!("Manager ".parse::<Role>().is_err());
    }
}
