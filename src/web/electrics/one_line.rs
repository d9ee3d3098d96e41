//! The one-line diagram, and the same data as tables.

use std::collections::HashSet;

use askama::Template;
use axum::extract::{Path, State};
use axum::response::{Html, Response};

use crate::drawing::one_line::{self, WireTexts};
use crate::drawing::part::DrawnPart;
use crate::drawing::svg::Drawing;
use crate::job::check::{ConductorReport, ProtectionReport};
use crate::job::plan::{Circuit, Feeder, Polarity};
use crate::job::point::{Body, Point, PointKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::PointId;
use crate::paper::one_line::{self as paper, SheetHead};
use crate::store::JobId;
use crate::trade::conductor::Size;
use crate::trade::working::{Working, figure};
use crate::web::kit::download::{Kind, download};
use crate::web::kit::figure::Figure;
use crate::web::kit::figure::or_dash;
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, drawings_of, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::linked::Linked;
use crate::web::parts::settled::SettledSize;
use crate::web::parts::wires;
use crate::web::parts::workings::{self, ONE_WAY};

#[derive(Template)]
#[template(path = "electrics/one_line.html")]
struct Page {
    title_block: TitleBlock,
    sheets: Vec<Drawing>,
    points: Vec<PointRow>,
    feeders: Vec<FeederRow>,
    circuits: Vec<CircuitRow>,
    /// The negative side, which is in no diagram.
    bars: Vec<PointRow>,
    returns: Vec<FeederRow>,
    pdf: String,
    paging: Paging,
}

/// How many sheets a page or a file has. A diagram of a real boat has fewer.
const SHEETS: usize = 8;

/// A distribution point.
struct PointRow {
    point: Linked,
    kind: String,
    known: String,
}

/// A feeder.
struct FeederRow {
    feeder: Linked,
    size: Sentence,
    length: Option<Cell>,
    fuse: Sentence,
    current: Option<Cell>,
}

struct CircuitRow {
    circuit: Linked,
    from: Linked,
    switch: String,
    size: Sentence,
    length: Option<Cell>,
    fuse: Sentence,
    current: Option<Cell>,
    devices: Vec<Linked>,
}

/// The one-line diagram of a job.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let lengths = frame.length_unit();
    let feeders = |side: Polarity| {
        let own = job.plan.feeders.iter().filter(|feeder| feeder.polarity == side);
        let own: Vec<&Feeder> = own.collect();
        let (shown, paging) = page_of(&own, &frame);
        (shown.iter().map(|feeder| feeder_row(&job, feeder, lengths)).collect(), paging)
    };
    let [(points, of_points), (bars, of_bars)] = points(&job, &frame);
    let (feeders, returns) = (feeders(Polarity::Positive), feeders(Polarity::Negative));
    let (circuits, of_circuits) = page_of(&job.plan.circuits, &frame);
    let drawn = drawn(&job);
    let (sheets, of_sheets) = drawings_of(&drawn, &frame, SHEETS);
    let query = frame.path.split_once('?').map_or_else(String::new, |(_, query)| format!("?{query}"));
    let page = Page {
        sheets: sheets.to_vec(),
        points,
        feeders: feeders.0,
        circuits: circuits.iter().map(|circuit| circuit_row(&job, circuit, lengths)).collect(),
        bars,
        returns: returns.0,
        pdf: format!("{}/one-line.pdf{query}", job.href()),
        paging: [of_points, of_bars, feeders.1, returns.1, of_circuits]
            .into_iter()
            .fold(of_sheets, Paging::longer),
        title_block: job.title_block(frame, Tab::OneLine),
    };
    html(&page)
}

/// The sheets of the diagram that its page shows, on A3.
pub async fn pdf(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let block = job.block(&frame, Tab::OneLine);
    let head = SheetHead {
        title: Tab::OneLine.title(),
        boat: block.boat,
        job: format!("{} {}", block.number, block.name),
        revision: block.edition.to_string(),
        date: block.date,
        by: block.by,
    };
    let drawings = drawings_of(&drawn(&job), &frame, SHEETS).0.to_vec();
    let set = move || paper::print(&head, &drawings);
    let pdf = app.line().run(job.load, set).await.map_err(Error::internal)?.map_err(Error::internal)?;
    Ok(download(Kind::Pdf, job.plan.boat.name.as_str(), job.id, "one-line", pdf))
}

fn drawn(job: &Opened) -> Vec<Drawing> {
    let wire = |part: DrawnPart<'_>| match part {
        DrawnPart::Feeder(id) => texts(job.report.feeders.get(id).map(|own| &own.conductor)),
        DrawnPart::Circuit(id) => texts(job.report.circuits.get(id).map(|own| &own.conductor)),
        _ => WireTexts::default(),
    };
    let href = job.href();
    let address = |part: DrawnPart<'_>| match part {
        DrawnPart::Point(id) => Some(format!("{href}/plan/points#{id}")),
        DrawnPart::Feeder(id) => Some(format!("{href}/feeders/{id}")),
        DrawnPart::Circuit(id) => Some(format!("{href}/circuits/{id}")),
        DrawnPart::Device(id) => Some(format!("{href}/plan/devices#{id}")),
        DrawnPart::Position(id, _) => Some(format!("{href}/plan/points#{id}")),
    };
    one_line::draw(&job.plan, &wire, &address).into_iter().map(|sheet| sheet.drawing).collect()
}

