//! The hosts of a certificate: the names and addresses that browsers use.

use std::collections::BTreeSet;
use std::fmt;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr, UdpSocket};
use std::str::FromStr;

use thiserror::Error;
use tokio_rustls::rustls::pki_types::{DnsName, ServerName};

/// A name or address that browsers use.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Host {
    /// A name: `shop.local`.
    Name(String),
    /// An address.
    Address(IpAddr),
}

/// A text that is neither a name nor an address.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error(
    "'{0}' is not a host: expected a name such as shop.local, or an address, without http:// and without a port"
)]
pub struct NoHost(String);

impl FromStr for Host {
    type Err = NoHost;

    fn from_str(text: &str) -> Result<Self, NoHost> {
        if let Ok(address) = text.parse() {
            return Ok(Self::Address(address));
        }
        let name = DnsName::try_from(text).map_err(|_| NoHost(text.to_owned()))?;
        Ok(Self::Name(name.as_ref().to_ascii_lowercase()))
    }
}

impl fmt::Display for Host {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Name(name) => f.write_str(name),
            Self::Address(address) => address.fmt(f),
        }
    }
}

impl Host {
    /// The host as a client sends it when it connects.
    pub(super) fn server_name(&self) -> Option<ServerName<'static>> {
        match self {
            Self::Name(name) => ServerName::try_from(name.clone()).ok(),
            Self::Address(address) => Some(ServerName::IpAddress((*address).into())),
        }
    }
}

/// Addresses that exist only within one network. [`super::Authority`] may vouch for these without further setting.
///
/// Loopback, RFC 1918, RFC 6598 (shared, also used by private networks laid over others), link-local RFC 3927;
/// for IPv6 loopback, RFC 4193 and link-local RFC 4291.
pub(super) const PRIVATE: [(IpAddr, u8); 9] = [
    (IpAddr::V4(Ipv4Addr::new(127, 0, 0, 0)), 8),
    (IpAddr::V4(Ipv4Addr::new(10, 0, 0, 0)), 8),
    (IpAddr::V4(Ipv4Addr::new(172, 16, 0, 0)), 12),
    (IpAddr::V4(Ipv4Addr::new(192, 168, 0, 0)), 16),
    (IpAddr::V4(Ipv4Addr::new(100, 64, 0, 0)), 10),
    (IpAddr::V4(Ipv4Addr::new(169, 254, 0, 0)), 16),
    (IpAddr::V6(Ipv6Addr::LOCALHOST), 128),
    (IpAddr::V6(Ipv6Addr::new(0xfc00, 0, 0, 0, 0, 0, 0, 0)), 7),
    (IpAddr::V6(Ipv6Addr::new(0xfe80, 0, 0, 0, 0, 0, 0, 0)), 10),
];

/// Names that exist only within one network: `localhost` and `local` (RFC 6761, RFC 6762), `home.arpa` (RFC 8375),
/// `internal` (reserved by ICANN for this in 2024; from memory).
pub(super) const LOCAL: [&str; 4] = ["localhost", "local", "home.arpa", "internal"];

/// Whether an address is one of [`PRIVATE`].
fn is_private(address: IpAddr) -> bool {
    let bits = |address| match address {
        IpAddr::V4(address) => (u128::from(u32::from(address)) << 96, 32),
        IpAddr::V6(address) => (u128::from(address), 128),
    };
    let (own, family) = bits(address);
    PRIVATE.iter().any(|(net, prefix)| {
        let (net, of) = bits(*net);
        of == family && (own ^ net).leading_zeros() >= u32::from(*prefix)
    })
}

/// Every host by which browsers may reach a program that listens at an address: this machine by itself, the address,
/// and the named hosts. If it listens on all addresses, also the machine's own addresses in its private networks.
fn reached_by(listen: SocketAddr, named: &[Host]) -> Vec<Host> {
    let mut hosts = BTreeSet::from([
        Host::Name("localhost".to_owned()),
        Host::Address(Ipv4Addr::LOCALHOST.into()),
        Host::Address(Ipv6Addr::LOCALHOST.into()),
    ]);
    if listen.ip().is_unspecified() {
        let heard = |own: &IpAddr| own.is_ipv4() || listen.is_ipv6();
        hosts.extend(
            own_addresses().into_iter().filter(heard).filter(|own| is_private(*own)).map(Host::Address),
        );
    } else {
        hosts.insert(Host::Address(listen.ip()));
    }
    hosts.extend(named.iter().cloned());
    hosts.into_iter().collect()
}

