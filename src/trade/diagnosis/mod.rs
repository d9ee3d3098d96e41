//! Where the fault is: from the readings of several circuits to the stretch of wire that explains them.
//!
//! Each circuit is measured alone on: volts where it begins, volts at its load, amperes, and the ohms of its
//! return when dead. [`signs`] reads off what needs no arithmetic: crossed, open, short, swapped, fed twice,
//! drawing too much or too little. What is left is a matter of milliohms, and [`diagnose`] places it: every
//! [`SuspectStretch`] is given the solved network's share of each circuit's current, and the excess resistance is
//! sought, on as few stretches as will do, that turns what the network says into what the meter said.
//!
//! # What a place is
//!
//! Readings cannot tell apart what they see alike: a fuse holder and the crimp behind it carry the same
//! current between the same two probes. A *place* is therefore a set of stretches, and which stretches go
//! into one set follows from the readings that were taken and the meter, before any figure is looked at:
//! two stretches are one place when an excess that is just [worth looking for](WORTH_V) would move no reading by
//! more than [`APART`] times its noise whichever of the two held it. More readings make smaller places, and a
//! larger excess tells more: within a place the stretch that fits best stands first. A
//! stretch on which such an excess would show in no reading is listed as [unseen](Diagnosis::unseen): nothing
//! is said of it.
//!
//! # What it does not do
//!
//! It does not know the wire: an answer is the likeliest place to open first, never a proof. It takes each
//! circuit as measured alone, at rest, with the sources' voltage free within [`REST_V`]. It finds at most
//! [`MOST_FAULTS`] places at once. The bounds below are common practice, no source; the meter's share is that
//! of an ordinary 0.5 % instrument.

mod explain;
mod fit;
mod place;
mod reading;
mod rows;
pub mod signs;

pub use explain::{Diagnosis, Excess, Explanation, diagnose};
pub use fit::MOST_FAULTS;
pub use place::APART;
pub use reading::{MeterReading, NetworkReading, Passed, REST_V, SuspectStretch, Taken, WORTH_V};
pub use signs::{Sign, signs};
