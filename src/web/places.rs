//! The places for connections: a total, and a share for each computer, so that one cannot take them all.

use std::collections::HashMap;
use std::io;
use std::net::{IpAddr, Ipv6Addr};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// The places of a server.
#[derive(Debug, Clone)]
pub(super) struct Places {
    free: Arc<Semaphore>,
    taken: Arc<Mutex<HashMap<IpAddr, usize>>>,
    share: usize,
    /// The reverse proxy. Its connections carry everybody, so it has no share.
    proxy: Option<IpAddr>,
}

/// The place of one connection. It is free again when this is dropped.
#[derive(Debug)]
pub(super) struct Place {
    _room: OwnedSemaphorePermit,
    _share: Option<Share>,
}

/// One connection in the share of a computer.
#[derive(Debug)]
struct Share {
    of: IpAddr,
    taken: Arc<Mutex<HashMap<IpAddr, usize>>>,
}

impl Places {
    /// So many places in all, and so many for each computer.
    pub(super) fn new(all: usize, share: usize, proxy: Option<IpAddr>) -> Self {
        Self { free: Arc::new(Semaphore::new(all)), taken: Arc::default(), share, proxy }
    }

    /// Waits for a place that anybody can have.
    pub(super) async fn room(&self) -> io::Result<OwnedSemaphorePermit> {
        self.free.clone().acquire_owned().await.map_err(io::Error::other)
    }

    /// Gives that place to a computer; `None` if it has its share already.
    pub(super) fn give(&self, room: OwnedSemaphorePermit, peer: IpAddr) -> Option<Place> {
        if self.proxy == Some(peer.to_canonical()) {
            return Some(Place { _room: room, _share: None });
        }
        let of = network(peer);
        let mut taken = counts(&self.taken);
        let count = taken.entry(of).or_default();
        if *count >= self.share {
            return None;
        }
        *count += 1;
        drop(taken);
        Some(Place { _room: room, _share: Some(Share { of, taken: Arc::clone(&self.taken) }) })
    }
}

impl Drop for Share {
    fn drop(&mut self) {
        let mut taken = counts(&self.taken);
        if let Some(count) = taken.get_mut(&self.of) {
            *count -= 1;
            if *count == 0 {
                taken.remove(&self.of);
            }
        }
    }
}

fn counts(taken: &Mutex<HashMap<IpAddr, usize>>) -> MutexGuard<'_, HashMap<IpAddr, usize>> {
    taken.lock().unwrap_or_else(PoisonError::into_inner)
}

/// What counts as one computer. With IPv6 it is the network of 64 bits, because a computer gives itself as many
/// addresses of that network as it likes (RFC 8981).
fn network(peer: IpAddr) -> IpAddr {
    match peer.to_canonical() {
        IpAddr::V4(address) => address.into(),
        IpAddr::V6(address) => Ipv6Addr::from_bits(address.to_bits() & (u128::MAX << 64)).into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    async fn take(places: &Places, peer: &str) -> Option<Place> {
        places.give(places.room().await.unwrap(), peer.parse().unwrap())
    }

    #[tokio::test]
    async fn a_computer_has_its_share_and_leaves_the_rest() {
        let places = Places::new(10, 2, None);
        let (first, _second) = (take(&places, "192.0.2.1").await, take(&places, "::ffff:192.0.2.1").await);
        assert!(first.is_some() && take(&places, "192.0.2.1").await.is_none());
        assert!(take(&places, "192.0.2.2").await.is_some());
        drop(first);
        assert!(take(&places, "192.0.2.1").await.is_some(), "a place that is free again");
        assert_eq!(places.free.available_permits(), 9, "what is refused takes no place");
    }

    #[tokio::test]
    async fn a_network_of_addresses_is_one_computer_and_a_proxy_is_many() {
        let places = Places::new(10, 1, Some("192.0.2.9".parse().unwrap()));
        let _one = take(&places, "2001:db8::1").await.unwrap();
        assert!(take(&places, "2001:db8::ffff").await.is_none());
        assert!(take(&places, "2001:db8:0:1::1").await.is_some());
        let _proxy = (take(&places, "192.0.2.9").await.unwrap(), take(&places, "192.0.2.9").await.unwrap());
    }
}