/// The hosts of a program that listens at an address. A request for any other host is refused.
#[derive(Debug, Clone)]
pub struct Hosts {
    listen: SocketAddr,
    named: Vec<Host>,
}

impl Hosts {
    /// The hosts of a program that listens there, with those that were named.
    pub fn new(listen: SocketAddr, named: Vec<Host>) -> Self {
        Self { listen, named }
    }

    /// All of them, as they are now. This machine may get another address while the program runs.
    pub fn all(&self) -> Vec<Host> {
        reached_by(self.listen, &self.named)
    }

    /// Whether a host is one of them.
    pub fn has(&self, host: &Host) -> bool {
        self.named.contains(host) || self.all().contains(host)
    }
}

/// This machine's addresses: those it would use to send to the internet and to each kind of private network.
/// Nothing is sent.
fn own_addresses() -> Vec<IpAddr> {
    let somewhere =
        ["192.0.2.1", "10.0.0.1", "172.16.0.1", "192.168.0.1", "192.168.1.1", "2001:db8::1", "fd00::1"];
    let towards = |there: IpAddr| {
        let any: IpAddr =
            if there.is_ipv4() { Ipv4Addr::UNSPECIFIED.into() } else { Ipv6Addr::UNSPECIFIED.into() };
        let socket = UdpSocket::bind((any, 0)).ok()?;
        socket.connect((there, 9)).ok()?;
        Some(socket.local_addr().ok()?.ip())
    };
    somewhere.into_iter().filter_map(|there| towards(there.parse().ok()?)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_host_is_a_name_or_an_address_and_nothing_around_it() {
        let read = |text: &str| text.parse::<Host>();
        assert_eq!(read("Shop.Local"), Ok(Host::Name("shop.local".to_owned())));
        assert_eq!(read("192.168.1.10"), Ok(Host::Address([192, 168, 1, 10].into())));
        assert!(matches!(read("fd00::7"), Ok(Host::Address(IpAddr::V6(_)))));
        for wrong in ["", "https://shop.local", "shop.local:8640", "a b", "-"] {
            assert_eq!(read(wrong), Err(NoHost(wrong.to_owned())));
        }
    }

    #[test]
    fn a_private_address_is_distinguished_from_one_of_the_internet() {
        let private = |text: &str| is_private(text.parse().unwrap());
        for own in [
            "127.0.0.1",
            "10.1.2.3",
            "172.31.0.1",
            "192.168.1.10",
            "100.127.0.1",
            "fd12::1",
            "fe80::1",
            "::1",
        ] {
            assert!(private(own), "{own}");
        }
        for other in ["8.8.8.8", "172.32.0.1", "100.128.0.1", "2001:db8::1", "::2", "::ffff:10.0.0.1"] {
            assert!(!private(other), "{other}");
        }
    }

    #[test]
    fn the_hosts_are_this_machine_the_address_and_those_that_were_named() {
        let named = ["shop.local".parse().unwrap(), "localhost".parse().unwrap()];
        let said = |listen: &str| {
            let hosts = reached_by(listen.parse().unwrap(), &named);
            hosts.iter().map(Host::to_string).collect::<Vec<_>>()
        };
        let own = ["localhost", "shop.local", "127.0.0.1", "192.168.1.10", "::1"];
        assert_eq!(said("192.168.1.10:8640"), own);
        let hosts = Hosts::new("192.168.1.10:8640".parse().unwrap(), named.to_vec());
        assert!(hosts.has(&"shop.local".parse().unwrap()) && hosts.has(&"::1".parse().unwrap()));
        assert!(
            !hosts.has(&"elsewhere.test".parse().unwrap()) && !hosts.has(&"192.168.1.11".parse().unwrap())
        );
        let all = said("0.0.0.0:8640");
        assert!(!all.contains(&"0.0.0.0".to_owned()) && all.contains(&"127.0.0.1".to_owned()), "{all:?}");
    }
}
