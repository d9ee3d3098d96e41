//! The list of circuits: each with a drawing of its wire, its route, fuse, size, length, drop and findings.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use super::row::{self, DropBar};
use super::wire;
use crate::drawing::wire::DrawnWire;
use crate::job::check::CircuitReport;
use crate::job::plan::{Circuit, Plan};
use crate::job::subject::SubjectKind;
use crate::shop::role::Permission;
use crate::store::JobId;
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

#[derive(Template)]
#[template(path = "plan/circuits.html")]
struct Page {
    title_block: TitleBlock,
    job: String,
    may_plan: bool,
    anew: Option<Relabel>,
    circuits: Vec<Row>,
    paging: Paging,
}

struct Row {
    id: String,
    name: String,
    label: String,
    wire: DrawnWire,
    feeds: String,
    way: String,
    fuse: Sentence,
    size: Sentence,
    length: Option<Cell>,
    drop: Option<DropBar>,
    checked: Option<FindingCount>,
}

/// Circuits of a job.
pub async fn list(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let unit = frame.length_unit();
    let (circuits, paging) = page_of(&job.plan.circuits, &frame);
    html(&Page {
        job: job.href(),
        may_plan: frame.may(Permission::Plan),
        anew: Relabel::of(&job),
        circuits: circuits.iter().map(|circuit| of_circuit(circuit, &job, unit)).collect(),
        paging,
        title_block: job.title_block(frame, Tab::Circuits),
    })
}

fn of_circuit(circuit: &Circuit, job: &Opened, unit: LengthUnit) -> Row {
    let checked = job.report.circuits.get(&circuit.id);
    let size = checked.and_then(|report| report.conductor.size).or(circuit.size);
    let settled = checked.map(|report| SettledSize::circuit(circuit.id.as_str(), report));
    Row {
        id: circuit.id.to_string(),
        name: circuit.name.to_string(),
        label: circuit.label_text().to_owned(),
        wire: wire::of_circuit(&job.plan, circuit, size),
        feeds: feeds(circuit, &job.plan),
        way: way(circuit, &job.plan),
        fuse: row::fuse(settled.as_ref(), checked.and_then(|report| report.conductor.protected_by.as_ref())),
        size: row::size(settled.as_ref(), circuit.size),
        length: checked.and_then(|report| {
            Some(row::length(
                circuit.id.as_str(),
                report.conductor.one_way_m?,
                &report.conductor.workings,
                unit,
            ))
        }),
        drop: checked.and_then(|report| drop(circuit, report)),
        checked: found::checked(job, SubjectKind::Circuit, circuit.id.as_str()),
    }
}

/// The drop that the rules check, at the device nearest its limit.
fn drop(circuit: &Circuit, report: &CircuitReport) -> Option<DropBar> {
    let (percent, limit) = (report.conductor.handbook_drop_pct?, report.drop_limit_pct);
    Some(DropBar::new(circuit.id.as_str(), percent, limit, &report.conductor.workings))
}

/// The names of its devices, in order along the wire.
fn feeds(circuit: &Circuit, plan: &Plan) -> String {
    let name = |id| plan.device(id).map_or_else(|| id.to_string(), |device| device.name.to_string());
    circuit.devices().map(name).collect::<Vec<_>>().join(", ")
}

/// The distribution points from its source to its devices: `Fuse block → Panel 3 → Junction bar`.
fn way(circuit: &Circuit, plan: &Plan) -> String {
    let name = |id| plan.point(id).map_or_else(|| id.to_string(), |point| point.called().to_owned());
    let switch = circuit.switch.as_ref().map(|at| format!("{} {}", name(&at.panel), at.position));
    let points = [Some(name(&circuit.from)), switch, circuit.junction.as_ref().map(name)];
    points.into_iter().flatten().collect::<Vec<_>>().join(" \u{2192} ")
}
