//! The program's own help, open to everybody who reaches the program.
//!
//! It needs no sign-in. The text is the same in every copy of the program and contains nothing about the shop.
//! A person who cannot sign in needs it most.

pub mod book;
pub mod list;
mod render;
pub mod search;
pub mod show;
