//! Passphrases and PINs as argon2id hashes.
//!
//! A hash takes tens of milliseconds and 19 MiB on purpose. So it runs on threads of its own, and never inside a write
//! transaction. Each address has a queue of its own. The queues of a network take turns, and so do the networks. Addresses where somebody of the shop
//! signed in come before strangers.
//!
//! Each thread keeps its 19 MiB. The system's allocator takes freed memory of that size as a sign that more of it comes:
//! it then keeps tens of MiB of every thread, and a server that takes 100 MiB takes 200.

use std::collections::HashSet;
use std::fmt;
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::{self, Receiver, Sender};
use std::sync::{Arc, LazyLock, Mutex, PoisonError};
use std::{io, thread};

use argon2::password_hash::phc::{Output, ParamsString, PasswordHash, Salt};
use argon2::{Algorithm, Argon2, Block, Params, PasswordVerifier, Version};
use tokio::sync::oneshot;

use super::column::SignInId;
use super::error::{Error, Result};
use super::turns::{self, Grouped, Turns};
use crate::shop::secret::{Passphrase, Pin};

/// 19 MiB, two passes, one lane: what the OWASP Password Storage Cheat Sheet recommends for argon2id (from
/// memory).
const MEMORY_KIB: u32 = 19 * 1024;
const PASSES: u32 = 2;
const LANES: u32 = 1;

/// The hash of 256 random bits that nobody kept, with the parameters above. For a name that does not exist, the
/// check uses this hash, so that the answer takes equally long.
const NOBODY: &str =
    "$argon2id$v=19$m=19456,t=2,p=1$ES28WSskwAn0TrJFn7jyMg$5e1ZgTy3pIFE+W1eoOVuZf7NGFtuEonhGTmWlWexC18";

/// How many hashes are made at once.
const AT_ONCE: usize = 2;
/// How many may wait. Together they take about ten seconds.
const MOST_WAITING: usize = 1000;

/// How many addresses are remembered.
const MOST_KNOWN: usize = 1000;

/// The turns of all askers. Many sign-ins at once wait in line and do not take all memory and cores.
static HASHING: LazyLock<Turns<Asker>> = LazyLock::new(|| Turns::new(AT_ONCE, MOST_WAITING));

/// The way to the threads that hash.
static THREADS: LazyLock<io::Result<Sender<Work>>> = LazyLock::new(threads);

/// The addresses where somebody signed in since the program started.
static KNOWN: LazyLock<Mutex<HashSet<String>>> = LazyLock::new(Mutex::default);

/// A hash to make.
type Work = Box<dyn FnOnce(&mut [Block]) + Send>;

/// Why a hash was not made.
type Failed = Box<dyn std::error::Error + Send + Sync>;

/// Who waits for a hash.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub(super) enum Asker {
    /// Somebody at this address, who is not signed in.
    Address(String),
    /// A signed-in device.
    Device(SignInId),
    /// The shop itself: people who are added and passphrases that are changed.
    Shop,
}

impl Grouped for Asker {
    /// Addresses of one network are a group, so that a stranger with many of them has no more turns than one of them.
    fn group(&self) -> Self {
        match self {
            Self::Address(address) => {
                Self::Address(address.parse().map_or_else(|_| address.clone(), network))
            }
            Self::Device(_) | Self::Shop => self.clone(),
        }
    }
}

/// The network of an address: 24 bits with IPv4, 64 bits with IPv6.
fn network(address: IpAddr) -> String {
    match address.to_canonical() {
        IpAddr::V4(address) => Ipv4Addr::from_bits(address.to_bits() & (u32::MAX << 8)).to_string(),
        IpAddr::V6(address) => Ipv6Addr::from_bits(address.to_bits() & (u128::MAX << 64)).to_string(),
    }
}

/// The permission to make a hash.
pub(super) type Turn = turns::Turn<Asker>;

/// Waits for a turn.
pub(super) async fn turn(asker: Asker) -> Result<Turn> {
    let is_known = match &asker {
        Asker::Address(address) => KNOWN.lock().unwrap_or_else(PoisonError::into_inner).contains(address),
        Asker::Device(_) | Asker::Shop => true,
    };
    Ok(if is_known { HASHING.turn_first(asker).await } else { HASHING.turn(asker).await }?)
}

