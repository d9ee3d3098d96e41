//! How numbers are rounded: for readers, and against limits.

/// A figure for readers: at least four significant digits, no trailing zeros, no exponent.
pub fn figure(value: f64) -> String {
    let decimals = match value.abs() {
        size if size >= 1000.0 => 0,
        size if size >= 100.0 => 1,
        size if size >= 10.0 => 2,
        size if size >= 1.0 => 3,
        size if size >= 0.1 => 4,
        size if size >= 0.01 => 5,
        _ => 6_i32,
    };
    // In units of its last digit the value is a whole number, which is fast to write. Exact conversion from a
    // binary fraction to decimals is slow, and a check writes thousands of figures.
    let scale = 10_f64.powi(decimals);
    let units = (value.abs() * scale).round();
    if units >= MOST_UNITS || units.is_nan() {
        return value.to_string();
    }
    // Positive and far below the largest integer.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let (whole, part) = ((units / scale) as u64, (units % scale) as u64);
    // Zero has no sign.
    let sign = if value < 0.0 && units > 0.0 { "-" } else { "" };
    if part == 0 {
        return format!("{sign}{whole}");
    }
    let mut text = format!("{sign}{whole}.{part:0width$}", width = decimals.unsigned_abs() as usize);
    text.truncate(text.trim_end_matches('0').len());
    text
}

/// A double represents whole numbers exactly up to some nine thousand million million.
const MOST_UNITS: f64 = 9e15;

/// Whether a value is at or below its limit.
///
/// A limit of the law is in inches and a job's lengths are in meters. Exactly 7 in must pass in either unit,
/// so one part in a thousand million is allowed for rounding.
pub fn keeps_to(value: f64, limit: f64) -> bool {
    value <= limit * (1.0 + 1e-9)
}
