//! Labels: the shop's rule for them, and a job's labels on screen, as sheets and as a list for printers.

mod asked;
pub mod files;
mod relabel;
pub mod setting;
pub mod show;
mod stick;

pub use relabel::Relabel;
pub use stick::usual;