/// The size and rating of a wire, given or chosen, as in the tables.
fn texts(figures: Option<&ConductorReport>) -> WireTexts {
    let rating = |own: &ProtectionReport| {
        own.rating_a.map_or_else(|| "rating not set".to_owned(), |rating| format!("{} A", figure(rating)))
    };
    WireTexts {
        size: Some(size(figures.and_then(|own| own.size))),
        rating: figures.and_then(|own| own.protection.as_ref()).map(rating),
    }
}

/// The distribution points of the diagram, and those of the negative side. A panel that only switches is with the
/// switch of its circuits.
fn points(job: &Opened, frame: &Frame) -> [(Vec<PointRow>, Paging); 2] {
    let is_drawn = one_line::is_drawn(&job.plan);
    let junctions = job.plan.circuits.iter().filter_map(|circuit| circuit.junction.as_ref());
    let junctions: HashSet<&PointId> = junctions.collect();
    let all = || job.plan.points.iter();
    let drawn: Vec<&Point> = all().filter(|point| is_drawn(point) || junctions.contains(&point.id)).collect();
    let negative: Vec<&Point> = all().filter(|point| point.body.kind() == PointKind::NegativeBus).collect();
    [drawn, negative].map(|points| {
        let (shown, paging) = page_of(&points, frame);
        (shown.iter().map(|point| point_row(job, point)).collect(), paging)
    })
}

fn point_row(job: &Opened, point: &Point) -> PointRow {
    let known = match &point.body {
        Body::Battery(battery) => battery.capacity_ah.map(|capacity| format!("{capacity} Ah")),
        body => body.rating().map(|rating| format!("{rating} A")),
    };
    PointRow {
        point: Linked::to(job, &Subject::new(SubjectKind::Point, &point.id)),
        kind: point.body.kind().word().replace('-', " "),
        known: or_dash(known),
    }
}

fn size(size: Option<Size>) -> String {
    size.map_or("size not known", Size::text).to_owned()
}

/// The size and fuse in the tables.
fn said(settled: Option<&SettledSize<'_>>) -> [Sentence; 2] {
    let size = settled.and_then(SettledSize::size_said).unwrap_or_else(|| self::size(None).into());
    [size, settled.and_then(SettledSize::fuse_said).unwrap_or_else(|| or_dash(None).into())]
}

fn length(id: &str, meters: Option<f64>, workings: &[Working], lengths: LengthUnit) -> Option<Cell> {
    let value = Figure::length(meters?, lengths);
    Some(Cell::new(id, "one way", value, workings, ONE_WAY))
}

fn feeder_row(job: &Opened, feeder: &Feeder, lengths: LengthUnit) -> FeederRow {
    let report = job.report.feeders.get(&feeder.id);
    let settled = report.map(|own| SettledSize::feeder(feeder.id.as_str(), own));
    let [size, fuse] = said(settled.as_ref());
    FeederRow {
        feeder: Linked::to(job, &Subject::new(SubjectKind::Feeder, &feeder.id)),
        size,
        length: report.and_then(|own| {
            length(feeder.id.as_str(), own.conductor.one_way_m, &own.conductor.workings, lengths)
        }),
        fuse,
        current: report.and_then(|own| {
            Some(workings::design_current(
                feeder.id.as_str(),
                own.conductor.design_current_a?,
                &own.conductor.workings,
            ))
        }),
    }
}

fn circuit_row(job: &Opened, circuit: &Circuit, lengths: LengthUnit) -> CircuitRow {
    let report = job.report.circuits.get(&circuit.id);
    let settled = report.map(|own| SettledSize::circuit(circuit.id.as_str(), own));
    let [size, fuse] = said(settled.as_ref());
    let switch = wires::switch(&job.plan, circuit);
    CircuitRow {
        circuit: Linked::to(job, &Subject::new(SubjectKind::Circuit, &circuit.id)),
        from: Linked::to(job, &Subject::new(SubjectKind::Point, &circuit.from)),
        switch: or_dash(switch),
        size,
        length: report.and_then(|own| {
            length(circuit.id.as_str(), own.conductor.one_way_m, &own.conductor.workings, lengths)
        }),
        fuse,
        current: report.and_then(|own| {
            Some(workings::design_current(
                circuit.id.as_str(),
                own.conductor.design_current_a?,
                &own.conductor.workings,
            ))
        }),
        devices: circuit
            .devices()
            .map(|id| Linked::to(job, &Subject::new(SubjectKind::Device, id)))
            .collect(),
    }
}
