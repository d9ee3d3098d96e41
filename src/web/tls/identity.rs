//! The server's certificate, which a browser that trusts the authority always accepts.

use std::sync::{Arc, PoisonError, RwLock, RwLockReadGuard};
use std::time::Duration;

use jiff::Timestamp;
use tokio_rustls::TlsAcceptor;
use tokio_rustls::rustls::client::WebPkiServerVerifier;
use tokio_rustls::rustls::client::danger::ServerCertVerifier;
use tokio_rustls::rustls::crypto::ring;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer, UnixTime};
use tokio_rustls::rustls::server::{ClientHello, ResolvesServerCert};
use tokio_rustls::rustls::sign::CertifiedKey;
use tokio_rustls::rustls::{RootCertStore, ServerConfig};

use super::Host;
use super::authority::{self, Authority, SERVER_DAYS};
use super::error::TlsError;
use crate::store::folder::Folder;
use crate::store::keys::{self, Kept, KeyKind};

/// A certificate is renewed when this much of its life is left. This leaves time to notice a failed renewal.
const RENEWED_DAYS_BEFORE: i32 = 30;

/// The authority of a shop and the certificate that it issued for the server.
#[derive(Debug)]
pub struct Identity {
    folder: Folder,
    kept: Kept,
    authority: Authority,
    /// A model of a browser that trusts only this authority.
    browser: Arc<WebPkiServerVerifier>,
    current: Arc<Current>,
    config: Arc<ServerConfig>,
}

/// The certificate in use now; it changes while the server runs.
#[derive(Debug)]
struct Current(RwLock<Shown>);

/// A certificate and its key, ready for use.
#[derive(Debug)]
struct Shown {
    kept: Kept,
    key: Arc<CertifiedKey>,
}

impl Identity {
    /// The identity stored in a data folder, for a server with these hosts. A certificate is made if it is missing,
    /// near its end, or for other hosts.
    ///
    /// # Errors
    ///
    /// [`TlsError`]: keys cannot be stored or read, or the authority may not vouch for one of the hosts.
    pub fn open(folder: &Folder, hosts: &[Host], now: Timestamp) -> Result<Self, TlsError> {
        let kept = match keys::read(folder, KeyKind::Authority)? {
            Some(kept) if authority::lasts(&kept, now) => kept,
            _ => {
                let made = authority::make(hosts, now)?;
                keys::keep(folder, KeyKind::Authority, &made)?;
                made
            }
        };
        let unusable = || TlsError::Unusable(folder.keys().join(KeyKind::Authority.file()));
        let authority = Authority::of(&kept).ok_or_else(unusable)?;
        let browser = browser(&authority).ok_or_else(unusable)?;
        let shown = keys::read(folder, KeyKind::Server)?.filter(|server| is_fresh(server, hosts, now));
        let shown = shown.and_then(Shown::read).filter(|shown| shown.refused(&browser, hosts, now).is_none());
        let shown = match shown {
            Some(shown) => shown,
            None => made(folder, &kept, &browser, hosts, now)?,
        };
        let current = Arc::new(Current(RwLock::new(shown)));
        let config = Arc::new(config(current.clone())?);
        Ok(Self { folder: folder.clone(), kept, authority, browser, current, config })
    }

    /// Makes a new certificate if it is near its end or the hosts changed; returns whether it did.
    ///
    /// # Errors
    ///
    /// [`TlsError`]; the old certificate then stays in use.
    pub fn renew(&self, hosts: &[Host], now: Timestamp) -> Result<bool, TlsError> {
        if is_fresh(&self.current.read().kept, hosts, now) {
            return Ok(false);
        }
        let shown = made(&self.folder, &self.kept, &self.browser, hosts, now)?;
        *self.current.0.write().unwrap_or_else(PoisonError::into_inner) = shown;
        Ok(true)
    }

    /// The public part of the authority.
    pub fn authority(&self) -> &Authority {
        &self.authority
    }

    /// The TLS acceptor for new connections.
    pub fn acceptor(&self) -> TlsAcceptor {
        self.config.clone().into()
    }
}

impl Current {
    fn read(&self) -> RwLockReadGuard<'_, Shown> {
        self.0.read().unwrap_or_else(PoisonError::into_inner)
    }
}

