//! The program's own help: every page is there, every link leads somewhere, and what it promises is so.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod links;
mod pages;
mod promises;
