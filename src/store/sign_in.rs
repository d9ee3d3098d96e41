//! Signing in by name and passphrase, and the devices that are signed in.
//!
//! What holds against guessing, decided here once:
//!
//! - A pair of name and address that missed [`PAIR_MISSES`] times within [`WINDOW`] is turned away until the
//!   window has passed. Only that pair: the same person signs in from any other address, so nobody can be
//!   locked out by somebody elsewhere.
//! - Misses over all names and addresses only slow everybody down, two seconds at most: a lock that holds for
//!   all would be the attacker's to close.
//! - A name that does not exist is answered like one that does: same words, same work, same record of misses.
//!
//! A sign-in ends [`IDLE`] after it was last used and [`LIFE`] after it was opened.

use std::time::Duration;

use jiff::{SignedDuration, Timestamp};
use sqlx::SqliteConnection;
use thiserror::Error as ThisError;

use super::column::{At, JobId, PersonId, SignInId};
use super::error::{Error, Result};
use super::hash;
use super::log::{self, Change};
use super::people::{self, Person};
use super::pool::{Store, Write};
use super::token::Token;
use crate::job::value::Name;

/// How often one name may miss from one address before the pair has to wait.
pub const PAIR_MISSES: i64 = 5;
/// How long a miss counts.
pub const WINDOW: SignedDuration = SignedDuration::from_mins(15);
/// How long a device may rest: a working day with its breaks, but not the night.
pub const IDLE: SignedDuration = SignedDuration::from_hours(12);
/// How long a device stays signed in however busy it is kept.
pub const LIFE: SignedDuration = SignedDuration::from_hours(7 * 24);
/// How many misses in a minute, over all names, are no more than a busy morning.
const CALM: i64 = 10;
/// How old the record of a device's last use may get before it is written again.
const SEEN_EVERY: SignedDuration = SignedDuration::from_mins(1);

/// An attempt to sign in.
#[derive(Debug, Clone, Copy)]
pub struct Attempt<'a> {
    /// The name, as typed.
    pub name: &'a str,
    /// The passphrase, as typed.
    pub passphrase: &'a str,
    /// Where it comes from: the client's address.
    pub address: &'a str,
    /// What the browser calls its device, for the page that lists them.
    pub device: &'a str,
}

