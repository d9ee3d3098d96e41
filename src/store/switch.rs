//! The quick switch: somebody takes over a device that is signed in, by PIN.
//!
//! A PIN is short, so it holds only together with a device that a passphrase opened, and only for
//! [`MISSES`] guesses: misses count by who opened the device and whose PIN is guessed, and only that person's
//! own PIN or passphrase clears them. A guesser gains nothing by entering their own PIN or by signing in
//! again, and locks nobody out: on devices that others opened the PIN still works, and the passphrase
//! always does.

use jiff::Timestamp;
use sqlx::SqliteConnection;

use super::column::{At, PersonId};
use super::error::{Error, Result};
use super::hash;
use super::log::{self, Change};
use super::people::{self, Person};
use super::pool::Store;
use super::sign_in::{Refusal, SignedIn};
use super::token::Token;

/// How often a person's PIN may be missed on devices of one opener.
pub const MISSES: i64 = 5;

/// Who can be switched to: everybody who may sign in and has a PIN, by name.
pub async fn people(conn: &mut SqliteConnection) -> Result<Vec<Person>> {
    let people = people::all(conn).await?.into_iter().map(|person| person.value);
    Ok(people.filter(|person| person.enabled && person.has_pin).collect())
}

/// Puts another person at a device. The device gets a new token, and the old one is worth nothing; when it
/// signs out by itself does not change.
pub async fn to(
    store: &Store,
    device: &SignedIn,
    person: PersonId,
    pin: &str,
    now: Timestamp,
) -> Result<Token, Refusal> {
    count_as_miss(store, device.opened_by, person).await?;
    let stored = pin_hash(&mut *store.read().await?, person).await?;
    if !hash::matches(pin, stored).await? {
        return Err(Refusal::WrongPin);
    }
    Ok(take_over(store, device, person, now).await?)
}

/// Counts an attempt as a miss before it is looked at; success takes all of them back. So guesses sent at once
/// are all counted. A person who does not exist is counted nowhere, and answered alike.
async fn count_as_miss(store: &Store, opened_by: PersonId, person: PersonId) -> Result<(), Refusal> {
    let mut write = store.housekeep().await?;
    let misses = sqlx::query_scalar!(
        "INSERT INTO pin_misses (opened_by, person, misses) SELECT ?1, id, 1 FROM people WHERE id = ?2
         ON CONFLICT DO UPDATE SET misses = misses + 1 RETURNING misses",
        opened_by,
        person
    )
    .fetch_optional(&mut *write)
    .await?;
    if misses.is_some_and(|misses| misses > MISSES) {
        return Err(Refusal::PinSpent);
    }
    write.commit().await?;
    Ok(())
}

/// The hash of the PIN of somebody who may sign in and has one.
async fn pin_hash(conn: &mut SqliteConnection, person: PersonId) -> Result<Option<String>> {
    let hash =
        sqlx::query_scalar!("SELECT pin_hash FROM people WHERE id = ? AND disabled_at IS NULL", person);
    Ok(hash.fetch_optional(conn).await?.flatten())
}

async fn take_over(store: &Store, device: &SignedIn, person: PersonId, now: Timestamp) -> Result<Token> {
    let token = Token::random()?;
    let person = people::get(&mut *store.read().await?, person).await?.value;
    let mut write = store.write(&person.actor(), now).await?;
    let (hash, at) = (token.hash(), At(now));
    let done = sqlx::query!(
        "UPDATE sign_ins SET person = ?1, token_hash = ?2, rotated_at = ?4, seen_at = ?4
         WHERE id = ?3 AND revoked_at IS NULL",
        person.id,
        hash,
        device.id,
        at
    )
    .execute(&mut *write)
    .await?;
    if done.rows_affected() == 0 {
        return Err(Error::NotFound("device signed in".to_owned()));
    }
    sqlx::query!("DELETE FROM pin_misses WHERE opened_by = ? AND person = ?", device.opened_by, person.id)
        .execute(&mut *write)
        .await?;
    let subject = people::subject(person.id);
    log::line(&mut write, None, Change::Switched, &subject, Some(&device.person.name), Some(&person.name))
        .await?;
    write.commit().await?;
    Ok(token)
}
