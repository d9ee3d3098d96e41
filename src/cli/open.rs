//! Shared parts of the commands that work on the shop's data.

use super::data::Data;
use super::outcome::Error;
use crate::job::value::Name;
use crate::store::{Actor, Store};

/// Opens the shop's data, does the work, and closes it again.
///
/// # Errors
///
/// [`Error::NoDataFolder`], [`Error::Store`], and those of the work.
pub fn with_store<T>(data: &Data, work: impl AsyncFnOnce(&Store) -> Result<T, Error>) -> Result<T, Error> {
    let folder = data.folder().ok_or(Error::NoDataFolder)?;
    tokio::runtime::Runtime::new()?.block_on(async {
        let store = Store::open(&folder).await?;
        let done = work(&store).await;
        store.close().await;
        done
    })
}

/// The name in the log for changes from the command line. Anyone who can open the file needs no account.
///
/// # Errors
///
/// [`Error::Value`] if the name is not valid.
pub fn actor() -> Result<Actor, Error> {
    Ok(Actor { person: None, name: "command line".parse::<Name>()? })
}
