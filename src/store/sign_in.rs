//! Sign-in with name and passphrase, and the devices that are signed in.
//!
//! The measures against guessing, defined only here:
//!
//! - A pair of name and address with [`PAIR_MISSES`] failed attempts within [`WINDOW`] is refused until the window
//!   has passed. This applies to that pair only: the same person can sign in from any other address, so nobody
//!   elsewhere can lock them out.
//! - Attempts wait in a queue of their address. Networks take turns, and in each its addresses. So many attempts from one address slow
//!   down that address. A lock for everybody would let an attacker lock out the shop.
//! - A name that does not exist gets the same answer as one that exists: same text, same work, same record of
//!   failed attempts.
//!
//! A sign-in ends [`IDLE`] after its last use, and [`LIFE`] after it was opened in any case.

use jiff::{SignedDuration, Timestamp};
use sqlx::SqliteConnection;
use thiserror::Error as ThisError;

use super::column::{At, JobId, PersonId, SignInId};
use super::error::{Error, Result};
use super::hash::{self, Asker};
use super::log::{self, Change};
use super::people::{self, Person};
use super::pool::{Store, Write};
use super::token::Token;
use crate::job::value::Name;
use crate::shop::access::Proof;

/// How many attempts may fail for one name from one address before the pair must wait.
pub const PAIR_MISSES: i64 = 5;
/// How long a failed attempt counts.
pub const WINDOW: SignedDuration = SignedDuration::from_mins(15);
/// How long a device may be unused: a working day with its breaks, but not the night.
pub const IDLE: SignedDuration = SignedDuration::from_hours(12);
/// How long a device stays signed in, even in constant use.
pub const LIFE: SignedDuration = SignedDuration::from_hours(7 * 24);
/// The age at which the record of a device's last use is written again.
const SEEN_EVERY: SignedDuration = SignedDuration::from_mins(1);

/// An attempt to sign in.
#[derive(Debug, Clone, Copy)]
pub struct Attempt<'a> {
    /// The name, as typed.
    pub name: &'a str,
    /// The passphrase, as typed.
    pub passphrase: &'a str,
    /// The client's address.
    pub address: &'a str,
    /// The device name from the browser, for the list of devices.
    pub device: &'a str,
}

