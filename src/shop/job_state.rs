//! The state of a job as a whole: open, put aside or closed.

use serde::{Deserialize, Serialize};

/// The state of a job as a whole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum JobState {
    /// The boat is in the shop and the work goes on.
    Open,
    /// The work waits, for example for parts or for the customer.
    PutAside,
    /// The work is over.
    Closed,
}

impl JobState {
    /// Every state.
    pub const ALL: [Self; 3] = [Self::Open, Self::PutAside, Self::Closed];

    /// The state, as the end of the sentence "This job is ...".
    pub fn text(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::PutAside => "put aside",
            Self::Closed => "closed",
        }
    }

    /// Why no work on the job is possible; `None` while it is open.
    pub fn refusal(self) -> Option<&'static str> {
        match self {
            Self::Open => None,
            Self::PutAside => Some("This job is put aside. Reopen it first."),
            Self::Closed => Some("This job is closed. Reopen it first."),
        }
    }
}
