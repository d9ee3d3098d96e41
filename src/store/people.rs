//! The people of the shop: added, changed, disabled, and never deleted.

use jiff::Timestamp;
use serde::Serialize;
use sqlx::SqliteConnection;

use super::column::{At, PersonId, Version};
use super::error::{Error, Result};
use super::hash::Hashed;
use super::log::{self, Change};
use super::pool::{Actor, Write};
use super::versioned::Versioned;
use crate::job::value::Name;
use crate::shop::role::Role;

/// A person of the shop, without passphrase and PIN.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Person {
    /// Their key.
    #[serde(skip)]
    pub id: PersonId,
    /// Their name, also for sign-in.
    pub name: Name,
    /// Their role in the shop.
    pub role: Role,
    /// Whether they have a PIN for the quick switch.
    pub has_pin: bool,
    /// Whether they may still sign in.
    pub enabled: bool,
}

/// A new person.
#[derive(Debug, Clone)]
pub struct Newcomer {
    /// Their name.
    pub name: Name,
    /// Their role in the shop.
    pub role: Role,
    /// Their passphrase.
    pub passphrase: Hashed,
    /// Their PIN, if they have one.
    pub pin: Option<Hashed>,
}

impl Person {
    /// The person as the author of a change.
    pub fn actor(&self) -> Actor {
        Actor { person: Some(self.id), name: self.name.clone() }
    }
}

/// All people, by name.
pub async fn all(conn: &mut SqliteConnection) -> Result<Vec<Versioned<Person>>> {
    select(conn, None).await
}

/// One person.
pub async fn get(conn: &mut SqliteConnection, id: PersonId) -> Result<Versioned<Person>> {
    select(conn, Some(id)).await?.pop().ok_or_else(|| Error::NotFound(format!("person {id}")))
}

