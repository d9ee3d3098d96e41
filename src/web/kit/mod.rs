//! What every page uses.

pub mod assets;
pub mod back;
pub mod checked;
pub mod cookie;
pub mod defence;
pub mod download;
pub mod error;
pub mod error_page;
pub mod field;
pub mod figure;
pub mod form;
pub mod frame;
pub mod guard;
pub mod happened;
pub mod identify;
pub mod last_change;
pub mod length;
pub mod live;
pub mod manual;
pub mod once;
pub mod opened;
pub mod opens;
pub mod origin;
pub mod page;
pub mod state;
pub mod theme;
pub mod user;
pub mod watch;

pub use error::Error;
pub use state::{AppState, Setting};
