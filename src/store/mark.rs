//! The shop's mark: the picture on its papers.

use sqlx::SqliteConnection;

use super::error::Result;
use super::log::{self, Change};
use super::pool::Write;
use crate::shop::picture::Picture;

const SUBJECT: &str = "shop/mark";

/// The mark, if there is one.
pub async fn get(conn: &mut SqliteConnection) -> Result<Option<Picture>> {
    let row = sqlx::query!(
        r#"SELECT bytes, width AS "width: u32", height AS "height: u32" FROM shop_mark WHERE id = 1"#
    );
    let row = row.map(|row| Picture { bytes: row.bytes, width: row.width, height: row.height });
    Ok(row.fetch_optional(conn).await?)
}

/// The hash of the mark, if there is one. Pages need no more, because it is part of the address.
pub async fn hash(conn: &mut SqliteConnection) -> Result<Option<String>> {
    Ok(sqlx::query_scalar!("SELECT hash FROM shop_mark WHERE id = 1").fetch_optional(conn).await?)
}

/// Sets the mark, or removes it.
pub async fn set(write: &mut Write, picture: Option<&Picture>) -> Result<()> {
    let before = hash(write).await?;
    sqlx::query!("DELETE FROM shop_mark").execute(&mut **write).await?;
    let after = picture.map(Picture::hash);
    if let (Some(picture), Some(hash)) = (picture, &after) {
        sqlx::query!(
            "INSERT INTO shop_mark (id, bytes, hash, width, height) VALUES (1, ?, ?, ?, ?)",
            picture.bytes,
            hash,
            picture.width,
            picture.height
        )
        .execute(&mut **write)
        .await?;
    }
    if before == after {
        return Ok(());
    }
    log::line(write, None, Change::Changed, SUBJECT, before.as_ref(), after.as_ref()).await
}
