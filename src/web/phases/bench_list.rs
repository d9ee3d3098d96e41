//! The bench list: the jumpers of each panel in the order they are made, and what remains to connect in the boat.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Redirect, Response};
use uom::si::length::meter;

use crate::drawing::wire::DrawnWire;
use crate::job::conductor::{Conductor, End};
use crate::job::jumpers::{self, BenchList, Jumper, JumperSide, Left, Master};
use crate::job::length;
use crate::job::plan::{Circuit, ConductorOverride};
use crate::job::point::Body;
use crate::job::step::{Action as Done, StepKey};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::termination;
use crate::job::value::LengthM;
use crate::shop::role::Permission;
use crate::store::{ChangeSet, JobId};
use crate::trade::quantity::Quantity;
use crate::trade::source::GIVEN_LENGTHS;
use crate::trade::working::{self, Numbers, Working};
use crate::web::kit::figure::Figure;
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::user::CurrentUser;
use crate::web::kit::{AppState, Error};
use crate::web::parts::bench::Bench;
use crate::web::parts::wires;

#[derive(Template)]
#[template(path = "phases/bench_list.html")]
struct Page {
    title_block: TitleBlock,
    panels: Vec<Panel>,
    form: Form,
    unit: LengthUnit,
    may: bool,
    action: String,
}

impl Page {
    fn unit(&self) -> LengthUnit {
        self.unit
    }
}

/// One panel with the jumpers made for it.
#[derive(Debug)]
struct Panel {
    id: String,
    name: String,
    rows: Vec<Row>,
    cut: Vec<Sentence>,
    land: Vec<Landed>,
    feeders: Vec<(String, String)>,
    returns: String,
}

/// One jumper.
#[derive(Debug)]
struct Row {
    number: usize,
    side: &'static str,
    id: String,
    href: String,
    wire: DrawnWire,
    words: String,
    circuit: String,
    way: String,
    labels: [String; 2],
    length: Option<Cell>,
    terminals: Vec<String>,
    done: bool,
}

/// An end of the boat's own wires, to be landed after the panel is in.
#[derive(Debug)]
struct Landed {
    end: String,
    href: String,
    words: String,
    done: bool,
}

/// The bench list of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    page(frame, &job, Form::default())
}

/// Stores a measured length for every jumper of a kind that has no length of its own.
pub async fn measure(
    frame: Frame,
    user: CurrentUser,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    mut form: Form,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let unit = frame.length_unit();
    let feed: Option<LengthM> = form.length("feed_m", unit);
    let load: Option<LengthM> = form.length("load_m", unit);
    if feed.is_none() && load.is_none() && form.errors().is_empty() {
        form.refuse("feed_m", "Nothing was entered. Enter at least one length.");
    }
    if form.sound().is_none() {
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page(frame, &job, form)?).into_response());
    }
    let mut write = app.store().write(&user.actor(), app.now()).await?;
    let mut change = ChangeSet::begin(&mut write, job.id).await?;
    let lists = jumpers::lists(&job.plan, &job.conductors, Master::default());
    for jumper in lists.iter().flat_map(|list| &list.jumpers).filter(|jumper| !jumper.wire.measured) {
        if let Some(length_m) = if jumper.side == JumperSide::Feed { feed } else { load } {
            change.alter(&jumper.circuit.id, |circuit| given(circuit, jumper.wire, length_m))?;
        }
    }
    change.commit().await?;
    write.commit().await?;
    Ok(Redirect::to(&format!("{}/bench", job.href())).into_response())
}

/// The circuit with the measured length on one of its wires.
fn given(mut circuit: Circuit, wire: &Conductor, length_m: LengthM) -> Circuit {
    let names = |given: &ConductorOverride| {
        given.from.as_str() == wire.from.id() && given.to.as_str() == wire.to.id()
    };
    if let Some(given) = circuit.conductors.iter_mut().find(|given| names(given)) {
        given.length_m = Some(length_m);
        return circuit;
    }
    // An id is always a valid name: it is shorter and uses fewer characters.
    if let (Ok(from), Ok(to)) = (wire.from.id().parse(), wire.to.id().parse()) {
        circuit.conductors.push(ConductorOverride { from, to, length_m: Some(length_m), size: None });
    }
    circuit
}

fn page(frame: Frame, job: &Opened, form: Form) -> Result<Html<String>, Error> {
    let bench = Bench::new(&frame, job, format!("{}/bench", job.href()));
    let lists = jumpers::lists(&job.plan, &job.conductors, Master::default());
    let page = Page {
        panels: lists.iter().map(|list| panel(&bench, list)).collect(),
        unit: frame.length_unit(),
        may: frame.may(Permission::Plan),
        action: format!("{}/bench", job.href()),
        form,
        title_block: job.title_block(frame.clone(), Tab::Bench),
    };
    html(&page)
}

fn panel(bench: &Bench<'_>, list: &BenchList<'_>) -> Panel {
    let job = bench.job;
    let Left { land, feeders, returns } = &list.left;
    let feeder = |id: &&crate::job::value::FeederId| {
        let way = job
            .plan
            .feeder(id)
            .map_or_else(String::new, |feeder| format!("{} \u{2192} {}", feeder.from, feeder.to));
        (format!("{}/feeders/{id}", job.href()), format!("{id}, {way}"))
    };
    Panel {
        id: list.panel.to_string(),
        name: job
            .plan
            .point(list.panel)
            .map_or_else(|| list.panel.to_string(), |point| point.called().to_owned()),
        rows: list.jumpers.iter().zip(1..).map(|(jumper, number)| row(bench, jumper, number)).collect(),
        cut: cut(bench, list),
        land: land.iter().map(|(end, wire)| landed(bench, &end.id, wire)).collect(),
        feeders: feeders.iter().map(feeder).collect(),
        returns: returns.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "),
    }
}

