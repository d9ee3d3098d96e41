//! The quick switch: another person becomes the user of a signed-in device with a PIN.
//!
//! A PIN is short. So it works only on a device that was signed in with a passphrase, and only for [`MISSES`]
//! wrong guesses. Wrong guesses are counted by who signed in the device and whose PIN is guessed. Only that
//! person's own PIN or passphrase clears them.
//!
//! A guesser gains nothing by entering their own PIN or by signing in again, and locks nobody out. On devices that
//! others signed in the PIN still works, and the passphrase always works.

use jiff::Timestamp;
use sqlx::SqliteConnection;

use super::column::{At, PersonId};
use super::error::{Error, Result};
use super::hash::{self, Asker};
use super::log::{self, Change};
use super::people::{self, Person};
use super::pool::Store;
use super::sign_in::{SignInRefusal, SignedIn};
use super::token::Token;
use crate::shop::access::Proof;

/// How many wrong guesses of a person's PIN are possible on the devices that one person signed in.
pub const MISSES: i64 = 5;

/// The people for the quick switch: everybody who may sign in and has a PIN, by name.
pub async fn people(conn: &mut SqliteConnection) -> Result<Vec<Person>> {
    let people = people::all(conn).await?.into_iter().map(|person| person.value);
    Ok(people.filter(|person| person.enabled && person.has_pin).collect())
}

/// Changes the user of a device. The device gets a new token, and the old one becomes invalid. The time of the
/// automatic sign-out does not change.
pub async fn to(
    store: &Store,
    device: &SignedIn,
    person: PersonId,
    pin: &str,
    now: Timestamp,
) -> Result<Token, SignInRefusal> {
    let turn = hash::turn(Asker::Device(device.id)).await?;
    count_as_miss(store, device.opened_by, person).await?;
    let stored = pin_hash(&mut *store.read().await?, person).await?;
    if !hash::matches(turn, pin, stored).await? {
        return Err(SignInRefusal::WrongPin);
    }
    Ok(take_over(store, device, person, now).await?)
}

/// Counts an attempt as failed before it is checked; success clears the count. So guesses sent at once are all
/// counted. For a person who does not exist nothing is counted, but the answer is the same.
async fn count_as_miss(store: &Store, opened_by: PersonId, person: PersonId) -> Result<(), SignInRefusal> {
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
        return Err(SignInRefusal::PinSpent);
    }
    write.commit().await?;
    Ok(())
}

/// The hash of a person's PIN, if they may sign in and have one.
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
        "UPDATE sign_ins SET person = ?1, proof = ?5, token_hash = ?2, rotated_at = ?4, seen_at = ?4
         WHERE id = ?3 AND revoked_at IS NULL",
        person.id,
        hash,
        device.id,
        at,
        Proof::Pin
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
