//! A job's labels: the list, the label sheet, and the two files to print from.

use askama::Template;
use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use uom::si::length::millimeter;

use super::asked::{Asking, LabelsQuery, Wires, stocks};
use super::stick;
use crate::drawing::label_sheet;
use crate::drawing::svg::Drawing;
use crate::drawing::wire::DrawnWire;
use crate::job::finding::Finding;
use crate::job::label::{Label, Labels};
use crate::job::names::Names;
use crate::job::run::Piece;
use crate::job::subject::Subject;
use crate::shop::labels::LabelSetting;
use crate::shop::role::Permission;
use crate::store::{JobId, labels as kept};
use crate::web::kit::form::Form;
use crate::web::kit::frame::Frame;
use crate::web::kit::opened::Opened;
use crate::web::kit::origin::Origin;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::paging::{Paging, page_of};
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::FindingPiece;
use crate::web::parts::relabel::Relabel;
use crate::web::parts::{labels, wires};

#[derive(Template)]
#[template(path = "labels/show.html")]
struct Page {
    title_block: TitleBlock,
    form: Form,
    stocks: Vec<(&'static str, String)>,
    locations: Vec<(String, String)>,
    rule: String,
    may_settle: bool,
    here: String,
    batch: Option<Batch>,
    /// The address in the QR codes, if no other device can reach it.
    only_here: Option<String>,
    anew: Option<Relabel>,
}

/// The selected labels.
struct Batch {
    query: String,
    limit: usize,
    drawing: Drawing,
    count: usize,
    sheets: usize,
    shortened: usize,
    /// The wires and cables that the page shows, and how many there are.
    rows: Vec<Row>,
    wires: usize,
    findings: Vec<FindingPiece>,
    paging: Paging,
    /// The files: each has so many sheets that a printer can take it.
    parts: usize,
    /// Wires and cables that are too thick for a wrap-around label.
    too_thick: Option<String>,
}

/// A wire or cable with its two labels, or with the one that was selected.
struct Row {
    wire: DrawnWire,
    href: String,
    id: String,
    words: String,
    way: String,
    labels: Vec<Said>,
}

struct Said {
    text: String,
    at: String,
    shortened: bool,
}

impl Page {
    fn wires(&self) -> [(&'static str, &'static str); 4] {
        Wires::choices()
    }
}

/// The labels of a job.
pub async fn show(
    frame: Frame,
    origin: Origin,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Asking(mut form): Asking,
) -> Result<Response, Error> {
    let job = Opened::load(&app, job).await?;
    let setting = kept::get(&mut *app.store().read().await?).await?.value;
    let batch = LabelsQuery::read(&mut form, &setting).map(|asked| Batch::of(&job, &frame, &setting, &asked));
    if form.typed("stock").is_empty() {
        form.put("stock", Some(setting.stock));
    }
    if form.typed("start").is_empty() {
        form.put("start", Some(1));
    }
    let status = if batch.is_some() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    let page = Page {
        stocks: stocks(&setting),
        locations: locations(&job),
        rule: setting.rule.to_string(),
        only_here: stick::only_here(&setting, &origin),
        may_settle: frame.may(Permission::Shop),
        anew: Relabel::of(&job),
        here: format!("{}{}", job.href(), Tab::Labels.path()),
        title_block: job.title_block(frame, Tab::Labels),
        form,
        batch,
    };
    Ok((status, html(&page)?).into_response())
}

fn locations(job: &Opened) -> Vec<(String, String)> {
    let locations =
        job.plan.locations.iter().map(|location| (location.id.to_string(), location.name.to_string()));
    [(String::new(), "Every location".to_owned())].into_iter().chain(locations).collect()
}

impl Batch {
    fn of(job: &Opened, frame: &Frame, setting: &LabelSetting, asked: &LabelsQuery) -> Self {
        let labels = labels::all(job, setting, &asked.stock);
        let wanted: Vec<&Label> = asked.wanted(&labels, job);
        let wires: Vec<&[&Label]> = wanted.chunk_by(|one, other| one.on == other.on).collect();
        let (shown, of_wires) = page_of(&wires, frame);
        let findings = findings(job, &labels);
        let (found, of_findings) = page_of(&findings, frame);
        let last = asked.start - 1 + wanted.len();
        Self {
            query: asked.query(),
            limit: asked.stock.limit.characters(),
            drawing: label_sheet::draw(&asked.stock, asked.start, wanted.len()),
            count: wanted.len(),
            sheets: last.div_ceil(asked.stock.per_sheet()).max(1),
            shortened: wanted.iter().filter(|label| label.shortened).count(),
            rows: shown.iter().filter_map(|labels| row(job, labels)).collect(),
            wires: wires.len(),
            findings: found
                .iter()
                .map(|finding| FindingPiece::new(finding, &job.href(), job.units))
                .collect(),
            paging: of_wires.longer(of_findings),
            parts: asked.parts(wanted.len()),
            too_thick: too_thick(job, asked, &wanted),
        }
    }
}

fn findings(job: &Opened, labels: &Labels) -> Vec<Finding> {
    let mut findings = labels.findings();
    Names::of(&job.plan).give(&mut findings);
    findings
}

fn row(job: &Opened, labels: &[&Label]) -> Option<Row> {
    let on = &labels.first()?.on;
    let sleeve = |end: &str| labels.iter().find(|label| label.end == end).map_or("", |label| &label.text);
    let (piece, _) = job.pieces().about(on)?;
    let [near, far] = piece.ends().map(|end| end.id);
    let said = |label: &&Label| Said {
        text: label.text.clone(),
        at: wires::landing(&job.plan, &label.at),
        shortened: label.shortened,
    };
    Some(Row {
        wire: wires::drawn(job, piece, [sleeve(&near), sleeve(&far)]),
        href: wires::href(job, piece),
        id: piece.label().to_owned(),
        words: wires::words(job, piece),
        way: wires::way(&job.plan, piece),
        labels: labels.iter().map(said).collect(),
    })
}

/// How many wires a sentence names.
const NAMED: usize = 100;

/// Wires and cables whose jackets are too thick for a self-laminating label.
fn too_thick(job: &Opened, asked: &LabelsQuery, wanted: &[&Label]) -> Option<String> {
    let most = asked.stock.wraps_mm()?;
    let thick = |label: &&&Label| outside_mm(job, &label.on).is_some_and(|outside| outside > most);
    let label = |label: &&Label| Some(job.pieces().about(&label.on)?.0.label());
    let mut ids: Vec<&str> = wanted.iter().filter(thick).filter_map(label).collect();
    ids.dedup();
    let more = ids.len().saturating_sub(NAMED);
    ids.truncate(NAMED);
    if ids.is_empty() {
        return None;
    }
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    Some(format!(
        "The clear film of this label goes around a jacket of {most:.1} mm at most, so that it covers the print. \
         Thicker than that, and to be labeled on a larger wrap: {}{more}.",
        ids.join(", ")
    ))
}

/// The outside diameter at a label, in mm; `None` if the size is not known.
fn outside_mm(job: &Opened, on: &Subject) -> Option<f64> {
    let (piece, _) = job.pieces().about(on)?;
    let size = match piece {
        Piece::Wire(wire) => wires::size_of(job, wire),
        Piece::Cable(_) => None,
    };
    piece.outside(size).map(|outside| outside.get::<millimeter>())
}