fn row(bench: &Bench<'_>, jumper: &Jumper<'_>, number: usize) -> Row {
    let (job, wire) = (bench.job, jumper.wire);
    let labels = wire.ends().map(|end| end.id);
    Row {
        number,
        side: if jumper.side == JumperSide::Feed { "feed" } else { "load" },
        id: wire.id.to_string(),
        href: format!("{}/wires/{}", job.href(), wire.id),
        wire: wires::drawn(job, wire, [&labels[0], &labels[1]]),
        words: wires::words(job, wire),
        circuit: format!("{}, {}", jumper.circuit.name_and_label(), label(job, jumper)),
        way: wires::way(&job.plan, wire),
        length: jumper.cut.map(|cut| {
            let value = Figure::length(cut.get::<meter>(), bench.frame.length_unit());
            let how = length::of_wire(&job.plan, &job.conductors, &job.report.routes, wire);
            Cell::by(wire.id.as_str(), "cut to", value, how)
        }),
        terminals: terminals(job, wire),
        done: labels.iter().all(|end| is_terminated(bench, end)),
        labels,
    }
}

/// The label of the position.
fn label(job: &Opened, jumper: &Jumper<'_>) -> String {
    let at = jumper.circuit.switch.as_ref();
    let panel = at.and_then(|at| job.plan.point(&at.panel)).and_then(|point| match &point.body {
        Body::SwitchPanel(panel) => panel.positions.get(usize::from(jumper.position).checked_sub(1)?),
        _ => None,
    });
    panel.map_or_else(
        || jumper.position.to_string(),
        |position| format!("{} {}", jumper.position, position.label),
    )
}

/// The terminal on each end, or what is missing to choose it.
fn terminals(job: &Opened, wire: &Conductor) -> Vec<String> {
    let size = wires::size_of(job, wire);
    let one = |end: &End| match termination::terminal(&job.plan, wire, &end.at, size) {
        Ok(fitted) => format!(
            "{}, {}, {}",
            fitted.terminal.kind.words(),
            fitted.terminal.barrel.words(),
            fitted.seat.words()
        ),
        Err(finding) => finding.text.text(job.units),
    };
    let [near, far] = wire.ends();
    let (near, far) = (one(&near), one(&far));
    if near == far { vec![format!("both ends: {near}")] } else { vec![near, far] }
}

fn is_terminated(bench: &Bench<'_>, end: &str) -> bool {
    !bench.is_open(&StepKey { subject: Subject::new(SubjectKind::End, end), action: Done::Terminate })
}

fn landed(bench: &Bench<'_>, end: &str, wire: &Conductor) -> Landed {
    Landed {
        end: end.to_owned(),
        href: format!("{}/wires/{}", bench.job.href(), wire.id),
        words: wires::words(bench.job, wire),
        done: is_terminated(bench, end),
    }
}

/// How much of which wire the panel needs, as cut from the spool.
fn cut(bench: &Bench<'_>, list: &BenchList<'_>) -> Vec<Sentence> {
    let mut wires: Vec<(String, Vec<&Jumper<'_>>)> = Vec::new();
    for jumper in &list.jumpers {
        let words = wires::words(bench.job, jumper.wire);
        match wires.iter_mut().find(|(known, _)| *known == words) {
            Some((_, jumpers)) => jumpers.push(jumper),
            None => wires.push((words, vec![jumper])),
        }
    }
    let said = |((words, jumpers), number): (&(String, Vec<&Jumper<'_>>), usize)| {
        let pieces = if jumpers.len() == 1 { "piece" } else { "pieces" };
        let lead = Sentence::from(format!("{words}: {} {pieces}, ", jumpers.len()));
        let of = format!("{} wire {number}", list.panel);
        match off_the_spool(&of, jumpers, bench.frame.length_unit()) {
            Some(sum) => lead.figure(sum),
            None => lead.words("not all measured yet"),
        }
    };
    wires.iter().zip(1..).map(said).collect()
}

/// The total length of jumpers of one wire, which opens on its working; `None` if not all are measured.
fn off_the_spool(of: &str, jumpers: &[&Jumper<'_>], unit: LengthUnit) -> Option<Cell> {
    let cuts = jumpers.iter().map(|jumper| Some((&jumper.wire.id, jumper.cut?.get::<meter>())));
    let cuts = cuts.collect::<Option<Vec<_>>>()?;
    let sum = cuts.iter().map(|(_, meters)| meters).sum();
    let terms = cuts
        .iter()
        .map(|(id, meters)| Numbers::filled("{} ({})", [working::length(*meters), id.to_string().into()]));
    let working = Working {
        what: Quantity::OffSpool,
        formula: "sum of the cut lengths of the jumpers",
        numbers: Numbers::joined(terms, " + "),
        result: working::length(sum),
        source: &GIVEN_LENGTHS,
    };
    Some(Cell::by(of, "from the spool", Figure::length(sum, unit), [working]))
}
