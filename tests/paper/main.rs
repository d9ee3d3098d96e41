//! The floor of paper: what comes out of the press, measured and read by other programs.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

mod code;
mod labels;
mod one_line;
mod pdf;
mod template;

/// The dots of a picture that a length takes; a page has no negative ones and no more than fit.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
fn dots(mm: f64, per_inch: u32) -> usize {
    (mm * f64::from(per_inch) / 25.4).round() as usize
}
