//! The address of the program, for links that leave it: on a QR code or a label.

use std::convert::Infallible;

use axum::extract::FromRequestParts;
use axum::http::header;
use axum::http::request::Parts;

use super::AppState;

/// The scheme and host of the request; `None` if its host cannot be part of an address.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Origin(Option<String>);

impl Origin {
    /// A path of this program as a full address.
    pub fn address(&self, path: &str) -> Option<String> {
        self.0.as_ref().map(|origin| format!("{origin}{path}"))
    }

    fn of(secure: bool, host: &str) -> Self {
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | ':' | '[' | ']');
        let scheme = if secure { "https" } else { "http" };
        Self((!host.is_empty() && host.chars().all(plain)).then(|| format!("{scheme}://{host}")))
    }
}

impl FromRequestParts<AppState> for Origin {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, app: &AppState) -> Result<Self, Infallible> {
        let host = parts.headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
        Ok(Self::of(app.secure(), host))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_leads_back_to_where_the_request_came_to() {
        let address = |secure, host| Origin::of(secure, host).address("/jobs/1");
        assert_eq!(address(false, "127.0.0.1:8640").as_deref(), Some("http://127.0.0.1:8640/jobs/1"));
        assert_eq!(address(true, "[fd00::7]:8640").as_deref(), Some("https://[fd00::7]:8640/jobs/1"));
        assert_eq!(address(false, ""), None);
        assert_eq!(address(false, "shop.local/elsewhere@"), None);
    }
}
