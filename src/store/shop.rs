//! The shop itself: one row, written at the first run and changed on the page of settings.

use sqlx::SqliteConnection;

use super::column::Version;
use super::error::{Error, Result};
use super::log::{self, Change};
use super::pool::Write;
use super::versioned::Versioned;
use crate::job::value::{Name, Prose};
use crate::shop::profile::{Currency, Profile, Units, Zone};

const SUBJECT: &str = "shop/1";

/// The shop; `None` before the first run.
pub async fn get(conn: &mut SqliteConnection) -> Result<Option<Versioned<Profile>>> {
    let row = sqlx::query!(
        r#"SELECT version AS "version: Version", name AS "name: Name", address AS "address: Prose",
                  phone AS "phone: Name", time_zone AS "time_zone: Zone",
                  currency AS "currency: Currency", units AS "units: Units"
           FROM shop"#
    )
    .map(|row| Versioned {
        version: row.version,
        value: Profile {
            name: row.name,
            address: row.address,
            phone: row.phone,
            time_zone: row.time_zone,
            currency: row.currency,
            units: row.units,
        },
    });
    Ok(row.fetch_optional(conn).await?)
}

/// Which shop a database belongs to. It is made with the database, and a restored copy keeps it.
pub async fn identity(conn: &mut SqliteConnection) -> Result<String> {
    Ok(sqlx::query_scalar!("SELECT identity FROM shop_identity").fetch_one(conn).await?)
}

/// Creates the row of the shop.
pub async fn create(write: &mut Write, profile: &Profile) -> Result<()> {
    sqlx::query!(
        "INSERT INTO shop (id, name, address, phone, time_zone, currency, units) VALUES (1, ?, ?, ?, ?, ?, ?)",
        profile.name,
        profile.address,
        profile.phone,
        profile.time_zone,
        profile.currency,
        profile.units
    )
    .execute(&mut **write)
    .await?;
    log::line(write, None, Change::Added, SUBJECT, None::<&()>, Some(profile)).await
}

/// Changes the shop.
pub async fn update(write: &mut Write, profile: &Profile, expected: Version) -> Result<Version> {
    let held = get(write).await?.ok_or_else(|| Error::NotFound("shop yet".to_owned()))?;
    held.started_from(expected, SUBJECT)?;
    sqlx::query!(
        "UPDATE shop
         SET name = ?, address = ?, phone = ?, time_zone = ?, currency = ?, units = ?, version = version + 1",
        profile.name,
        profile.address,
        profile.phone,
        profile.time_zone,
        profile.currency,
        profile.units
    )
    .execute(&mut **write)
    .await?;
    log::line(write, None, Change::Changed, SUBJECT, Some(&held.value), Some(profile)).await?;
    Ok(held.version.next())
}
