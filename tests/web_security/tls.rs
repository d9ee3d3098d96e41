//! HTTPS by the program itself: who is let in, what is kept, what is renewed, and what a tablet is shown.

use std::net::SocketAddr;
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use driploop::shop::role::Role;
use driploop::store::Store;
use driploop::store::folder::Folder;
use driploop::store::keys::{self, Kept, KeyKind};
use driploop::web::server::{self, Patience};
use driploop::web::tls::{Authority, Host, Hosts, Identity, TlsError};
use driploop::web::{AppState, ServerSettings};
use jiff::{SignedDuration, Timestamp};
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};
use tokio::time::timeout;
use tokio_rustls::TlsConnector;
use tokio_rustls::rustls::pki_types::ServerName;
use tokio_rustls::rustls::{ClientConfig, RootCertStore, crypto};

use crate::shop::{Browser, Shop};

const LISTEN: &str = "192.168.1.10:8640";

fn hosts(named: &[&str]) -> Vec<Host> {
    let named: Vec<Host> = named.iter().map(|name| name.parse().unwrap()).collect();
    Hosts::new(LISTEN.parse().unwrap(), named).all()
}

fn now() -> Timestamp {
    "2026-03-01T08:00:00Z".parse().unwrap()
}

fn days_later(days: i64) -> Timestamp {
    now() + SignedDuration::from_hours(24 * days)
}

fn open(data: &Path, named: &[&str], now: Timestamp) -> Result<Identity, TlsError> {
    Identity::open(&Folder::create(data).unwrap(), &hosts(named), now)
}

fn kept(data: &Path, which: KeyKind) -> Kept {
    keys::read(&Folder::create(data).unwrap(), which).unwrap().unwrap()
}

/// A server that speaks TLS on a free port of this machine.
async fn serving(data: &Path, named: &[&str]) -> (Arc<Identity>, SocketAddr) {
    serving_with(data, named, Patience::default()).await
}

async fn serving_with(data: &Path, named: &[&str], patience: Patience) -> (Arc<Identity>, SocketAddr) {
    let store = Store::open(data).await.unwrap();
    let identity = Arc::new(open(data, named, Timestamp::now()).unwrap());
    let setting = ServerSettings { identity: Some(identity.clone()), ..ServerSettings::default() };
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = listener.local_addr().unwrap();
    let app = AppState::set_up(store, setting);
    tokio::spawn(server::serve(listener, app, patience, std::future::pending()));
    (identity, address)
}

/// Asks for a page by TLS, trusting these authorities and nobody else.
async fn ask(
    address: SocketAddr,
    trusted: &[&Authority],
    host: &str,
    path: &str,
) -> std::io::Result<Vec<u8>> {
    let mut roots = RootCertStore::empty();
    for authority in trusted {
        roots.add(authority.certificate.clone().into()).unwrap();
    }
    let config = ClientConfig::builder_with_provider(Arc::new(crypto::ring::default_provider()))
        .with_safe_default_protocol_versions()
        .unwrap()
        .with_root_certificates(roots)
        .with_no_client_auth();
    let stream = TcpStream::connect(address).await?;
    let host: ServerName<'static> = host.to_owned().try_into().unwrap();
    let mut stream = TlsConnector::from(Arc::new(config)).connect(host, stream).await?;
    let request = format!("GET {path} HTTP/1.1\r\nhost: boats.test\r\nconnection: close\r\n\r\n");
    stream.write_all(request.as_bytes()).await?;
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).await?;
    Ok(answer)
}

#[tokio::test]
async fn who_trusts_the_authority_comes_in_by_every_host_and_by_no_other() {
    let data = tempfile::tempdir().unwrap();
    let (identity, address) = serving(data.path(), &["shop.local", "boats.example"]).await;
    let trusted = [identity.authority()];
    for host in ["localhost", "127.0.0.1", "::1", "192.168.1.10", "shop.local", "boats.example"] {
        let answer =
            ask(address, &trusted, host, "/trust").await.unwrap_or_else(|error| panic!("{host}: {error}"));
        assert!(answer.starts_with(b"HTTP/1.1 200"), "{host}: {}", String::from_utf8_lossy(&answer));
    }
    for host in ["other.local", "192.168.1.11", "example.com"] {
        let error = ask(address, &trusted, host, "/trust").await.unwrap_err().to_string();
        assert!(error.contains("not valid for name"), "{host}: {error}");
    }
}

