//! The certificate authority of one shop: its certificate, the hosts it may vouch for, and the certificates it issues.

use std::time::{Duration, SystemTime};

use jiff::{SignedDuration, Timestamp};
use rcgen::{
    BasicConstraints, CertificateParams, CidrSubnet, DistinguishedName, DnType, ExtendedKeyUsagePurpose,
    GeneralSubtree, IsCa, Issuer, KeyPair, KeyUsagePurpose, NameConstraints, SanType,
};
use sha2::{Digest, Sha256};
use tokio_rustls::rustls::pki_types::CertificateDer;
use tokio_rustls::rustls::pki_types::pem::PemObject;

use super::error::TlsError;
use super::host::{Host, LOCAL, PRIVATE};
use crate::store::keys::Kept;

const DAY: SignedDuration = SignedDuration::from_hours(24);
/// How long the authority lasts. Browsers set no limit to one that its user added.
const AUTHORITY_DAYS: i32 = 3650;
/// How long a certificate of the server lasts.
///
/// The CA/Browser Forum's Baseline Requirements allow 398 days, and 200 from March 2026, 100 from March 2027 (6.3.2,
/// as changed by ballot SC-081; from memory). They apply only to public authorities. For an authority that its user
/// added, the strictest manufacturer of tablets allows at most 825 days (from memory). This value is within all limits.
pub(super) const SERVER_DAYS: i32 = 90;
/// How far behind a tablet's clock may be.
const BEHIND: SignedDuration = DAY;

/// The public part of the authority: its certificate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Authority {
    /// The certificate (RFC 5280) as DER.
    pub certificate: Vec<u8>,
    /// When it expires.
    pub until: Timestamp,
}

impl Authority {
    /// Reads the certificate of a stored authority; `None` if it is not a certificate.
    pub(super) fn of(kept: &Kept) -> Option<Self> {
        let certificate = CertificateDer::from_pem_slice(kept.certificate.as_bytes()).ok()?.to_vec();
        Some(Self { certificate, until: until(kept) })
    }

    /// The SHA-256 fingerprint of the certificate in pairs of digits, as devices show it, eight per line.
    pub fn fingerprint(&self) -> Vec<String> {
        let pairs: Vec<String> =
            Sha256::digest(&self.certificate).iter().map(|byte| format!("{byte:02X}")).collect();
        pairs.chunks(8).map(|line| line.join(" ")).collect()
    }
}

/// When a stored authority expires.
fn until(kept: &Kept) -> Timestamp {
    days_after(kept.made, AUTHORITY_DAYS)
}

/// Whether an authority outlasts a certificate that it issues now.
pub(super) fn lasts(kept: &Kept, now: Timestamp) -> bool {
    days_after(now, SERVER_DAYS) < until(kept)
}

/// The time some days later; the latest possible time if there is none.
pub(super) fn days_after(at: Timestamp, days: i32) -> Timestamp {
    at.checked_add(DAY * days).unwrap_or(Timestamp::MAX)
}

/// Makes an authority that may vouch for private networks and these hosts only.
pub(super) fn make(hosts: &[Host], now: Timestamp) -> Result<Kept, TlsError> {
    let key = KeyPair::generate()?;
    let mut params = params(now);
    params.name_constraints =
        Some(NameConstraints { permitted_subtrees: permitted(hosts), excluded_subtrees: Vec::new() });
    let certificate = params.self_signed(&key)?.pem();
    Ok(Kept { made: now, hosts: words(hosts), certificate, key: key.serialize_pem() })
}

/// Makes a key and a certificate for a server that is reached by these hosts.
pub(super) fn vouch(authority: &Kept, hosts: &[Host], now: Timestamp) -> Result<Kept, TlsError> {
    let issuer = Issuer::new(params(authority.made), KeyPair::from_pem(&authority.key)?);
    let key = KeyPair::generate()?;
    let mut params = CertificateParams::default();
    (params.not_before, params.not_after) = (moment(now - BEHIND), moment(days_after(now, SERVER_DAYS)));
    params.distinguished_name = named("Driploop");
    params.key_usages = vec![KeyUsagePurpose::DigitalSignature];
    params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
    params.use_authority_key_identifier_extension = true;
    params.subject_alt_names = hosts.iter().map(alternative_name).collect::<Result<_, TlsError>>()?;
    let certificate = params.signed_by(&key, &issuer)?.pem();
    Ok(Kept { made: now, hosts: words(hosts), certificate, key: key.serialize_pem() })
}

/// The hosts as stored text.
pub(super) fn words(hosts: &[Host]) -> Vec<String> {
    hosts.iter().map(Host::to_string).collect()
}

/// The authority made at that time, without its hosts: the certificates it issues refer to nothing else of it.
fn params(made: Timestamp) -> CertificateParams {
    let mut params = CertificateParams::default();
    (params.not_before, params.not_after) = (moment(made - BEHIND), moment(days_after(made, AUTHORITY_DAYS)));
    params.distinguished_name =
        named(&format!("Driploop authority of {}", made.strftime("%Y-%m-%d %H:%M:%S")));
    params.is_ca = IsCa::Ca(BasicConstraints::Constrained(0));
    params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    params
}

fn permitted(hosts: &[Host]) -> Vec<GeneralSubtree> {
    let net = |(address, prefix): &(_, u8)| {
        GeneralSubtree::IpAddress(CidrSubnet::from_addr_prefix(*address, *prefix))
    };
    let nets = PRIVATE.iter().map(net);
    let names = LOCAL.iter().map(|name| GeneralSubtree::DnsName((*name).to_owned()));
    let hosts = hosts.iter().map(|host| match host {
        Host::Name(name) => GeneralSubtree::DnsName(name.clone()),
        Host::Address(address) => net(&(*address, if address.is_ipv4() { 32 } else { 128 })),
    });
    nets.chain(names).chain(hosts).collect()
}

fn alternative_name(host: &Host) -> Result<SanType, TlsError> {
    Ok(match host {
        Host::Name(name) => SanType::DnsName(name.as_str().try_into()?),
        Host::Address(address) => SanType::IpAddress(*address),
    })
}

fn named(name: &str) -> DistinguishedName {
    let mut names = DistinguishedName::new();
    names.push(DnType::CommonName, name);
    names
}

/// A time in the type that `rcgen` needs.
fn moment<T: From<SystemTime>>(at: Timestamp) -> T {
    let since_epoch = Duration::from_secs(at.as_second().try_into().unwrap_or(0));
    (SystemTime::UNIX_EPOCH + since_epoch).into()
}
