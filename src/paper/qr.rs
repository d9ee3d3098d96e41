//! A QR code (ISO/IEC 18004) as SVG, with its quiet zone, and how many modules it has on a side.

use qrcode::render::svg;
use qrcode::{EcLevel, QrCode};

use super::{Error, Result};

/// Modules of white that every reader expects around a code, on each side.
const QUIET: usize = 4;

/// A code ready for a sheet.
pub(super) struct Code {
    /// The drawing, quiet zone and all.
    pub(super) svg: String,
    /// Modules on a side, quiet zone and all.
    pub(super) modules: usize,
}

/// The code of an address. Labels are small and lie under clear film: few large modules read better
/// than much correction.
pub(super) fn code(address: &str) -> Result<Code> {
    let code = QrCode::with_error_correction_level(address, EcLevel::L)
        .map_err(|_| Error::Code(address.to_owned()))?;
    let svg = code.render::<svg::Color<'_>>().module_dimensions(1, 1).quiet_zone(true).build();
    Ok(Code { svg, modules: code.width() + 2 * QUIET })
}
