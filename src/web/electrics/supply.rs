//! The supply: every mode solved, every distribution point with its rating, volts by mode, and what is unprotected.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::job::finding::Finding;
use crate::job::modes;
use crate::job::plan::{Circuit, Feeder, Polarity};
use crate::job::point::{Body, Point};
use crate::job::subject::{Subject, SubjectKind};
use crate::store::JobId;
use crate::trade::finding::{Code, Level};
use crate::trade::units::Units;
use crate::web::kit::figure::{or_dash, rounded, unit};
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::{FindingPiece, LevelMark};
use crate::web::parts::linked::Linked;
use crate::web::parts::workings::WorkingPiece;
use crate::web::parts::workings::pieces;

#[derive(Template)]
#[template(path = "electrics/supply.html")]
struct Page {
    title_block: TitleBlock,
    points: Vec<PointRow>,
    modes: Vec<ModeRow>,
    volts: Vec<VoltsRow>,
    bare: Vec<FindingPiece>,
    /// What could not be checked about protection.
    unjudged: Vec<FindingPiece>,
    has_conductors: bool,
    starters: Vec<Linked>,
    paging: Paging,
}

/// A distribution point with its rating.
struct PointRow {
    point: Linked,
    mark: Option<LevelMark>,
    kind: String,
    rating: String,
    all_on: String,
    worst: String,
    worst_in: String,
    continuous: String,
    continuous_in: String,
    positions: String,
    short: String,
    workings: Vec<WorkingPiece>,
}

struct ModeRow {
    name: String,
    on: usize,
    drawn: String,
    lost: String,
    trouble: Option<String>,
    workings: Vec<WorkingPiece>,
}

struct VoltsRow {
    circuit: Linked,
    lowest: String,
    lowest_in: String,
    highest: String,
    highest_in: String,
    working: WorkingPiece,
}

/// The supply of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let states = job.report.modes.as_ref().map(|modes| modes.states.as_slice()).unwrap_or_default();
    let (points, of_points) = page_of(&job.plan.points, &frame);
    let (states, of_states) = page_of(states, &frame);
    let (circuits, of_circuits) = page_of(&job.plan.circuits, &frame);
    let (bare, of_bare) = shown(&job, &frame, is_bare);
    let (unjudged, of_unjudged) = shown(&job, &frame, is_unjudged);
    let (starters, of_starters) = starters(&job, &frame);
    let page = Page {
        points: points.iter().map(|point| point_row(&job, point)).collect(),
        modes: states.iter().map(|state| mode_row(state, job.units)).collect(),
        volts: circuits.iter().filter_map(|circuit| volts_row(&job, circuit)).collect(),
        bare,
        unjudged,
        paging: [of_states, of_circuits, of_bare, of_unjudged, of_starters]
            .into_iter()
            .fold(of_points, Paging::longer),
        has_conductors: !job.plan.circuits.is_empty() || !job.plan.feeders.is_empty(),
        starters,
        title_block: job.title_block(frame, Tab::Supply),
    };
    html(&page)
}

fn shown(job: &Opened, frame: &Frame, which: impl Fn(&Finding) -> bool) -> (Vec<FindingPiece>, Paging) {
    let which: Vec<&Finding> = job.findings().iter().filter(|finding| which(finding)).collect();
    let (shown, paging) = page_of(&which, frame);
    let piece = |finding: &&Finding| FindingPiece::new(finding, &job.href(), job.units);
    (shown.iter().map(piece).collect(), paging)
}

/// Whether a finding is about a conductor that the law requires to be protected and that is not.
fn is_bare(finding: &Finding) -> bool {
    matches!(finding.code, Code::Unprotected | Code::FarEndUnprotected | Code::FuseFarFromSource)
}

/// Whether a finding says that the protection of a conductor could not be checked.
fn is_unjudged(finding: &Finding) -> bool {
    let of_protection = [
        "the distance of the protection from its source of power",
        "the protection rating",
        "the kind of fuse or breaker",
    ];
    finding.lacks.is_some_and(|lacks| of_protection.contains(&lacks))
}

