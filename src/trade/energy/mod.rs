//! Energy: what the boat uses through a day, and whether its bank carries it.
//!
//! The state of charge is stepped through the use pattern by counting charge: what the loads take beyond
//! the sources, weighed by Peukert's relation, goes out; what the sources have to spare, as far as the
//! chemistry takes it, comes in. A load that runs a share of the time is weighed by its current while it is on
//! ([`DayStretch::loads`]). That is a planner's model. It knows one temperature, a new bank, and
//! usual figures for each chemistry ([`battery::Practice`], from memory) until a manufacturer's are given. It
//! does not know age, sulphation, cell balance, the regulator's stages or the alternator's heat, and it
//! takes no credit for currents under the rated one, where Peukert's relation promises more than the
//! label, nor for what a battery recovers between short heavy loads. A shunt on the boat is worth more than any figure here.

mod bank;
pub mod battery;
mod course;
mod cranking;
mod follow;
mod judge;
mod load;
mod outlook;
mod pattern;

pub use bank::{Bank, Starting};
pub use course::{Balance, Course, ModeBand, Recovery, Sample};
pub use judge::Fares;
pub use load::StretchLoad;
pub use outlook::{ModeUse, Outlook, outlook};
pub use pattern::{BadPattern, DayStretch, LoadUse, Pattern};
