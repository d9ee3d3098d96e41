//! Lines that say what a customer wants, read into kinds, counts and locations.
//!
//! One line is one wish. It is compared without case, plurals and hyphens. A name with a wrong
//! letter is a suggestion, unless the name is long and only one kind is so near. No line is dropped: what is not
//! understood stays on its line. Nothing here decides how equipment is wired.

mod line;
mod location;
mod names;
mod token;

#[cfg(test)]
mod tests;

use thiserror::Error;

use self::location::Locations;
use self::names::KindNames;
use super::kind::Catalog;
use super::plan::Location;
use super::value::KindId;

pub use location::WishLocation;

/// How many lines a list of wishes may have.
pub const MOST_LINES: usize = 300;
/// How many characters a line may have.
pub const MOST_LETTERS: usize = 200;
/// How many pieces of equipment one line may want.
pub const MOST_COUNT: u16 = 99;

/// What a line wants.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Wanted {
    /// Equipment of this kind.
    Kind(KindId),
    /// The line is not certain: the kinds that may be meant, the nearest first.
    DidYouMean(Vec<KindId>),
    /// It says that something is not wanted. The kind, if it is known.
    NotWanted(Option<KindId>),
    /// Nothing of it is the name of a kind.
    NotUnderstood,
    /// The line is longer than [`MOST_LETTERS`] and was not read.
    TooLong,
}

/// One line of a list of wishes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Wish {
    /// The number of the line, from 1.
    pub line: usize,
    /// The line as typed.
    pub text: String,
    /// Its rank: the number that it begins with, or else its position among the wishes.
    pub rank: usize,
    /// What it wants.
    pub wanted: Wanted,
    /// How many.
    pub count: u16,
    /// Whether the equipment aboard is kept.
    pub kept: bool,
    /// Where.
    pub location: WishLocation,
    /// Other kinds that the line names. Each needs a line of its own.
    pub also: Vec<KindId>,
    /// What was not understood, or is a note about the equipment: `7 inch`.
    pub rest: String,
}

impl Wish {
    /// The kind, if the line is understood.
    pub fn kind(&self) -> Option<&KindId> {
        if let Wanted::Kind(kind) = &self.wanted { Some(kind) } else { None }
    }
}

/// A list of wishes that is too long to be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error("the wishes have {lines} lines; at most {MOST_LINES} are read")]
pub struct TooManyLines {
    /// How many lines it has.
    pub lines: usize,
}

/// Reads wishes with the names of a catalog and the locations of a boat.
#[derive(Debug)]
pub struct WishReader {
    names: KindNames,
    locations: Locations,
}

impl WishReader {
    /// A reader for the kinds of a catalog and the locations of a boat, which may still have none.
    pub fn new(catalog: &Catalog, locations: &[Location]) -> Self {
        Self { names: KindNames::of(catalog), locations: Locations::of(locations) }
    }

    /// Reads a list, one wish a line. Empty lines are passed over.
    ///
    /// # Errors
    ///
    /// A list of more than [`MOST_LINES`] lines. Nothing of it is read then.
    pub fn read(&self, text: &str) -> Result<Vec<Wish>, TooManyLines> {
        let lines = text.lines().count();
        if lines > MOST_LINES {
            return Err(TooManyLines { lines });
        }
        let filled = (1..).zip(text.lines()).filter(|(_, line)| !line.trim().is_empty());
        Ok(filled.zip(1..).map(|((number, line), rank)| self.line(number, rank, line)).collect())
    }

    /// Reads one line, for example while somebody types it.
    pub fn line(&self, number: usize, rank: usize, text: &str) -> Wish {
        line::read(&self.names, &self.locations, number, rank, text)
    }
}
