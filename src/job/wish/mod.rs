//! Lines that say what a customer wants, read into kinds, counts and locations.
//!
//! One line is one wish. It is compared without case, plurals and hyphens. A name with a wrong
//! letter is a suggestion, unless the name is long and only one kind is so near. No line is dropped: what is not
//! understood stays on its line. Nothing here decides how equipment is wired.

mod count;
mod line;
mod location;
mod meaning;
mod names;
mod piece;
mod read;
mod reader;
mod token;

#[cfg(test)]
mod tests;

pub use meaning::{MOST_COUNT, MOST_LETTERS, MOST_LINES, Wanted, Wish, WishLocation};
pub use reader::{TooManyLines, WishReader};
