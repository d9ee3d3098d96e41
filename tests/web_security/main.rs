//! Who may do what through the web, and what holds against those who may not. `docs/security.md` names these tests,
//! and one of them sees to it that it names only tests that are there.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

mod answers;
mod cross_site;
mod document;
mod guessing;
mod logging;
mod roles;
mod running;
mod shop;
mod sign_ins;
mod slow;
mod tls;
