//! Navigation lights: what burns in every position of the switches, and whether it is legal.
//!
//! Every combination is judged for each thing the boat can be doing (under power, under sail, under oars, at
//! anchor) by rules 20 to 30 of COLREGS and their United States twin, 33 CFR part 83. What is judged is which
//! lights burn together. Heights, arcs as mounted, brightness, towing, fishing, pilotage, not under command,
//! aground, and the lights of Inland waters that differ from COLREGS are not.

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
