//! The person who is signed in on the device that sent a request.

use axum::extract::FromRequestParts;
use axum::http::request::Parts;

use super::Error;
use crate::job::value::Name;
use crate::shop::access::Access;
use crate::shop::role::Role;
use crate::store::people::Person;
use crate::store::sign_in::SignedIn;
use crate::store::{Actor, JobId};

/// A signed-in person, with the device, and what they may see and do.
#[derive(Debug, Clone)]
pub struct CurrentUser {
    signed_in: SignedIn,
    access: Access<JobId>,
}

impl CurrentUser {
    /// The user of this sign-in.
    pub fn new(signed_in: SignedIn, access: Access<JobId>) -> Self {
        Self { signed_in, access }
    }

    /// What the person may see and do.
    pub fn access(&self) -> &Access<JobId> {
        &self.access
    }

    /// The person.
    pub fn person(&self) -> &Person {
        &self.signed_in.person
    }

    /// Name of the person.
    pub fn name(&self) -> &Name {
        &self.signed_in.person.name
    }

    /// The person's role in the shop.
    pub fn role(&self) -> Role {
        self.signed_in.person.role
    }

    /// The sign-in of the device.
    pub fn sign_in(&self) -> &SignedIn {
        &self.signed_in
    }

    /// The person as the log names them.
    pub fn actor(&self) -> Actor {
        self.signed_in.person.actor()
    }
}

impl<S: Sync> FromRequestParts<S> for CurrentUser {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Error> {
        parts.extensions.get::<Self>().cloned().ok_or(Error::SignInFirst)
    }
}
