//! The planned sizes of all circuits and feeders, beside those with every size chosen again.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::job::check::{ConductorReport, JointReport, WireSize, together};
use crate::job::length;
use crate::job::subject::SubjectKind;
use crate::store::JobId;
use crate::trade::quantity::Quantity;
use crate::trade::working::Working;
use crate::web::kit::figure::Figure;
use crate::web::kit::figure::{or_dash, rounded};
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::Cell;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::linked::Linked;
use crate::web::parts::settled::SettledSize;
use crate::web::parts::workings::WorkingPiece;
use crate::web::parts::workings::{CURRENT, ONE_WAY};

#[derive(Template)]
#[template(path = "electrics/sizing.html")]
struct Page {
    title_block: TitleBlock,
    facts: Vec<(&'static str, String)>,
    rows: Vec<Row>,
    working: WorkingPiece,
}

/// A circuit or feeder with its sizes.
struct Row {
    wire: Linked,
    length: Cell,
    current: Cell,
    planned: Cell,
    given: bool,
    smallest: String,
    anew: String,
    lost: Cell,
}

/// The sizes of a job's circuits and feeders.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let joint = together(&job.plan, &job.report);
    let lengths = frame.length_unit();
    let page = Page {
        facts: facts(&joint),
        rows: joint.wires.iter().filter_map(|wire| row(&job, wire, lengths)).collect(),
        working: WorkingPiece::new(&joint.working, job.units),
        title_block: job.title_block(frame, Tab::Sizing),
    };
    html(&page)
}

fn facts(joint: &JointReport) -> Vec<(&'static str, String)> {
    let kilograms = |kg: f64| rounded(kg, 2, "kg");
    vec![
        ("Copper as planned", kilograms(joint.planned_kg)),
        ("All sizes chosen again", kilograms(joint.anew_kg)),
        ("Lower bound", kilograms(joint.lower_bound_kg)),
    ]
}

fn row(job: &Opened, wire: &WireSize, lengths: LengthUnit) -> Option<Row> {
    let id = wire.subject.id.as_str();
    let settled = settled(job, wire)?;
    let (length, current) = how_long_and_strong(job, wire);
    let size = |size: Option<crate::trade::conductor::Size>| or_dash(size.map(|size| size.to_string()));
    let figures = figures(job, wire)?;
    Some(Row {
        wire: Linked::to(job, &wire.subject),
        length: Cell::by(id, "conductor", Figure::length(wire.copper_m, lengths), length),
        current: Cell::by(id, "carries", amperes(figures), current),
        given: wire.given,
        planned: Cell::by(id, "size as planned", Figure::new(size(wire.planned), ""), settled.why_size()),
        smallest: size(wire.smallest),
        anew: size(wire.anew),
        lost: lost(job, wire, figures),
    })
}

fn amperes(figures: &ConductorReport) -> Figure {
    figures.design_current_a.map_or_else(|| Figure::new(or_dash(None), ""), |a| Figure::rounded(a, 1, "A"))
}

/// The solved drop: of a circuit from the battery to its device, of a feeder along itself.
fn lost(job: &Opened, wire: &WireSize, figures: &ConductorReport) -> Cell {
    let id = wire.subject.id.as_str();
    let circuit = job.report.circuits.iter().find(|(own, _)| own.as_str() == id);
    let (volts, what) = match (wire.subject.kind, circuit) {
        (SubjectKind::Circuit, Some((_, circuit))) => {
            (circuit.solved_drop_from_battery_v, Quantity::SolvedDropFromBattery)
        }
        _ => (figures.solved_drop_v, Quantity::SolvedDrop),
    };
    let volts = volts.map_or_else(|| Figure::new(or_dash(None), ""), |volts| Figure::rounded(volts, 2, "V"));
    Cell::by(id, "drop as planned", volts, picked(&figures.workings, &[what]))
}

fn picked(workings: &[Working], what: &[Quantity]) -> Vec<Working> {
    workings.iter().filter(|working| what.contains(&working.what)).cloned().collect()
}

/// The workings of a wire's length and current.
fn how_long_and_strong(job: &Opened, wire: &WireSize) -> (Vec<Working>, Vec<Working>) {
    let Some(figures) = figures(job, wire) else { return (Vec::new(), Vec::new()) };
    let length = match wire.subject.kind {
        SubjectKind::Feeder => picked(&figures.workings, ONE_WAY),
        _ => {
            let circuit = job.report.circuits.keys().find(|own| own.as_str() == wire.subject.id);
            circuit.and_then(|id| length::of_circuit(&job.conductors, id)).into_iter().collect()
        }
    };
    (length, picked(&figures.workings, CURRENT))
}

fn figures<'o>(job: &'o Opened, wire: &WireSize) -> Option<&'o ConductorReport> {
    let id = wire.subject.id.as_str();
    let (circuits, feeders) = (&job.report.circuits, &job.report.feeders);
    match wire.subject.kind {
        SubjectKind::Feeder => {
            feeders.iter().find(|(own, _)| own.as_str() == id).map(|(_, own)| &own.conductor)
        }
        _ => circuits.iter().find(|(own, _)| own.as_str() == id).map(|(_, own)| &own.conductor),
    }
}

/// Why the plan has this size.
fn settled<'o>(job: &'o Opened, wire: &'o WireSize) -> Option<SettledSize<'o>> {
    let id = wire.subject.id.as_str();
    let (circuits, feeders) = (&job.report.circuits, &job.report.feeders);
    match wire.subject.kind {
        SubjectKind::Feeder => {
            feeders.iter().find(|(own, _)| own.as_str() == id).map(|(_, own)| SettledSize::feeder(id, own))
        }
        _ => {
            circuits.iter().find(|(own, _)| own.as_str() == id).map(|(_, own)| SettledSize::circuit(id, own))
        }
    }
}
