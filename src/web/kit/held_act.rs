//! An act that waits for the passphrase: a form that was refused because the session began with a PIN.
//!
//! The form is kept in memory as it was sent. When its sender gives the passphrase, it goes on as if it were sent
//! then, so nobody types anything twice. No page contains it, because a form may have a passphrase in it.

use std::fmt;
use std::time::Duration;

use axum::body::{Body, Bytes};
use axum::extract::Request;
use axum::http::{Extensions, HeaderMap, HeaderValue, Method, Uri, header};
use moka::future::Cache;
use uuid::Uuid;

use crate::store::SignInId;

/// How long an act waits.
const KEPT: Duration = Duration::from_secs(15 * 60);
/// How many acts wait at most, of the whole shop. Each sign-in has one.
const MOST: u64 = 64;

/// The acts that wait, each by the sign-in of its sender. A newer one of the same sign-in takes the place of an older
/// one.
pub struct HeldActs(Cache<SignInId, HeldAct>);

/// On an answer: the act that waits for the passphrase.
#[derive(Debug, Clone, Copy)]
pub(super) struct Waits(pub(super) Uuid);

/// On an answer: the passphrase was given, and this act goes on.
#[derive(Debug, Clone)]
pub struct GoesOn {
    /// The act.
    pub act: Uuid,
    /// The sign-in that gave the passphrase.
    pub sign_in: SignInId,
    /// The cookies of the browser, with the new one of the sign-in.
    pub cookies: String,
}

/// A form as it was sent.
#[derive(Clone)]
pub(super) struct HeldAct {
    pub(super) id: Uuid,
    pub(super) method: Method,
    pub(super) uri: Uri,
    pub(super) headers: HeaderMap,
    pub(super) body: Bytes,
}

impl Default for HeldActs {
    fn default() -> Self {
        Self(Cache::builder().max_capacity(MOST).time_to_live(KEPT).build())
    }
}

impl fmt::Debug for HeldActs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("HeldActs").field(&self.0.entry_count()).finish()
    }
}

impl HeldActs {
    /// Whether an act of a sign-in still waits.
    pub async fn has(&self, sign_in: SignInId, act: Uuid) -> bool {
        self.0.get(&sign_in).await.is_some_and(|held| held.id == act)
    }

    pub(super) async fn keep(&self, sign_in: SignInId, act: HeldAct) {
        self.0.insert(sign_in, act).await;
    }

    pub(super) async fn take(&self, go: &GoesOn) -> Option<HeldAct> {
        if !self.has(go.sign_in, go.act).await {
            return None;
        }
        self.0.remove(&go.sign_in).await
    }
}

impl HeldAct {
    /// The same form with other cookies, sent over the connection that has these extensions.
    pub(super) fn again(self, cookies: &str, extensions: Extensions) -> Request {
        let mut request = Request::new(Body::from(self.body));
        (*request.method_mut(), *request.uri_mut(), *request.headers_mut()) =
            (self.method, self.uri, self.headers);
        *request.extensions_mut() = extensions;
        if let Ok(cookies) = HeaderValue::from_str(cookies) {
            request.headers_mut().insert(header::COOKIE, cookies);
        }
        request
    }
}
