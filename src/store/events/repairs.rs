//! Faults found and put right. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::Event;
use crate::job::event::Repair;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, Name, Prose};
use crate::store::column::{At, ClientId, JobId, PersonId};
use crate::store::log::Change;
use crate::store::{Result, circuits};

impl Event for Repair {
    const CHANGE: Change = Change::Noted;

    fn id(&self) -> Uuid {
        self.id
    }

    fn in_the_name_of(self, other: &Self) -> Self {
        Self { by: other.by.clone(), ..self }
    }

    fn subject(&self, _job: JobId) -> String {
        Subject::new(SubjectKind::Circuit, &self.circuit).to_string()
    }

    async fn require(&self, conn: &mut SqliteConnection, job: JobId) -> Result<()> {
        circuits::require(conn, job, "circuit", &self.circuit).await
    }

    async fn insert(
        &self,
        conn: &mut SqliteConnection,
        job: JobId,
        person: Option<PersonId>,
    ) -> Result<bool> {
        let (id, at) = (ClientId(self.id), At(self.at));
        let done = sqlx::query!(
            r#"INSERT INTO repairs (job, id, circuit, "where", found, "by", person, at)
               VALUES (?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (job, id) DO NOTHING"#,
            job,
            id,
            self.circuit,
            self.r#where,
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
            r#"SELECT id AS "id: ClientId", circuit AS "circuit: CircuitId", "where" AS "where: Name", found AS "found: Prose",
                      "by" AS "by: Name", at AS "at: At"
               FROM repairs WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
            job,
            only
        )
        .map(|row| Self {
            id: Uuid::from(row.id),
            circuit: row.circuit,
            r#where: row.r#where,
            found: row.found,
            by: row.by,
            at: Timestamp::from(row.at),
        });
        Ok(rows.fetch_all(conn).await?)
    }
}
