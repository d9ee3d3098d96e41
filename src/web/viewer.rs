//! Who looks at a page: the person behind the cookie, looked up once for each request.

use axum::extract::{Request, State};
use axum::middleware::Next;
use axum::response::Response;

use super::AppState;
use super::page::Frame;
use super::theme::Theme;

/// What a person may do; each may do what the ones before may.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Looks.
    Reader,
    /// Ticks and measures.
    Apprentice,
    /// Does everything on a job.
    Technician,
    /// Prices, people, releases of what stops a job, deleting.
    Owner,
}

impl Role {
    /// The role in a word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Reader => "reader",
            Self::Apprentice => "apprentice",
            Self::Technician => "technician",
            Self::Owner => "owner",
        }
    }
}

/// The person signed in.
#[derive(Debug, Clone)]
pub struct Viewer {
    /// Name of the person.
    pub name: String,
    /// What the person may do.
    pub role: Role,
}

impl Viewer {
    /// Whether the person may do what only the owner may.
    pub fn is_owner(&self) -> bool {
        self.role == Role::Owner
    }
}

/// Puts what is known of the request around it: who, which theme, which shop.
pub async fn identify(State(_state): State<AppState>, mut request: Request, next: Next) -> Response {
    if request.uri().path().starts_with("/static/") {
        return next.run(request).await;
    }
    let path = request.uri().path_and_query().map_or("/", |path| path.as_str()).to_owned();
    let frame = Frame { theme: Theme::asked(&request), path, ..Frame::default() };
    request.extensions_mut().insert(frame);
    next.run(request).await
}
