//! What people read holds none of the terms that the program no longer uses.
//!
//! The terms are in `retired.txt`, and nowhere else. Each module looks at one kind of text: [`help`] at the help, [`pages`]
//! at the pages, [`tests`] at the names of tests and at the names in their job files. To check another kind of text, add a module that hands its text to [`retired::in_text`].
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod help;
mod pages;
mod retired;
mod tests;
