//! A job's labels worded by the shop's rule, and where their codes lead.

use axum::http::{HeaderMap, header};

use crate::job::label::{Label, Labels, Stock};
use crate::job::subject::Subject;
use crate::paper::labels::Sticker;
use crate::shop::labels::{Address, LabelSetting};
use crate::store::labels as kept;
use crate::web::circuit::wires;
use crate::web::job::Opened;
use crate::web::origin::Origin;
use crate::web::piece::sheet_of;
use crate::web::{AppState, Error};

/// The labels of a whole job, so that they are the same whichever are printed.
pub fn labels(job: &Opened, setting: &LabelSetting, stock: &Stock) -> Labels {
    let size = |conductor: &_| wires::size_of(job, conductor);
    Labels::of(&job.plan, &job.conductors, size, &setting.rule, stock.limit)
}

/// The labels of a whole job as they come out on the shop's usual sheet.
///
/// # Errors
///
/// [`Error`] where the shop's rule cannot be read.
pub async fn usual(app: &AppState, job: &Opened) -> Result<Labels, Error> {
    let setting = kept::get(&mut *app.store().read().await?).await?.value;
    let stock = setting.sheet(setting.stock);
    Ok(stock.map_or_else(Labels::default, |stock| labels(job, &setting, &stock)))
}

/// The address other devices reach the program by: as the shop settled it, or as this browser did.
///
/// # Errors
///
/// [`Error::BadRequest`] where neither is known.
pub fn base(app: &AppState, setting: &LabelSetting, headers: &HeaderMap) -> Result<Address, Error> {
    if let Some(address) = &setting.address {
        return Ok(address.clone());
    }
    let host = headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
    let scheme = if app.secure() { "https" } else { "http" };
    let unknown =
        |_| Error::BadRequest("The address of this shop is not known: settle it with the labels.".to_owned());
    format!("{scheme}://{host}").parse().map_err(unknown)
}

/// The address that codes lead to, where it means the very device that reads them.
pub fn only_here(setting: &LabelSetting, origin: &Origin) -> Option<String> {
    let settled = setting.address.as_ref().map(|address| address.as_str().to_owned());
    let base = settled.or_else(|| origin.address(""))?;
    let host = base.split_once("://").map_or(base.as_str(), |(_, host)| host);
    ["127.", "localhost", "[::1]"].iter().any(|own| host.starts_with(own)).then_some(base)
}

/// What opens a wire or cable at the end that the label is on.
pub fn address(base: &Address, job: &Opened, label: &Label) -> String {
    format!("{base}{}/{}", page(job, &label.on), label.side())
}

/// The page of what a label is on.
pub fn page(job: &Opened, on: &Subject) -> String {
    format!("{}{}", job.href(), sheet_of(on).unwrap_or_default())
}

/// What a label is on, in words: `14 AWG dark gray`, `antenna coax`.
pub fn words(job: &Opened, on: &Subject) -> String {
    job.pieces().about(on).map_or_else(String::new, |(piece, _)| wires::words(job, piece))
}

/// Where the end of a label lies, and where the other end of the same thing does.
pub fn ends(labels: &Labels, job: &Opened, label: &Label) -> [String; 2] {
    let other = labels.all().iter().find(|other| other.on == label.on && other.end != label.end);
    [Some(label), other]
        .map(|label| label.map_or_else(String::new, |label| wires::landing(&job.plan, &label.at)))
}

/// A label with all that is printed on it.
pub fn sticker(base: &Address, job: &Opened, label: &Label) -> Sticker {
    Sticker { text: label.text.clone(), wire: words(job, &label.on), address: address(base, job, label) }
}
