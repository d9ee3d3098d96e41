//! Labels as files: sheets as PDF, and a list for label printers.

use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::Response;

use super::asked::{Asking, LabelsQuery};
use super::stick;
use crate::job::color;
use crate::job::label::{Label, Labels};
use crate::job::run::Piece;
use crate::paper::{csv, labels as paper};
use crate::shop::labels::{Address, LabelSetting};
use crate::store::{JobId, labels as kept};
use crate::web::kit::download::{Kind, download};
use crate::web::kit::form::Form;
use crate::web::kit::opened::Opened;
use crate::web::kit::{AppState, Error};
use crate::web::parts::{labels, wires};

/// Labels with what a file of them needs.
struct Batch {
    job: Opened,
    asked: LabelsQuery,
    labels: Labels,
    base: Address,
}

impl Batch {
    async fn load(app: &AppState, job: JobId, mut form: Form, headers: &HeaderMap) -> Result<Self, Error> {
        let job = Opened::load(app, job).await?;
        let setting: LabelSetting = kept::get(&mut *app.store().read().await?).await?.value;
        let asked = LabelsQuery::read(&mut form, &setting).ok_or_else(|| refused(&form))?;
        let labels = labels::all(&job, &setting, &asked.stock);
        let base = stick::base(app, &setting, headers)?;
        Ok(Self { job, asked, labels, base })
    }

    fn file(&self, kind: Kind, body: impl Into<Body>) -> Response {
        download(kind, self.job.plan.boat.name.as_str(), self.job.id, "labels", body)
    }

    fn wanted(&self) -> impl Iterator<Item = &Label> {
        self.asked.wanted(&self.labels, &self.job).into_iter()
    }
}

fn refused(form: &Form) -> Error {
    let said: Vec<&str> = form.errors().iter().map(|error| error.text.as_str()).collect();
    Error::BadRequest(said.join(" "))
}

/// Sheets of labels.
pub async fn pdf(
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Asking(form): Asking,
    headers: HeaderMap,
) -> Result<Response, Error> {
    let batch = Batch::load(&app, job, form, &headers).await?;
    let wanted: Vec<&Label> = batch.wanted().collect();
    let (part, start) = batch.asked.part_of(&wanted);
    let stickers: Vec<_> = part.iter().map(|label| stick::sticker(&batch.base, &batch.job, label)).collect();
    let title = format!("Labels, {}, job {}", batch.job.plan.boat.name, batch.job.id);
    let stock = batch.asked.stock;
    let set = move || paper::sheets(&title, &stock, start, &stickers);
    let pdf = app.line().run(batch.job.load, set).await.map_err(Error::internal)?.map_err(Error::internal)?;
    Ok(batch.file(Kind::Pdf, pdf))
}

/// The columns of the list for label printers.
const COLUMNS: [&str; 9] =
    ["label", "wire", "end", "lands_on", "other_end_lands_on", "circuit", "size", "color", "address"];

/// Labels as a list, one per line.
pub async fn csv(
    State(app): State<AppState>,
    Path(job): Path<JobId>,
    Asking(form): Asking,
    headers: HeaderMap,
) -> Result<Response, Error> {
    let batch = Batch::load(&app, job, form, &headers).await?;
    let head = COLUMNS.map(str::to_owned);
    let rows = batch.wanted().map(|label| row(&batch, label));
    let text = csv::table([head].into_iter().chain(rows)).map_err(Error::internal)?;
    Ok(batch.file(Kind::Csv, text))
}

fn row(batch: &Batch, label: &Label) -> [String; COLUMNS.len()] {
    let job = &batch.job;
    let [lands_on, other] = stick::ends(&batch.labels, job, label);
    let piece = job.pieces().about(&label.on).map(|(piece, _)| piece);
    let [circuit, size, color] = piece.map(|piece| of_piece(job, piece)).unwrap_or_default();
    [
        label.text.clone(),
        piece.map_or_else(String::new, |piece| piece.label().to_owned()),
        label.end.clone(),
        lands_on,
        other,
        circuit,
        size,
        color,
        stick::address(&batch.base, job, label),
    ]
}

/// A wire's circuit, size and color; for a cable its device, its kind and the manufacturer's color.
fn of_piece(job: &Opened, piece: Piece<'_>) -> [String; 3] {
    match piece {
        Piece::Wire(wire) => {
            let size = wires::size_of(job, wire).map_or_else(String::new, |size| size.to_string());
            [wires::circuit(&job.plan, wire), size, color::of(&job.plan, wire).to_owned()]
        }
        Piece::Cable(own) => [own.device.name.to_string(), wires::words(job, piece), String::new()],
    }
}
