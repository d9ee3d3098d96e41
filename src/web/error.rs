//! The one error of the web floor, and the one page that shows it.
//!
//! An [`Error`] becomes a bare response that carries what may be said; [`show`] sits around every
//! handler and turns it, and whatever the router or an extractor refused by itself, into the page.

use askama::Template;
use axum::extract::Request;
use axum::http::{StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::page::{Frame, TitleBlock, html};
use crate::store;

/// What a handler may answer instead of a page.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// No such thing; the word says what kind of thing was looked for.
    #[error("no such {0}")]
    NotFound(&'static str),
    /// The user has to sign in first.
    #[error("not signed in")]
    SignInFirst,
    /// The user's role does not allow this.
    #[error("role does not allow this: {0}")]
    NotAllowed(&'static str),
    /// The request is not one a page of this program sends; the text says what was expected.
    #[error("bad request: {0}")]
    BadRequest(String),
    /// It does not go with what is there now.
    #[error("conflict: {0}")]
    Conflict(String),
    /// Tried too often.
    #[error("too many tries")]
    TooMany {
        /// How long to wait.
        wait_s: u64,
    },
    /// Something broke inside; logged, never shown.
    #[error("internal: {0}")]
    Internal(Box<dyn std::error::Error + Send + Sync>),
}

impl Error {
    /// An error of the program's own.
    pub fn internal(cause: impl Into<Box<dyn std::error::Error + Send + Sync>>) -> Self {
        Self::Internal(cause.into())
    }

    /// The status that goes with it.
    pub fn status(&self) -> StatusCode {
        match self {
            Self::NotFound(_) => StatusCode::NOT_FOUND,
            Self::SignInFirst => StatusCode::UNAUTHORIZED,
            Self::NotAllowed(_) => StatusCode::FORBIDDEN,
            Self::BadRequest(_) => StatusCode::BAD_REQUEST,
            Self::Conflict(_) => StatusCode::CONFLICT,
            Self::TooMany { .. } => StatusCode::TOO_MANY_REQUESTS,
            Self::Internal(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// What the page may say of it, where it has more to say than its status.
    fn words(&self) -> Option<String> {
        match self {
            Self::NotFound(what) => Some(format!("There is no such {what} here. It may have been removed.")),
            Self::NotAllowed(needed) => {
                Some(format!("This takes {needed}. Ask somebody who may, or switch to another person."))
            }
            Self::BadRequest(why) | Self::Conflict(why) => Some(why.clone()),
            Self::TooMany { wait_s } => Some(format!("Too many tries. Wait {wait_s} seconds and try again.")),
            Self::SignInFirst | Self::Internal(_) => None,
        }
    }
}

impl From<askama::Error> for Error {
    fn from(cause: askama::Error) -> Self {
        Self::internal(cause)
    }
}

impl From<store::Error> for Error {
    fn from(error: store::Error) -> Self {
        match error {
            store::Error::NotFound(_) => Self::NotFound("thing"),
            store::Error::NoSuchJob => Self::NotFound("job"),
            store::Error::Stale(_)
            | store::Error::Gone(_)
            | store::Error::LastManager
            | store::Error::InUse { .. }
            | store::Error::RecordDiffers(_) => Self::Conflict(sentence(&error)),
            store::Error::Faults(_) => Self::BadRequest(sentence(&error)),
            inside => Self::internal(inside),
        }
    }
}

/// An error's own words as a sentence.
fn sentence(error: &store::Error) -> String {
    format!("Refused: {error}.")
}

/// What an error response lets the page say.
#[derive(Debug, Clone)]
struct Words(String);

impl IntoResponse for Error {
    fn into_response(self) -> Response {
        if let Self::Internal(cause) = &self {
            tracing::error!(error = %cause, detail = ?cause, "request failed");
        }
        let mut response = self.status().into_response();
        if let Some(words) = self.words() {
            response.extensions_mut().insert(Words(words));
        }
        if let Self::TooMany { wait_s } = self {
            response.headers_mut().insert(header::RETRY_AFTER, wait_s.into());
        }
        response
    }
}

#[derive(Template)]
#[template(path = "error.html")]
struct Page {
    title_block: TitleBlock,
    words: String,
    request: Option<String>,
}

/// Gives every refusal that has no page of its own the error page.
pub async fn show(frame: Frame, request: Request, next: Next) -> Response {
    let id = number(&request);
    let response = next.run(request).await;
    page(frame, id, response)
}

/// The number under which the log tells of a request.
pub fn number(request: &Request) -> Option<String> {
    request.headers().get("x-request-id").and_then(|id| id.to_str().ok()).map(str::to_owned)
}

/// Gives one answer the error page, where it refuses something and has no page of its own.
pub fn page(frame: Frame, id: Option<String>, response: Response) -> Response {
    let status = response.status();
    if !(status.is_client_error() || status.is_server_error()) || has_page(&response) {
        return response;
    }
    let words = match response.extensions().get::<Words>() {
        Some(Words(words)) => words.clone(),
        None => status_words(status).to_owned(),
    };
    let page = Page {
        title_block: frame.title_block(title(status)),
        words,
        request: id.filter(|_| status.is_server_error()),
    };
    match html(&page) {
        Ok(page) => {
            let mut shown = (status, page).into_response();
            for kept in [header::ALLOW, header::RETRY_AFTER] {
                if let Some(value) = response.headers().get(&kept) {
                    shown.headers_mut().insert(kept, value.clone());
                }
            }
            shown
        }
        Err(_) => response,
    }
}

fn has_page(response: &Response) -> bool {
    response.headers().get(header::CONTENT_TYPE).is_some_and(|kind| {
        let kind = kind.as_bytes();
        kind.starts_with(b"text/html") || kind.starts_with(b"application/json")
    })
}

fn title(status: StatusCode) -> &'static str {
    match status {
        StatusCode::NOT_FOUND => "Not found",
        StatusCode::UNAUTHORIZED => "Sign in first",
        StatusCode::FORBIDDEN => "Not allowed",
        StatusCode::METHOD_NOT_ALLOWED => "Not done this way",
        StatusCode::CONFLICT => "Not as things stand",
        StatusCode::PAYLOAD_TOO_LARGE => "Too large",
        StatusCode::TOO_MANY_REQUESTS => "Too many tries",
        StatusCode::REQUEST_TIMEOUT => "Took too long",
        other if other.is_server_error() => "Something broke",
        _ => "Not understood",
    }
}

fn status_words(status: StatusCode) -> &'static str {
    match status {
        StatusCode::NOT_FOUND => "Nothing is kept at this address.",
        StatusCode::UNAUTHORIZED => "This page is for the people of the shop.",
        StatusCode::FORBIDDEN => {
            "The request did not come from a page of this shop, so it was refused. Go back, reload the page and try again."
        }
        StatusCode::METHOD_NOT_ALLOWED => "This address does not take that kind of request.",
        StatusCode::PAYLOAD_TOO_LARGE => "What was sent is larger than this page takes.",
        StatusCode::REQUEST_TIMEOUT => {
            "The answer took too long, so it was given up. Nothing half done was kept."
        }
        other if other.is_server_error() => {
            "The program could not finish this. What was saved before is safe; the cause is in the program's log."
        }
        _ => "The request could not be read. Go back, reload the page and try again.",
    }
}

/// The answer to an address nobody knows.
pub async fn unknown_address() -> StatusCode {
    StatusCode::NOT_FOUND
}
