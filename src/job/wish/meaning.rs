//! What a line of a list of wishes means.

use crate::job::kind::UsualLocation;
use crate::job::value::{KindId, LocationId};

/// How many lines a list of wishes may have.
pub const MOST_LINES: usize = 300;
/// How many characters a line may have.
pub const MOST_LETTERS: usize = 200;
/// How many pieces of equipment one line may want.
pub const MOST_COUNT: u16 = 99;

/// Where a wish wants its equipment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WishLocation {
    /// The line does not say.
    NotSaid,
    /// A location that was found.
    At {
        /// The phrase of the line.
        phrase: String,
        /// The usual locations that the phrase names, if it names some.
        usual: Vec<UsualLocation>,
        /// The locations of the boat that it names: several for `gunwales`. Empty: the boat has none yet.
        locations: Vec<LocationId>,
    },
    /// A phrase that seems to name a location, and the names that may be meant.
    Unclear {
        /// The phrase of the line.
        phrase: String,
        /// Names of locations.
        did_you_mean: Vec<String>,
    },
}

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
