//! The list of modes: the states of use over a day, with what is on in each.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::job::plan::{Circuit, InUse, Mode, Plan};
use crate::job::value::PointId;
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::web::kit::figure::Figure;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};

#[derive(Template)]
#[template(path = "plan/modes.html")]
struct Page {
    title_block: TitleBlock,
    plan: String,
    may_plan: bool,
    modes: Vec<Row>,
    paging: Paging,
    /// Hours of the day without a mode, if any.
    left: Option<Figure>,
}

struct Row {
    id: String,
    name: String,
    hours: Figure,
    on: Vec<Share>,
    /// How many more are on; its own page has them all.
    more: usize,
    charging: String,
}

/// A circuit in use: its name, and its share of the time.
struct Share {
    circuit: String,
    time: String,
}

/// How many circuits of a mode the list shows.
const SHOWN: usize = 60;

/// Modes of a job.
pub async fn list(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let hours: f64 = job.plan.modes.iter().map(|mode| mode.hours.number()).sum();
    let (modes, paging) = page_of(&job.plan.modes, &frame);
    html(&Page {
        plan: format!("{}/plan", job.href()),
        may_plan: frame.may(Permission::Plan),
        modes: modes.iter().map(|mode| row(mode, &job.plan)).collect(),
        paging,
        left: (hours < 23.95).then(|| Figure::rounded(24.0 - hours, 1, "h")),
        title_block: job.title_block(frame, Tab::Modes),
    })
}

fn row(mode: &Mode, plan: &Plan) -> Row {
    Row {
        id: mode.id.to_string(),
        name: mode.name.to_string(),
        hours: Figure::new(mode.hours, "h"),
        charging: mode.charging.iter().map(|id| charger(id, plan)).collect::<Vec<_>>().join(", "),
        on: mode.on.iter().take(SHOWN).map(|used| share(used, plan)).collect(),
        more: mode.on.len().saturating_sub(SHOWN),
    }
}

fn charger(id: &PointId, plan: &Plan) -> String {
    plan.point(id).map_or_else(|| id.to_string(), |point| point.called().to_owned())
}

fn share(used: &InUse, plan: &Plan) -> Share {
    let circuit =
        plan.circuit(&used.circuit).map_or_else(|| used.circuit.to_string(), Circuit::name_and_label);
    let percent = used.share.number() * 100.0;
    let time = match percent {
        100.0 => "all the time".to_owned(),
        // A horn is on for two seconds in an hour; that must not show as 0 %.
        less if less < 1.0 => format!("{less:.2} % of the time"),
        _ => format!("{percent:.0} % of the time"),
    };
    Share { circuit, time }
}
