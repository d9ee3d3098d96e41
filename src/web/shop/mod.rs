//! The pages of the whole shop: its floor, its backups, its certificate authority.

pub mod backups;
pub mod floor;
pub mod log;
pub mod mark;
pub mod settings;
pub mod summaries;
pub mod trust;
