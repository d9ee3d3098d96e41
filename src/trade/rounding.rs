//! How numbers are rounded: for readers, and against limits.

/// A figure for readers: at least four significant digits, no trailing zeros, no exponent.
pub fn figure(value: f64) -> String {
    let decimals: u32 = match value.abs() {
        size if size >= 1000.0 => 0,
        size if size >= 100.0 => 1,
        size if size >= 10.0 => 2,
        size if size >= 1.0 => 3,
        size if size >= 0.1 => 4,
        size if size >= 0.01 => 5,
        _ => 6,
    };
    // In units of its last digit the value is a whole number, which is fast to write. Exact conversion from a
    // binary fraction to decimals is slow, and a check writes thousands of figures.
    let scale = 10_u32.pow(decimals);
    let units = (value.abs() * f64::from(scale)).round();
    if units >= MOST_UNITS || units.is_nan() {
        return value.to_string();
    }
    // Positive and far below the largest integer.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let units = units as u64;
    let (whole, mut part) = (units / u64::from(scale), units % u64::from(scale));
    let mut text = String::with_capacity(12);
    // Zero has no sign.
    if value < 0.0 && units > 0 {
        text.push('-');
    }
    push_digits(&mut text, whole, 1);
    if part > 0 {
        let mut digits = decimals;
        while part % 10 == 0 {
            (part, digits) = (part / 10, digits - 1);
        }
        text.push('.');
        push_digits(&mut text, part, digits);
    }
    text
}

/// Appends a whole number with at least so many digits.
fn push_digits(text: &mut String, number: u64, least: u32) {
    let digits = number.checked_ilog10().map_or(1, |power| power + 1).max(least);
    let digit = |power: u32| char::from_digit(u32::try_from(number / 10_u64.pow(power) % 10).ok()?, 10);
    text.extend((0..digits).rev().filter_map(digit));
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
