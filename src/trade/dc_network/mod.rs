//! A boat's wiring as a direct-current network, and what a meter would read on it.
//!
//! A [`Network`] is nodes joined by parts: sources (batteries, chargers, alternators: an EMF behind an
//! internal resistance), resistances (conductors, contacts, fuses, closed switches; 0 Ω is taken as exactly
//! that), open switches, and loads that draw a constant current, a constant power or act as a resistor.
//! [`Network::solve`] answers with volts, amperes and watts everywhere; [`Network::shorts`] with what would
//! flow if two points touched. Which parts are in use is asked of the caller at each solve, so that a mode or
//! a switch position needs no second network.
//!
//! Direct current at rest only: no inductance, no inrush, no temperature, no time. Conductor resistances
//! come in already corrected for temperature. Quantities are [`uom`]'s at this module's edge and plain
//! `f64` in SI units inside.

mod collapse;
mod fault;
mod island;
mod limb;
mod network;
mod solution;
mod solve;
mod system;
mod tableau;
mod ties;
mod trouble;

pub use fault::{NoShortCircuit, ShortCircuit, Shorts};
pub use network::{Network, NetworkLoad, Node, Part, Unusable};
pub use solution::{Circulating, Solution};
pub use trouble::Trouble;
