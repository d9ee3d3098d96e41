//! Routes: every run in pull order, the content of each raceway, and the cables of devices.

use askama::Template;
use axum::extract::{Path, Query, State};
use axum::response::Html;
use serde::Deserialize;
use uom::si::length::meter;

use crate::drawing::boat_plan::Lit;
use crate::job::conductor::Conductor;
use crate::job::finding::Finding;
use crate::job::length;
use crate::job::plan::{Raceway, RacewayKind};
use crate::job::routing::{CableReport, Pull, RacewayReport, RouteBy, RunReport};
use crate::job::run::cable::{self, DeviceCable};
use crate::job::run::{Piece, PieceId};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{LocationId, RacewayId};
use crate::shop::role::Permission;
use crate::store::JobId;
use crate::trade::finding::{Code, Level};
use crate::trade::route::{Allowances, Cut};
use crate::trade::working::{Working, figure};
use crate::web::kit::figure::Figure;
use crate::web::kit::figure::{or_dash, rounded};
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::boat_plan::{self, BoatPlan};
use crate::web::parts::finding::{FindingPiece, LevelMark};
use crate::web::parts::linked::Linked;
use crate::web::parts::pulls::{by, location, number, string};
use crate::web::parts::wires;
use crate::web::parts::workings::WorkingPiece;

#[derive(Template)]
#[template(path = "layout/routes.html")]
struct Page {
    title_block: TitleBlock,
    /// The page to change the allowances, for users who may.
    intake: Option<String>,
    facts: Vec<(&'static str, Sentence)>,
    drawn: BoatPlan,
    lit: Option<String>,
    pulls: Vec<PullRow>,
    raceways: Vec<RacewayRow>,
    cables: Vec<CableRow>,
    findings: Vec<FindingPiece>,
    no_way: Vec<Linked>,
    /// How many raceways and cables there are in all.
    raceway_count: usize,
    cable_count: usize,
    paging: Paging,
}

/// Runs that are pulled together.
struct PullRow {
    number: usize,
    /// Whether its runs are shown: those of the first pull, and of the highlighted one.
    open: bool,
    from: String,
    to: String,
    by: String,
    path: String,
    leave: Option<Sentence>,
    string: Sentence,
    runs: Vec<RunRow>,
    cable: Option<HauledCable>,
}

/// A cable in the pull order.
struct HauledCable {
    cable: Linked,
    kind: &'static str,
    cut: Sentence,
    parts: String,
    show: String,
    here: bool,
}

/// A run with its length to cut.
struct RunRow {
    id: String,
    conductors: String,
    href: String,
    name: String,
    size: String,
    cut: Cell,
    parts: Sentence,
    why: String,
    show: String,
    here: bool,
}

/// A raceway with its content.
struct RacewayRow {
    /// Its number on the plan.
    number: usize,
    raceway: Linked,
    between: String,
    long: String,
    bore: String,
    /// The label and the page of each run in it.
    runs: Vec<(String, String)>,
    /// How many more runs are in it.
    more: usize,
    carrying: usize,
    fill: String,
    of: String,
    mark: Option<LevelMark>,
    drawn: Option<WorkingPiece>,
    working: Option<WorkingPiece>,
}

/// A cable with its result.
struct CableRow {
    cable: Linked,
    kind: &'static str,
    way: String,
    length: String,
    verdict: String,
    mark: Option<LevelMark>,
    working: Option<WorkingPiece>,
}

/// How many runs in a raceway are named.
const NAMED: usize = 100;

/// What is highlighted on the plan.
#[derive(Debug, Default, Deserialize)]
pub struct RoutesQuery {
    run: Option<String>,
}

/// The codes of this page's findings.
const CODES: [Code; 11] = [
    Code::NoRacewayBetween,
    Code::RouteInvalid,
    Code::RacewayOverfilled,
    Code::LengthUnderRoute,
    Code::LengthWithoutSlack,
    Code::CableTooShort,
    Code::ConnectorTooWide,
    Code::PullFirst,
    Code::JoinInWetLocation,
    Code::Rerouted,
    Code::RoutesNotSettled,
];

/// The routes of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Query(asked): Query<RoutesQuery>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let unit = frame.length_unit();
    let routes = &job.report.routes;
    let lit = asked.run.and_then(|asked| routes.runs.get_key_value(asked.as_str()));
    let shown = lit.map(|(_, run)| lit_by(&run.raceways, &run.between)).unwrap_or_default();
    let lit_words = lit.map(|(id, run)| called(&job, id, run));
    let (pulls, of_pulls) = pulls(&job, &frame, lit.map(|(id, _)| id));
    let (raceways, of_raceways) = page_of(&job.plan.raceways, &frame);
    let raceways = raceways
        .iter()
        .filter_map(|raceway| Some(row_of_raceway(&job, raceway, routes.raceways.get(&raceway.id)?, unit)));
    let all_cables: Vec<DeviceCable<'_>> = cable::all(&job.plan).collect();
    let (cables, of_cables) = page_of(&all_cables, &frame);
    let cables = cables.iter().filter_map(|own| row_of_cable(&job, *own, unit));
    let about = |finding: &&Finding| CODES.contains(&finding.code);
    let findings: Vec<&Finding> = job.report.findings.iter().filter(about).collect();
    let (findings, of_findings) = page_of(&findings, &frame);
    let no_way: Vec<&RunReport> = routes.runs.values().filter(|run| run.by.is_none()).collect();
    let (no_way, of_no_way) = page_of(&no_way, &frame);
    let sketch = boat_plan::sketch(&app, &job, &frame).await?;
    html(&Page {
        intake: frame.may(Permission::Plan).then(|| format!("{}/intake", job.href())),
        facts: facts(&job, unit),
        drawn: BoatPlan::of(&job, &shown, sketch.as_ref()),
        lit: lit_words,
        pulls,
        raceway_count: job.plan.raceways.len(),
        cable_count: all_cables.len(),
        paging: [of_raceways, of_cables, of_findings, of_no_way].into_iter().fold(of_pulls, Paging::longer),
        raceways: raceways.collect(),
        cables: cables.collect(),
        findings: findings.iter().map(|finding| FindingPiece::new(finding, &job.href(), job.units)).collect(),
        no_way: no_way.iter().map(|run| Linked::to(&job, &run.subject)).collect(),
        title_block: job.title_block(frame, Tab::Routes),
    })
}

