//! How wire gets from location to location: the shortest way with room, how full that makes each raceway, and how
//! long the wire has to be cut.
//!
//! Locations and raceways are numbers here: whoever asks keeps the names. Raceways have a length, which may be
//! unknown, and [`RacewayRoom`]: an open way takes anything, a bore takes what [`fill`] allows. A [`Run`] is what is
//! pulled together from one location to another: the two conductors of a circuit, one cable, a feeder.
//!
//! - [`map`]: locations, raceways, the shortest way between two locations.
//! - [`fill`]: percent of bore, its limit, and the bore that would do.
//! - [`settle`]: ways, fill and conductor sizes brought into agreement, with the proof that this ends.
//! - [`cut`]: the length to cut, with every allowance apart.
//! - [`cable`]: cables that come with a fixed length: reach, join, shortening, connector.
//! - [`beside`]: the room a connector has beside what lies in a bore already.
//! - [`string`]: how much pull string a pull takes.
//!
//! Ways are shortest run by run. Which run has to leave a full raceway is decided by the least detour, one
//! run at a time. Where one raceway is limited and the runs are as thick, that is the least added length of all. In
//! general it is not: a test tries every combination of ways on 522 small boats of four locations and four runs that
//! have a solution. 512 come out at the least, 8 are longer by at most 16 %, and in 2 a raceway is left over-full
//! though some combination would have had room; the finding then says which bore would do.

pub mod beside;
pub mod cable;
pub mod cut;
pub mod fill;
pub mod map;
pub mod settle;
pub mod string;

pub use beside::Beside;
pub use cable::{CableJoin, CableKind, Reach, SoldCable};
pub use cut::{Allowances, Cut};
pub use fill::Fill;
pub use map::{Map, MapRaceway, RacewayRoom, Way};
pub use settle::{Run, Settled, settle};
pub use string::StringNeeded;
