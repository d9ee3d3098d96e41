//! How the shop makes its labels: one row, written when somebody first changes anything.

use sqlx::SqliteConnection;

use super::column::Version;
use super::log::{self, Change};
use super::{Result, Versioned, Write};
use crate::job::label::{Rule, Stock};
use crate::shop::labels::{Address, LabelSetting};

const SUBJECT: &str = "labels/1";

/// How labels are made: as somebody settled it, or as is usual.
pub async fn get(conn: &mut SqliteConnection) -> Result<Versioned<LabelSetting>> {
    let row = sqlx::query!(
        r#"SELECT version AS "version: Version", rule AS "rule: Rule", stock AS "stock: Stock",
                  address AS "address: Address"
           FROM label_setting"#
    )
    .map(|row| Versioned {
        version: row.version,
        value: LabelSetting { rule: row.rule, stock: row.stock, address: row.address },
    });
    let usual = || Versioned { version: Version::from(0), value: LabelSetting::default() };
    Ok(row.fetch_optional(conn).await?.unwrap_or_else(usual))
}

/// Changes how labels are made.
pub async fn update(write: &mut Write, setting: &LabelSetting, expected: Version) -> Result<Version> {
    let held = get(write).await?;
    held.started_from(expected, SUBJECT)?;
    let version = held.version.next();
    sqlx::query!(
        "INSERT INTO label_setting (id, version, rule, stock, address) VALUES (1, ?1, ?2, ?3, ?4)
         ON CONFLICT DO UPDATE SET version = ?1, rule = ?2, stock = ?3, address = ?4",
        version,
        setting.rule,
        setting.stock,
        setting.address
    )
    .execute(&mut **write)
    .await?;
    log::line(write, None, Change::Changed, SUBJECT, Some(&held.value), Some(setting)).await?;
    Ok(version)
}
