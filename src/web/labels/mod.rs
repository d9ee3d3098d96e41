//! Labels: the shop's rule for them, and a job's labels on screen, as sheets and as a list for printers.

mod asked;
pub mod files;
pub mod setting;
pub mod show;
mod stick;