/// The pulls of the runs that the page shows.
fn pulls(job: &Opened, frame: &Frame, lit: Option<&PieceId>) -> (Vec<PullRow>, Paging) {
    let pulls = job.report.routes.pulls(&job.plan);
    let runs = pulls.iter().enumerate().flat_map(|(at, pull)| pull.runs.iter().map(move |run| (at, *run)));
    let runs: Vec<(usize, (&PieceId, &RunReport))> = runs.collect();
    let (shown, paging) = page_of(&runs, frame);
    let rows = shown.chunk_by(|(one, _), (other, _)| one == other).filter_map(|runs| {
        let at = runs.first()?.0;
        let runs: Vec<_> = runs.iter().map(|(_, run)| *run).collect();
        Some(row_of_pull(job, pulls.get(at)?, &runs, at + 1, frame.length_unit(), lit))
    });
    (rows.collect(), paging)
}

fn lit_by(raceways: &[RacewayId], between: &[LocationId]) -> Lit {
    Lit { raceways: raceways.iter().cloned().collect(), locations: between.iter().cloned().collect() }
}

fn facts(job: &Opened, unit: LengthUnit) -> Vec<(&'static str, Sentence)> {
    let given = job.plan.job.allowances;
    let meters = |given: Option<f64>, usual: f64| unit.said(given.unwrap_or(usual)).into();
    let routes = &job.report.routes;
    let in_all = routes.total_m().map_or_else(
        || or_dash(None).into(),
        |total| {
            let value = Figure::length(total, unit);
            Sentence::default().figure(Cell::by("Runs", "to cut in all", value, routes.total_working()))
        },
    );
    vec![
        ("Runs", routes.of_wires().count().to_string().into()),
        ("To cut in all", in_all),
        ("Rise at each end", meters(given.rise_m.map(|rise| rise.number()), Allowances::USUAL_RISE_M)),
        (
            "Service loop at each end",
            meters(given.service_loop_m.map(|own| own.number()), Allowances::USUAL_SERVICE_LOOP_M),
        ),
        (
            "Drip loop at each end",
            meters(given.drip_loop_m.map(|own| own.number()), Allowances::USUAL_DRIP_LOOP_M),
        ),
        (
            "Waste",
            format!(
                "{} %",
                figure(given.waste_pct.map_or(Allowances::USUAL_WASTE_PERCENT, |own| own.number()))
            )
            .into(),
        ),
    ]
}

