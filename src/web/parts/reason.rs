//! A reason that holds a job, with a link to the place where it is corrected.

use askama::Template;
use askama::filters::HtmlSafe;

use super::place;
use crate::job::work::Reason;

/// A reason as a piece of a page.
#[derive(Debug, Clone, Template)]
#[template(path = "partials/reason.html")]
pub struct LinkedReason {
    text: String,
    href: Option<String>,
}

impl HtmlSafe for LinkedReason {}

impl LinkedReason {
    /// A reason of the job at this address.
    pub fn of(job: &str, reason: &Reason) -> Self {
        Self { text: reason.text.clone(), href: place::href(job, &reason.place) }
    }
}
