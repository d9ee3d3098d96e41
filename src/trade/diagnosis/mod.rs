//! Where the fault is: from the readings of several circuits to the stretch of wire that explains them.
//!
//! Each circuit is measured with all others off. The readings are volts where it begins, volts at its load,
//! amperes, and the ohms of its negative with the power off.
//!
//! [`signs`] finds the faults that need no arithmetic: crossed, open, short, swapped, fed twice, drawing too
//! much or too little. The other faults are a matter of milliohms, and [`diagnose`] locates them. Every
//! [`SuspectStretch`] has the share of each circuit's current from the solved network. The program then seeks
//! the excess resistance that explains the difference between network and meter, on as few stretches as
//! possible.
//!
//! # What a place is
//!
//! Some stretches look the same to the readings. A fuse holder and the crimp behind it carry the same current
//! between the same two probes. A *place* is therefore a set of stretches. The sets depend on which readings
//! were taken and on the meter. They are fixed before any figure is examined.
//!
//! Two stretches are one place when it makes no difference to the readings which of the two has an excess.
//! The test uses an excess that is just [worth looking for](WORTH_V). No reading may differ by more than
//! [`APART`] times its noise. More readings make smaller places, and a larger excess is easier to locate.
//! Within a place, the stretch that fits best is listed first. A stretch on which such an excess would show
//! in no reading is listed as [unseen](Diagnosis::unseen). The diagnosis does not cover it.
//!
//! # What it does not do
//!
//! It has no knowledge of the wire itself: an answer is the most likely place to open first, never a proof.
//! It assumes each circuit was measured alone and at rest, with the sources' voltage free within [`REST_V`].
//! It finds at most [`MOST_FAULTS`] places at once. The bounds below are common practice, no source. The
//! meter's share is that of an ordinary 0.5 % instrument.

mod explain;
mod fit;
mod place;
mod reading;
mod rows;
pub mod signs;

pub use explain::{Diagnosis, Excess, Explanation, diagnose};
pub use fit::MOST_FAULTS;
pub use place::APART;
pub use reading::{MeterReading, NetworkReading, REST_V, StretchShare, SuspectStretch, Taken, WORTH_V};
pub use signs::{Sign, signs};
