//! Pieces that several page families show. A piece is a value with its own small template, or text for one.
//!
//! | files | what they show |
//! |---|---|
//! | `bench`, `step`, `tick`, `undo_button` | the steps of one page, what keeps each on hold, its button, and the button that undoes a record |
//! | `proof`, `measured` | the readings of a circuit beside the expected values, and the form for a new reading |
//! | `finding`, `found` | a finding, and how many there are about one thing |
//! | `reason`, `place` | what holds a job, and where it is corrected |
//! | `workings`, `settled` | workings found by name, and the size and fuse that the check settled |
//! | `wires`, `wire_row`, `fitting` | a wire or factory cable, and the terminal of an end |
//! | `labels`, `relabel` | a job's labels, and the wires whose labels changed |
//! | `boat_plan`, `photo`, `pulls`, `raceway` | the boat from above, photos, pulls, raceways in plain text |
//! | `activity`, `linked`, `switches`, `corner` | latest activity, links to things of the plan, switch positions, a part's position on its board |
//!
//! Rules: a part names other parts, the kit and the layers below, but no page family. A piece that only one family
//! shows is in that family's folder.

pub mod activity;
pub mod bench;
pub mod boat_plan;
pub mod corner;
pub mod differences;
pub mod expected;
pub mod finding;
pub mod fitting;
pub mod found;
pub mod labels;
pub mod letterhead;
pub mod linked;
pub mod measured;
pub mod open_item;
pub mod photo;
pub mod place;
pub mod pulls;
pub mod raceway;
pub mod reason;
pub mod relabel;
pub mod settled;
pub mod step;
pub mod switches;
pub mod tick;
pub mod undo_button;
pub mod wire_row;
pub mod wires;
pub mod workings;
