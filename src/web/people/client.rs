//! Where a request comes from: its address, and the name its browser gives.

use std::convert::Infallible;
use std::net::{IpAddr, SocketAddr};

use axum::extract::{ConnectInfo, FromRequestParts};
use axum::http::request::Parts;
use axum::http::{HeaderMap, header};

use crate::web::kit::AppState;

/// The other end of a request.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Client {
    /// Its address, from the reverse proxy if there is one.
    pub address: String,
    /// Its device in plain text: `Firefox on Android`.
    pub device: String,
}

impl FromRequestParts<AppState> for Client {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, app: &AppState) -> Result<Self, Infallible> {
        let peer = parts.extensions.get::<ConnectInfo<SocketAddr>>().map(|known| known.0.ip());
        let address = peer.map(|peer| address(peer, app.setting().proxy, &parts.headers));
        let agent = parts.headers.get(header::USER_AGENT).and_then(|agent| agent.to_str().ok());
        Ok(Self {
            address: address.map_or_else(|| "unknown".to_owned(), |known| known.to_string()),
            device: device(agent.unwrap_or_default()),
        })
    }
}

/// The address that a request comes from. A header can be forged, so only the header of the named proxy counts, and
/// only its last address, which the proxy itself added.
fn address(peer: IpAddr, proxy: Option<IpAddr>, headers: &HeaderMap) -> IpAddr {
    let peer = peer.to_canonical();
    if proxy != Some(peer) {
        return peer;
    }
    let forwarded = headers.get_all("x-forwarded-for").iter().next_back();
    let last = forwarded.and_then(|list| list.to_str().ok()?.rsplit(',').next()?.trim().parse().ok());
    last.unwrap_or(peer)
}

/// Parts of browser names, the more specific first, each with the name that people use.
const BROWSERS: [(&str, &str); 4] =
    [("Edg", "Edge"), ("Firefox", "Firefox"), ("Chrom", "Chrome"), ("Safari", "Safari")];
const SYSTEMS: [(&str, &str); 7] = [
    ("iPad", "iPad"),
    ("iPhone", "iPhone"),
    ("Android", "Android"),
    ("CrOS", "Chromebook"),
    ("Windows", "Windows"),
    ("Mac OS", "Mac"),
    ("Linux", "Linux"),
];

fn device(agent: &str) -> String {
    let find = |words: &[(&str, &'static str)]| {
        words.iter().find(|(word, _)| agent.contains(word)).map(|(_, said)| *said)
    };
    match (find(&BROWSERS), find(&SYSTEMS)) {
        (Some(browser), Some(system)) => format!("{browser} on {system}"),
        (Some(only), None) | (None, Some(only)) => only.to_owned(),
        (None, None) => "Unknown program".to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::device;

    #[test]
    fn a_browser_is_called_what_a_person_would_call_it() {
        let tablet = "Mozilla/5.0 (Linux; Android 14; SM-X200) AppleWebKit/537.36 Chrome/126.0 Safari/537.36";
        assert_eq!(device(tablet), "Chrome on Android");
        assert_eq!(
            device("Mozilla/5.0 (iPad; CPU OS 17_4 like Mac OS X) Version/17.4 Safari/604.1"),
            "Safari on iPad"
        );
        assert_eq!(
            device("Mozilla/5.0 (X11; Linux x86_64; rv:128.0) Gecko/20100101 Firefox/128.0"),
            "Firefox on Linux"
        );
        assert_eq!(device(""), "Unknown program");
    }
}
