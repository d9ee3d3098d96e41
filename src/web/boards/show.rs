//! One board: to scale, with its parts and their positions.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};

use super::list::size;
use crate::drawing::board::draw;
use crate::drawing::part::DrawnPart;
use crate::drawing::svg::Drawing;
use crate::job::board::Board;
use crate::job::board::check::of_board;
use crate::job::board::parts::{self, Drilled, PartOn};
use crate::job::label::Paper;
use crate::job::names::Names;
use crate::job::plan::Plan;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{BoardId, GapMm};
use crate::paper::template;
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::trade::board::Hold;
use crate::trade::working::figure;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::FindingPiece;
use crate::web::parts::workings::{WorkingPiece, pieces};

#[derive(Template)]
#[template(path = "boards/show.html")]
pub(super) struct Page {
    title_block: TitleBlock,
    form: Form,
    job: String,
    here: String,
    id: String,
    may_plan: bool,
    location: String,
    size: String,
    drawing: Drawing,
    parts: Vec<Row>,
    open: usize,
    /// Parts at the same location that are on no board.
    loose: Vec<(String, String)>,
    unmeasured: Vec<Unmeasured>,
    papers: Vec<(&'static str, &'static str, usize)>,
    findings: Vec<FindingPiece>,
}

/// A part on the board.
struct Row {
    id: String,
    subject: String,
    href: String,
    name: String,
    size: String,
    asks: String,
    at: Option<String>,
    holes: String,
    workings: Vec<WorkingPiece>,
}

/// A part on the board whose footprint is not given.
struct Unmeasured {
    name: String,
    href: String,
}

/// The page of a board.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path((job, id)): Path<(JobId, BoardId)>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    html(&Page::of(frame, &job, &id, Form::default())?)
}

/// The same page with a form that was refused.
pub(super) fn refused(frame: Frame, job: &Opened, id: &BoardId, form: Form) -> Result<Response, Error> {
    let page = Page::of(frame, job, id, form)?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, html(&page)?).into_response())
}

impl Page {
    fn field(&self, row: &Row, key: &str) -> String {
        format!("{}.{key}", row.id)
    }

    /// Whether the typed position of a part was refused.
    fn refused(&self, row: &Row) -> bool {
        ["x_mm", "y_mm", "turned"].iter().any(|key| self.form.error(&self.field(row, key)).is_some())
    }

    fn of(frame: Frame, job: &Opened, id: &BoardId, typed: Form) -> Result<Self, Error> {
        let plan = &job.plan;
        let board = plan.board(id).ok_or(Error::NotFound("board"))?;
        let on = parts::on(plan, id);
        let may_plan = frame.may(Permission::Plan);
        let block = job.block(&frame, Tab::Boards);
        Ok(Self {
            title_block: frame.job_title_block(board.name.as_str(), block, Tab::Boards),
            form: filled(typed, &on),
            job: job.href(),
            here: format!("{}/boards/{id}", job.href()),
            id: id.to_string(),
            may_plan,
            location: plan
                .location(&board.location)
                .map_or_else(String::new, |location| location.name.to_string()),
            size: size(board),
            drawing: draw(board, &on, &leads),
            open: on.iter().filter(|part| part.at.is_none()).count(),
            parts: on.iter().map(|part| row(job, board, part)).collect(),
            loose: loose(plan, board),
            unmeasured: unmeasured(job, board),
            papers: Paper::ALL
                .map(|paper| (paper.key(), paper.words(), template::sheets(paper, board)))
                .into(),
            findings: findings(job, board),
        })
    }
}

