//! What a proposal says beside its plan: wishes that it leaves out, remarks, and why there is none.

use serde::Serialize;
use thiserror::Error;

use crate::job::fault::{self, PlanFault};
use crate::job::plan::Rule;
use crate::job::value::BadValue;
use crate::job::wish::TooManyLines;

/// A wish that a proposal leaves out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LeftOut {
    /// The line, from 1, if it was a line.
    pub line: Option<usize>,
    /// The wish.
    pub wish: String,
    /// Why.
    pub reason: String,
}

/// A remark about a proposal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Said {
    /// The rule it follows from.
    pub rule: Rule,
    /// The remark.
    pub text: String,
}

/// Why no plan could be proposed.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ProposeError {
    /// A value that a plan cannot hold.
    #[error(transparent)]
    Value(#[from] BadValue),
    /// Too many wishes.
    #[error(transparent)]
    TooMany(#[from] TooManyLines),
    /// What a person changed does not fit the new proposal.
    #[error("what was changed by hand does not fit the new proposal: {}", fault::lines(.0))]
    DoesNotFit(Vec<PlanFault>),
}
