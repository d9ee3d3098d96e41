//! Who looks at a page: the person behind the cookie, looked up once for each request.

use axum::extract::{FromRequestParts, Request, State};
use axum::http::request::Parts;
use axum::middleware::Next;
use axum::response::Response;

use super::page::Frame;
use super::theme::Theme;
use super::{AppState, Error};
use crate::job::value::Name;
use crate::shop::role::Role;
use crate::store::{Actor, PersonId};

/// The person signed in.
#[derive(Debug, Clone)]
pub struct Viewer {
    /// The person.
    pub person: PersonId,
    /// Name of the person.
    pub name: Name,
    /// What the person may do.
    pub role: Role,
}

impl Viewer {
    /// The person as the store's log names whoever changes something.
    pub fn actor(&self) -> Actor {
        Actor { person: Some(self.person), name: self.name.clone() }
    }
}

impl<S: Sync> FromRequestParts<S> for Viewer {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Error> {
        parts.extensions.get::<Frame>().and_then(|frame| frame.viewer.clone()).ok_or(Error::SignInFirst)
    }
}

/// Puts what is known of the request around it: who, which theme, which shop.
pub async fn identify(State(state): State<AppState>, mut request: Request, next: Next) -> Response {
    if request.uri().path().starts_with("/static/") {
        return next.run(request).await;
    }
    let path = request.uri().path_and_query().map_or("/", |path| path.as_str()).to_owned();
    let frame = Frame { theme: Theme::asked(&request), now: state.now(), path, ..Frame::default() };
    request.extensions_mut().insert(frame);
    next.run(request).await
}
