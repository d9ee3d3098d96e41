//! The pages of the work: one for each phase, in the order of work, and what is sent from them.
//!
//! [`show`] draws a phase, [`trial`] the power-up test, stage by stage, with its readings; [`tick`],
//! [`release`], [`reading`] and [`step_reading`] take what is sent; [`diagnosis`] tells where
//! the readings look for a fault. What is refused is answered with the same page and the reason on top, so
//! that nobody loses the place where they stood.

mod anyway;
pub mod assign;
mod caution;
mod gate;
mod mounting;

pub mod bench_list;
pub mod diagnosis;
pub mod head;
pub mod reading;
pub mod release;
pub mod show;
mod stage;
pub mod step_reading;
pub mod tally;
mod thing;
pub mod tick;
pub mod trial;
