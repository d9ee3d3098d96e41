//! What is wanted, and what helps if the boat cannot carry it.

use super::site::Site;
use crate::job::kind::Kind;
use crate::job::plan::Rule;
use crate::job::value::KindId;

/// A kind that is wanted.
#[derive(Debug, Clone)]
pub(super) struct Want<'a> {
    pub(super) kind: &'a Kind,
    pub(super) count: u16,
    /// Where, the first one first; empty: at a usual location of the kind.
    pub(super) sites: Vec<Site>,
    pub(super) kept: bool,
    /// The rule that added it, if no wish did.
    pub(super) added_by: Option<Rule>,
}

impl<'a> Want<'a> {
    /// One of a kind that a rule adds.
    pub(super) fn by_rule(kind: &'a Kind, count: u16, rule: Rule) -> Self {
        Self { kind, count, sites: Vec::new(), kept: false, added_by: Some(rule) }
    }
}

/// A kind that is left out because the boat cannot carry it beside the others.
#[derive(Debug, Clone)]
pub(super) struct PutOff {
    pub(super) kind: KindId,
    pub(super) reason: String,
}

/// What makes a boat carry what is wanted.
#[derive(Debug, Clone)]
pub(super) enum Remedy {
    /// A charger for the nights at the dock.
    ShoreCharger,
    /// A kind is left out.
    PutOff(PutOff),
}

impl Remedy {
    /// The kind that is left out, if one is.
    pub(super) fn put_off(&self) -> Option<&PutOff> {
        if let Self::PutOff(later) = self { Some(later) } else { None }
    }
}
