//! Circuits: protected feeds out to devices and their returns, with the devices in order along the wire and
//! the conductors that differ.

use sqlx::SqliteConnection;

use super::column::{JobId, Short, Throws, Version};
use super::lists::Lists;
use super::{Error, Result, Versioned, Write, curves, edit, extras, log, routes};
use crate::job::plan::{Circuit, ConductorOverride, Leg, Protection, SwitchAt, Wiring};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{
    CircuitId, InsulationC, InterruptA, Label, LengthM, Milliohm, Name, PointId, RatingA,
};
use crate::trade::conductor::Size;
use crate::trade::protection::Family;

/// All circuits of a job, in its order.
pub async fn all(conn: &mut SqliteConnection, job: JobId) -> Result<Vec<Versioned<Circuit>>> {
    select(conn, job, None).await
}

/// One circuit.
pub async fn get(conn: &mut SqliteConnection, job: JobId, id: &CircuitId) -> Result<Versioned<Circuit>> {
    select(conn, job, Some(id)).await?.pop().ok_or_else(|| Error::not_found(&subject(id)))
}

/// Adds a circuit at the end.
pub async fn insert(write: &mut Write, job: JobId, circuit: &Circuit) -> Result<()> {
    edit::fits(write, job, "circuits", |plan| edit::push(&mut plan.circuits, circuit)).await?;
    add(write, job, circuit).await?;
    log::added(write, job, &subject(&circuit.id), circuit).await
}

/// Changes a circuit; its id stays.
pub async fn update(write: &mut Write, job: JobId, circuit: &Circuit, expected: Version) -> Result<Version> {
    let held = get(write, job, &circuit.id).await?;
    held.started_from(expected, subject(&circuit.id))?;
    edit::fits(write, job, "circuits", |plan| {
        edit::replace(&mut plan.circuits, circuit, |held| held.id == circuit.id)
    })
    .await?;
    set(write, job, circuit).await?;
    log::changed(write, job, &subject(&circuit.id), &held.value, circuit).await?;
    Ok(held.version.next())
}

/// Removes a circuit that no mode uses any more. What was ticked and measured on it stays in the history.
pub async fn remove(write: &mut Write, job: JobId, id: &CircuitId, expected: Version) -> Result<()> {
    let held = get(write, job, id).await?;
    held.started_from(expected, subject(id))?;
    let by = users(write, job, id).await?;
    if !by.is_empty() {
        return Err(Error::InUse { subject: subject(id), by });
    }
    edit::drops(write, job, |plan| plan.circuits.retain(|circuit| circuit.id != *id)).await?;
    sqlx::query!("DELETE FROM circuits WHERE job = ? AND id = ?", job, id).execute(&mut **write).await?;
    log::removed(write, job, &subject(id), &held.value).await
}

/// Refuses a field that names a circuit this job does not have.
pub(super) async fn require(
    conn: &mut SqliteConnection,
    job: JobId,
    field: &'static str,
    id: &CircuitId,
) -> Result<()> {
    let there = sqlx::query_scalar!("SELECT 1 FROM circuits WHERE job = ? AND id = ?", job, id);
    match there.fetch_optional(conn).await? {
        Some(_) => Ok(()),
        None => Err(Error::dangling(field, &subject(id))),
    }
}

fn subject(id: &CircuitId) -> Subject {
    Subject::new(SubjectKind::Circuit, id)
}

/// The modes that use a circuit.
async fn users(conn: &mut SqliteConnection, job: JobId, id: &CircuitId) -> Result<Vec<Subject>> {
    let users = sqlx::query_scalar!(
        r#"SELECT 'mode/' || mode AS "user!: Subject" FROM mode_circuits WHERE job = ? AND circuit = ?"#,
        job,
        id
    );
    Ok(users.fetch_all(conn).await?)
}

/// What a circuit has beyond its columns.
#[derive(Default, serde::Serialize, serde::Deserialize)]
struct Extras {
    label: Option<Label>,
    legs: Vec<Leg>,
    legs_given: u16,
}

