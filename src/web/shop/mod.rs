//! The pages of the shop as a whole: its floor, its backups, its certificate authority.

pub mod backups;
pub mod floor;
pub mod trust;
