//! Files to save or print, named after the boat, the job and their content.

use axum::body::Body;
use axum::http::header;
use axum::response::{IntoResponse, Response};

use crate::store::JobId;

/// The kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A document for paper.
    Pdf,
    /// Comma-separated values, RFC 4180.
    Csv,
    /// A job file.
    Json,
}

impl Kind {
    fn media_type(self) -> &'static str {
        match self {
            Self::Pdf => "application/pdf",
            Self::Csv => "text/csv; charset=utf-8; header=present",
            Self::Json => "application/json",
        }
    }

    fn ending(self) -> &'static str {
        match self {
            Self::Pdf => "pdf",
            Self::Csv => "csv",
            Self::Json => "json",
        }
    }
}

/// A file of a job, such as `second-plover-3-labels.pdf`. For the job itself, `what` is empty.
pub fn download(kind: Kind, boat: &str, job: JobId, what: &str, body: impl Into<Body>) -> Response {
    let name = named(boat, job, what, kind);
    let disposition = format!("attachment; filename=\"{name}\"");
    let headers =
        [(header::CONTENT_TYPE, kind.media_type().to_owned()), (header::CONTENT_DISPOSITION, disposition)];
    (headers, body.into()).into_response()
}

fn named(boat: &str, job: JobId, what: &str, kind: Kind) -> String {
    let what = if what.is_empty() { String::new() } else { format!("-{what}") };
    format!("{}-{job}{what}.{}", plain(boat), kind.ending())
}

/// A text as part of a file name: ASCII letters and digits; a dash for everything else.
fn plain(name: &str) -> String {
    let slug = slug::slugify(name);
    if slug.is_empty() { "job".to_owned() } else { slug }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_name_is_plain_whatever_the_boat_is_called() {
        assert_eq!(plain("Gray \"Heron\" II"), "gray-heron-ii");
        assert_eq!(plain("Łódź"), "lodz");
        assert_eq!(plain("ö"), "o");
        assert_eq!(plain("\u{2014}"), "job");
        assert_eq!(named("Crumb", JobId::from(3), "labels", Kind::Csv), "crumb-3-labels.csv");
        assert_eq!(named("Crumb", JobId::from(3), "", Kind::Json), "crumb-3.json");
    }
}
