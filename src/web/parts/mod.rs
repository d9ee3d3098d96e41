//! Pieces that several page families show. A piece is a value with its own small template, or text for one.
//!
//! | files | what they show |
//! |---|---|
//! | `bench`, `step`, `tick`, `undo_button` | the steps of one page, what keeps each from being done, its button, and the button that undoes a record |
//! | `proof`, `measured` | the readings of a circuit beside what they should be, and the form to read it again |
//! | `finding`, `found` | a finding, and how many there are of one thing |
//! | `workings`, `settled` | workings by what they are called, and the size and fuse that were settled |
//! | `wires`, `wire_row`, `factory`, `fitting` | a wire, a factory cable, what goes on an end |
//! | `labels`, `relabel` | a job's labels, and the wires whose labels changed |
//! | `boat_plan`, `photo`, `pulls`, `raceway` | the boat from above, photos, what is pulled together, raceways in words |
//! | `activity`, `linked`, `switches`, `corner` | what was done lately, links to things of the plan, switch positions, a part's place on its board |
//!
//! What holds: a part names other parts, the kit and the floors below, and no page family. What one family alone
//! shows is in that family's folder.

pub mod activity;
pub mod bench;
pub mod boat_plan;
pub mod corner;
pub mod finding;
pub mod fitting;
pub mod found;
pub mod labels;
pub mod linked;
pub mod measured;
pub mod photo;
pub mod proof;
pub mod pulls;
pub mod raceway;
pub mod relabel;
pub mod settled;
pub mod step;
pub mod switches;
pub mod tick;
pub mod undo_button;
pub mod wire_row;
pub mod wires;
pub mod workings;
