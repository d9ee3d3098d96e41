//! A list of wishes, read line by line.

use thiserror::Error;

use super::location::Locations;
use super::meaning::{MOST_LINES, Wish};
use super::names::KindNames;
use super::read;
use crate::job::kind::Catalog;
use crate::job::plan::Location;

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
        read::read(&self.names, &self.locations, number, rank, text)
    }
}
