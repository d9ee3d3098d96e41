//! The one page that shows an error. It wraps every handler: it shows each [`Error`](super::Error), and each
//! refusal of the router or an extractor.

use askama::Template;
use axum::extract::Request;
use axum::http::{Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::error::{AskPassphrase, StateOf, Words};
use super::form::Form;
use super::frame::Frame;
use super::held_act::Waits;
use super::page::{TitleBlock, html};

#[derive(Template)]
#[template(path = "error.html")]
struct Page {
    title_block: TitleBlock,
    words: String,
    request: Option<String>,
    /// The form for the passphrase, with the page to go back to.
    passphrase: Option<Form>,
    /// The address of the job's state, where a job is put aside or deleted without its check.
    state: Option<String>,
}

/// Shows the error page for each refusal that has no page of its own.
pub async fn show(frame: Frame, request: Request, next: Next) -> Response {
    let id = number(&request);
    let looks = [Method::GET, Method::HEAD].contains(request.method());
    let mut response = next.run(request).await;
    if !looks {
        // Loading the address of a form again would not send the form.
        response.headers_mut().remove(header::REFRESH);
    }
    page(frame, id, response)
}

/// The number of a request in the log.
pub fn number(request: &Request) -> Option<String> {
    request.headers().get("x-request-id").and_then(|id| id.to_str().ok()).map(str::to_owned)
}

/// Turns one answer into the error page, if it is a refusal without a page of its own.
pub fn page(frame: Frame, id: Option<String>, response: Response) -> Response {
    let status = response.status();
    if !(status.is_client_error() || status.is_server_error()) || has_page(&response) {
        return response;
    }
    let words = match response.extensions().get::<Words>() {
        Some(Words(words)) => words.clone(),
        None => status_words(status).to_owned(),
    };
    let passphrase = response.extensions().get::<AskPassphrase>();
    let passphrase = passphrase.map(|AskPassphrase(back)| {
        let mut form = Form::filled([("back", back)]);
        form.put("act", response.extensions().get::<Waits>().map(|Waits(act)| act));
        form
    });
    let page = Page {
        title_block: frame.title_block(if passphrase.is_some() {
            "Enter your passphrase"
        } else {
            title(status)
        }),
        words,
        passphrase,
        request: id
            .filter(|_| status.is_server_error() && response.headers().get(header::RETRY_AFTER).is_none()),
        state: response.extensions().get::<StateOf>().map(|StateOf(job)| format!("/jobs/{job}/state")),
    };
    match html(&page) {
        Ok(page) => {
            let mut shown = (status, page).into_response();
            for kept in [header::ALLOW, header::RETRY_AFTER, header::REFRESH, header::SET_COOKIE] {
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
        StatusCode::METHOD_NOT_ALLOWED => "Method not allowed",
        StatusCode::CONFLICT => "Conflict",
        StatusCode::PAYLOAD_TOO_LARGE | StatusCode::REQUEST_HEADER_FIELDS_TOO_LARGE => "Too large",
        StatusCode::MISDIRECTED_REQUEST => "Another host",
        StatusCode::TOO_MANY_REQUESTS => "Too many tries",
        StatusCode::REQUEST_TIMEOUT => "Timed out",
        StatusCode::SERVICE_UNAVAILABLE => "Being checked",
        other if other.is_server_error() => "Internal error",
        _ => "Bad request",
    }
}

fn status_words(status: StatusCode) -> &'static str {
    match status {
        StatusCode::NOT_FOUND => "There is no page at this address.",
        StatusCode::UNAUTHORIZED => "This page is for the people of the shop.",
        StatusCode::FORBIDDEN => {
            "The request did not come from a page of this shop, so it was refused. Go back, reload the page and try again."
        }
        StatusCode::METHOD_NOT_ALLOWED => "This address does not take that kind of request.",
        StatusCode::PAYLOAD_TOO_LARGE => "The data sent is larger than this page accepts.",
        StatusCode::REQUEST_TIMEOUT => "The answer took too long and was stopped. Nothing was partly saved.",
        other if other.is_server_error() => {
            "The program could not finish this. What was saved before is safe; the cause is in the program's log."
        }
        _ => "The request could not be read. Go back, reload the page and try again.",
    }
}

/// The answer to an unknown address.
pub async fn unknown_address() -> StatusCode {
    StatusCode::NOT_FOUND
}
