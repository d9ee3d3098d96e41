//! The program's own help, readable by everybody who reaches the program.
//!
//! Nobody has to sign in for it: the text is the same in every copy of the program and says nothing of the shop, and
//! whoever cannot sign in needs it most.

pub mod book;
pub mod list;
mod render;
pub mod search;
pub mod show;
