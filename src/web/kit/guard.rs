//! Who may pass: the one file that compares a user with the least role of a route.

use axum::extract::{Request, State};
use axum::http::{HeaderName, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use super::Error;
use super::frame::Frame;
use super::user::CurrentUser;
use crate::shop::role::Role;

/// The least that a route requires.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Least {
    /// No sign-in needed.
    Anyone,
    /// Somebody signed in with this role or a higher one.
    AtLeast(Role),
}

impl From<Role> for Least {
    fn from(role: Role) -> Self {
        Self::AtLeast(role)
    }
}

/// Lets a request through to its handler, or refuses it with a reason.
pub async fn admit(State(least): State<Least>, frame: Frame, request: Request, next: Next) -> Response {
    let verdict = verdict(least, frame.user.as_ref().map(CurrentUser::role));
    match verdict.and_then(|()| made_here(&request, frame.user.as_ref())) {
        Ok(()) => kept(least, next.run(request).await),
        Err(Error::SignInFirst) if request.method() == Method::GET => {
            Redirect::to(&sign_in_address(&frame.path)).into_response()
        }
        Err(refusal) => {
            if let Some(user) = &frame.user {
                tracing::warn!(person = %user.name(), role = %user.role(), %refusal, "refused");
            }
            refusal.into_response()
        }
    }
}

/// The number of the person who made an event, for an event that a tablet kept while there was no network.
const MADE_BY: HeaderName = HeaderName::from_static("x-made-by");

/// Prevents that an event is stored under the name of a person who took over the tablet later.
fn made_here(request: &Request, user: Option<&CurrentUser>) -> Result<(), Error> {
    let Some(made_by) = request.headers().get(MADE_BY) else { return Ok(()) };
    let same = user.is_some_and(|user| made_by.as_bytes() == user.person().id.to_string().as_bytes());
    if same { Ok(()) } else { Err(Error::SignInFirst) }
}

/// Pages that only a manager sees are never kept by a browser, because tablets are shared.
fn kept(least: Least, mut response: Response) -> Response {
    if least == Least::AtLeast(Role::Manager) {
        response.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}

fn verdict(least: Least, role: Option<Role>) -> Result<(), Error> {
    match (least, role) {
        (Least::Anyone, _) => Ok(()),
        (Least::AtLeast(_), None) => Err(Error::SignInFirst),
        (Least::AtLeast(needed), Some(role)) if role >= needed => Ok(()),
        (Least::AtLeast(needed), Some(_)) => Err(Error::NotAllowed(needed.word())),
    }
}

/// The sign-in page, which then leads back to the requested page.
fn sign_in_address(path: &str) -> String {
    match serde_urlencoded::to_string([("next", path)]) {
        Ok(query) if path != "/" => format!("/sign-in?{query}"),
        _ => "/sign-in".to_owned(),
    }
}