/// Why a sign-in or a switch failed.
#[derive(Debug, ThisError)]
pub enum SignInRefusal {
    /// The name, the passphrase or both are wrong; the answer does not say which.
    #[error("this name and passphrase do not go together")]
    Wrong,
    /// Too many failed attempts.
    #[error("too many attempts: wait a while, or sign in from another device")]
    Wait {
        /// When the next attempt is possible.
        until: Timestamp,
    },
    /// The PIN is wrong.
    #[error("this is not the PIN of that person")]
    WrongPin,
    /// Too many wrong PINs.
    #[error("too many wrong PINs: sign in with the passphrase")]
    PinSpent,
    /// The store failed.
    #[error(transparent)]
    Store(#[from] Error),
}

impl From<sqlx::Error> for SignInRefusal {
    fn from(error: sqlx::Error) -> Self {
        Self::Store(error.into())
    }
}

/// A signed-in browser and its current user.
#[derive(Debug, Clone, PartialEq)]
pub struct SignedIn {
    /// Its key.
    pub id: SignInId,
    /// Its current user.
    pub person: Person,
    /// Who signed in with a passphrase; after a quick switch this is not the current user.
    pub opened_by: PersonId,
    /// How its current user proved who they are.
    pub proof: Proof,
    /// When it was last seen, to the minute.
    pub seen_at: Timestamp,
}

/// A device in the list of signed-in devices.
#[derive(Debug, Clone, PartialEq)]
pub struct SignedInDevice {
    /// Its key.
    pub id: SignInId,
    /// Its name, as the browser gives it.
    pub device: String,
    /// Its current user.
    pub person: PersonId,
    /// The name of its user.
    pub name: Name,
    /// When it was signed in.
    pub created_at: Timestamp,
    /// When it was last seen, to the minute.
    pub seen_at: Timestamp,
}

/// Signs a person in and returns the token for the cookie. Every sign-in makes a new token. The caller revokes an
/// older token of the browser with [`revoke`].
pub async fn open(
    store: &Store,
    attempt: Attempt<'_>,
    now: Timestamp,
) -> Result<(Token, Person), SignInRefusal> {
    let person = prove(store, attempt, now).await?;
    Ok((admit(store, &person, attempt, now).await?, person))
}

/// Proves with the passphrase who is at a device, after a switch with a PIN. The name is that of the current user.
/// The device gets a new token, and the old one becomes invalid. The time of the automatic sign-out does not
/// change.
pub async fn confirm(
    store: &Store,
    device: &SignedIn,
    passphrase: &str,
    address: &str,
    now: Timestamp,
) -> Result<Token, SignInRefusal> {
    let name = device.person.name.as_str();
    let attempt = Attempt { name, passphrase, address, device: "" };
    let person = prove(store, attempt, now).await?;
    if person.id != device.person.id {
        // The name went to somebody else meanwhile.
        return Err(SignInRefusal::Wrong);
    }
    let (token, at) = (Token::random()?, At(now));
    let mut write = store.write(&person.actor(), now).await?;
    let hash = token.hash();
    let done = sqlx::query!(
        "UPDATE sign_ins SET proof = ?1, token_hash = ?2, rotated_at = ?3, seen_at = ?3
         WHERE id = ?4 AND person = ?5 AND revoked_at IS NULL",
        Proof::Passphrase,
        hash,
        at,
        device.id,
        person.id
    )
    .execute(&mut *write)
    .await?;
    if done.rows_affected() == 0 {
        return Err(Error::NotFound("device signed in".to_owned()).into());
    }
    forget_own_misses(&mut write, &person, attempt).await?;
    let subject = people::subject(person.id);
    log::line(&mut write, None, Change::PassphraseGiven, &subject, None::<&()>, None::<&()>).await?;
    write.commit().await?;
    Ok(token)
}

/// Who has this name and passphrase.
async fn prove(store: &Store, attempt: Attempt<'_>, now: Timestamp) -> Result<Person, SignInRefusal> {
    let turn = hash::turn(Asker::Address(attempt.address.to_owned())).await?;
    count_as_miss(store, attempt, now).await?;
    let mut read = store.read().await?;
    let person = people::named(&mut read, attempt.name.trim()).await?.filter(|person| person.enabled);
    let stored = match &person {
        Some(person) => Some(passphrase_hash(&mut read, person.id).await?),
        None => None,
    };
    read.commit().await?;

    match (hash::matches(turn, attempt.passphrase, stored).await?, person) {
        (true, Some(person)) => {
            hash::remember(attempt.address);
            Ok(person)
        }
        _ => Err(SignInRefusal::Wrong),
    }
}

/// The sign-in of a token, if it is still valid. Records once a minute that the device was seen.
pub async fn find(store: &Store, token: &Token, now: Timestamp) -> Result<Option<SignedIn>> {
    let found = look_up(store, token, now).await?;
    if let Some(signed_in) = found.as_ref().filter(|found| found.seen_at < before(now, SEEN_EVERY)) {
        seen(store, signed_in.id, now).await?;
    }
    Ok(found)
}

/// The sign-in of a token, if it is still valid. This does not count as a use of it.
pub async fn look_up(store: &Store, token: &Token, now: Timestamp) -> Result<Option<SignedIn>> {
    let mut read = store.read().await?;
    let (hash, at, idle_since) = (token.hash(), At(now), At(before(now, IDLE)));
    let row = sqlx::query!(
        r#"SELECT id AS "id: SignInId", person AS "person: PersonId", opened_by AS "opened_by: PersonId",
                  proof AS "proof: Proof", seen_at AS "seen_at: At"
           FROM sign_ins
           WHERE token_hash = ? AND revoked_at IS NULL AND expires_at > ? AND seen_at > ?"#,
        hash,
        at,
        idle_since
    )
    .fetch_optional(&mut *read)
    .await?;
    let Some(row) = row else { return Ok(None) };
    let person = people::get(&mut read, row.person).await?.value;
    let (opened_by, proof, seen_at) = (row.opened_by, row.proof, row.seen_at.0);
    let signed_in = SignedIn { id: row.id, opened_by, proof, seen_at, person };
    Ok(Some(signed_in).filter(|signed_in| signed_in.person.enabled))
}

/// The signed-in devices of one person or of all, the last used first.
pub async fn devices(
    conn: &mut SqliteConnection,
    of: Option<PersonId>,
    now: Timestamp,
) -> Result<Vec<SignedInDevice>> {
    let (at, idle_since) = (At(now), At(before(now, IDLE)));
    let rows = sqlx::query!(
        r#"SELECT sign_ins.id AS "id: SignInId", device, person AS "person: PersonId", name AS "name: Name",
                  sign_ins.created_at AS "created_at: At", seen_at AS "seen_at: At"
           FROM sign_ins JOIN people ON people.id = person
           WHERE (?1 IS NULL OR ?1 IN (person, opened_by))
             AND revoked_at IS NULL AND expires_at > ?2 AND seen_at > ?3
           ORDER BY seen_at DESC, sign_ins.id"#,
        of,
        at,
        idle_since
    )
    .map(|row| SignedInDevice {
        id: row.id,
        device: row.device,
        person: row.person,
        name: row.name,
        created_at: row.created_at.into(),
        seen_at: row.seen_at.into(),
    });
    Ok(rows.fetch_all(conn).await?)
}

/// Signs a device out. Nothing happens if it is already signed out.
pub async fn revoke(write: &mut Write, id: SignInId) -> Result<()> {
    let now = At(write.now());
    let row = sqlx::query!(
        r#"UPDATE sign_ins SET revoked_at = ? WHERE id = ? AND revoked_at IS NULL
           RETURNING person AS "person: PersonId", device"#,
        now,
        id
    )
    .fetch_optional(&mut **write)
    .await?;
    let Some(row) = row else { return Ok(()) };
    let subject = people::subject(row.person);
    log::line(write, None::<JobId>, Change::SignedOut, &subject, Some(&row.device), None::<&()>).await
}

/// Records an attempt as failed before it is checked. Success removes the record. So a hundred guesses sent at once
/// count as a hundred.
async fn count_as_miss(store: &Store, attempt: Attempt<'_>, now: Timestamp) -> Result<(), SignInRefusal> {
    let mut write = store.housekeep().await?;
    let (at, name) = (At(now), folded(attempt.name));
    forget_misses(&mut write, now).await?;
    turned_away(&mut write, &name, attempt.address).await?;
    sqlx::query!(
        "INSERT INTO sign_in_misses (at, name, address) VALUES (?, ?, ?)",
        at,
        name,
        attempt.address
    )
    .execute(&mut *write)
    .await?;
    Ok(write.commit().await?)
}

/// Deletes failed attempts outside the window. Those with a time in the future were recorded before the clock was
/// set back, and would count too long.
async fn forget_misses(conn: &mut SqliteConnection, now: Timestamp) -> Result<()> {
    let (stale, ahead) = (At(before(now, WINDOW)), At(after(now, WINDOW)));
    sqlx::query!("DELETE FROM sign_in_misses WHERE at <= ? OR at > ?", stale, ahead).execute(conn).await?;
    Ok(())
}

/// Refuses a pair of name and address with too many failed attempts.
async fn turned_away(conn: &mut SqliteConnection, name: &str, address: &str) -> Result<(), SignInRefusal> {
    let misses = sqlx::query!(
        r#"SELECT count(*) AS "count!: i64", min(at) AS "first: At" FROM sign_in_misses
           WHERE name = ? AND address = ?"#,
        name,
        address
    )
    .fetch_one(conn)
    .await?;
    match misses.first {
        Some(first) if misses.count >= PAIR_MISSES => {
            Err(SignInRefusal::Wait { until: after(first.0, WINDOW) })
        }
        _ => Ok(()),
    }
}

/// Opens a sign-in for a person whose identity is proven.
async fn admit(store: &Store, person: &Person, attempt: Attempt<'_>, now: Timestamp) -> Result<Token> {
    let token = Token::random()?;
    let mut write = store.write(&person.actor(), now).await?;
    let (hash, at, end) = (token.hash(), At(now), At(after(now, LIFE)));
    let device: String = attempt.device.chars().filter(|c| !c.is_control()).take(80).collect();
    sqlx::query!(
        "INSERT INTO sign_ins (token_hash, person, opened_by, proof, device, created_at, seen_at, rotated_at, expires_at)
         VALUES (?1, ?2, ?2, ?3, ?4, ?5, ?5, ?5, ?6)",
        hash,
        person.id,
        Proof::Passphrase,
        device,
        at,
        end
    )
    .execute(&mut *write)
    .await?;
    forget_own_misses(&mut write, person, attempt).await?;
    let subject = people::subject(person.id);
    log::line(&mut write, None, Change::SignedIn, &subject, None::<&()>, Some(&device)).await?;
    write.commit().await?;
    Ok(token)
}

/// Deletes the failed attempts before a right one, and the wrong PINs of the person.
async fn forget_own_misses(conn: &mut SqliteConnection, person: &Person, attempt: Attempt<'_>) -> Result<()> {
    let name = folded(attempt.name);
    sqlx::query!("DELETE FROM sign_in_misses WHERE name = ? AND address = ?", name, attempt.address)
        .execute(&mut *conn)
        .await?;
    sqlx::query!("DELETE FROM pin_misses WHERE person = ?", person.id).execute(conn).await?;
    Ok(())
}

async fn passphrase_hash(conn: &mut SqliteConnection, id: PersonId) -> Result<String> {
    Ok(sqlx::query_scalar!("SELECT passphrase_hash FROM people WHERE id = ?", id).fetch_one(conn).await?)
}

/// Records that a device was seen. If another write takes long, the next request does it, so that viewing a page
/// never waits for an import.
async fn seen(store: &Store, id: SignInId, now: Timestamp) -> Result<()> {
    let Some(mut write) = store.housekeep_soon().await? else { return Ok(()) };
    let at = At(now);
    sqlx::query!("UPDATE sign_ins SET seen_at = ? WHERE id = ?", at, id).execute(&mut *write).await?;
    Ok(write.commit().await?)
}

/// The form of a name that failed attempts are counted by. It is cut, so that nobody can fill the disk with names.
fn folded(name: &str) -> String {
    name.trim().to_lowercase().chars().take(120).collect()
}

/// An earlier time; the earliest possible one if that is out of range.
fn before(now: Timestamp, by: SignedDuration) -> Timestamp {
    now.checked_sub(by).unwrap_or(Timestamp::MIN)
}

/// A later time; the latest possible one if that is out of range.
fn after(now: Timestamp, by: SignedDuration) -> Timestamp {
    now.checked_add(by).unwrap_or(Timestamp::MAX)
}
