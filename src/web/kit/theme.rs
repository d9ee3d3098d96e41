//! Light for the deck, dark for below it. The device's setting applies unless somebody chose.

use axum::http::HeaderMap;
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;
use axum_extra::extract::cookie::{Cookie, SameSite};

use super::form::Form;
use super::{Error, back};

/// Name of the cookie.
const COOKIE: &str = "theme";

/// The color set of a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Theme {
    /// The device's setting.
    #[default]
    Device,
    /// Black on warm white.
    Light,
    /// For below the deck and for the night.
    Dark,
}

impl Theme {
    /// The theme's key in pages and in the cookie.
    pub fn word(self) -> &'static str {
        match self {
            Self::Device => "device",
            Self::Light => "light",
            Self::Dark => "dark",
        }
    }

    /// The theme's name on a button.
    pub fn title(self) -> &'static str {
        match self {
            Self::Device => "device setting",
            Self::Light => "Daylight",
            Self::Dark => "Dark",
        }
    }

    /// The theme that a button offers next.
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

    /// The theme in a request's cookie.
    pub fn asked(jar: &CookieJar) -> Self {
        jar.get(COOKIE).and_then(|cookie| Self::from_word(cookie.value())).unwrap_or_default()
    }
}

/// Stores the chosen theme in the cookie and goes back to the page.
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
