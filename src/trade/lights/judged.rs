//! What burns in one position of the switches, and what the rules say of it.

use serde::Serialize;

use super::vessel::Doing;
use crate::trade::source::Source;

/// Whether a pattern may be shown.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "is")]
pub enum Legality {
    /// It may be shown.
    Legal {
        /// The pattern in words.
        pattern: &'static str,
        /// What else the rule says about it.
        remark: Option<&'static str>,
        /// The rule that allows it.
        source: &'static Source,
    },
    /// It may not be shown.
    Wrong {
        /// Each thing that is wrong with it.
        reasons: Vec<Reason>,
    },
    /// It depends on something that is not given.
    Undecided {
        /// What is missing and what hangs on it.
        why: &'static str,
        /// The rule that asks for it.
        source: &'static Source,
    },
}

impl Legality {
    /// Whether it may be shown.
    pub fn is_legal(&self) -> bool {
        matches!(self, Self::Legal { .. })
    }
}

/// One thing wrong with a pattern, and the rule that says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Reason {
    /// What is wrong, in a sentence without a full stop.
    pub text: &'static str,
    /// The rule.
    pub source: &'static Source,
}

/// A pattern held against the rule for one doing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judged {
    /// What the boat is supposed to be doing.
    pub doing: Doing,
    /// Whether the pattern may be shown meanwhile.
    pub fit: Legality,
}

/// One combination of switches.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Combination {
    /// The switches that are on.
    pub on: Vec<String>,
    /// The lights that burn, by name.
    pub burning: Vec<String>,
    /// What it is known to be legal for.
    pub good_for: Vec<Doing>,
    /// The pattern held against each rule that is asked about.
    pub judged: Vec<Judged>,
}

impl Combination {
    /// Whether no light burns.
    pub fn is_dark(&self) -> bool {
        self.burning.is_empty()
    }

    /// Whether lights burn that are legal for nothing.
    pub fn is_wrong(&self) -> bool {
        !self.is_dark() && self.good_for.is_empty()
    }

    /// How it stands with one doing; none where the boat cannot do it.
    pub fn fit(&self, doing: Doing) -> Option<&Legality> {
        self.judged.iter().find(|judged| judged.doing == doing).map(|judged| &judged.fit)
    }

    /// What it is good for, as pages write it.
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