impl ResolvesServerCert for Current {
    fn resolve(&self, _: ClientHello<'_>) -> Option<Arc<CertifiedKey>> {
        Some(self.read().key.clone())
    }
}

impl Shown {
    /// A stored key and certificate; `None` if they are not valid or do not match.
    fn read(kept: Kept) -> Option<Self> {
        let chain = vec![CertificateDer::from_pem_slice(kept.certificate.as_bytes()).ok()?];
        let key = PrivateKeyDer::from_pem_slice(kept.key.as_bytes()).ok()?;
        let key = CertifiedKey::from_der(chain, key, &ring::default_provider()).ok()?;
        Some(Self { kept, key: Arc::new(key) })
    }

    /// The first host for which a browser would refuse the certificate at that time.
    fn refused<'h>(
        &self,
        browser: &WebPkiServerVerifier,
        hosts: &'h [Host],
        now: Timestamp,
    ) -> Option<&'h Host> {
        let now = UnixTime::since_unix_epoch(Duration::from_secs(now.as_second().try_into().unwrap_or(0)));
        let takes = |host: &Host| {
            let (certificate, name) = (self.key.end_entity_cert().ok()?, host.server_name()?);
            browser.verify_server_cert(certificate, &[], &name, &[], now).ok()
        };
        hosts.iter().find(|host| takes(host).is_none())
    }
}

/// How the server speaks TLS: with HTTP/1.1 only, as [`crate::web::server`] does.
fn config(current: Arc<Current>) -> Result<ServerConfig, TlsError> {
    let mut config = ServerConfig::builder_with_provider(Arc::new(ring::default_provider()))
        .with_safe_default_protocol_versions()?
        .with_no_client_auth()
        .with_cert_resolver(current);
    config.alpn_protocols = vec![b"http/1.1".to_vec()];
    Ok(config)
}

/// A model of a browser that trusts one authority; `None` if that certificate cannot be trusted at all.
fn browser(authority: &Authority) -> Option<Arc<WebPkiServerVerifier>> {
    let mut roots = RootCertStore::empty();
    roots.add(CertificateDer::from_slice(&authority.certificate)).ok()?;
    let provider = Arc::new(ring::default_provider());
    WebPkiServerVerifier::builder_with_provider(Arc::new(roots), provider).build().ok()
}

/// Makes a certificate, and stores it after a check that browsers accept it.
fn made(
    folder: &Folder,
    authority: &Kept,
    browser: &WebPkiServerVerifier,
    hosts: &[Host],
    now: Timestamp,
) -> Result<Shown, TlsError> {
    let path = |which: KeyKind| folder.keys().join(which.file());
    let kept = authority::vouch(authority, hosts, now)?;
    let shown = Shown::read(kept).ok_or_else(|| TlsError::Unusable(path(KeyKind::Authority)))?;
    if let Some(any) = shown.refused(browser, hosts, now) {
        let host = outside(authority, browser, hosts, now).unwrap_or(any).clone();
        return Err(TlsError::NotVouchedFor { host, authority: path(KeyKind::Authority) });
    }
    keys::keep(folder, KeyKind::Server, &shown.kept)?;
    Ok(shown)
}

/// The host that the authority may not vouch for. One such host spoils the certificate for all hosts.
fn outside<'h>(
    authority: &Kept,
    browser: &WebPkiServerVerifier,
    hosts: &'h [Host],
    now: Timestamp,
) -> Option<&'h Host> {
    let is_taken_alone = |host: &Host| {
        let alone = std::slice::from_ref(host);
        let shown = authority::vouch(authority, alone, now).ok().and_then(Shown::read);
        shown.is_some_and(|shown| shown.refused(browser, alone, now).is_none())
    };
    hosts.iter().find(|host| !is_taken_alone(host))
}

/// Whether a certificate is for these hosts and not near its end.
fn is_fresh(kept: &Kept, hosts: &[Host], now: Timestamp) -> bool {
    let renewed = authority::days_after(kept.made, SERVER_DAYS - RENEWED_DAYS_BEFORE);
    kept.hosts == authority::words(hosts) && now < renewed
}
