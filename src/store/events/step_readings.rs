//! Measurements of single steps, such as the ohms of a check made dead. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::Event;
use crate::job::event::StepReading;
use crate::job::step::StepKey;
use crate::job::value::{MeterOhm, MeterV, Name, Prose};
use crate::store::Result;
use crate::store::column::{At, ClientId, JobId, PersonId};
use crate::store::log::Change;

impl Event for StepReading {
    const CHANGE: Change = Change::Measured;

    fn id(&self) -> Uuid {
        self.id
    }

    fn in_the_name_of(self, other: &Self) -> Self {
        Self { by: other.by.clone(), ..self }
    }

    fn subject(&self, _job: JobId) -> String {
        self.step.subject.to_string()
    }

    async fn insert(
        &self,
        conn: &mut SqliteConnection,
        job: JobId,
        person: Option<PersonId>,
    ) -> Result<bool> {
        let (id, at) = (ClientId(self.id), At(self.at));
        let done = sqlx::query!(
            r#"INSERT INTO step_readings (job, id, step, ohm, v, note, "by", person, at)
               VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (job, id) DO NOTHING"#,
            job,
            id,
            self.step,
            self.ohm,
            self.v,
            self.note,
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
            r#"SELECT id AS "id: ClientId", step AS "step: StepKey", ohm AS "ohm: MeterOhm", v AS "v: MeterV", note AS "note: Prose",
                      "by" AS "by: Name", at AS "at: At"
               FROM step_readings WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
            job,
            only
        )
        .map(|row| Self {
            id: Uuid::from(row.id),
            step: row.step,
            ohm: row.ohm,
            v: row.v,
            note: row.note,
            by: row.by,
            at: Timestamp::from(row.at),
        });
        Ok(rows.fetch_all(conn).await?)
    }
}
