//! Boards: flat areas that devices and points are mounted on.

use sqlx::SqliteConnection;

use super::column::{JobId, Version};
use super::{Error, Result, Versioned, Write, edit, log};
use crate::job::board::{Board, Faces, Stands};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{AheadM, BoardId, LocationId, Name, SizeMm, StarboardM, UpM};

/// All boards of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<Board>>> {
    select(conn, job, None).await
}

/// One board.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: &BoardId) -> Result<Versioned<Board>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a board at the end.
pub async fn insert(write: &mut Write, job: JobId, board: &Board) -> Result<()> {
    edit::fits(write, job, "boards", |plan| edit::push(&mut plan.boards, board)).await?;
    add(write, job, board).await?;
    log::added(write, job, &subject(&board.id), board).await
}

/// Changes a board; its id stays.
pub async fn update(write: &mut Write, job: JobId, board: &Board, expected: Version) -> Result<Version> {
    let held = get(write, job, &board.id).await?;
    held.started_from(expected, subject(&board.id))?;
    edit::fits(write, job, "boards", |plan| {
        edit::replace(&mut plan.boards, board, |held| held.id == board.id)
    })
    .await?;
    set(write, job, board).await?;
    log::changed(write, job, &subject(&board.id), &held.value, board).await?;
    Ok(held.version.next())
}

/// Removes a board that nothing is mounted on any more.
pub async fn remove(write: &mut Write, job: JobId, id: &BoardId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    let by = users(write, job, id).await?;
    if !by.is_empty() {
        return Err(Error::InUse { subject: subject(id), by });
    }
    sqlx::query!("DELETE FROM boards WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

fn subject(id: &BoardId) -> Subject {
    Subject::new(SubjectKind::Board, id)
}

/// What is mounted on a board.
async fn users(conn: &mut SqliteConnection, job: JobId, id: &BoardId) -> Result<Vec<Subject>> {
    let users = sqlx::query_scalar!(
        r#"SELECT CASE WHEN EXISTS (SELECT 1 FROM points WHERE points.job = ?1 AND points.id = part)
                       THEN 'point/' ELSE 'device/' END || part AS "user!: Subject"
           FROM mountings WHERE job = ?1 AND board = ?2"#,
        job,
        id
    );
    Ok(users.fetch_all(conn).await?)
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&BoardId>,
) -> Result<Vec<Versioned<Board>>> {
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: BoardId", name AS "name: Name", location AS "location: LocationId",
                  width_mm AS "width_mm: SizeMm", height_mm AS "height_mm: SizeMm",
                  thickness_mm AS "thickness_mm: SizeMm", laminate_mm AS "laminate_mm: SizeMm",
                  ahead_m AS "ahead_m: AheadM", starboard_m AS "starboard_m: StarboardM", up_m AS "up_m: UpM",
                  faces AS "faces: Faces"
           FROM boards WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .map(|row| Versioned {
        version: row.version,
        value: Board {
            id: row.id,
            name: row.name,
            location: row.location,
            width_mm: row.width_mm,
            height_mm: row.height_mm,
            thickness_mm: row.thickness_mm,
            laminate_mm: row.laminate_mm,
            stands: stands(row.ahead_m, row.starboard_m, row.up_m, row.faces),
        },
    });
    Ok(rows.fetch_all(conn).await?)
}

/// Where a board stands; the table has all four or none.
fn stands(
    ahead_m: Option<AheadM>,
    starboard_m: Option<StarboardM>,
    up_m: Option<UpM>,
    faces: Option<Faces>,
) -> Option<Stands> {
    Some(Stands { ahead_m: ahead_m?, starboard_m: starboard_m?, up_m: up_m?, faces: faces? })
}

/// Adds a board's row without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, board: &Board) -> Result<()> {
    let (ahead_m, starboard_m, up_m, faces) = columns(board.stands);
    sqlx::query!(
        "INSERT INTO boards (job, rank, id, name, location, width_mm, height_mm, thickness_mm, laminate_mm,
             ahead_m, starboard_m, up_m, faces)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM boards WHERE job = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8,
             ?9, ?10, ?11, ?12)",
        job,
        board.id,
        board.name,
        board.location,
        board.width_mm,
        board.height_mm,
        board.thickness_mm,
        board.laminate_mm,
        ahead_m,
        starboard_m,
        up_m,
        faces
    )
    .execute(&mut *conn)
    .await?;
    Ok(())
}

async fn set(conn: &mut SqliteConnection, job: JobId, board: &Board) -> Result<()> {
    let (ahead_m, starboard_m, up_m, faces) = columns(board.stands);
    sqlx::query!(
        "UPDATE boards SET name = ?3, location = ?4, width_mm = ?5, height_mm = ?6, thickness_mm = ?7, laminate_mm = ?8,
                           ahead_m = ?9, starboard_m = ?10, up_m = ?11, faces = ?12, version = version + 1
         WHERE job = ?1 AND id = ?2",
        job,
        board.id,
        board.name,
        board.location,
        board.width_mm,
        board.height_mm,
        board.thickness_mm,
        board.laminate_mm,
        ahead_m,
        starboard_m,
        up_m,
        faces
    )
    .execute(&mut *conn)
    .await?;
    Ok(())
}

type Columns = (Option<AheadM>, Option<StarboardM>, Option<UpM>, Option<Faces>);

fn columns(stands: Option<Stands>) -> Columns {
    let each = |stands: Stands| {
        (Some(stands.ahead_m), Some(stands.starboard_m), Some(stands.up_m), Some(stands.faces))
    };
    stands.map_or((None, None, None, None), each)
}
