//! A job's labels with their text by the shop's rule, and the addresses in their QR codes.

use axum::http::{HeaderMap, header};

use crate::job::label::{Label, Labels};
use crate::job::subject::Subject;
use crate::paper::labels::Sticker;
use crate::shop::labels::{Address, LabelSetting};
use crate::web::kit::opened::Opened;
use crate::web::kit::origin::Origin;
use crate::web::kit::{AppState, Error};
use crate::web::parts::finding::sheet_of;
use crate::web::parts::wires;

/// The address of the program for other devices: as set by the shop, otherwise as this browser uses it.
///
/// # Errors
///
/// [`Error::BadRequest`]: neither is known.
pub fn base(app: &AppState, setting: &LabelSetting, headers: &HeaderMap) -> Result<Address, Error> {
    if let Some(address) = &setting.address {
        return Ok(address.clone());
    }
    let host = headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
    let scheme = if app.secure() { "https" } else { "http" };
    let unknown = |_| {
        Error::BadRequest("The address of this shop is not known: enter it on the Labels page.".to_owned())
    };
    format!("{scheme}://{host}").parse().map_err(unknown)
}

/// The address in the QR codes, if a device that reads it would look for it on itself.
pub fn only_here(setting: &LabelSetting, origin: &Origin) -> Option<String> {
    let settled = setting.address.as_ref().map(|address| address.as_str().to_owned());
    let base = settled.or_else(|| origin.address(""))?;
    let host = base.split_once("://").map_or(base.as_str(), |(_, host)| host);
    ["127.", "localhost", "[::1]"].iter().any(|own| host.starts_with(own)).then_some(base)
}

/// The address that opens a wire or cable at the end with this label.
pub fn address(base: &Address, job: &Opened, label: &Label) -> String {
    format!("{base}{}/{}", page(job, &label.on), label.side())
}

/// The page of the thing that a label is on.
pub fn page(job: &Opened, on: &Subject) -> String {
    format!("{}{}", job.href(), sheet_of(on).unwrap_or_default())
}

/// The thing that a label is on, in plain text: `14 AWG dark gray`, `antenna coax`.
pub fn words(job: &Opened, on: &Subject) -> String {
    job.pieces().about(on).map_or_else(String::new, |(piece, _)| wires::words(job, piece))
}

/// Where the end with this label is, and where the other end is.
pub fn ends(labels: &Labels, job: &Opened, label: &Label) -> [String; 2] {
    let other = labels.all().iter().find(|other| other.on == label.on && other.end != label.end);
    [Some(label), other]
        .map(|label| label.map_or_else(String::new, |label| wires::landing(&job.plan, &label.at)))
}

/// A label with everything printed on it.
pub fn sticker(base: &Address, job: &Opened, label: &Label) -> Sticker {
    Sticker { text: label.text.clone(), wire: words(job, &label.on), address: address(base, job, label) }
}
