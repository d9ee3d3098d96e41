//! What was found at ends. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::Event;
use crate::job::event::EndNote;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{Name, Prose};
use crate::store::Result;
use crate::store::column::{At, ClientId, JobId, PersonId};
use crate::store::log::Change;

impl Event for EndNote {
    const CHANGE: Change = Change::Noted;

    fn id(&self) -> Uuid {
        self.id
    }

    fn in_the_name_of(self, other: &Self) -> Self {
        Self { by: other.by.clone(), ..self }
    }

    fn subject(&self, _job: JobId) -> String {
        Subject::new(SubjectKind::End, &self.end).to_string()
    }

    async fn insert(
        &self,
        conn: &mut SqliteConnection,
        job: JobId,
        person: Option<PersonId>,
    ) -> Result<bool> {
        let (id, at) = (ClientId(self.id), At(self.at));
        let done = sqlx::query!(
            r#"INSERT INTO end_notes (job, id, end, found, "by", person, at) VALUES (?, ?, ?, ?, ?, ?, ?)
               ON CONFLICT (job, id) DO NOTHING"#,
            job,
            id,
            self.end,
            self.found,
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
            r#"SELECT id AS "id: ClientId", end AS "end: Name", found AS "found: Prose", "by" AS "by: Name", at AS "at: At"
               FROM end_notes WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
            job,
            only
        )
        .map(|row| Self {
            id: Uuid::from(row.id),
            end: row.end,
            found: row.found,
            by: row.by,
            at: Timestamp::from(row.at),
        });
        Ok(rows.fetch_all(conn).await?)
    }
}
