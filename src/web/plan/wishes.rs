//! Wishes: a list with one wish a line, read into devices of usual kinds and added to the plan as one change.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use serde::Deserialize;

use super::added::{Added, MOST_ADDED};
use super::refusal;
use super::wished::{Reading, WISHES, Wished, notes};
use crate::job::kind::{Catalog, Figure, Kind};
use crate::job::load::Load;
use crate::job::subject::SubjectKind;
use crate::job::value::NominalV;
use crate::job::wish::MOST_LINES;
use crate::shop::role::Permission;
use crate::store::{ChangeSet, JobId, item};
use crate::trade::source::SourceKind;
use crate::web::kit::field::Field;
use crate::web::kit::figure::fine;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};

const MEANWHILE: &str =
    "The plan changed after these wishes were read. Look at the rows, then add them again.";

#[derive(Template)]
#[template(path = "plan/wishes.html")]
struct Page {
    title_block: TitleBlock,
    plan: String,
    may_plan: bool,
    /// Whether the job has the customer's wishes from the intake.
    has_intake: bool,
    has_locations: bool,
    revision: i64,
    form: Form,
    rows: Vec<Row>,
    /// What the button adds.
    adds: Option<String>,
    /// What was added just now.
    added: Option<String>,
    kinds: Vec<&'static str>,
}

struct Row {
    line: usize,
    text: String,
    understood: Option<String>,
    notes: Vec<String>,
    figures: Vec<String>,
    kind: Option<Field>,
    location: Option<Field>,
    kept: Option<Field>,
}

/// What a list begins with.
#[derive(Debug, Deserialize)]
pub struct Start {
    /// `intake`: the customer's wishes.
    #[serde(default)]
    from: String,
}

/// The page with an empty list, or with the customer's wishes.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Query(start): Query<Start>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let mut form = Form::default();
    if start.from == "intake" {
        form.put(WISHES, job.plan.job.wishes.as_ref());
    }
    html(&Page::of(frame, &job, Reading { form, rows: Vec::new() }, None))
}

/// Reads a list, or adds what it wants.
pub async fn submit(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let mut reading = Reading::of(&form, &job.plan);
    if form.typed(WISHES).trim().is_empty() {
        reading.form.refuse(WISHES, "Write at least one wish.");
    }
    if form.typed("act") != "add" {
        return page(frame, &job, reading, None);
    }
    check(&mut reading);
    if form.typed("revision") != job.revision().to_string() {
        reading.form.refuse("", MEANWHILE);
    }
    if reading.form.sound().is_none() {
        return page(frame, &job, reading, None);
    }
    match add(&app, &user, &job, &mut reading).await? {
        Some(added) => after(frame, &app, &job, &reading, &added).await,
        None => page(frame, &job, reading, None),
    }
}

/// Refuses rows that cannot be added as they are.
fn check(Reading { form, rows }: &mut Reading) {
    for row in rows.iter().filter(|row| !row.was_shown) {
        form.refuse(
            WISHES,
            format!("Line {} was not read yet. Look at its row, then add again.", row.wish.line),
        );
    }
    for row in rows.iter().filter(|row| !row.added().is_empty() && row.location.is_none()) {
        let field = row.field("location");
        if row.was_shown && form.error(&field).is_none() {
            form.refuse(&field, "Choose where it is mounted.");
        }
    }
    let [devices, points] = counts(rows);
    match devices + points {
        0 if form.sound().is_some() => form.refuse(WISHES, "No line names a kind that can be added."),
        many if many > MOST_ADDED => {
            let text =
                format!("These lines add {many} devices and points; at most {MOST_ADDED} are added at once.");
            form.refuse(WISHES, text);
        }
        _ => {}
    }
}

