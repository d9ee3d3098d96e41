//! How the shop makes its labels: one row, written at the first change, and another row for a sheet that the shop
//! measured itself.

use sqlx::SqliteConnection;

use super::column::Version;
use super::error::Result;
use super::log::{self, Change};
use super::pool::Write;
use super::versioned::Versioned;
use crate::job::label::{Measures, OwnSheet, Rule, StockKey};
use crate::job::value::{GapMm, SizeMm};
use crate::shop::labels::{Address, LabelSetting};

const SUBJECT: &str = "labels/1";

/// How labels are made: the shop's setting, or the default.
pub async fn get(conn: &mut SqliteConnection) -> Result<Versioned<LabelSetting>> {
    let own = own(&mut *conn).await?;
    let row = sqlx::query!(
        r#"SELECT version AS "version: Version", rule AS "rule: Rule", stock AS "stock: StockKey",
                  address AS "address: Address"
           FROM label_setting"#
    )
    .map(|row| Versioned {
        version: row.version,
        value: LabelSetting { rule: row.rule, stock: row.stock, own, address: row.address },
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
    set_own(write, setting.own.as_ref()).await?;
    log::line(write, None, Change::Changed, SUBJECT, Some(&held.value), Some(setting)).await?;
    Ok(version)
}

async fn own(conn: &mut SqliteConnection) -> Result<Option<OwnSheet>> {
    let measures = sqlx::query_as!(
        Measures,
        r#"SELECT paper_width_mm AS "paper_width_mm: SizeMm", paper_height_mm AS "paper_height_mm: SizeMm",
                  columns AS "columns: u16", rows AS "rows: u16", width_mm AS "width_mm: SizeMm",
                  height_mm AS "height_mm: SizeMm", left_mm AS "left_mm: GapMm", top_mm AS "top_mm: GapMm",
                  across_mm AS "across_mm: SizeMm", down_mm AS "down_mm: SizeMm", print_mm AS "print_mm: SizeMm"
           FROM own_label_sheet"#
    )
    .fetch_optional(conn)
    .await?;
    let sheet = measures.map(OwnSheet::try_from).transpose();
    Ok(sheet.map_err(|bad| sqlx::Error::Decode(bad.into()))?)
}

/// Replaces the shop's own sheet.
async fn set_own(conn: &mut SqliteConnection, own: Option<&OwnSheet>) -> Result<()> {
    sqlx::query!("DELETE FROM own_label_sheet").execute(&mut *conn).await?;
    let Some(sheet) = own.map(OwnSheet::measures) else { return Ok(()) };
    sqlx::query!(
        "INSERT INTO own_label_sheet (id, paper_width_mm, paper_height_mm, columns, rows, width_mm, height_mm,
             left_mm, top_mm, across_mm, down_mm, print_mm)
         VALUES (1, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        sheet.paper_width_mm,
        sheet.paper_height_mm,
        sheet.columns,
        sheet.rows,
        sheet.width_mm,
        sheet.height_mm,
        sheet.left_mm,
        sheet.top_mm,
        sheet.across_mm,
        sheet.down_mm,
        sheet.print_mm
    )
    .execute(conn)
    .await?;
    Ok(())
}
