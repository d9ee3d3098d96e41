//! Light for the deck, dark for under it: the device's own setting unless somebody chose.

use axum::http::HeaderMap;
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;
use axum_extra::extract::cookie::{Cookie, SameSite};

use super::form::Form;
use super::{Error, back};

/// Name of the cookie.
const COOKIE: &str = "theme";

/// Which set of colors a page is drawn in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Theme {
    /// What the device asks for.
    #[default]
    Device,
    /// Black on warm white.
    Light,
    /// For under the deck and for the night.
    Dark,
}

impl Theme {
    /// The theme as the page and the cookie write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Device => "device",
            Self::Light => "light",
            Self::Dark => "dark",
        }
    }

    /// The theme as a button says it.
    pub fn title(self) -> &'static str {
        match self {
            Self::Device => "Device’s own light",
            Self::Light => "Daylight",
            Self::Dark => "Dark",
        }
    }

    /// The theme a button offers next.
    pub fn next(self) -> Self {
        match self {
            Self::Device => Self::Dark,
            Self::Dark => Self::Light,
            Self::Light => Self::Device,
        }
    }

    fn from_word(word: &str) -> Option<Self> {
        [Self::Device, Self::Light, Self::Dark].into_iter().find(|theme| theme.word() == word)
    }

    /// The theme a request asks for by its cookie.
    pub fn asked(jar: &CookieJar) -> Self {
        jar.get(COOKIE).and_then(|cookie| Self::from_word(cookie.value())).unwrap_or_default()
    }
}

/// Keeps the theme chosen and goes back to the page.
pub async fn choose(headers: HeaderMap, form: Form) -> Result<Response, Error> {
    let theme = Theme::from_word(form.typed("theme"))
        .ok_or_else(|| Error::BadRequest("Expected a theme: device, light or dark.".to_owned()))?;
    let cookie = Cookie::build((COOKIE, theme.word()))
        .path("/")
        .same_site(SameSite::Lax)
        .http_only(true)
        .permanent()
        .build();
    let jar = CookieJar::from_headers(&headers).add(cookie);
    Ok((jar, Redirect::to(back::path(form.typed("back")))).into_response())
}