/// Remembers that somebody signed in at this address.
pub(super) fn remember(address: &str) {
    let mut known = KNOWN.lock().unwrap_or_else(PoisonError::into_inner);
    if known.len() >= MOST_KNOWN {
        known.clear();
    }
    known.insert(address.to_owned());
}

/// Starts the threads. They end with the program.
fn threads() -> io::Result<Sender<Work>> {
    let (sender, work) = mpsc::channel();
    let work = Arc::new(Mutex::new(work));
    for _ in 0..AT_ONCE {
        let work = Arc::clone(&work);
        thread::Builder::new().name("hash".to_owned()).spawn(move || work_off(&work))?;
    }
    Ok(sender)
}

fn work_off(work: &Mutex<Receiver<Work>>) {
    let Ok(params) = params() else { return };
    let mut memory = vec![Block::new(); params.block_count()];
    loop {
        // The lock is free again before the hash is made.
        let next = work.lock().unwrap_or_else(PoisonError::into_inner).recv();
        match next {
            // A hash that panics must not take the thread from all others.
            Ok(hash) => drop(catch_unwind(AssertUnwindSafe(|| hash(&mut memory)))),
            Err(_) => return,
        }
    }
}

/// The stored form of a passphrase or PIN.
#[derive(Clone, PartialEq, Eq)]
pub struct Hashed(String);

impl Hashed {
    /// Hashes a passphrase with a salt of its own.
    pub async fn passphrase(passphrase: &Passphrase) -> Result<Self> {
        hash(passphrase.reveal().to_owned()).await
    }

    /// Hashes a PIN with a salt of its own.
    pub async fn pin(pin: &Pin) -> Result<Self> {
        hash(pin.reveal().to_owned()).await
    }

    pub(super) fn phc(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for Hashed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Hashed(..)")
    }
}

async fn hash(secret: String) -> Result<Hashed> {
    let make = move |memory: &mut [Block]| {
        let salt = Salt::generate();
        let hash = Some(output(&secret, &salt, memory)?);
        Ok(Hashed(PasswordHash { salt: Some(salt), hash, ..form()? }.to_string()))
    };
    apart(turn(Asker::Shop).await?, make).await
}

/// Whether a secret is the one that was hashed. Without a stored hash the answer is no, and takes equally long.
pub(super) async fn matches(turn: Turn, secret: &str, stored: Option<String>) -> Result<bool> {
    // This is far above the longest passphrase, so it is an attack. It is not worth a hash.
    let secret = if secret.len() > 1024 { String::new() } else { secret.to_owned() };
    let known = stored.is_some();
    let stored = stored.unwrap_or_else(|| NOBODY.to_owned());
    let same = apart(turn, move |memory| is_same(&secret, &PasswordHash::new(&stored)?, memory));
    Ok(same.await? && known)
}

fn is_same(secret: &str, stored: &PasswordHash, memory: &mut [Block]) -> Result<bool, Failed> {
    let (form, known) = (form()?, (stored.algorithm, stored.version, &stored.params));
    match (&stored.salt, &stored.hash) {
        (Some(salt), Some(hash)) if known == (form.algorithm, form.version, &form.params) => {
            // Two outputs are compared in constant time.
            Ok(output(secret, salt, memory)? == *hash)
        }
        // Made with other parameters, so with other memory.
        _ => Ok(argon2()?.verify_password(secret.as_bytes(), stored).is_ok()),
    }
}

/// Makes the hash itself.
fn output(secret: &str, salt: &Salt, memory: &mut [Block]) -> Result<Output, Failed> {
    let mut output = [0; Params::DEFAULT_OUTPUT_LEN];
    argon2()?.hash_password_into_with_memory(secret.as_bytes(), salt, &mut output, memory)?;
    Ok(Output::new(&output)?)
}

/// The stored form with the parameters above, without salt and hash.
fn form() -> Result<PasswordHash, Failed> {
    Ok(PasswordHash {
        algorithm: Algorithm::Argon2id.ident(),
        version: Some(Version::V0x13.into()),
        params: ParamsString::try_from(&params()?)?,
        salt: None,
        hash: None,
    })
}