fn row_of_pull(
    job: &Opened,
    pull: &Pull<'_>,
    shown: &[(&PieceId, &RunReport)],
    number: usize,
    unit: LengthUnit,
    lit: Option<&PieceId>,
) -> PullRow {
    let wires = shown.iter().filter(|(_, run)| run.cable.is_none());
    let runs: Vec<RunRow> = wires.map(|(id, run)| row_of_run(job, id, run, unit, lit == Some(*id))).collect();
    let cable = shown.iter().find_map(|(id, run)| hauled(job, id, run, unit, lit == Some(*id)));
    PullRow {
        number,
        open: number == 1
            || runs.iter().any(|run| run.here)
            || cable.as_ref().is_some_and(|cable| cable.here),
        from: location(job, pull.from),
        to: location(job, pull.to),
        by: by(&job.plan, pull.raceways.iter().copied()),
        path: or_dash(pull.path_m.map(|path| unit.said(path))),
        leave: pull.runs.iter().find_map(|(_, run)| Some(leave(job, number, run, run.cut.as_ref()?, unit))),
        string: string(pull, number, unit),
        cable,
        runs,
    }
}

/// A run by its id and the name of what it is part of.
fn called(job: &Opened, id: &PieceId, run: &RunReport) -> String {
    let Linked { id: label, name, .. } = Linked::to(job, &run.subject);
    if run.cable.is_some() { format!("{label}, {name}") } else { format!("{id}, {name}") }
}

/// A cable in the pull order; `None` for a run of wires.
fn hauled(job: &Opened, id: &PieceId, run: &RunReport, unit: LengthUnit, here: bool) -> Option<HauledCable> {
    let cable = run.cable.as_ref()?;
    let made = own(job, id).and_then(DeviceCable::made_length).map(|length| length.get::<meter>());
    let (cut, length) = match (made, &run.cut) {
        (Some(made), _) => ("not cut".into(), format!("{} as it comes", unit.said(made))),
        (None, Some(cut)) => {
            let workings = run.path.iter().chain([&cut.working]).cloned();
            let value = Figure::length(cut.total_m, unit);
            let cell = Cell::by(id.as_str(), "length to cut", value, workings);
            (Sentence::default().figure(cell), parts(cut, unit))
        }
        (None, None) => {
            (or_dash(None).into(), "the length of a raceway on its route is not known".to_owned())
        }
    };
    Some(HauledCable {
        cable: Linked::to(job, &run.subject),
        kind: cable.kind.words(),
        cut,
        parts: format!("{length}, {}", connector(cable)),
        show: format!("{}/routes?run={id}", job.href()),
        here,
    })
}

/// How the connector of a cable is pulled.
fn connector(cable: &CableReport) -> String {
    match cable.connector_mm {
        Some(width) if !cable.connector_stops_at.is_empty() || cable.stuck_beside.is_some() => {
            format!("remove its {} mm connector first", figure(width))
        }
        Some(width) => format!("its {} mm connector in front", figure(width)),
        None => "connector width not given".to_owned(),
    }
}

