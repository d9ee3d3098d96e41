//! Readings of the power-up test. Added to and never changed.

use jiff::Timestamp;
use sqlx::SqliteConnection;
use uuid::Uuid;

use super::Event;
use crate::job::event::Reading;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, DeviceId, MeterA, MeterOhm, MeterV, Name, Prose};
use crate::store::column::{At, ClientId, JobId, PersonId};
use crate::store::log::Change;
use crate::store::{Result, circuits, devices};

impl Event for Reading {
    const CHANGE: Change = Change::Measured;

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
        circuits::require(conn, job, "circuit", &self.circuit).await?;
        match &self.device {
            Some(device) => devices::require(conn, job, "device", device).await,
            None => Ok(()),
        }
    }

    async fn insert(
        &self,
        conn: &mut SqliteConnection,
        job: JobId,
        person: Option<PersonId>,
    ) -> Result<bool> {
        let (id, at) = (ClientId(self.id), At(self.at));
        let done = sqlx::query!(
            r#"INSERT INTO readings (job, id, circuit, device, source_v, load_v, current_a, return_ohm, load_off_v,
                                     current_off_a, note, "by", person, at)
               VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) ON CONFLICT (job, id) DO NOTHING"#,
            job,
            id,
            self.circuit,
            self.device,
            self.source_v,
            self.load_v,
            self.current_a,
            self.return_ohm,
            self.load_off_v,
            self.current_off_a,
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
            r#"SELECT id AS "id: ClientId", circuit AS "circuit: CircuitId", device AS "device: DeviceId",
                      source_v AS "source_v: MeterV", load_v AS "load_v: MeterV", current_a AS "current_a: MeterA",
                      return_ohm AS "return_ohm: MeterOhm",
                      load_off_v AS "load_off_v: MeterV", current_off_a AS "current_off_a: MeterA", note AS "note: Prose", "by" AS "by: Name", at AS "at: At"
               FROM readings WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY seq"#,
            job,
            only
        )
        .map(|row| Self {
            id: Uuid::from(row.id),
            circuit: row.circuit,
            device: row.device,
            source_v: row.source_v,
            load_v: row.load_v,
            current_a: row.current_a,
            return_ohm: row.return_ohm,
            load_off_v: row.load_off_v,
            current_off_a: row.current_off_a,
            note: row.note,
            by: row.by,
            at: Timestamp::from(row.at),
        });
        Ok(rows.fetch_all(conn).await?)
    }
}
