//! The list of feeders: each with a drawing of its wire, its ends, fuse, size, length and findings.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use super::{row, wire};
use crate::drawing::wire::DrawnWire;
use crate::job::check::FeederReport;
use crate::job::plan::Feeder;
use crate::job::subject::SubjectKind;
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::web::kit::figure::Figure;
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::found::{self, FindingCount};
use crate::web::parts::relabel::Relabel;
use crate::web::parts::settled::SettledSize;
use crate::web::parts::workings::{self, HANDBOOK};

#[derive(Template)]
#[template(path = "plan/feeders.html")]
struct Page {
    title_block: TitleBlock,
    job: String,
    may_plan: bool,
    anew: Option<Relabel>,
    feeders: Vec<Row>,
    paging: Paging,
}

struct Row {
    id: String,
    wire: DrawnWire,
    name: String,
    side: &'static str,
    fuse: Sentence,
    size: Sentence,
    length: Option<Cell>,
    current: Option<Cell>,
    drop: Option<Cell>,
    cranking: bool,
    checked: Option<FindingCount>,
}

/// Feeders of a job.
pub async fn list(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let unit = frame.length_unit();
    let (feeders, paging) = page_of(&job.plan.feeders, &frame);
    html(&Page {
        job: job.href(),
        may_plan: frame.may(Permission::Plan),
        anew: Relabel::of(&job),
        feeders: feeders.iter().map(|feeder| of_feeder(feeder, &job, unit)).collect(),
        paging,
        title_block: job.title_block(frame, Tab::Feeders),
    })
}

fn of_feeder(feeder: &Feeder, job: &Opened, unit: LengthUnit) -> Row {
    let report = job.report.feeders.get(&feeder.id);
    let size = report.and_then(|report| report.conductor.size).or(feeder.size);
    let id = feeder.id.as_str();
    let settled = report.map(|report| SettledSize::feeder(id, report));
    Row {
        id: feeder.id.to_string(),
        wire: wire::of_feeder(feeder, size),
        name: job.plan.feeder_name_and_label(feeder),
        side: feeder.polarity.word(),
        fuse: report.map_or_else(Sentence::default, |report| fuse(id, report)),
        size: row::size(settled.as_ref(), feeder.size),
        length: report.and_then(|report| {
            Some(row::length(id, report.conductor.one_way_m?, &report.conductor.workings, unit))
        }),
        current: report.and_then(|report| {
            Some(workings::design_current(id, report.conductor.design_current_a?, &report.conductor.workings))
        }),
        drop: report.and_then(|report| {
            let value = Figure::rounded(report.conductor.handbook_drop_pct?, 1, "%");
            Some(Cell::new(id, "drop", value, &report.conductor.workings, HANDBOOK))
        }),
        cranking: feeder.cranking,
        checked: found::checked(job, SubjectKind::Feeder, feeder.id.as_str()),
    }
}

/// Its own fuse, or the feeder whose fuse protects it.
fn fuse(id: &str, report: &FeederReport) -> Sentence {
    row::fuse(Some(&SettledSize::feeder(id, report)), report.conductor.protected_by.as_ref())
}
