//! The lights on in one position of the switches, and whether the rules allow them.

use serde::Serialize;

use super::vessel::Doing;
use crate::trade::source::Source;

/// Whether a pattern of lights may be shown.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "is")]
pub enum Legality {
    /// It may be shown.
    Legal {
        /// A description of the pattern.
        pattern: &'static str,
        /// A further condition of the rule.
        remark: Option<&'static str>,
        /// The rule that allows it.
        source: &'static Source,
    },
    /// It may not be shown.
    Wrong {
        /// Each fault of the pattern.
        reasons: Vec<Reason>,
    },
    /// It depends on a value that is not given.
    Undecided {
        /// What is missing and what depends on it.
        why: &'static str,
        /// The rule that requires it.
        source: &'static Source,
    },
}

impl Legality {
    /// Whether it may be shown.
    pub fn is_legal(&self) -> bool {
        matches!(self, Self::Legal { .. })
    }
}

/// One fault of a pattern, and the rule that it breaks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Reason {
    /// What is wrong, in a sentence without a period at its end.
    pub text: &'static str,
    /// The rule.
    pub source: &'static Source,
}

/// The result of checking a pattern by the rule for one activity.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judged {
    /// The activity of the boat.
    pub doing: Doing,
    /// Whether the pattern may be shown during this activity.
    pub fit: Legality,
}

/// One combination of switches.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Combination {
    /// The switches that are on.
    pub on: Vec<String>,
    /// The lights that are on, by name.
    pub burning: Vec<String>,
    /// The activities for which it is known to be legal.
    pub good_for: Vec<Doing>,
    /// The result for each activity that is checked.
    pub judged: Vec<Judged>,
}

impl Combination {
    /// Whether no light is on.
    pub fn is_dark(&self) -> bool {
        self.burning.is_empty()
    }

    /// Whether lights are on that are not legal for any activity.
    pub fn is_wrong(&self) -> bool {
        !self.is_dark() && self.good_for.is_empty()
    }

    /// The result for one activity; `None` where the boat cannot have it.
    pub fn fit(&self, doing: Doing) -> Option<&Legality> {
        self.judged.iter().find(|judged| judged.doing == doing).map(|judged| &judged.fit)
    }

    /// The activities it is legal for, as pages show them.
    pub fn words(&self) -> String {
        if self.is_dark() {
            return "dark".to_owned();
        }
        if self.is_wrong() {
            return "wrong".to_owned();
        }
        self.good_for.iter().map(|doing| doing.words()).collect::<Vec<_>>().join(" and ")
    }
}
