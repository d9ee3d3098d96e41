//! Documents on paper: PDF set by typst from a template, data and drawings.
//!
//! A document is a template in `templates/paper` and a value that `serde` writes down. The value reaches
//! the template as the file `data.json`, so what people typed is data and never markup. Drawings of
//! [`crate::drawing`] come along as SVG files. One face is used, DejaVu Sans, and always embedded, so that
//! paper looks the same from any machine. Setting takes tens of milliseconds to seconds: a handler
//! does it off the threads that answer requests.

pub mod csv;
pub mod labels;
mod letters;
mod press;
mod qr;
pub mod template;

use thiserror::Error;

/// A document that could not be made: a fault of the program's own.
#[derive(Debug, Error)]
pub enum Error {
    /// The data cannot be written down.
    #[error("the document's data cannot be written down: {0}")]
    Data(#[from] serde_json::Error),
    /// The template, or what it was given, cannot be set.
    #[error("the document cannot be set: {0}")]
    Set(String),
    /// A text too long for a QR code.
    #[error("no QR code holds '{0}'")]
    Code(String),
}

/// What setting a document gives.
pub type Result<T> = std::result::Result<T, Error>;