/// Why a sign-in or a switch did not come about.
#[derive(Debug, ThisError)]
pub enum Refusal {
    /// The name, the passphrase or both; which, is not said.
    #[error("this name and passphrase do not go together")]
    Wrong,
    /// Too many misses.
    #[error("too many attempts: wait a while, or sign in from another device")]
    Wait {
        /// When the next attempt is looked at.
        until: Timestamp,
    },
    /// The PIN.
    #[error("this is not the PIN of that person")]
    WrongPin,
    /// Too many wrong PINs.
    #[error("too many wrong PINs: sign in with the passphrase")]
    PinSpent,
    /// The store failed.
    #[error(transparent)]
    Store(#[from] Error),
}

impl From<sqlx::Error> for Refusal {
    fn from(error: sqlx::Error) -> Self {
        Self::Store(error.into())
    }
}

/// A browser that is signed in, and who is at it.
#[derive(Debug, Clone, PartialEq)]
pub struct SignedIn {
    /// Its key.
    pub id: SignInId,
    /// Who is at it.
    pub person: Person,
    /// Who signed in by passphrase; somebody else after a quick switch.
    pub opened_by: PersonId,
    /// When it was last seen, to the minute.
    pub seen_at: Timestamp,
}

/// A device in the list of those that are signed in.
#[derive(Debug, Clone, PartialEq)]
pub struct Device {
    /// Its key.
    pub id: SignInId,
    /// What it calls itself.
    pub device: String,
    /// Who is at it.
    pub person: PersonId,
    /// Their name.
    pub name: Name,
    /// When it was signed in.
    pub created_at: Timestamp,
    /// When it was last seen, to the minute.
    pub seen_at: Timestamp,
}

/// Signs somebody in and gives the token for the cookie. Any token the browser had is left to be revoked by
/// [`revoke`]: every sign-in makes a new one.
pub async fn open(store: &Store, attempt: Attempt<'_>, now: Timestamp) -> Result<(Token, Person), Refusal> {
    let pause = count_as_miss(store, attempt, now).await?;
    let mut read = store.read().await?;
    let person = people::named(&mut read, attempt.name.trim()).await?.filter(|person| person.enabled);
    let stored = match &person {
        Some(person) => Some(passphrase_hash(&mut read, person.id).await?),
        None => None,
    };
    read.commit().await?;

    tokio::time::sleep(pause).await;
    match (hash::matches(attempt.passphrase, stored).await?, person) {
        (true, Some(person)) => Ok((admit(store, &person, attempt, now).await?, person)),
        _ => Err(Refusal::Wrong),
    }
}

/// Who is behind a token, if it is still good. Notes once a minute that the device was seen.
pub async fn find(store: &Store, token: &Token, now: Timestamp) -> Result<Option<SignedIn>> {
    let mut read = store.read().await?;
    let (hash, at, idle_since) = (token.hash(), At(now), At(before(now, IDLE)));
    let row = sqlx::query!(
        r#"SELECT id AS "id: SignInId", person AS "person: PersonId", opened_by AS "opened_by: PersonId",
                  seen_at AS "seen_at: At"
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
    if row.seen_at.0 < before(now, SEEN_EVERY) {
        seen(store, row.id, now).await?;
    }
    let signed_in = SignedIn { id: row.id, opened_by: row.opened_by, seen_at: row.seen_at.0, person };
    Ok(Some(signed_in).filter(|signed_in| signed_in.person.enabled))
}

/// The devices that are signed in, those of one person or all, the last used first.
pub async fn devices(
    conn: &mut SqliteConnection,
    of: Option<PersonId>,
    now: Timestamp,
) -> Result<Vec<Device>> {
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
    .map(|row| Device {
        id: row.id,
        device: row.device,
        person: row.person,
        name: row.name,
        created_at: row.created_at.into(),
        seen_at: row.seen_at.into(),
    });
    Ok(rows.fetch_all(conn).await?)
}

/// Signs a device out. One that was signed out before stays so.
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

/// Writes an attempt down as a miss before it is looked at, and gives the time it has to wait. Success takes the
/// miss back; so a hundred guesses sent at once count as a hundred.
async fn count_as_miss(store: &Store, attempt: Attempt<'_>, now: Timestamp) -> Result<Duration, Refusal> {
    let mut write = store.housekeep().await?;
    let (at, name) = (At(now), folded(attempt.name));
    forget_misses(&mut write, now).await?;
    turned_away(&mut write, &name, attempt.address).await?;
    let pause = slow_down(&mut write, now).await?;
    sqlx::query!(
        "INSERT INTO sign_in_misses (at, name, address) VALUES (?, ?, ?)",
        at,
        name,
        attempt.address
    )
    .execute(&mut *write)
    .await?;
    write.commit().await?;
    Ok(pause)
}

/// Forgets misses from outside the window. Those from the future are of a clock that was set back since, and
/// would hold for as long as it was wrong.
async fn forget_misses(conn: &mut SqliteConnection, now: Timestamp) -> Result<()> {
    let (stale, ahead) = (At(before(now, WINDOW)), At(after(now, WINDOW)));
    sqlx::query!("DELETE FROM sign_in_misses WHERE at <= ? OR at > ?", stale, ahead).execute(conn).await?;
    Ok(())
}

/// Turns away a pair of name and address with too many misses.
async fn turned_away(conn: &mut SqliteConnection, name: &str, address: &str) -> Result<(), Refusal> {
    let misses = sqlx::query!(
        r#"SELECT count(*) AS "count!: i64", min(at) AS "first: At" FROM sign_in_misses
           WHERE name = ? AND address = ?"#,
        name,
        address
    )
    .fetch_one(conn)
    .await?;
    match misses.first {
        Some(first) if misses.count >= PAIR_MISSES => Err(Refusal::Wait { until: after(first.0, WINDOW) }),
        _ => Ok(()),
    }
}

/// How long every attempt waits while many miss: a tenth of a second for each miss of the last minute beyond
/// the usual, two seconds at most.
async fn slow_down(conn: &mut SqliteConnection, now: Timestamp) -> Result<Duration> {
    let since = At(before(now, SignedDuration::from_mins(1)));
    let misses =
        sqlx::query_scalar!(r#"SELECT count(*) AS "count!: i64" FROM sign_in_misses WHERE at > ?"#, since)
            .fetch_one(conn)
            .await?;
    let tenths = (misses - CALM).clamp(0, 20).unsigned_abs();
    Ok(Duration::from_millis(100 * tenths))
}

/// Opens a sign-in for somebody who proved to be who they say.
async fn admit(store: &Store, person: &Person, attempt: Attempt<'_>, now: Timestamp) -> Result<Token> {
    let token = Token::random()?;
    let mut write = store.write(&person.actor(), now).await?;
    let (hash, at, end, name) = (token.hash(), At(now), At(after(now, LIFE)), folded(attempt.name));
    let device: String = attempt.device.chars().filter(|c| !c.is_control()).take(80).collect();
    sqlx::query!(
        "INSERT INTO sign_ins (token_hash, person, opened_by, device, created_at, seen_at, rotated_at, expires_at)
         VALUES (?1, ?2, ?2, ?3, ?4, ?4, ?4, ?5)",
        hash,
        person.id,
        device,
        at,
        end
    )
    .execute(&mut *write)
    .await?;
    sqlx::query!("DELETE FROM sign_in_misses WHERE name = ? AND address = ?", name, attempt.address)
        .execute(&mut *write)
        .await?;
    sqlx::query!("DELETE FROM pin_misses WHERE person = ?", person.id).execute(&mut *write).await?;
    let subject = people::subject(person.id);
    log::line(&mut write, None, Change::SignedIn, &subject, None::<&()>, Some(&device)).await?;
    write.commit().await?;
    Ok(token)
}

async fn passphrase_hash(conn: &mut SqliteConnection, id: PersonId) -> Result<String> {
    Ok(sqlx::query_scalar!("SELECT passphrase_hash FROM people WHERE id = ?", id).fetch_one(conn).await?)
}

/// Notes that a device was seen. Where somebody else writes for long it is left to the next request: looking at a page never
/// waits for an import.
async fn seen(store: &Store, id: SignInId, now: Timestamp) -> Result<()> {
    let Some(mut write) = store.housekeep_soon().await? else { return Ok(()) };
    let at = At(now);
    sqlx::query!("UPDATE sign_ins SET seen_at = ? WHERE id = ?", at, id).execute(&mut *write).await?;
    Ok(write.commit().await?)
}

/// A name as misses are counted by it. Cut, so that nobody fills the disk with names.
fn folded(name: &str) -> String {
    name.trim().to_lowercase().chars().take(120).collect()
}

/// A moment earlier; the beginning of time where there is none.
fn before(now: Timestamp, by: SignedDuration) -> Timestamp {
    now.checked_sub(by).unwrap_or(Timestamp::MIN)
}

/// A moment later; the end of time where there is none.
fn after(now: Timestamp, by: SignedDuration) -> Timestamp {
    now.checked_add(by).unwrap_or(Timestamp::MAX)
}