#[tokio::test]
async fn who_trusts_another_authority_is_not_taken_in() {
    let (data, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    let (_, address) = serving(data.path(), &[]).await;
    let other = open(elsewhere.path(), &[], Timestamp::now()).unwrap();
    let error = ask(address, &[other.authority()], "localhost", "/trust").await.unwrap_err().to_string();
    assert!(error.contains("invalid peer certificate"), "{error}");
}

#[tokio::test]
async fn plain_http_gets_no_page_from_a_server_that_speaks_tls() {
    let data = tempfile::tempdir().unwrap();
    let (_, address) = serving(data.path(), &[]).await;
    let mut plain = TcpStream::connect(address).await.unwrap();
    plain.write_all(b"GET / HTTP/1.1\r\nhost: boats.test\r\n\r\n").await.unwrap();
    let mut answer = Vec::new();
    // A connection that was reset has ended as well.
    let _ = plain.read_to_end(&mut answer).await;
    assert!(!String::from_utf8_lossy(&answer).contains("HTTP"), "{answer:?}");
}

#[tokio::test]
async fn who_connects_and_speaks_no_tls_is_not_waited_for() {
    let data = tempfile::tempdir().unwrap();
    let patience = Patience { head: Duration::from_millis(400), ..Patience::default() };
    let (_, address) = serving_with(data.path(), &[], patience).await;
    let mut silent = TcpStream::connect(address).await.unwrap();
    let mut answer = Vec::new();
    let ended = timeout(Duration::from_secs(20), silent.read_to_end(&mut answer)).await;
    ended.expect("the server hangs up").unwrap();
}

#[test]
fn keys_are_kept_over_a_restart() {
    let data = tempfile::tempdir().unwrap();
    let first = open(data.path(), &["shop.local"], now()).unwrap();
    let (authority, server) = (kept(data.path(), KeyKind::Authority), kept(data.path(), KeyKind::Server));
    let again = open(data.path(), &["shop.local"], days_later(59)).unwrap();
    assert_eq!(again.authority(), first.authority());
    assert_eq!(kept(data.path(), KeyKind::Authority), authority);
    assert_eq!(kept(data.path(), KeyKind::Server), server);
}

#[test]
fn the_certificate_is_renewed_near_its_end_and_the_authority_stays() {
    let data = tempfile::tempdir().unwrap();
    let running = open(data.path(), &[], now()).unwrap();
    let authority = kept(data.path(), KeyKind::Authority);
    assert!(!running.renew(&hosts(&[]), days_later(59)).unwrap());
    // 30 of its 90 days are left: well within the 398 that browsers take at most.
    assert!(running.renew(&hosts(&[]), days_later(60)).unwrap());
    assert_eq!(kept(data.path(), KeyKind::Server).made, days_later(60));
    // Switched off for half a year, and for so long that the authority itself nears its end.
    open(data.path(), &[], days_later(240)).unwrap();
    assert_eq!(kept(data.path(), KeyKind::Server).made, days_later(240));
    assert_eq!(kept(data.path(), KeyKind::Authority), authority);
    let later = open(data.path(), &[], days_later(3600)).unwrap();
    assert_ne!(kept(data.path(), KeyKind::Authority), authority);
    assert_eq!(later.authority().until, days_later(3600 + 3650));
}

#[test]
fn other_hosts_get_another_certificate_of_the_same_authority() {
    let data = tempfile::tempdir().unwrap();
    let running = open(data.path(), &[], now()).unwrap();
    assert!(running.renew(&hosts(&["shop.local"]), days_later(1)).unwrap());
    assert!(kept(data.path(), KeyKind::Server).hosts.contains(&"shop.local".to_owned()));
    let again = open(data.path(), &[], days_later(2)).unwrap();
    assert_eq!(again.authority(), running.authority());
    assert!(!kept(data.path(), KeyKind::Server).hosts.contains(&"shop.local".to_owned()));
}

#[test]
fn the_authority_vouches_for_no_site_of_the_world_that_it_was_not_made_for() {
    let data = tempfile::tempdir().unwrap();
    open(data.path(), &["boats.example"], now()).unwrap();
    let server = kept(data.path(), KeyKind::Server);
    for outside in ["bank.example", "8.8.8.8", "2001:db8::1"] {
        let error = open(data.path(), &[outside], now()).unwrap_err();
        assert!(
            matches!(&error, TlsError::NotVouchedFor { host, .. } if host.to_string() == outside),
            "{error}"
        );
    }
    assert_eq!(kept(data.path(), KeyKind::Server), server, "what nobody takes is not kept");
    open(data.path(), &["bench.boats.example", "10.9.8.7", "stern.local"], now()).unwrap();
}

#[test]
fn a_key_and_a_certificate_that_do_not_go_together_are_replaced() {
    let (data, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    open(data.path(), &[], now()).unwrap();
    open(elsewhere.path(), &[], now()).unwrap();
    let folder = Folder::create(data.path()).unwrap();
    let of_another = kept(elsewhere.path(), KeyKind::Server);
    let mixed = Kept { key: of_another.key.clone(), ..kept(data.path(), KeyKind::Server) };
    for wrong in [mixed, of_another] {
        keys::keep(&folder, KeyKind::Server, &wrong).unwrap();
        open(data.path(), &[], now()).unwrap();
        assert_ne!(kept(data.path(), KeyKind::Server), wrong);
    }
}

/// A shop that speaks TLS, asked through the router.
pub async fn shop() -> (Shop, Authority, tempfile::TempDir) {
    let data = tempfile::tempdir().unwrap();
    let identity = Arc::new(open(data.path(), &[], now()).unwrap());
    let authority = identity.authority().clone();
    (
        Shop::set_up(ServerSettings { identity: Some(identity), ..ServerSettings::default() }).await,
        authority,
        data,
    )
}

#[tokio::test]
async fn a_tablet_is_shown_how_to_trust_the_authority_before_anybody_signs_in() {
    let (shop, authority, _data) = shop().await;
    let page = shop.get(&Browser::default(), "/trust").await;
    for line in authority.fingerprint() {
        assert!(page.text.contains(&line), "{line}: {}", page.text);
    }
    assert!(page.text.contains("https://boats.test/trust"), "the code's address: {}", page.text);
    assert!(shop.get(&Browser::default(), "/sign-in").await.text.contains("href=\"/trust\""));
    let file = ("application/x-x509-ca-cert".to_owned(), authority.certificate);
    assert_eq!(shop.file("/trust/authority.crt").await, file);
}

#[tokio::test]
async fn without_an_authority_of_its_own_there_is_none_to_trust() {
    let shop = Shop::open().await;
    let page = shop.get(&Browser::default(), "/trust").await;
    assert!(page.text.contains("--tls"), "{}", page.text);
    assert_eq!(shop.get(&Browser::default(), "/trust/authority.crt").await.status, 404);
    assert!(!shop.get(&Browser::default(), "/sign-in").await.text.contains("/trust"));
}

#[tokio::test]
async fn with_an_authority_of_its_own_cookies_are_kept_to_https_and_plain_http_stays_possible() {
    let (shop, _, _data) = shop().await;
    let answer = shop.try_sign_in(&Browser::default(), "Ana Quill", "copper before chrome").await;
    assert!(answer.cookie().starts_with("__Host-sign-in=") && answer.cookie().contains("Secure"));
    let browser = shop.sign_in(Role::Manager).await;
    assert_eq!(shop.get(&browser, "/").await.header("strict-transport-security"), "");
}