/// Starter cables, which law and practice allow without protection.
fn starters(job: &Opened, frame: &Frame) -> (Vec<Linked>, Paging) {
    let cranking = job.plan.feeders.iter().filter(|feeder| {
        feeder.cranking && feeder.polarity == Polarity::Positive && feeder.protection.is_none()
    });
    let cranking: Vec<&Feeder> = cranking.collect();
    let (shown, paging) = page_of(&cranking, frame);
    let linked = |feeder: &&Feeder| Linked::to(job, &Subject::new(SubjectKind::Feeder, &feeder.id));
    (shown.iter().map(linked).collect(), paging)
}

fn point_row(job: &Opened, point: &Point) -> PointRow {
    let subject = Subject::new(SubjectKind::Point, &point.id);
    let report = job.report.points.get(&point.id);
    let over = job.report.modes.as_ref().and_then(|modes| modes.points.get(&point.id));
    let amperes = |current: Option<f64>| or_dash(current.map(|current| rounded(current, 1, "A")));
    // Every mode is solved on the batteries alone, so a charger has no current to show.
    let over = over.filter(|_| !matches!(point.body, Body::Charger(_) | Body::Converter(_)));
    let workings = report.map(|own| own.workings.as_slice()).unwrap_or_default();
    let mut shown = pieces(workings, job.units);
    shown.extend(over.map(|over| pieces(&over.workings, job.units)).unwrap_or_default());
    PointRow {
        mark: mark(job, &subject),
        point: Linked::to(job, &subject),
        kind: point.body.kind().word().replace('-', " "),
        rating: amperes(report.and_then(|own| own.rating_a)),
        all_on: amperes(
            report
                .and_then(|own| own.current_a)
                .filter(|_| !matches!(point.body, Body::Charger(_) | Body::Converter(_))),
        ),
        worst: amperes(over.map(|over| over.worst_a)),
        worst_in: over.map(|over| over.worst_in.clone()).unwrap_or_default(),
        continuous: amperes(over.and_then(|over| over.continuous_a)),
        continuous_in: over.and_then(|over| over.continuous_in.clone()).unwrap_or_default(),
        positions: positions(job, point),
        short: or_dash(report.and_then(|own| own.short_circuit_a).map(|short| rounded(short, 0, "A"))),
        workings: shown,
    }
}

/// The level of the worst finding about a distribution point, if it is more than a note.
fn mark(job: &Opened, subject: &Subject) -> Option<LevelMark> {
    let levels = job.about(subject).map(|finding| finding.level);
    levels.max().filter(|level| *level > Level::Note).map(LevelMark)
}

fn positions(job: &Opened, point: &Point) -> String {
    let Some(report) = job.report.points.get(&point.id) else { return or_dash(None) };
    match (&point.body, report.positions, report.positions_free) {
        (Body::Battery(_) | Body::Charger(_) | Body::Converter(_), ..) => or_dash(None),
        (_, Some(all), Some(free)) => format!("{} of {all} used, {free} free", report.positions_used),
        _ => format!("{} used", report.positions_used),
    }
}

fn mode_row(state: &modes::SolvedState, units: Units) -> ModeRow {
    ModeRow {
        name: state.name.clone(),
        on: state.on.len(),
        drawn: or_dash(state.drawn_a.map(|current| rounded(current, 1, "A"))),
        lost: or_dash(state.lost_w.map(|power| rounded(power, 1, "W"))),
        trouble: state.not_solved.as_ref().map(|trouble| trouble.text(units)),
        workings: pieces(&state.workings, units),
    }
}

fn volts_row(job: &Opened, circuit: &Circuit) -> Option<VoltsRow> {
    let over = job.report.modes.as_ref()?.circuits.get(&circuit.id)?;
    Some(VoltsRow {
        circuit: Linked::to(job, &Subject::new(SubjectKind::Circuit, &circuit.id)),
        lowest: unit(over.lowest_v, "V"),
        lowest_in: over.lowest_in.clone(),
        highest: unit(over.highest_v, "V"),
        highest_in: over.highest_in.clone(),
        working: WorkingPiece::new(&over.working(), job.units),
    })
}