/// Adds what the rows want as one change. `None` if the form shows why nothing was added.
async fn add(
    app: &AppState,
    user: &CurrentUser,
    job: &Opened,
    reading: &mut Reading,
) -> Result<Option<Added>, Error> {
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    if !job.is_current(&mut write).await? {
        reading.form.refuse("", MEANWHILE);
        return Ok(None);
    }
    let mut removed = item::removed_ids(&mut write, job.id, SubjectKind::Device).await?;
    removed.extend(item::removed_ids(&mut write, job.id, SubjectKind::Point).await?);
    let added = Added::of(&reading.rows, &job.plan, removed).map_err(Error::internal)?;
    let mut change = ChangeSet::begin(&mut write, job.id).await?;
    added.devices.iter().try_for_each(|device| change.save(device, None))?;
    added.points.iter().try_for_each(|point| change.save(point, None))?;
    if let Err(error) = change.commit().await {
        refusal::put(&mut reading.form, error, job, |_| Some(WISHES.to_owned()))?;
        return Ok(None);
    }
    write.commit().await?;
    Ok(Some(added))
}

/// Goes to the list with the first thing that was added. If lines are left over, they are shown first.
async fn after(
    frame: Frame,
    app: &AppState,
    job: &Opened,
    reading: &Reading,
    added: &Added,
) -> Result<Response, Error> {
    let left = reading.rows.iter().filter(|row| row.added().is_empty()).map(|row| row.wish.text.as_str());
    let left: Vec<&str> = left.collect();
    if left.is_empty() {
        let (tab, id) = match (added.devices.first(), added.points.first()) {
            (None, Some(point)) => (Tab::Points, point.id.to_string()),
            (device, _) => (Tab::Devices, device.map(|device| device.id.to_string()).unwrap_or_default()),
        };
        return Ok(Redirect::to(&format!("{}{}#{id}", job.href(), tab.path())).into_response());
    }
    let job = Opened::load(app, job.id).await?;
    let rest = Reading::of(&Form::filled([(WISHES, left.join("\n"))]), &job.plan);
    page(frame, &job, rest, words([added.devices.len(), added.points.len()]))
}

/// How many devices and how many points the rows add.
fn counts(rows: &[Wished]) -> [usize; 2] {
    let each: Vec<[usize; 2]> = rows.iter().map(Wished::counts).collect();
    [each.iter().map(|[devices, _]| devices).sum(), each.iter().map(|[_, points]| points).sum()]
}

/// `3 devices and 1 distribution point`; `None` for nothing.
fn words([devices, points]: [usize; 2]) -> Option<String> {
    let count = |count: usize, word: &str| match count {
        0 => None,
        1 => Some(format!("1 {word}")),
        _ => Some(format!("{count} {word}s")),
    };
    let parts: Vec<String> =
        [count(devices, "device"), count(points, "distribution point")].into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join(" and "))
}

fn page(frame: Frame, job: &Opened, reading: Reading, added: Option<String>) -> Result<Response, Error> {
    let sound = reading.form.sound().is_some();
    let status = if sound { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, html(&Page::of(frame, job, reading, added))?).into_response())
}

impl Page {
    fn of(frame: Frame, job: &Opened, reading: Reading, added: Option<String>) -> Self {
        let Reading { mut form, rows } = reading;
        form.label_errors(label);
        let mut kinds: Vec<&str> =
            Catalog::built_in().kinds().iter().map(|kind| kind.name.as_str()).collect();
        kinds.sort_unstable();
        Self {
            plan: format!("{}/plan", job.href()),
            may_plan: frame.may(Permission::Plan) && frame.not_open().is_none(),
            has_intake: job.plan.job.wishes.is_some(),
            has_locations: !job.plan.locations.is_empty(),
            revision: job.revision(),
            adds: words(counts(&rows)),
            rows: rows.iter().map(|row| Row::of(row, &form, job)).collect(),
            added,
            kinds,
            form: form.refused_as("Nothing added"),
            title_block: job.title_block(frame, Tab::Wishes),
        }
    }

    /// Whether the kind of a line can be chosen.
    fn is_open(&self) -> bool {
        self.rows.iter().any(|row| row.kind.is_some())
    }

    /// The most lines of a list.
    fn most_lines(&self) -> usize {
        MOST_LINES
    }
}

/// The label of a field: `Location, line 3`.
fn label(field: &str) -> Option<String> {
    let (name, line) = field.strip_suffix(']')?.split_once('[')?;
    let name = if name == "kind" { "Did you mean" } else { "Location" };
    Some(format!("{name}, line {line}"))
}

