//! The values that a proposal supposed, to be measured aboard: one number a row, grouped by location.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};

use super::measured::{self, Unfit};
use super::refusal;
use crate::job::names::Names;
use crate::job::supposed::{ToMeasure, to_measure};
use crate::shop::role::Permission;
use crate::store::{ChangeSet, JobId, photos};
use crate::web::kit::field::Field;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};
use crate::web::parts::photo::PhotoPiece;

#[derive(Template)]
#[template(path = "plan/measure.html")]
struct Page {
    title_block: TitleBlock,
    href: String,
    may_plan: bool,
    form: Form,
    total: usize,
    deciding: usize,
    groups: Vec<Group>,
}

/// The rows of one location.
struct Group {
    location: String,
    rows: Vec<Row>,
}

struct Row {
    key: String,
    name: String,
    /// How many things have the value in common with it.
    others: usize,
    supposed: String,
    rule: &'static str,
    field: Field,
    photos: Vec<PhotoPiece>,
}

/// The list.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let photos = photos(&app, &job, &frame).await?;
    html(&Page::of(frame, &job, Form::default(), &photos))
}

async fn photos(app: &AppState, job: &Opened, frame: &Frame) -> Result<Vec<PhotoPiece>, Error> {
    let mut read = app.store().read().await?;
    let photos = photos::of_job(&mut read, job.id).await?;
    Ok(photos.iter().map(|photo| PhotoPiece::of(photo, job, frame)).collect())
}

/// Saves every number that was typed as one change, or confirms one value as supposed.
pub async fn save(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let rows = to_measure(&job.plan);
    let confirmed = form.typed("confirm").to_owned();
    let lengths = frame.length_unit();
    let mut taken: Vec<(&ToMeasure<'_>, Option<f64>)> = Vec::new();
    for row in &rows {
        if measured::key(row) == confirmed {
            taken.push((row, None));
        } else if let Some(number) = measured::typed(&mut form, row, lengths) {
            taken.push((row, Some(number)));
        }
    }
    if taken.is_empty() && form.sound().is_some() {
        form.refuse("", "No number is typed. Type at least one, or confirm a value.");
    }
    if form.sound().is_some() && put(&app, &user, &job, &taken, &mut form).await? {
        return Ok(Redirect::to(&format!("{}{}", job.href(), Tab::Measure.path())).into_response());
    }
    let photos = photos(&app, &job, &frame).await?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, html(&Page::of(frame, &job, form, &photos))?).into_response())
}

/// Puts the numbers into the plan as one change; whether that was done.
async fn put(
    app: &AppState,
    user: &CurrentUser,
    job: &Opened,
    taken: &[(&ToMeasure<'_>, Option<f64>)],
    form: &mut Form,
) -> Result<bool, Error> {
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    if !job.is_current(&mut write).await? {
        form.refuse(
            "",
            "The plan changed after this list was shown. Your numbers are still here: save again.",
        );
        return Ok(false);
    }
    let mut change = ChangeSet::begin(&mut write, job.id).await?;
    for (row, number) in taken {
        match measured::put(&mut change, &job.plan, row, *number) {
            Ok(()) => {}
            Err(Unfit::Value(text)) => form.refuse(&measured::field(&measured::key(row)), text),
            Err(Unfit::Store(error)) => return Err(error.into()),
        }
    }
    if form.sound().is_none() {
        return Ok(false);
    }
    if let Err(error) = change.commit().await {
        refusal::put(form, error, job, |_| Some(String::new()))?;
        return Ok(false);
    }
    write.commit().await?;
    Ok(true)
}

impl Page {
    fn of(frame: Frame, job: &Opened, form: Form, photos: &[PhotoPiece]) -> Self {
        let rows = to_measure(&job.plan);
        let names = Names::of(&job.plan);
        let lengths = frame.length_unit();
        let mut groups: Vec<Group> = Vec::new();
        for row in &rows {
            let location = row.location.as_ref().and_then(|id| job.plan.location(id));
            let location = location.map_or("The whole boat", |location| location.name.as_str());
            let shown = shown(row, &form, &names, photos, lengths);
            match groups.iter_mut().find(|group| group.location == location) {
                Some(group) => group.rows.push(shown),
                None => groups.push(Group { location: location.to_owned(), rows: vec![shown] }),
            }
        }
        Self {
            href: job.href(),
            may_plan: frame.may(Permission::Plan) && frame.not_open().is_none(),
            total: rows.len(),
            deciding: rows.iter().filter(|row| row.measure.decides_sizes()).count(),
            groups,
            form: form.refused_as("Nothing saved"),
            title_block: job.title_block(frame, Tab::Measure),
        }
    }
}

fn shown(
    row: &ToMeasure<'_>,
    form: &Form,
    names: &Names<'_>,
    photos: &[PhotoPiece],
    lengths: crate::web::kit::length::LengthUnit,
) -> Row {
    let first = row.things.first();
    let name = first.and_then(|thing| names.name(thing.kind, &thing.id)).unwrap_or_default().to_owned();
    let subjects: Vec<String> = row.things.iter().map(ToString::to_string).collect();
    let label = format!("{}: {}", name, measured::asks(row));
    Row {
        key: measured::key(row),
        others: row.things.len().saturating_sub(1),
        supposed: measured::supposed(row, lengths),
        rule: row.supposed.rule.number(),
        field: measured::shown(form, row, &label, lengths),
        photos: photos.iter().filter(|photo| subjects.contains(&photo.subject)).cloned().collect(),
        name,
    }
}
