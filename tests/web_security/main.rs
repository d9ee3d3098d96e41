//! Who may do what through the web, and what holds against those who may not. `templates/help/security.md` names these
//! tests, and one of them checks that it names only tests that exist.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

mod access;
mod answers;
mod by_pin;
mod cross_site;
mod document;
mod explained;
mod guessing;
mod hosts;
mod logging;
mod roles;
mod running;
mod shop;
mod sign_ins;
mod slow;
mod tls;