async fn select(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&CircuitId>,
) -> Result<Vec<Versioned<Circuit>>> {
    let mut beyond = extras::all::<Extras>(conn, job, SubjectKind::Circuit.word()).await?;
    let mut conductors = overrides(conn, job, only).await?;
    let mut ways = routes::of_circuits(conn, job, only).await?;
    let mut curves = curves::of_circuits(conn, job, only).await?;
    let rows = sqlx::query!(
        r#"SELECT version AS "version: Version", id AS "id: CircuitId", name AS "name: Name",
                  from_point AS "from_point: PointId", protection_kind AS "protection_kind: Family",
                  rating_a AS "rating_a: RatingA", from_source_m AS "from_source_m: LengthM",
                  interrupt_a AS "interrupt_a: InterruptA", resistance_mohm AS "resistance_mohm: Milliohm",
                  switch_panel AS "switch_panel: PointId", switch_position AS "switch_position: u16", switch_throws AS "switch_throws: Throws",
                  junction AS "junction: PointId", return_point AS "return_point: PointId",
                  wiring AS "wiring: Wiring", size AS "size: Size", insulation_c AS "insulation_c: InsulationC",
                  length_m AS "length_m: LengthM", jacketed AS "jacketed: bool", bundle AS "bundle: u16",
                  color AS "color: Label", return_color AS "return_color: Label"
           FROM circuits WHERE job = ?1 AND (?2 IS NULL OR id = ?2) ORDER BY rank"#,
        job,
        only
    )
    .map(|row| {
        let curve = curves.remove(&row.id).unwrap_or_default();
        let Extras { label, legs, legs_given } = beyond.remove(row.id.as_str()).unwrap_or_default();
        Versioned {
        version: row.version,
        value: Circuit {
            label,
            legs,
            legs_given,
            conductors: conductors.take(&row.id),
            route: ways.take(&row.id),
            id: row.id,
            name: row.name,
            from: row.from_point,
            protection: row.protection_kind.map(|kind| Protection {
                kind,
                rating_a: row.rating_a,
                from_source_m: row.from_source_m,
                interrupt_a: row.interrupt_a,
                resistance_mohm: row.resistance_mohm,
                curve,
            }),
            switch: row.switch_panel.zip(row.switch_position).map(|(panel, position)| {
                let throws = row.switch_throws.map_or_else(Vec::new, |throws| throws.0);
                SwitchAt { panel, position, throws }
            }),
            junction: row.junction,
            r#return: row.return_point,
            wiring: row.wiring,
            size: row.size,
            insulation_c: row.insulation_c,
            length_m: row.length_m,
            jacketed: row.jacketed,
            bundle: row.bundle,
            color: row.color,
            return_color: row.return_color,
        },
    }});
    Ok(rows.fetch_all(conn).await?)
}

/// The conductors of all circuits, or of one, that differ.
async fn overrides(
    conn: &mut SqliteConnection,
    job: JobId,
    only: Option<&CircuitId>,
) -> Result<Lists<CircuitId, ConductorOverride>> {
    let rows = sqlx::query!(
        r#"SELECT circuit AS "circuit: CircuitId", from_end AS "from_end: Name", to_end AS "to_end: Name",
                  length_m AS "length_m: LengthM", size AS "size: Size"
           FROM conductor_overrides WHERE job = ?1 AND (?2 IS NULL OR circuit = ?2) ORDER BY circuit, rank"#,
        job,
        only
    )
    .map(|row| {
        let differs =
            ConductorOverride { from: row.from_end, to: row.to_end, length_m: row.length_m, size: row.size };
        (row.circuit, differs)
    });
    Ok(rows.fetch_all(conn).await?.into())
}

/// Adds a circuit's rows without a line in the log.
pub(super) async fn add(conn: &mut SqliteConnection, job: JobId, circuit: &Circuit) -> Result<()> {
    let protection = circuit.protection.as_ref();
    let kind = protection.map(|protection| protection.kind);
    let rating = protection.and_then(|protection| protection.rating_a);
    let from_source = protection.and_then(|protection| protection.from_source_m);
    let interrupt = protection.and_then(|protection| protection.interrupt_a);
    let resistance = protection.and_then(|protection| protection.resistance_mohm);
    let (panel, position) = circuit.switch.as_ref().map(|switch| (&switch.panel, switch.position)).unzip();
    let throws = circuit.switch.as_ref().filter(|switch| !switch.throws.is_empty());
    let throws = throws.map(|switch| Short(switch.throws.clone()));
    sqlx::query!(
        "INSERT INTO circuits (job, rank, id, name, from_point, protection_kind, rating_a, from_source_m,
                               interrupt_a, resistance_mohm, switch_panel, switch_position, junction, return_point,
                               wiring, size, insulation_c, length_m, jacketed, bundle, color, switch_throws,
                               return_color)
         VALUES (?1, (SELECT coalesce(max(rank), 0) + 1 FROM circuits WHERE job = ?1), ?2, ?3, ?4, ?5, ?6, ?7, ?8,
                 ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21, ?22)",
        job,
        circuit.id,
        circuit.name,
        circuit.from,
        kind,
        rating,
        from_source,
        interrupt,
        resistance,
        panel,
        position,
        circuit.junction,
        circuit.r#return,
        circuit.wiring,
        circuit.size,
        circuit.insulation_c,
        circuit.length_m,
        circuit.jacketed,
        circuit.bundle,
        circuit.color,
        throws,
        circuit.return_color
    )
    .execute(&mut *conn)
    .await?;
    add_lists(conn, job, circuit).await
}

