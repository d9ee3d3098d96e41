//! What every page uses. No file here knows the subject of a page.
//!
//! | files | what they do |
//! |---|---|
//! | `state` | [`AppState`]: the store, the settings, the clock, and what is kept in memory |
//! | `identify`, `user`, `cookie`, `frame` | who sent a request, found out once; [`frame::Frame`] gives it to the handler |
//! | `guard`, `defence`, `host`, `held_act`, `resume` | who may pass a route, the limits around all routes, and forms that wait for the passphrase |
//! | `page`, `paging`, `theme`, `assets`, `last_change` | the layout: title block, menus, long lists in pages, colors, style sheet, the undo button |
//! | `form`, `field`, `length`, `once` | forms: typed values, errors beside their fields, events that are sent twice |
//! | `figure`, `opens` | numbers with their units, and figures that open on their workings |
//! | `opened`, `checked`, `line`, `heavy`, `happened` | the job that a page is about, its report, where checks and heavy jobs wait, and what was done on it |
//! | `error`, `error_page` | the one error, and the one page that shows it |
//! | `live`, `watch` | tablets hear that a job changed |
//! | `origin`, `back`, `download` | addresses, and files to keep or print |
//! | `pictures` | pictures that people send |
//!
//! Rules: no file here names a part, a family, the route table or the server. No figure of the trade is
//! computed here.

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
mod heavy;
pub mod held_act;
pub mod host;
pub mod identify;
pub mod keep;
pub mod last_change;
pub mod length;
pub mod line;
pub mod live;
pub mod manual;
pub mod once;
pub mod opened;
pub mod opens;
pub mod origin;
pub mod page;
pub mod paging;
pub mod pictures;
pub mod resume;
pub mod seen;
pub mod state;
pub mod theme;
pub mod user;
pub mod watch;

pub use error::Error;
pub use state::{AppState, ServerSettings};
