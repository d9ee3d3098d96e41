//! The floor of the job: its file, wiring, check, steps and gates.

mod check;
mod events;
mod file;
mod fixture;
mod properties;
mod wiring;
