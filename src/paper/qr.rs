//! A QR code (ISO/IEC 18004) as SVG, with its quiet zone, and how many modules it has on a side.

use qrcode::render::svg;
use qrcode::{EcLevel, QrCode};

use super::{Error, Result};

/// White modules that every reader expects around a code, on each side.
const QUIET: usize = 4;

/// A code for a sheet of labels.
pub(super) struct QrDrawing {
    /// The drawing, with the quiet zone.
    pub(super) svg: String,
    /// Modules on a side, with the quiet zone.
    pub(super) modules: usize,
}

/// The code of an address. Labels are small and under clear film, so a few large modules are easier to read than a
/// code with much error correction.
pub(super) fn code(address: &str) -> Result<QrDrawing> {
    let code = QrCode::with_error_correction_level(address, EcLevel::L)
        .map_err(|_| Error::Code(address.to_owned()))?;
    let svg = code.render::<svg::Color<'_>>().module_dimensions(1, 1).quiet_zone(true).build();
    Ok(QrDrawing { svg, modules: code.width() + 2 * QUIET })
}
