//! What all jobs share: the shop itself and the people who work in it.

pub mod access;
pub mod demo;
pub mod job_state;
pub mod labels;
pub mod picture;
pub mod profile;
pub mod role;
pub mod secret;