impl Row {
    fn of(row: &Wished, form: &Form, job: &Opened) -> Self {
        let (wish, nominal) = (&row.wish, job.plan.job.nominal_v);
        let added = row.added();
        let is_open = row.kind.is_none() && !row.may_be().is_empty();
        let asks = is_open || !added.is_empty();
        let line = wish.line;
        Self {
            line,
            text: wish.text.clone(),
            understood: row.kind.map(|kind| understood(kind, &added, wish.count)),
            notes: notes(row, nominal),
            figures: added.iter().filter_map(|kind| figures(kind, nominal)).collect(),
            kind: (!row.may_be().is_empty()).then(|| {
                form.select(&row.field("kind"), &format!("Did you mean, line {line}"), &may_be(row))
                    .unmarked()
            }),
            location: asks.then(|| {
                let label = format!("Location, line {line}");
                form.select(&row.field("location"), &label, &locations(job)).unmarked()
            }),
            kept: (is_open || added.iter().any(|kind| kind.is_device()))
                .then(|| form.check(&row.field("kept"), &format!("Keep the old one, line {line}"))),
        }
    }
}

/// What a line was understood as: its count, its kind and the kinds of a set.
fn understood(kind: &Kind, added: &[&Kind], count: u16) -> String {
    let times = if count > 1 { format!("{count} \u{d7} ") } else { String::new() };
    let parts: Vec<&str> = added.iter().map(|kind| kind.name.as_str()).collect();
    if kind.is_set() {
        return format!("{times}{}: {}", kind.name, parts.join(", "));
    }
    format!("{times}{}", kind.name)
}

fn may_be(row: &Wished) -> Vec<(String, String)> {
    let kinds = row.may_be().iter().filter_map(|id| Catalog::built_in().kind(id));
    let kinds = kinds.map(|kind| (kind.id.to_string(), kind.name.to_string()));
    std::iter::once((String::new(), "None: leave it in the list".to_owned())).chain(kinds).collect()
}

fn locations(job: &Opened) -> Vec<(String, String)> {
    let locations = job.plan.locations.iter();
    let locations = locations.map(|location| (location.id.to_string(), location.name.to_string()));
    std::iter::once((String::new(), "Choose a location".to_owned())).chain(locations).collect()
}

/// The usual figures of a kind in one sentence, each with its source if that is not common practice.
fn figures(kind: &Kind, nominal: NominalV) -> Option<String> {
    let usual = kind.figures(nominal);
    let said = [
        (Figure::Load, usual.load.map(|load| format!("draws {}", drawn(load.typical)))),
        (Figure::Start, usual.start.map(|start| format!("starts with {} A", start.a))),
        (Figure::MaxFuse, usual.max_fuse_a.map(|fuse| format!("largest fuse {fuse} A"))),
        (
            Figure::Point,
            kind.point.as_ref().and_then(|point| point.rating_a).map(|rating| format!("rated {rating} A")),
        ),
        (
            Figure::Point,
            kind.point.as_ref().and_then(|point| point.capacity_ah).map(|ah| format!("holds {ah} Ah")),
        ),
    ];
    let said = said.into_iter().filter_map(|(figure, said)| said.map(|said| marked(kind, figure, said)));
    let said: Vec<String> = said.collect();
    (!said.is_empty()).then(|| format!("{}: {}", kind.name, said.join("; ")))
}

/// A figure, with its source if that is not common practice.
fn marked(kind: &Kind, figure: Figure, said: String) -> String {
    match kind.source_of(figure) {
        Some(source) if source.kind != SourceKind::CommonPractice => {
            format!("{said} ({}, {})", source.title, source.kind.words())
        }
        _ => said,
    }
}

fn drawn(load: Load) -> String {
    match load {
        Load::ConstantCurrent(current) => format!("{} A", fine(current.number())),
        Load::ConstantPower(power) => format!("{} W", fine(power.number())),
        Load::Resistance(resistance) => format!("{} \u{2126}", fine(resistance.number())),
    }
}
