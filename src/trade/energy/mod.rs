//! Energy: the boat's consumption through a day, and whether its bank can supply it.
//!
//! The program counts charge in steps through the use pattern. The loads' current beyond the sources,
//! Peukert-corrected, goes out of the bank. The sources' surplus, as far as the chemistry accepts it, goes
//! in. A load that runs a share of the time is corrected by its current while it is on
//! ([`DayStretch::loads`]).
//!
//! This is a planning model. It assumes one temperature, a new bank, and usual figures for each chemistry
//! ([`battery::Practice`], from memory) until a manufacturer's data are given. It does not include age,
//! sulfation, cell balance, the regulator's stages or the alternator's heat. It gives no credit for currents
//! below the rated one, where Peukert's relation gives more than the label. It gives none for recovery
//! between short heavy loads. A shunt on the boat is more reliable than any figure here.

mod bank;
pub mod battery;
mod course;
pub mod cranking;
mod endurance;
mod follow;
mod judge;
mod load;
mod outlook;
mod pattern;

pub use bank::{Bank, Starting};
pub use course::{Balance, Course, ModeBand, Recovery, Sample};
pub use endurance::endurance;
pub use judge::Fares;
pub use load::StretchLoad;
pub use outlook::{ModeUse, Outlook, outlook};
pub use pattern::{BadPattern, DayStretch, LoadUse, Pattern};
