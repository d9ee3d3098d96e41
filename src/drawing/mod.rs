//! Drawings as SVG, used by pages and by paper alike. Plain strings in, plain strings out.
//!
//! A drawing says nothing that a table does not say as well.

pub mod board;
pub mod boat_plan;
pub mod chart;
pub mod label_sheet;
pub mod one_line;
pub mod panel;
pub mod part;
pub mod qr;
pub mod svg;
mod symbol;
pub mod voltage_path;
pub mod wire;
