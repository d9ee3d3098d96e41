//! The person who is signed in on the device that sent a request.

use axum::extract::FromRequestParts;
use axum::http::request::Parts;

use super::Error;
use crate::job::value::Name;
use crate::shop::role::Role;
use crate::store::Actor;
use crate::store::people::Person;
use crate::store::sign_in::SignedIn;

/// A signed-in person, with the device.
#[derive(Debug, Clone)]
pub struct CurrentUser(SignedIn);

impl CurrentUser {
    /// The user of this sign-in.
    pub fn new(signed_in: SignedIn) -> Self {
        Self(signed_in)
    }

    /// The person.
    pub fn person(&self) -> &Person {
        &self.0.person
    }

    /// Name of the person.
    pub fn name(&self) -> &Name {
        &self.0.person.name
    }

    /// The person's role in the shop.
    pub fn role(&self) -> Role {
        self.0.person.role
    }

    /// The sign-in of the device.
    pub fn sign_in(&self) -> &SignedIn {
        &self.0
    }

    /// The person as the log names them.
    pub fn actor(&self) -> Actor {
        self.0.person.actor()
    }
}

impl<S: Sync> FromRequestParts<S> for CurrentUser {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Error> {
        parts.extensions.get::<Self>().cloned().ok_or(Error::SignInFirst)
    }
}
