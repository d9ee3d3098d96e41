//! What the forms of circuits and feeders both begin with.

/// The insulation temperature rating that boat cable usually has, in degrees Celsius; common practice.
pub const USUAL_INSULATION_C: f64 = 105.0;
