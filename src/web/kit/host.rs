//! The host that a request names, and the size of its head: checked before anything else is done with it.
//!
//! A page of another site can make its own name lead to this machine. Without this check, a browser would then take
//! that page for one of this program, and codes on labels would lead to that name.

use axum::extract::{Request, State};
use axum::http::{HeaderMap, StatusCode, Uri, header, uri::Authority};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::frame::Frame;
use super::{AppState, Error, error_page};
use crate::web::tls::Host;

/// The maximum size of a request head in bytes.
pub const HEAD_LIMIT: usize = 64 * 1024;

/// Lets a request through that names one host of this program in a head of a fair size.
pub async fn check(State(app): State<AppState>, request: Request, next: Next) -> Response {
    let refusal = if size(&request) > HEAD_LIMIT {
        StatusCode::REQUEST_HEADER_FIELDS_TOO_LARGE.into_response()
    } else {
        match named(request.headers(), request.uri()).and_then(|host| known(&app, host)) {
            Ok(()) => return next.run(request).await,
            Err(refusal) => refusal.into_response(),
        }
    };
    error_page::page(Frame::default(), None, refusal)
}

/// The size of a head as it was sent, but for its first and last few bytes.
fn size(request: &Request) -> usize {
    let fields =
        request.headers().iter().map(|(name, value)| name.as_str().len() + value.len() + ": \r\n".len());
    fields.sum::<usize>() + request.uri().path_and_query().map_or(0, |path| path.as_str().len())
}

/// The one host that a request names. Its address may name it too, but no other one.
fn named(headers: &HeaderMap, uri: &Uri) -> Result<Host, Error> {
    let mut given = headers.get_all(header::HOST).iter();
    let (Some(host), None) = (given.next(), given.next()) else {
        return Err(Error::BadRequest("A request names its host exactly once.".to_owned()));
    };
    let host = host.to_str().ok().and_then(|host| read(&host.parse().ok()?));
    let same = uri.authority().is_none_or(|authority| read(authority) == host);
    host.filter(|_| same)
        .ok_or_else(|| Error::BadRequest("The host of the request cannot be read.".to_owned()))
}

fn read(authority: &Authority) -> Option<Host> {
    let host = authority.host();
    let host = host.strip_prefix('[').and_then(|host| host.strip_suffix(']')).unwrap_or(host);
    let plain = !authority.as_str().contains('@');
    host.strip_suffix('.').unwrap_or(host).parse().ok().filter(|_| plain)
}

fn known(app: &AppState, host: Host) -> Result<(), Error> {
    match &app.setting().hosts {
        Some(hosts) if !hosts.has(&host) => Err(Error::OtherHost(host.to_string())),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn host(headers: &[&'static str], uri: &str) -> Result<String, String> {
        let mut map = HeaderMap::new();
        for host in headers {
            map.append(header::HOST, host.parse().unwrap());
        }
        named(&map, &uri.parse().unwrap()).map(|host| host.to_string()).map_err(|error| error.to_string())
    }

    #[test]
    fn a_request_names_its_host_once() {
        assert_eq!(host(&["Shop.Local:8640"], "/"), Ok("shop.local".to_owned()));
        assert_eq!(host(&["shop.local."], "/"), Ok("shop.local".to_owned()));
        assert_eq!(host(&["[fd00::7]:8640"], "/"), Ok("fd00::7".to_owned()));
        assert_eq!(host(&["192.168.1.10"], "http://192.168.1.10/x"), Ok("192.168.1.10".to_owned()));
        let wrong: [&[&'static str]; 5] =
            [&[], &["shop.local", "shop.local"], &[""], &["shop.local/x"], &["me@shop.local"]];
        for headers in wrong {
            assert!(host(headers, "/").is_err(), "{headers:?}");
        }
        assert!(host(&["shop.local"], "http://elsewhere.test/").is_err(), "two hosts");
    }
}
