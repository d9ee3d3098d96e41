//! The pages of the work: one for each phase, in the order of work, and the handlers of their forms.
//!
//! [`show`] is the page of a phase. [`power_up_test`] is the power-up test, stage by stage, with its readings.
//! [`tick`], [`release`], [`reading`] and [`step_reading`] handle the forms. [`diagnosis`] shows where the readings
//! point to a fault. A refused form is answered with the same page and the reason at the top, so that nobody loses
//! their position on it.

mod anyway;
pub mod assign;
mod caution;
mod hold_point;
mod mounting;

pub mod bench_list;
pub mod diagnosis;
pub mod head;
pub mod power_up_test;
pub mod reading;
pub mod release;
pub mod show;
mod stage;
pub mod step_reading;
pub mod tally;
mod thing;
pub mod tick;
