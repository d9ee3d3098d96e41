//! The cookie of a signed-in browser.

use axum::http::{HeaderMap, header};
use axum_extra::extract::CookieJar;
use axum_extra::extract::cookie::{Cookie, SameSite};

use crate::store::Token;

/// With TLS, the name binds the cookie to this host and path, so a browser accepts it from no other host.
fn name(secure: bool) -> &'static str {
    if secure { "__Host-sign-in" } else { "sign-in" }
}

/// The token that the browser sent, if it could be one of ours.
pub fn token(jar: &CookieJar, secure: bool) -> Option<Token> {
    jar.get(name(secure))?.value().parse().ok()
}

/// Whether an answer gives or removes the cookie.
pub fn is_changed(answer: &HeaderMap, secure: bool) -> bool {
    let own = format!("{}=", name(secure));
    answer.get_all(header::SET_COOKIE).iter().any(|cookie| cookie.as_bytes().starts_with(own.as_bytes()))
}

/// The cookie that gives a browser its token. It ends when the browser is closed; the server ends it earlier.
pub fn give(token: &Token, secure: bool) -> Cookie<'static> {
    bare(token.reveal(), secure)
}

/// The cookie that removes the token.
pub fn take(secure: bool) -> Cookie<'static> {
    let mut cookie = bare(String::new(), secure);
    cookie.make_removal();
    cookie
}

fn bare(value: String, secure: bool) -> Cookie<'static> {
    Cookie::build((name(secure), value))
        .path("/")
        .http_only(true)
        .same_site(SameSite::Lax)
        .secure(secure)
        .build()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn with_tls_the_cookie_is_bound_to_this_host() {
        let token: Token = "0f".repeat(32).parse().unwrap();
        let cookie = give(&token, true).to_string();
        assert!(cookie.starts_with("__Host-sign-in=0f0f"), "{cookie}");
        for part in ["HttpOnly", "SameSite=Lax", "Secure", "Path=/"] {
            assert!(cookie.contains(part), "{cookie}");
        }
        assert!(!cookie.contains("Domain"), "{cookie}");
        assert!(!give(&token, false).to_string().contains("Secure"));
    }
}
