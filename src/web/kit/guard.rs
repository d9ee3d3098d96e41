//! Who may pass: the one file that asks [`Access`](crate::shop::access::Access) before a handler runs.

use axum::extract::{RawPathParams, Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, Uri, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};

use super::frame::Frame;
use super::user::CurrentUser;
use super::{AppState, Error, back, heavy};
use crate::shop::access::{OnJob, Refused};
use crate::shop::role::{Permission, Role};
use crate::store::{JobId, job_state};

/// What a route needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Needs {
    /// No sign-in.
    Anyone,
    /// Somebody signed in who may do this action.
    May(Permission),
}

impl From<Permission> for Needs {
    fn from(action: Permission) -> Self {
        Self::May(action)
    }
}

/// Lets a request through to its handler, or refuses it with a reason. A route whose address names a job is checked
/// for that job here, so that no handler can forget it.
pub async fn admit(
    State((app, needs)): State<(AppState, Needs)>,
    named: RawPathParams,
    frame: Frame,
    request: Request,
    next: Next,
) -> Response {
    // The body is not looked at, and must not be shared while the database answers.
    let (mut head, body) = request.into_parts();
    match admitted(&app, needs, &named, &frame, &head).await {
        Ok(job) => {
            head.extensions.insert(Frame { job, ..frame });
            kept(needs, heavy::answer(&app, job, Request::from_parts(head, body), next).await)
        }
        Err(Error::SignInFirst) if head.method == Method::GET => {
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

/// The job that the request is about, if its address names one, after every check.
async fn admitted(
    app: &AppState,
    needs: Needs,
    named: &RawPathParams,
    frame: &Frame,
    head: &Parts,
) -> Result<Option<OnJob<JobId>>, Error> {
    let Needs::May(action) = needs else {
        made_here(&head.headers, frame.user.as_ref())?;
        return Ok(None);
    };
    let user = frame.user.as_ref().ok_or(Error::SignInFirst)?;
    let job = named_job(app, named).await?;
    let looks = [Method::GET, Method::HEAD].contains(&head.method);
    let access = user.access();
    let verdict = if looks { access.may_open(action, job) } else { access.may(action, job) };
    verdict.map_err(|refused| error(refused, &head.headers))?;
    made_here(&head.headers, Some(user))?;
    Ok(job)
}

/// The job in the address. A job that does not exist is refused here, with the same answer as one that is not
/// theirs to see.
async fn named_job(app: &AppState, named: &RawPathParams) -> Result<Option<OnJob<JobId>>, Error> {
    let Some((_, number)) = named.iter().find(|(name, _)| *name == "job") else { return Ok(None) };
    let id: JobId = number.parse().map_err(|_| Error::NotFound("job"))?;
    let state = job_state::of(&mut *app.store().read().await?, id).await?;
    Ok(Some(OnJob { id, state: state.ok_or(Error::NotFound("job"))? }))
}

/// The answer to a refused request with these headers.
pub fn error(refused: Refused, headers: &HeaderMap) -> Error {
    match refused {
        Refused::Unseen => Error::NotFound("job"),
        Refused::Role(needed) => Error::NotAllowed(needed.word()),
        Refused::NotOpen(state) => Error::Conflict(state.refusal().unwrap_or_default().to_owned()),
        Refused::Passphrase => Error::PassphraseFirst { back: sent_from(headers) },
    }
}

/// The page that a form was sent from, to go back to.
fn sent_from(headers: &HeaderMap) -> String {
    let from = headers.get(header::REFERER).and_then(|from| from.to_str().ok()?.parse::<Uri>().ok());
    let path = from.as_ref().and_then(Uri::path_and_query).map_or("/", |path| path.as_str());
    back::path(path).to_owned()
}

/// The number of the person who made an event, for an event that a tablet kept while there was no network.
const MADE_BY: HeaderName = HeaderName::from_static("x-made-by");

/// Prevents that an event is stored under the name of a person who took over the tablet later.
fn made_here(headers: &HeaderMap, user: Option<&CurrentUser>) -> Result<(), Error> {
    let Some(made_by) = headers.get(MADE_BY) else { return Ok(()) };
    let same = user.is_some_and(|user| made_by.as_bytes() == user.person().id.to_string().as_bytes());
    if same { Ok(()) } else { Err(Error::SignInFirst) }
}

/// Pages that only a manager sees are never kept by a browser, because tablets are shared.
fn kept(needs: Needs, mut response: Response) -> Response {
    if matches!(needs, Needs::May(action) if action.least() == Role::Manager) {
        response.headers_mut().insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    response
}

/// The sign-in page, which then leads back to the requested page.
fn sign_in_address(path: &str) -> String {
    match serde_urlencoded::to_string([("next", path)]) {
        Ok(query) if path != "/" => format!("/sign-in?{query}"),
        _ => "/sign-in".to_owned(),
    }
}
