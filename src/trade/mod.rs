//! The computations of the trade, as pure code.
//!
//! Nothing here reads a clock, a file, a database or a request, and nothing here knows what a job,
//! a page or a person is. Quantities are [`uom`] values inside; feet, AWG and square millimeters
//! exist only where a [`conductor::Size`] is read or written. Each result carries its
//! [`working::Working`]: the formula with this case's numbers in it and the [`source::Source`] it
//! comes from. What is wrong is a [`finding::Finding`], and a check that lacks an input says so
//! instead of passing. A finding holds quantities and names; its text is made at the edge, by
//! [`say::Statement::text`] in the units of the reader.

pub mod ampacity;
pub mod board;
pub mod color;
pub mod conductor;
pub mod coordination;
pub mod dc_network;
pub mod diagnosis;
pub mod drop;
pub mod energy;
pub mod exemption;
pub mod finding;
pub mod heat;
pub mod insulation;
pub mod joint;
pub mod lights;
pub mod minimum;
pub mod protection;
pub mod quantity;
pub mod route;
pub mod rules;
pub mod say;
pub mod sizing;
pub mod source;
pub mod terminal;
pub mod units;
pub mod working;
