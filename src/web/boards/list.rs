//! The boards of a job.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::job::board::{Board, parts};
use crate::job::subject::SubjectKind;
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::found::{self, FindingCount};

#[derive(Template)]
#[template(path = "boards/list.html")]
struct Page {
    title_block: TitleBlock,
    job: String,
    may_plan: bool,
    boards: Vec<Row>,
    /// Parts with a footprint that are on no board.
    loose: Vec<String>,
}

struct Row {
    id: String,
    name: String,
    location: String,
    size: String,
    parts: Vec<String>,
    open: usize,
    checked: Option<FindingCount>,
}

/// Boards of a job.
pub async fn list(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let loose = parts::mountable(&job.plan)
        .filter(|thing| thing.footprint.is_some() && thing.mounting.is_none())
        .map(|thing| thing.name.to_owned())
        .collect();
    html(&Page {
        job: job.href(),
        may_plan: frame.may(Permission::Plan),
        boards: job.plan.boards.iter().map(|board| of_board(board, &job)).collect(),
        loose,
        title_block: job.title_block(frame, Tab::Boards),
    })
}

fn of_board(board: &Board, job: &Opened) -> Row {
    let things: Vec<_> = parts::mountable(&job.plan).filter(|thing| thing.is_on(&board.id)).collect();
    let open = things.iter().filter(|thing| thing.mounting.is_some_and(|mounting| mounting.at.is_none()));
    Row {
        id: board.id.to_string(),
        name: board.name.to_string(),
        location: job
            .plan
            .location(&board.location)
            .map_or_else(String::new, |location| location.name.to_string()),
        size: size(board),
        parts: things.iter().map(|thing| thing.name.to_owned()).collect(),
        open: open.count(),
        checked: found::checked(job, SubjectKind::Board, board.id.as_str()),
    }
}

/// A board's dimensions: `600 × 400 mm, 12 mm thick on 5 mm of laminate`.
pub fn size(board: &Board) -> String {
    let area = format!("{} × {} mm", board.width_mm, board.height_mm);
    match (board.thickness_mm, board.laminate_mm) {
        (Some(thick), Some(laminate)) => format!("{area}, {thick} mm thick on {laminate} mm of laminate"),
        (Some(thick), None) => format!("{area}, {thick} mm thick"),
        (None, Some(laminate)) => format!("{area} of laminate, {laminate} mm thick"),
        (None, None) => format!("{area}, thickness not known"),
    }
}