/// The person with this name, in upper or lower case.
pub async fn named(conn: &mut SqliteConnection, name: &str) -> Result<Option<Person>> {
    let id = sqlx::query_scalar!(r#"SELECT id AS "id: PersonId" FROM people WHERE name = ?"#, name)
        .fetch_optional(&mut *conn)
        .await?;
    match id {
        Some(id) => Ok(Some(get(conn, id).await?.value)),
        None => Ok(None),
    }
}

/// Whether there is no person yet, so the program is not set up.
pub async fn none_yet(conn: &mut SqliteConnection) -> Result<bool> {
    Ok(sqlx::query_scalar!(r#"SELECT count(*) = 0 AS "none!: bool" FROM people"#).fetch_one(conn).await?)
}

/// Adds the first manager, unless there is already a person. If two browsers set up the shop at the same time, one
/// succeeds.
///
/// # Errors
///
/// [`Error::SetUpAlready`].
pub async fn add_first(write: &mut Write, manager: &Newcomer) -> Result<PersonId> {
    if none_yet(write).await? { add(write, manager).await } else { Err(Error::SetUpAlready) }
}

/// Adds a person.
pub async fn add(write: &mut Write, newcomer: &Newcomer) -> Result<PersonId> {
    let (passphrase, pin) = (newcomer.passphrase.phc(), newcomer.pin.as_ref().map(Hashed::phc));
    let now = At(write.now());
    let row = sqlx::query!(
        "INSERT INTO people (name, role, passphrase_hash, pin_hash, created_at) VALUES (?, ?, ?, ?, ?)",
        newcomer.name,
        newcomer.role,
        passphrase,
        pin,
        now
    )
    .execute(&mut **write)
    .await?;
    let id = PersonId::from(row.last_insert_rowid());
    let person = get(write, id).await?.value;
    log::line(write, None, Change::Added, &subject(id), None::<&()>, Some(&person)).await?;
    Ok(id)
}

/// Changes a person's name and role.
///
/// # Errors
///
/// [`Error::LastManager`] if no manager would be left.
pub async fn update(
    write: &mut Write,
    id: PersonId,
    name: &Name,
    role: Role,
    expected: Version,
) -> Result<Version> {
    let held = get(write, id).await?;
    held.started_from(expected, subject(id))?;
    sqlx::query!("UPDATE people SET name = ?, role = ?, version = version + 1 WHERE id = ?", name, role, id)
        .execute(&mut **write)
        .await?;
    changed(write, held).await
}

/// Enables or disables the sign-in of a person. Disabling also ends their sign-ins.
///
/// # Errors
///
/// [`Error::LastManager`] if no manager would be left.
pub async fn enable(write: &mut Write, id: PersonId, enabled: bool) -> Result<Version> {
    let held = get(write, id).await?;
    let since = (!enabled).then(|| At(write.now()));
    sqlx::query!("UPDATE people SET disabled_at = ?, version = version + 1 WHERE id = ?", since, id)
        .execute(&mut **write)
        .await?;
    if !enabled {
        end_sign_ins(write, id).await?;
    }
    changed(write, held).await
}

/// Sets a new passphrase for a person. All their sign-ins end, because the old passphrase may be known to others.
/// The log shows whether the person did it or somebody else, a manager.
pub async fn set_passphrase(write: &mut Write, id: PersonId, passphrase: &Hashed) -> Result<Version> {
    let held = get(write, id).await?;
    let hash = passphrase.phc();
    sqlx::query!("UPDATE people SET passphrase_hash = ?, version = version + 1 WHERE id = ?", hash, id)
        .execute(&mut **write)
        .await?;
    end_sign_ins(write, id).await?;
    let own = write.actor().person == Some(id);
    let change = if own { Change::PassphraseSet } else { Change::PassphraseReset };
    let name = Some(&held.value.name);
    log::line(write, None, change, &subject(id), None::<&()>, name).await?;
    Ok(held.version.next())
}

/// Sets a new PIN for a person, or removes it. Failed attempts with the old PIN are deleted.
pub async fn set_pin(write: &mut Write, id: PersonId, pin: Option<&Hashed>) -> Result<Version> {
    let held = get(write, id).await?;
    let hash = pin.map(Hashed::phc);
    sqlx::query!("UPDATE people SET pin_hash = ?, version = version + 1 WHERE id = ?", hash, id)
        .execute(&mut **write)
        .await?;
    sqlx::query!("DELETE FROM pin_misses WHERE person = ?", id).execute(&mut **write).await?;
    changed(write, held).await
}

/// Logs a change of a person, after a check that a manager is left to undo it.
async fn changed(write: &mut Write, held: Versioned<Person>) -> Result<Version> {
    let managers = sqlx::query_scalar!(
        r#"SELECT count(*) AS "count!: i64" FROM people WHERE role = 'manager' AND disabled_at IS NULL"#
    );
    if managers.fetch_one(&mut **write).await? == 0 {
        return Err(Error::LastManager);
    }
    let now = get(write, held.value.id).await?;
    let subject = subject(held.value.id);
    log::line(write, None, Change::Changed, &subject, Some(&held.value), Some(&now.value)).await?;
    Ok(now.version)
}

/// Ends every sign-in that a person opened or currently uses.
async fn end_sign_ins(write: &mut Write, id: PersonId) -> Result<()> {
    let now = At(write.now());
    sqlx::query!(
        "UPDATE sign_ins SET revoked_at = ?1 WHERE ?2 IN (person, opened_by) AND revoked_at IS NULL",
        now,
        id
    )
    .execute(&mut **write)
    .await?;
    Ok(())
}

/// The subject of a person in the log.
pub(super) fn subject(id: PersonId) -> String {
    format!("person/{id}")
}

async fn select(conn: &mut SqliteConnection, only: Option<PersonId>) -> Result<Vec<Versioned<Person>>> {
    let rows = sqlx::query!(
        r#"SELECT id AS "id: PersonId", version AS "version: Version", name AS "name: Name", role AS "role: Role",
                  pin_hash IS NOT NULL AS "has_pin!: bool", disabled_at IS NULL AS "enabled!: bool"
           FROM people WHERE ?1 IS NULL OR id = ?1 ORDER BY name"#,
        only
    )
    .map(|row| Versioned {
        version: row.version,
        value: Person {
            id: row.id,
            name: row.name,
            role: row.role,
            has_pin: row.has_pin,
            enabled: row.enabled,
        },
    });
    Ok(rows.fetch_all(conn).await?)
}

/// When a person was added.
pub async fn joined(conn: &mut SqliteConnection, id: PersonId) -> Result<Timestamp> {
    let at = sqlx::query_scalar!(r#"SELECT created_at AS "at: At" FROM people WHERE id = ?"#, id);
    let at = at.fetch_optional(conn).await?.ok_or_else(|| Error::NotFound(format!("person {id}")))?;
    Ok(at.0)
}
