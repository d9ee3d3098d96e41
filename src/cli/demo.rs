//! Puts the demo shop into an empty database.

use std::collections::HashMap;

use jiff::Timestamp;
use thiserror::Error;

use crate::job::file::FileError;
use crate::job::value::BadValue;
use crate::shop::demo;
use crate::shop::profile::{Profile, Units};
use crate::shop::secret::Unfit;
use crate::store::people::{self, Newcomer};
use crate::store::{self, Actor, Hashed, Store, file, shop};

/// Why the demo shop could not be loaded. All errors but the last are faults of the demo itself.
#[derive(Debug, Error)]
pub enum DemoError {
    /// A file is not a job.
    #[error("the demo's job file: {0}")]
    File(#[from] FileError),
    /// A value is out of its bounds.
    #[error("the demo: {0}")]
    Value(#[from] BadValue),
    /// A passphrase or PIN is not accepted.
    #[error("the demo's accounts: {0}")]
    Secret(#[from] Unfit),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] store::Error),
}

/// Loads shop, people and boats, all of it or nothing. The boats' dates are shifted so that their last day of work
/// was yesterday. The people of the demo are the authors of its records.
///
/// # Errors
///
/// [`DemoError`]; then nothing is stored.
pub async fn load(store: &Store, now: Timestamp) -> Result<(), DemoError> {
    let mut newcomers = Vec::new();
    for account in demo::people() {
        newcomers.push(newcomer(account).await?);
    }
    let actor = Actor { person: None, name: demo::SHOP.parse()? };
    let mut write = store.write(&actor, now).await?;
    shop::create(&mut write, &profile()?).await?;
    let mut authors = HashMap::new();
    for newcomer in &newcomers {
        authors.insert(newcomer.name.to_string(), people::add(&mut write, newcomer).await?);
    }
    let today = now.to_zoned_datetime(jiff::tz::TimeZone::UTC).date();
    for boat in demo::files()? {
        file::import_own(&mut write, &demo::shift(boat, today), &authors).await?;
    }
    Ok(write.commit().await?)
}

fn profile() -> Result<Profile, BadValue> {
    Ok(Profile {
        name: demo::SHOP.parse()?,
        address: None,
        phone: None,
        time_zone: demo::TIME_ZONE.parse()?,
        currency: "USD".parse()?,
        units: Units::Us,
    })
}

async fn newcomer(account: &demo::Account) -> Result<Newcomer, DemoError> {
    Ok(Newcomer {
        name: account.name.parse()?,
        role: account.role,
        passphrase: Hashed::passphrase(&account.passphrase.parse()?).await?,
        pin: Some(Hashed::pin(&account.pin.parse()?).await?),
    })
}
