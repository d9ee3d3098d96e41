//! The check of a whole plan: every circuit, feeder and point, with its figures and findings.
//!
//! First each circuit and feeder is checked by itself against the rules. That decides the sizes and the
//! routes. Then the network is solved with every circuit on, which gives the current through each point.
//! Sizes and ratings that the plan leaves open are raised until the network keeps its limits ([`joint`]).

mod batteries;
mod charging;
mod circuit;
mod circuit_size;
mod connections;
mod context;
mod cranking;
mod design_load;
mod feeder;
mod full_load;
mod fuse_lines;
mod fuses;
mod guard;
mod inrush;
mod joint;
mod legs;
mod needed;
mod own_drop;
mod panel;
mod point;
mod protect;
mod reach;
mod remedy;
mod report;
mod scope;
mod short_time;
mod shorts;
mod size;
mod sizes;
mod solved;
mod sources;
mod together;
mod total_drop;
mod warm;
mod whole;

pub(in crate::job) use design_load::of_currents as design_load;
pub use joint::report::{JointReport, WireSize};
pub use report::{
    By, CircuitReport, ConductorReport, DeviceReport, FeederReport, PointReport, ProtectionReport, Report,
};
pub(in crate::job) use short_time::ShortTime;
pub use sizes::Sizes;
pub use together::{compared, together};
pub use warm::WarmCopper;
pub use whole::check;
