//! Drawings as SVG for pages and for paper. Input and output are plain strings.
//!
//! Everything that a drawing shows is also in a table.

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
