//! Releases: written reasons to pass a gate in spite of something. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::Event;
use crate::job::event::Release;
use crate::job::phase::Phase;
use crate::job::value::{Name, Prose};
use crate::store::column::{At, ClientId, JobId, PersonId};
use crate::store::log::Change;
use crate::store::{Result, jobs};

impl Event for Release {
    const CHANGE: Change = Change::Released;

    fn id(&self) -> Uuid {
        self.id
    }

    fn in_the_name_of(self, other: &Self) -> Self {
        Self { by: other.by.clone(), ..self }
    }

    fn subject(&self, job: JobId) -> String {
        jobs::subject(job).to_string()
    }

    async fn insert(
        &self,
        conn: &mut SqliteConnection,
        job: JobId,
        person: Option<PersonId>,
    ) -> Result<bool> {
        let (id, at) = (ClientId(self.id), At(self.at));
        let done = sqlx::query!(
            r#"INSERT INTO releases (job, id, into_phase, obstacle, reason, "by", person, at)
               VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (job, id) DO NOTHING"#,
            job,
            id,
            self.into,
            self.obstacle,
            self.reason,
            self.by,
            person,
            at
        )
        .execute(conn)
        .await?;
        Ok(done.rows_affected() == 1)
    }

    async fn select(conn: &mut SqliteConnection, job: JobId, only: Option<Uuid>) -> Result<Vec<Self>> {
        let only = only.map(ClientId);
        let rows = sqlx::query!(
            r#"SELECT id AS "id: ClientId", into_phase AS "into: Phase", obstacle, reason AS "reason: Prose",
                      "by" AS "by: Name", at AS "at: At"
               FROM releases WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
            job,
            only
        )
        .map(|row| Self {
            id: Uuid::from(row.id),
            into: row.into,
            obstacle: row.obstacle,
            reason: row.reason,
            by: row.by,
            at: Timestamp::from(row.at),
        });
        Ok(rows.fetch_all(conn).await?)
    }
}
