//! Drawings as SVG, used by pages and by paper alike. Plain strings in, plain strings out.

pub mod wire;