fn params() -> argon2::Result<Params> {
    Params::new(MEMORY_KIB, PASSES, LANES, None)
}

fn argon2() -> argon2::Result<Argon2<'static>> {
    Ok(Argon2::new(Algorithm::Argon2id, Version::V0x13, params()?))
}

/// Runs work on a thread that hashes. The turn is held for as long as it runs, also if nobody waits for it.
async fn apart<T: Send + 'static>(
    turn: Turn,
    work: impl FnOnce(&mut [Block]) -> Result<T, Failed> + Send + 'static,
) -> Result<T> {
    let (done, result) = oneshot::channel();
    let run = move |memory: &mut [Block]| {
        let made = work(memory);
        drop(turn);
        drop(done.send(made));
    };
    let threads = THREADS.as_ref().map_err(|error| Error::Hash(error.to_string().into()))?;
    threads.send(Box::new(run)).map_err(|error| Error::Hash(error.to_string().into()))?;
    result.await.map_err(|error| Error::Hash(error.into()))?.map_err(Error::Hash)
}

#[cfg(test)]
mod tests {
    use argon2::PasswordHasher;

    use super::*;

    #[test]
    fn nobody_costs_as_much_as_somebody() {
        let made: PasswordHash = argon2().unwrap().hash_password(b"somebody").unwrap();
        let nobody = PasswordHash::new(NOBODY).unwrap();
        assert_eq!(
            (made.algorithm, made.version, &made.params),
            (nobody.algorithm, nobody.version, &nobody.params)
        );
        assert_eq!(made.hash.unwrap().len(), nobody.hash.unwrap().len());
    }

    #[test]
    fn addresses_of_one_network_are_a_group() {
        let group = |address: &str| Asker::Address(address.to_owned()).group();
        assert_eq!(group("192.0.2.1"), group("::ffff:192.0.2.254"));
        assert_ne!(group("192.0.2.1"), group("192.0.3.1"));
        assert_eq!(group("2001:db8::1"), group("2001:db8::ffff:1"));
        assert_ne!(group("2001:db8::1"), group("2001:db8:0:1::1"));
        assert_eq!(group("unknown"), Asker::Address("unknown".to_owned()));
    }

    #[tokio::test]
    async fn hashes_are_those_of_the_library() {
        let passphrase: Passphrase = "two ends on every wire".parse().unwrap();
        let ours = PasswordHash::new(Hashed::passphrase(&passphrase).await.unwrap().phc()).unwrap();
        argon2().unwrap().verify_password(passphrase.reveal().as_bytes(), &ours).unwrap();
        let theirs: PasswordHash = argon2().unwrap().hash_password(passphrase.reveal().as_bytes()).unwrap();
        let other = Argon2::new(Algorithm::Argon2id, Version::V0x13, Params::new(64, 1, 1, None).unwrap());
        let other: PasswordHash = other.hash_password(passphrase.reveal().as_bytes()).unwrap();
        for stored in [theirs, other] {
            let same = async |secret: &str| {
                matches(turn(Asker::Shop).await.unwrap(), secret, Some(stored.to_string())).await.unwrap()
            };
            assert!(same(passphrase.reveal()).await && !same("two ends on every wir").await);
        }
    }

    #[tokio::test]
    async fn only_the_same_secret_matches_and_nothing_matches_nobody() {
        let passphrase: Passphrase = "two ends on every wire".parse().unwrap();
        let hashed = Hashed::passphrase(&passphrase).await.unwrap();
        assert_ne!(hashed, Hashed::passphrase(&passphrase).await.unwrap());
        let same = async |secret: &str, stored: Option<&Hashed>| {
            let stored = stored.map(|hashed| hashed.phc().to_owned());
            matches(turn(Asker::Shop).await.unwrap(), secret, stored).await.unwrap()
        };
        assert!(same(passphrase.reveal(), Some(&hashed)).await);
        assert!(!same("two ends on every wir", Some(&hashed)).await);
        assert!(!same(passphrase.reveal(), None).await);
        assert!(!same(&"x".repeat(5000), Some(&hashed)).await);
    }
}
