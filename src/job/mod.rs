//! The job as plain data, its phases, its events and the job file.
//!
//! [`plan::Plan`] is what was planned, [`event::History`] is what happened. Everything else in this module is
//! derived from these two, without clock, database or web. [`work::Work`] alone decides what is done, proven or on hold. [`file::JobFile`] is both as one document.

pub mod before_power;
pub mod board;
pub mod called;
pub mod check;
pub mod checked;
pub mod choice;
pub mod color;
pub mod conductor;
pub mod correction;
pub mod crimp;
pub mod diagnose;
pub mod energy;
pub mod event;
pub mod fault;
pub mod file;
pub mod find;
pub mod finding;
pub mod finding_phase;
pub mod handover;
pub mod jumpers;
pub mod label;
pub mod layout;
pub mod length;
pub mod lights;
pub mod limits;
pub mod load;
pub mod materials;
pub mod meter;
pub mod modes;
pub mod names;
pub mod network;
pub mod next;
pub mod panel;
pub mod passing;
pub mod phase;
pub mod plan;
pub mod point;
pub mod record;
mod references;
pub mod routing;
pub mod run;
mod side;
pub mod stage;
pub mod step;
pub mod steps;
pub mod subject;
pub mod supply;
pub mod termination;
pub mod tie;
pub mod upgrade;
pub mod value;
pub mod wiring;
pub mod work;
pub mod worksheet;
