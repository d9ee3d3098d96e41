//! Navigation lights: which lights are on in every position of the switches, and whether they are legal.
//!
//! Every combination is checked for each activity of the boat (under power, under sail, under oars, at
//! anchor). The rules are 20 to 30 of COLREGS and the same rules in United States law, 33 CFR part 83. The
//! check covers which lights are on together. It does not cover heights, arcs as mounted, brightness, towing,
//! fishing, pilotage, not under command or aground. It also does not cover the lights of Inland waters that
//! differ from COLREGS.

mod asked;
mod judged;
mod lacking;
mod pattern;
mod range;
mod review;
mod vessel;

pub use asked::asked;
pub use judged::{Combination, Judged, Legality, Reason};
pub use range::{LeastRange, least_range};
pub use review::{MOST_SWITCHES, Review, TooManySwitches, review};
pub use vessel::{Doing, Drive, FittedLight, LightKind, Vessel};
