//! A boat's wiring as a direct-current network, and what a meter would read on it.
//!
//! A [`Network`] consists of nodes joined by parts:
//!
//! - Sources (batteries, chargers, alternators): an EMF with an internal resistance.
//! - Resistances (conductors, contacts, fuses, closed switches). 0 Ω means exactly that.
//! - Open switches.
//! - Loads, which draw a constant current, draw a constant power, or act as a resistor.
//!
//! [`Network::solve`] returns volts, amperes and watts everywhere. [`Network::shorts`] returns what would
//! flow if two points touched. The caller says at each solve which parts are in use. A mode or a switch
//! position therefore needs no second network.
//!
//! The model covers only steady direct current: no inductance, no inrush, no temperature, no time. Conductor
//! resistances must already be corrected for temperature. Quantities are [`uom`]'s in this module's public
//! API and plain `f64` in SI units inside.

mod collapse;
mod fault;
mod island;
mod limb;
mod network;
mod part_law;
mod series;
mod solution;
mod solve;
mod system;
mod tableau;
mod ties;
mod trouble;

pub use fault::{NoShortCircuit, ShortCircuit, ShortCurrents, Shorts};
pub use island::Pieces;
pub use network::{Network, NetworkLoad, NetworkPart, Node, Unusable};
pub use solution::{Circulating, Solution};
pub use trouble::Trouble;
