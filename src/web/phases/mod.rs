//! The pages of the work: one for each phase, in the order of work, and the handlers of their forms.
//!
//! [`show`] is the page of a phase. [`power_up_test`] is the power-up test, stage by stage, with its readings.
//! [`tick`], [`reading`] and [`step_reading`] handle the forms. [`release`] and [`judgment`] let one
//! step pass or set one finding aside, and [`released`] lists all of them. [`diagnosis`] shows where the readings
//! point to a fault. A refused form is answered with the same page and the reason at the top, so that nobody loses
//! their position on it.

pub mod assign;
mod caution;
mod holds;
mod mounting;

pub mod bench_list;
pub mod diagnosis;
pub mod fuse_out;
mod handover;
mod head;
pub mod judgment;
pub mod power_up_test;
pub mod reading;
pub mod release;
pub mod released;
pub mod show;
mod stage;
mod step_measured;
pub mod step_reading;
pub mod tally;
mod thing;
pub mod tick;