/// The positions of all parts, with what was typed over them.
fn filled(mut form: Form, parts: &[PartOn<'_>]) -> Form {
    for part in parts {
        let Some(at) = part.at else { continue };
        let id = &part.subject.id;
        if form.typed(&format!("{id}.x_mm")).is_empty() && form.typed(&format!("{id}.y_mm")).is_empty() {
            form.put(&format!("{id}.x_mm"), Some(at.x_mm));
            form.put(&format!("{id}.y_mm"), Some(at.y_mm));
            form.put(&format!("{id}.turned"), at.turned.then_some("yes"));
        }
    }
    form
}

fn leads(part: DrawnPart<'_>) -> Option<String> {
    match part {
        DrawnPart::Point(id) => Some(format!("#{id}")),
        DrawnPart::Device(id) => Some(format!("#{id}")),
        _ => None,
    }
}

/// The findings about this board and the parts on it.
fn findings(job: &Opened, board: &Board) -> Vec<FindingPiece> {
    let mut findings = of_board(&job.plan, board);
    Names::of(&job.plan).give(&mut findings);
    let on: Vec<Subject> = parts::on(&job.plan, &board.id).into_iter().map(|part| part.subject).collect();
    let between = job.findings().iter().filter(|finding| on.contains(&finding.subject));
    for finding in between.filter(|finding| finding.code.is_of_boards()) {
        if !findings.contains(finding) {
            findings.push(finding.clone());
        }
    }
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.level));
    findings.iter().map(|finding| FindingPiece::new(finding, &job.href(), job.units)).collect()
}

fn row(job: &Opened, board: &Board, part: &PartOn<'_>) -> Row {
    let hold = part.hold(board);
    Row {
        id: part.subject.id.clone(),
        subject: part.subject.to_string(),
        href: form_of(job, &part.subject),
        name: part.name.to_owned(),
        size: format!("{} × {} mm", part.footprint.width_mm, part.footprint.height_mm),
        asks: asks(part),
        at: part.at.map(|at| {
            let turned = if at.turned { ", turned" } else { "" };
            format!("{} mm from the left, {} mm from above{turned}", at.x_mm, at.y_mm)
        }),
        holes: holes(part, board),
        workings: hold.map(|hold: Hold| pieces(&hold.workings, job.units)).unwrap_or_default(),
    }
}

fn form_of(job: &Opened, subject: &Subject) -> String {
    let list = if subject.kind == SubjectKind::Point { "points" } else { "devices" };
    format!("{}/plan/{list}/{}", job.href(), subject.id)
}

/// The clearance and other conditions of a part, in plain text.
fn asks(part: &PartOn<'_>) -> String {
    let own = part.footprint;
    let gap = |gap: Option<GapMm>, words: &str| gap.map(|gap| format!("{gap} mm {words}"));
    let flag = |flag: bool, words: &str| flag.then(|| words.to_owned());
    let asks: Vec<String> = [
        gap(own.clearance_mm, "clear on every side"),
        gap(own.wire_bend_mm, "for its wires"),
        gap(own.compass_safe_mm, "from a compass"),
        flag(own.upright, "mounted upright"),
        flag(own.hot, "gets hot"),
        flag(own.splash_ok, "splash-proof"),
        flag(own.compass, "is a compass"),
        flag(own.magnetic, "has a magnet in it"),
    ]
    .into_iter()
    .flatten()
    .collect();
    if asks.is_empty() { "nothing".to_owned() } else { asks.join(", ") }
}

fn holes(part: &PartOn<'_>, board: &Board) -> String {
    let drilled: Vec<Drilled> = part.holes(board);
    if drilled.is_empty() {
        return format!("{} holes", part.footprint.holes.len());
    }
    let hole = |hole: &Drilled| {
        let (x, y) = hole.at_mm;
        let size = hole.d_mm.map_or_else(|| "?".to_owned(), figure);
        format!("⌀ {size} at {}, {}", figure(x), figure(y))
    };
    drilled.iter().map(hole).collect::<Vec<_>>().join("; ")
}

fn loose(plan: &Plan, board: &Board) -> Vec<(String, String)> {
    parts::mountable(plan)
        .filter(|thing| thing.mounting.is_none() && *thing.location == board.location)
        .map(|thing| (thing.subject.to_string(), thing.name.to_owned()))
        .collect()
}

fn unmeasured(job: &Opened, board: &Board) -> Vec<Unmeasured> {
    parts::mountable(&job.plan)
        .filter(|thing| thing.is_on(&board.id) && thing.footprint.is_none())
        .map(|thing| Unmeasured { name: thing.name.to_owned(), href: form_of(job, &thing.subject) })
        .collect()
}
