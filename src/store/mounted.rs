//! What devices and points take up and which board they go on: rows that belong to those rows.

use std::collections::HashMap;

use sqlx::SqliteConnection;

use super::Result;
use super::column::JobId;
use super::lists::Lists;
use crate::job::board::{Corner, Footprint, Hole, Mounting, Side};
use crate::job::value::{BoardId, GapMm, OnBoardMm, SizeMm};

/// Footprints and mountings by the id of their part.
#[derive(Default)]
pub(super) struct Mounted {
    footprints: HashMap<String, Footprint>,
    mountings: HashMap<String, Mounting>,
}

impl Mounted {
    /// Those of all parts, or of one.
    pub(super) async fn load(conn: &mut SqliteConnection, job: JobId, only: Option<&str>) -> Result<Self> {
        Ok(Self {
            footprints: footprints(conn, job, only).await?,
            mountings: mountings(conn, job, only).await?,
        })
    }

    /// Takes what belongs to one part.
    pub(super) fn take(&mut self, part: &str) -> (Option<Footprint>, Option<Mounting>) {
        (self.footprints.remove(part), self.mountings.remove(part))
    }
}

async fn footprints(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&str>,
) -> Result<HashMap<String, Footprint>> {
    let mut holes = holes(conn, job, only).await?;
    let rows = sqlx::query!(
        r#"SELECT part, width_mm AS "width_mm: SizeMm", height_mm AS "height_mm: SizeMm",
                  clearance_mm AS "clearance_mm: GapMm", wires_leave AS "wires_leave: Side",
                  wire_bend_mm AS "wire_bend_mm: GapMm", screw_mm AS "screw_mm: SizeMm", upright AS "upright: bool",
                  hot AS "hot: bool", splash_ok AS "splash_ok: bool", compass AS "compass: bool",
                  compass_safe_mm AS "compass_safe_mm: GapMm", magnetic AS "magnetic: bool"
           FROM footprints WHERE job = ?1 AND (?2 IS NULL OR part = ?2)"#,
        job,
        only
    )
    .map(|row| {
        let footprint = Footprint {
            width_mm: row.width_mm,
            height_mm: row.height_mm,
            clearance_mm: row.clearance_mm,
            wires_leave: row.wires_leave,
            wire_bend_mm: row.wire_bend_mm,
            screw_mm: row.screw_mm,
            holes: holes.take(&row.part),
            upright: row.upright,
            hot: row.hot,
            splash_ok: row.splash_ok,
            compass: row.compass,
            compass_safe_mm: row.compass_safe_mm,
            magnetic: row.magnetic,
        };
        (row.part, footprint)
    });
    Ok(rows.fetch_all(conn).await?.into_iter().collect())
}

/// The holes of all parts, or of one, in order.
async fn holes(conn: &mut SqliteConnection, job: JobId, only: Option<&str>) -> Result<Lists<String, Hole>> {
    let rows = sqlx::query!(
        r#"SELECT part, x_mm AS "x_mm: OnBoardMm", y_mm AS "y_mm: OnBoardMm", d_mm AS "d_mm: SizeMm"
           FROM footprint_holes WHERE job = ?1 AND (?2 IS NULL OR part = ?2) ORDER BY part, rank"#,
        job,
        only
    )
    .map(|row| (row.part, Hole { x_mm: row.x_mm, y_mm: row.y_mm, d_mm: row.d_mm }));
    Ok(rows.fetch_all(conn).await?.into())
}

async fn mountings(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&str>,
) -> Result<HashMap<String, Mounting>> {
    let rows = sqlx::query!(
        r#"SELECT part, board AS "board: BoardId", x_mm AS "x_mm: OnBoardMm", y_mm AS "y_mm: OnBoardMm",
                  turned AS "turned: bool"
           FROM mountings WHERE job = ?1 AND (?2 IS NULL OR part = ?2)"#,
        job,
        only
    )
    .map(|row| {
        let at = row.x_mm.zip(row.y_mm).map(|(x_mm, y_mm)| Corner { x_mm, y_mm, turned: row.turned });
        (row.part, Mounting { board: row.board, at })
    });
    Ok(rows.fetch_all(conn).await?.into_iter().collect())
}

/// Makes the rows of a part what they are to be.
pub(super) async fn set(
    conn: &mut SqliteConnection,
    job: JobId,
    part: &str,
    footprint: Option<&Footprint>,
    mounting: Option<&Mounting>,
) -> Result<()> {
    remove(conn, job, part).await?;
    if let Some(footprint) = footprint {
        add_footprint(conn, job, part, footprint).await?;
    }
    if let Some(mounting) = mounting {
        add_mounting(conn, job, part, mounting).await?;
    }
    Ok(())
}

/// Removes the rows of a part that goes.
pub(super) async fn remove(conn: &mut SqliteConnection, job: JobId, part: &str) -> Result<()> {
    sqlx::query!("DELETE FROM footprints WHERE job = ? AND part = ?", job, part).execute(&mut *conn).await?;
    sqlx::query!("DELETE FROM mountings WHERE job = ? AND part = ?", job, part).execute(&mut *conn).await?;
    Ok(())
}

async fn add_footprint(
    conn: &mut SqliteConnection,
    job: JobId,
    part: &str,
    footprint: &Footprint,
) -> Result<()> {
    sqlx::query!(
        "INSERT INTO footprints (job, part, width_mm, height_mm, clearance_mm, wires_leave, wire_bend_mm, screw_mm,
                                 upright, hot, splash_ok, compass, compass_safe_mm, magnetic)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        job,
        part,
        footprint.width_mm,
        footprint.height_mm,
        footprint.clearance_mm,
        footprint.wires_leave,
        footprint.wire_bend_mm,
        footprint.screw_mm,
        footprint.upright,
        footprint.hot,
        footprint.splash_ok,
        footprint.compass,
        footprint.compass_safe_mm,
        footprint.magnetic
    )
    .execute(&mut *conn)
    .await?;
    for (rank, hole) in (1_i64..).zip(&footprint.holes) {
        sqlx::query!(
            "INSERT INTO footprint_holes (job, part, rank, x_mm, y_mm, d_mm) VALUES (?, ?, ?, ?, ?, ?)",
            job,
            part,
            rank,
            hole.x_mm,
            hole.y_mm,
            hole.d_mm
        )
        .execute(&mut *conn)
        .await?;
    }
    Ok(())
}

async fn add_mounting(
    conn: &mut SqliteConnection,
    job: JobId,
    part: &str,
    mounting: &Mounting,
) -> Result<()> {
    let at = mounting.at;
    let (x_mm, y_mm) = (at.map(|at| at.x_mm), at.map(|at| at.y_mm));
    let turned = at.is_some_and(|at| at.turned);
    sqlx::query!(
        "INSERT INTO mountings (job, part, board, x_mm, y_mm, turned) VALUES (?, ?, ?, ?, ?, ?)",
        job,
        part,
        mounting.board,
        x_mm,
        y_mm,
        turned
    )
    .execute(&mut *conn)
    .await?;
    Ok(())
}
