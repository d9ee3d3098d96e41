//! Documents on paper: typst makes a PDF from a template, data and drawings.
//!
//! A document is a template in `templates/paper` and a value that `serde` serializes. The value reaches the
//! template as the file `data.json`, so user input is data and never markup. Drawings of [`crate::drawing`] are
//! added as SVG files.
//!
//! The only font is DejaVu Sans. It is always embedded, so that paper looks the same from any computer. Making a
//! PDF takes tens of milliseconds to seconds, so a handler does it outside the threads that answer requests.

pub mod csv;
pub mod labels;
mod letters;
pub mod one_line;
mod press;
mod qr;
pub mod template;

use thiserror::Error;

/// A document could not be made, because of a fault in the program.
#[derive(Debug, Error)]
pub enum Error {
    /// The data cannot be serialized.
    #[error("the document's data cannot be written down: {0}")]
    Data(#[from] serde_json::Error),
    /// Typst cannot process the template or its data.
    #[error("the document cannot be set: {0}")]
    Set(String),
    /// A text is too long for a QR code.
    #[error("no QR code holds '{0}'")]
    Code(String),
}

/// The result of making a document.
pub type Result<T> = std::result::Result<T, Error>;