fn own<'j>(job: &'j Opened, id: &PieceId) -> Option<DeviceCable<'j>> {
    job.pieces().get(id.as_str()).and_then(Piece::cable)
}

fn row_of_run(job: &Opened, id: &PieceId, run: &RunReport, unit: LengthUnit, here: bool) -> RunRow {
    let subject = Linked::to(job, &run.subject);
    let mut sizes: Vec<String> =
        run.sizes.iter().map(|size| or_dash(size.map(|size| size.to_string()))).collect();
    sizes.dedup();
    let made = if run.jacketed && run.conductors.len() == 2 { "duplex" } else { "single" };
    let by_hand = length_by_hand(job, run);
    let of = id.as_str();
    let by_its_way = |name, cut: &Cut| {
        let workings = run.path.iter().chain([&cut.working]);
        Cell::by(of, name, Figure::length(cut.total_m, unit), workings.cloned())
    };
    let parts = match (by_hand, &run.cut) {
        (Some(_), Some(cut)) => {
            Sentence::from("set by hand; its route needs ").figure(by_its_way("needed by its route", cut))
        }
        (Some(_), None) => "set by hand".into(),
        (None, Some(cut)) => parts(cut, unit).into(),
        (None, None) => "the length of a raceway on its route is not known".into(),
    };
    let cut = match (by_hand, &run.cut) {
        (Some(meters), _) => Cell::by(of, "length to cut", Figure::length(meters, unit), by_plan(job, run)),
        (None, Some(cut)) => by_its_way("length to cut", cut),
        (None, None) => Cell::by(of, "length to cut", Figure::new(or_dash(None), ""), []),
    };
    RunRow {
        id: id.to_string(),
        conductors: run.conductors.iter().map(|id| id.as_str()).collect::<Vec<_>>().join(" and "),
        href: subject.href,
        name: subject.name,
        size: format!("{} {made}", sizes.join(", ")),
        cut,
        parts,
        why: if run.by == Some(RouteBy::Shortest) { String::new() } else { run.why.clone() },
        show: format!("{}/routes?run={id}", job.href()),
        here,
    }
}

/// The length that the plan gives a run, in meters. A chain with one length for all of it has that length on its
/// first pair and zero on the others. For those, the length of their route is the better value.
fn length_by_hand(job: &Opened, run: &RunReport) -> Option<f64> {
    longest(job, run)?
        .length
        .map(|length| length.get::<meter>())
        .filter(|length| run.length_given && *length > 0.0)
}

/// The working of the length that the plan gives a run.
fn by_plan(job: &Opened, run: &RunReport) -> Vec<Working> {
    let workings = |wire| length::of_wire(&job.plan, &job.conductors, &job.report.routes, wire);
    longest(job, run).map(workings).unwrap_or_default()
}

/// The longest of its wires.
fn longest<'j>(job: &'j Opened, run: &RunReport) -> Option<&'j Conductor> {
    let wires = run.conductors.iter().filter_map(|id| job.conductors.get(id.as_str()));
    let long = |wire: &Conductor| wire.length.map_or(-1.0, |length| length.get::<meter>());
    wires.max_by(|one, other| long(one).total_cmp(&long(other)))
}

/// What is left at each end of a pull, the device's end first. There a cable begins, and wires end.
fn leave(job: &Opened, number: usize, run: &RunReport, cut: &Cut, unit: LengthUnit) -> Sentence {
    let at = run.between.each_ref().map(|id| location(job, id));
    let [near, far] = if run.cable.is_some() { [1, 0] } else { [0, 1] };
    let left = |end, name| {
        let value = Figure::length(cut.left_m(end), unit);
        Cell::by(&format!("Pull {number}"), name, value, [cut.left_working(end)])
    };
    let sentence = Sentence::default().figure(left(far, "left at the far end"));
    let sentence = sentence.words(format!(" at {}, ", at[far]));
    sentence.figure(left(near, "left at the near end")).words(format!(" at {}", at[near]))
}

