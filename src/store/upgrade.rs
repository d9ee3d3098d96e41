//! Upgrades items of older formats when the database is opened, all in one transaction, after a copy of the
//! database was made. Records and changes are never rewritten; they are upgraded on reading.

use std::path::PathBuf;

use sqlx::{Connection, SqliteConnection};

use super::error::{Error, Result};
use super::folder::{Folder, private_dir, private_file};
use crate::job::plan::item;
use crate::job::upgrade::{self, FORMAT};

/// Rewrites the items of older formats, if there are any.
pub(super) async fn items(conn: &mut SqliteConnection, folder: &Folder) -> Result<()> {
    let oldest = sqlx::query_scalar!(r#"SELECT min(format) AS "format: u32" FROM item"#);
    let Some(oldest) = oldest.fetch_one(&mut *conn).await?.filter(|oldest| *oldest < FORMAT) else {
        return Ok(());
    };
    let copy = free_path(folder, oldest)?;
    private_file(&copy).map_err(|error| Error::file(&copy, error))?;
    // The query macro cannot check this: VACUUM reads no table.
    sqlx::query("VACUUM INTO ?").bind(copy.to_string_lossy()).execute(&mut *conn).await?;
    std::fs::File::open(&copy).and_then(|file| file.sync_all()).map_err(|error| Error::file(&copy, error))?;
    let mut all = conn.begin().await?;
    let rows =
        sqlx::query!(r#"SELECT pk, kind, format AS "format: u32", body FROM item WHERE format < ?"#, FORMAT);
    for row in rows.fetch_all(&mut *all).await? {
        let value = upgrade::document(row.format, item::list_of(&row.kind), serde_json::from_str(&row.body)?);
        let body = serde_json::to_string(&value)?;
        sqlx::query!("UPDATE item SET body = ?, format = ? WHERE pk = ?", body, FORMAT, row.pk)
            .execute(&mut *all)
            .await?;
    }
    Ok(all.commit().await?)
}

/// The path of the copy: beside the backups, with a name of its own.
fn free_path(folder: &Folder, oldest: u32) -> Result<PathBuf> {
    let backups = folder.backups();
    private_dir(&backups).map_err(|error| Error::file(&backups, error))?;
    let named = |number: u32| backups.join(format!("items-of-format-{oldest}-{number}.db"));
    // There is always an unused number.
    Ok((1..).map(named).find(|path| !path.exists()).unwrap_or_else(|| named(0)))
}
