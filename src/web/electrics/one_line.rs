//! The one-line diagram, and the same data as tables.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::drawing::one_line;
use crate::drawing::part::DrawnPart;
use crate::drawing::svg::Drawing;
use crate::job::plan::{Circuit, Feeder};
use crate::job::subject::{Subject, SubjectKind};
use crate::store::JobId;
use crate::trade::conductor::Size;
use crate::trade::working::Working;
use crate::web::kit::figure::Figure;
use crate::web::kit::figure::or_dash;
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::linked::Linked;
use crate::web::parts::settled::SettledSize;
use crate::web::parts::wires;
use crate::web::parts::workings::{self, ONE_WAY};

#[derive(Template)]
#[template(path = "electrics/one_line.html")]
struct Page {
    title_block: TitleBlock,
    drawing: Drawing,
    feeders: Vec<FeederRow>,
    circuits: Vec<CircuitRow>,
}

/// A feeder of the diagram; negatives are only in the table.
struct FeederRow {
    feeder: Linked,
    side: &'static str,
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
    let page = Page {
        drawing: drawn(&job, lengths),
        feeders: job.plan.feeders.iter().map(|feeder| feeder_row(&job, feeder, lengths)).collect(),
        circuits: job.plan.circuits.iter().map(|circuit| circuit_row(&job, circuit, lengths)).collect(),
        title_block: job.title_block(frame, Tab::OneLine),
    };
    html(&page)
}

fn drawn(job: &Opened, lengths: LengthUnit) -> Drawing {
    let wire = |part: DrawnPart<'_>| match part {
        DrawnPart::Feeder(id) => {
            job.report.feeders.get(id).map(|own| wire(own.conductor.size, own.conductor.one_way_m, lengths))
        }
        DrawnPart::Circuit(id) => {
            job.report.circuits.get(id).map(|own| wire(own.conductor.size, own.conductor.one_way_m, lengths))
        }
        _ => None,
    };
    let href = job.href();
    let address = |part: DrawnPart<'_>| match part {
        DrawnPart::Point(id) => Some(format!("{href}/plan/points#{id}")),
        DrawnPart::Feeder(id) => Some(format!("{href}/feeders/{id}")),
        DrawnPart::Circuit(id) => Some(format!("{href}/circuits/{id}")),
        DrawnPart::Device(id) => Some(format!("{href}/plan/devices#{id}")),
        DrawnPart::Position(id, _) => Some(format!("{href}/plan/points#{id}")),
    };
    one_line::draw(&job.plan, &wire, &address).drawing
}

fn wire(size: Option<Size>, meters: Option<f64>, lengths: LengthUnit) -> String {
    let size = self::size(size);
    match meters {
        Some(meters) => format!("{size} \u{b7} {}", lengths.said(meters)),
        None => size,
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
        side: feeder.polarity.word(),
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
