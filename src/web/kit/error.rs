//! The one error type of the pages.
//!
//! An [`Error`] becomes a plain response with the text that may be shown. [`super::error_page`] makes it a page.

use axum::extract::multipart::MultipartError;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

use crate::store::{self, JobId};

/// What a handler returns when it cannot return a page.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// There is no such thing. The text names the kind of thing.
    #[error("no such {0}")]
    NotFound(&'static str),
    /// The user has to sign in first.
    #[error("not signed in")]
    SignInFirst,
    /// The session began with a PIN, and this needs the passphrase.
    #[error("passphrase needed")]
    PassphraseFirst {
        /// The page to go back to afterwards.
        back: String,
    },
    /// The user's role does not allow this.
    #[error("role does not allow this: {0}")]
    NotAllowed(&'static str),
    /// The request does not come from a page of this program. The text says what was expected.
    #[error("bad request: {0}")]
    BadRequest(String),
    /// The request is for a host that is not this program's.
    #[error("request for the host '{0}'")]
    OtherHost(String),
    /// What was sent is larger than the address accepts.
    #[error("too large")]
    TooLarge,
    /// The request does not fit the present state.
    #[error("conflict: {0}")]
    Conflict(String),
    /// The job is heavy, and its check is not finished.
    #[error("job {0} is being checked")]
    BeingChecked(JobId),
    /// Too many tries.
    #[error("too many tries")]
    TooMany {
        /// How long to wait.
        wait_s: u64,
    },
    /// An internal fault: written to the log, never shown.
    #[error("internal: {0}")]
    Internal(Box<dyn std::error::Error + Send + Sync>),
}

impl Error {
    /// An internal error of the program.
    pub fn internal(cause: impl Into<Box<dyn std::error::Error + Send + Sync>>) -> Self {
        Self::Internal(cause.into())
    }

    /// The HTTP status of this error.
    pub fn status(&self) -> StatusCode {
        match self {
            Self::NotFound(_) => StatusCode::NOT_FOUND,
            Self::SignInFirst => StatusCode::UNAUTHORIZED,
            Self::NotAllowed(_) | Self::PassphraseFirst { .. } => StatusCode::FORBIDDEN,
            Self::BadRequest(_) => StatusCode::BAD_REQUEST,
            Self::OtherHost(_) => StatusCode::MISDIRECTED_REQUEST,
            Self::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Self::Conflict(_) => StatusCode::CONFLICT,
            Self::TooMany { .. } => StatusCode::TOO_MANY_REQUESTS,
            Self::BeingChecked(_) => StatusCode::SERVICE_UNAVAILABLE,
            Self::Internal(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// The text for the page, if there is more to say than the status.
    fn words(&self) -> Option<String> {
        match self {
            Self::NotFound(what) => Some(format!("No such {what} here. It may have been removed.")),
            Self::NotAllowed(needed) => {
                Some(format!("This needs the role of {needed}. Ask someone who has it, or switch user."))
            }
            Self::PassphraseFirst { .. } => Some(PASSPHRASE_FIRST.to_owned()),
            Self::BadRequest(why) | Self::Conflict(why) => Some(why.clone()),
            Self::BeingChecked(_) => Some(BEING_CHECKED.to_owned()),
            Self::TooMany { wait_s } => Some(format!("Too many tries. Wait {wait_s} seconds and try again.")),
            Self::OtherHost(host) => Some(format!(
                "This shop does not answer for \u{2018}{host}\u{2019}. Open an address that it printed at its start, \
                 or start it with the option --name for this host."
            )),
            Self::SignInFirst | Self::TooLarge | Self::Internal(_) => None,
        }
    }
}

/// How long to wait where too many wait for the same work.
const CROWDED_S: u64 = 5;

impl From<askama::Error> for Error {
    fn from(cause: askama::Error) -> Self {
        Self::internal(cause)
    }
}

/// What is said of an upload that ended too early, or is none.
const BROKEN: &str = "What was sent could not be read to its end. Nothing was saved. Send it again.";

impl From<MultipartError> for Error {
    fn from(error: MultipartError) -> Self {
        // Any other fault is the sender's too: a connection that broke off, or a body that is no form.
        if error.status() == StatusCode::PAYLOAD_TOO_LARGE {
            Self::TooLarge
        } else {
            Self::BadRequest(BROKEN.to_owned())
        }
    }
}

impl From<store::Error> for Error {
    fn from(error: store::Error) -> Self {
        match error {
            store::Error::NotFound(_) => Self::NotFound("thing"),
            store::Error::NoSuchJob => Self::NotFound("job"),
            store::Error::NotOpen(state) => Self::Conflict(state.refusal().unwrap_or_default().to_owned()),
            store::Error::Stale(_)
            | store::Error::Gone(_)
            | store::Error::LastManager
            | store::Error::InUse { .. }
            | store::Error::RecordDiffers(_) => Self::Conflict(sentence(&error)),
            store::Error::Crowded(_) => Self::TooMany { wait_s: CROWDED_S },
            store::Error::Faults(_) => Self::BadRequest(sentence(&error)),
            inside => Self::internal(inside),
        }
    }
}

/// The text of an error as a sentence.
fn sentence(error: &store::Error) -> String {
    format!("Refused: {error}.")
}

/// What an error response gives the error page to show.
#[derive(Debug, Clone)]
pub(super) struct Words(pub(super) String);

/// The page to go back to after the passphrase, which the error page asks for.
#[derive(Debug, Clone)]
pub(super) struct AskPassphrase(pub(super) String);

/// The page of a job that waits for its check, or did not keep what was sent.
#[derive(Debug, Clone)]
pub(super) struct StateOf(pub(super) JobId);

/// After how many seconds a page that waits for a check is loaded again.
const AGAIN_S: u64 = 2;

/// Why a page of a heavy job is not shown yet.
const BEING_CHECKED: &str = "This plan is large, and its check is not finished. The page opens by itself after the check. \
     If you sent something, look at the page before you send it again.";

/// Why the passphrase is needed.
const PASSPHRASE_FIRST: &str = "This needs your passphrase, because you switched to this tablet with a PIN. \
     Nothing is changed yet.";

impl IntoResponse for Error {
    fn into_response(self) -> Response {
        if let Self::Internal(cause) = &self {
            tracing::error!(error = %cause, detail = ?cause, "request failed");
        }
        let mut response = self.status().into_response();
        if let Some(words) = self.words() {
            response.extensions_mut().insert(Words(words));
        }
        match self {
            Self::TooMany { wait_s } => {
                response.headers_mut().insert(header::RETRY_AFTER, wait_s.into());
            }
            Self::BeingChecked(job) => {
                response.headers_mut().insert(header::RETRY_AFTER, AGAIN_S.into());
                response.headers_mut().insert(header::REFRESH, AGAIN_S.into());
                response.extensions_mut().insert(StateOf(job));
            }
            Self::PassphraseFirst { back } => {
                response.extensions_mut().insert(AskPassphrase(back));
            }
            _ => {}
        }
        response
    }
}
