//! Initial values that the forms of circuits and feeders share.

/// The usual insulation temperature rating of boat cable, in degrees Celsius; common practice.
pub const USUAL_INSULATION_C: f64 = 105.0;