/// The parts of a length to cut: the route, the rises, the loops, the waste.
fn parts(cut: &Cut, unit: LengthUnit) -> String {
    let rises = cut.rise_m.iter().sum::<f64>();
    let loops = 2.0 * (cut.service_loop_m + cut.drip_loop_m);
    format!(
        "{} route, {} rises, {} loops, {} waste",
        unit.said(cut.path_m),
        unit.said(rises),
        unit.said(loops),
        unit.said(cut.waste_m)
    )
}

fn row_of_raceway(job: &Opened, raceway: &Raceway, report: &RacewayReport, unit: LengthUnit) -> RacewayRow {
    let [one, other] = raceway.between.each_ref().map(|id| location(job, id));
    let run = |id: &PieceId| {
        let run = job.report.routes.runs.get(id);
        let Linked { id: label, href, .. } = run.map(|run| Linked::to(job, &run.subject))?;
        let is_cable = run.is_some_and(|run| run.cable.is_some());
        Some((if is_cable { label } else { id.to_string() }, href))
    };
    let share = report.fill_pct.zip(report.limit_pct);
    let open = matches!(raceway.kind, RacewayKind::Tray | RacewayKind::Gunwale);
    let (fill, of) = match share {
        Some((share, limit)) => (rounded(share, 0, "%"), rounded(limit, 0, "%")),
        None if report.runs.is_empty() => ("empty".to_owned(), or_dash(None)),
        None if open => ("open raceway".to_owned(), or_dash(None)),
        None => ("not known".to_owned(), or_dash(None)),
    };
    let opened = |working| WorkingPiece::new(working, job.units);
    RacewayRow {
        number: number(&job.plan, &raceway.id),
        raceway: Linked::to(job, &Subject::new(SubjectKind::Raceway, &raceway.id)),
        between: format!("{one} to {other}"),
        long: or_dash(report.length_m.map(|length| unit.said(length))),
        bore: or_dash(raceway.bore_mm.map(|bore| format!("{bore} mm"))),
        runs: report.runs.iter().take(NAMED).filter_map(run).collect(),
        more: report.runs.len().saturating_sub(NAMED),
        carrying: report.carrying,
        fill,
        of,
        mark: worst(job, &Subject::new(SubjectKind::Raceway, &raceway.id)),
        drawn: report.drawn.as_ref().map(opened),
        working: report.working.as_ref().map(opened),
    }
}

/// The level of this page's worst finding about something.
fn worst(job: &Opened, subject: &Subject) -> Option<LevelMark> {
    let about = job.about(subject).filter(|finding| CODES.contains(&finding.code));
    about.map(|finding| finding.level).filter(|level| *level > Level::Note).max().map(LevelMark)
}

fn row_of_cable(job: &Opened, own: DeviceCable<'_>, unit: LengthUnit) -> Option<CableRow> {
    let run = job.report.routes.run_of(own)?;
    let report = run.cable.as_ref()?;
    let [from, to] = run.between.each_ref().map(|id| location(job, id));
    let by = by(&job.plan, &run.raceways);
    let reach = report.reach.as_ref().map(|reach| &reach.working);
    Some(CableRow {
        cable: Linked::to(job, &run.subject),
        kind: report.kind.words(),
        way: if by.is_empty() { format!("{from} to {to}") } else { format!("{from} to {to} by {by}") },
        length: wires::made_length(own, unit),
        verdict: report.verdict.text(job.units),
        mark: worst(job, &Subject::new(SubjectKind::Device, &own.device.id)),
        working: reach
            .or(run.cut.as_ref().map(|cut| &cut.working))
            .map(|working| WorkingPiece::new(working, job.units)),
    })
}
