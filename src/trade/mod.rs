//! The calculations of the trade, as pure code.
//!
//! This module reads no clock, file, database or request. It does not depend on jobs, pages or users.
//! Quantities are [`uom`] values inside. Feet, AWG and square millimeters exist only where a
//! [`conductor::Size`] is read or written.
//!
//! Each result has its [`working::Working`]: the formula with this case's numbers in it, and the
//! [`source::Source`] of the formula. Each fault is a [`finding::RuleFinding`]. A check that lacks an input
//! reports that instead of passing. A finding holds quantities and names. Its text is made only for display,
//! by [`say::Statement::text`] in the reader's units.

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
pub mod rounding;
pub mod route;
pub mod rules;
pub mod say;
pub mod sizing;
pub mod source;
pub mod terminal;
pub mod units;
pub mod working;