async fn set(conn: &mut SqliteConnection, job: JobId, circuit: &Circuit) -> Result<()> {
    let protection = circuit.protection.as_ref();
    let kind = protection.map(|protection| protection.kind);
    let rating = protection.and_then(|protection| protection.rating_a);
    let from_source = protection.and_then(|protection| protection.from_source_m);
    let interrupt = protection.and_then(|protection| protection.interrupt_a);
    let resistance = protection.and_then(|protection| protection.resistance_mohm);
    let (panel, position) = circuit.switch.as_ref().map(|switch| (&switch.panel, switch.position)).unzip();
    let throws = circuit.switch.as_ref().filter(|switch| !switch.throws.is_empty());
    let throws = throws.map(|switch| Short(switch.throws.clone()));
    sqlx::query!(
        "UPDATE circuits SET name = ?3, from_point = ?4, protection_kind = ?5, rating_a = ?6, from_source_m = ?7,
                             interrupt_a = ?8, resistance_mohm = ?9, switch_panel = ?10, switch_position = ?11,
                             junction = ?12, return_point = ?13, wiring = ?14, size = ?15, insulation_c = ?16,
                             length_m = ?17, jacketed = ?18, bundle = ?19, color = ?20, switch_throws = ?21, return_color = ?22,
                             version = version + 1
         WHERE job = ?1 AND id = ?2",
        job,
        circuit.id,
        circuit.name,
        circuit.from,
        kind,
        rating,
        from_source,
        interrupt,
        resistance,
        panel,
        position,
        circuit.junction,
        circuit.r#return,
        circuit.wiring,
        circuit.size,
        circuit.insulation_c,
        circuit.length_m,
        circuit.jacketed,
        circuit.bundle,
        circuit.color,
        throws,
        circuit.return_color
    )
    .execute(&mut *conn)
    .await?;
    sqlx::query!("DELETE FROM circuit_devices WHERE job = ? AND circuit = ?", job, circuit.id)
        .execute(&mut *conn)
        .await?;
    sqlx::query!("DELETE FROM conductor_overrides WHERE job = ? AND circuit = ?", job, circuit.id)
        .execute(&mut *conn)
        .await?;
    add_lists(conn, job, circuit).await
}

async fn add_lists(conn: &mut SqliteConnection, job: JobId, circuit: &Circuit) -> Result<()> {
    let beyond =
        Extras { label: circuit.label.clone(), legs: circuit.legs.clone(), legs_given: circuit.legs_given };
    extras::set(conn, job, &subject(&circuit.id), &beyond).await?;
    for (rank, device) in (1_i64..).zip(circuit.devices()) {
        sqlx::query!(
            "INSERT INTO circuit_devices (job, circuit, rank, device) VALUES (?, ?, ?, ?)",
            job,
            circuit.id,
            rank,
            device
        )
        .execute(&mut *conn)
        .await?;
    }
    for (rank, conductor) in (1_i64..).zip(&circuit.conductors) {
        sqlx::query!(
            "INSERT INTO conductor_overrides (job, circuit, rank, from_end, to_end, length_m, size)
             VALUES (?, ?, ?, ?, ?, ?, ?)",
            job,
            circuit.id,
            rank,
            conductor.from,
            conductor.to,
            conductor.length_m,
            conductor.size
        )
        .execute(&mut *conn)
        .await?;
    }
    let curve = circuit.protection.as_ref().map(|protection| protection.curve).unwrap_or_default();
    curves::set_circuit(conn, job, &circuit.id, &curve).await?;
    routes::set_circuit(conn, job, &circuit.id, &circuit.route).await
}
