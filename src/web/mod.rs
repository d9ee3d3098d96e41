//! The pages: extractors, forms and answers. No rule of the trade lives here.
//!
//! # How a page is made
//!
//! One page is one handler file and one template. The file goes in one order: the view struct, the
//! methods its template calls, the handlers, the pure helpers, the tests. `intake.rs` with
//! `templates/job/intake.html` is the one to copy for a form, `floor.rs` for a list.
//!
//! 1. **The address** is one line in [`routes::table`]: verb, path, least role, handler. Nothing else
//!    decides who may ask; a test walks every line by every role.
//! 2. **The view** is a struct with `#[derive(Template)]`. Its field `page` comes from
//!    [`page::Frame::page`] or [`page::Frame::job_sheet`] and gives the layout its title block and menus.
//!    Templates get finished values: a figure is a [`piece::Figure`], a level a [`piece::LevelMark`], a wire
//!    a [`crate::drawing::wire::DrawnWire`]. Templates begin with `{% extends "layout.html" %}` and fill the
//!    block `content`; the layout writes the `h1`.
//! 3. **The handler** takes the [`page::Frame`] and what it needs of the path, and returns
//!    `Result<impl IntoResponse, Error>`. [`Error`] is the only error; it is shown by [`error::show`].
//! 4. **A form** arrives as [`form::Form`]: read each field with `required` or `optional` into a type of
//!    `job::value`, then ask `sound`. When refused, answer 422 with the same page and the same form; the
//!    template writes `{% include "partials/refusals.html" %}` and then its fields, such as
//!    `{{ form.number("length_m", "Length over all", "m").required() }}`. When sound, save and answer
//!    with a redirect (303) to a page.
//! 5. **Quicker with script**: a form marked `data-quick` is sent in the background, and every element marked
//!    `data-live` that has an id is replaced by its newer self from the page that comes back. Such forms
//!    need an id of their own, so that the focus stays.
//! 6. **Open without network**: over HTTPS `static/worker.js` keeps pages of the floor and of jobs as they are seen. A
//!    link marked `data-ahead` leads to what comes next, so that it is looked at beforehand. What is not to be kept
//!    answers with `no-store`.
//! 7. **Nothing inline**: the content policy refuses `style=` and `onclick=`. Lengths that come from data are
//!    drawn in SVG by attributes.

pub mod assets;
mod back;
mod backups;
pub mod boards;
pub mod circuit;
mod defence;
mod download;
pub mod electrics;
pub mod error;
pub mod field;
mod floor;
pub mod form;
pub mod guard;
pub mod hand;
pub mod job;
pub mod labels;
pub mod layout;
pub mod length;
pub mod live;
pub mod opens;
pub mod origin;
pub mod page;
pub mod people;
pub mod phases;
mod photos;
pub mod piece;
pub mod plan;
pub mod report;
pub mod routes;
pub mod server;
mod theme;
pub mod tls;
pub mod trust;
pub mod undo;
pub mod user;

use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use jiff::Timestamp;

pub use error::Error;

use self::floor::Floor;
use self::job::checked::Checked;
use self::live::Live;
use self::tls::Identity;
use crate::store::Store;

/// What every handler can reach.
#[derive(Debug, Clone)]
pub struct AppState(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    store: Store,
    setting: Setting,
    backups: PathBuf,
    checked: Checked,
    floor: Floor,
    live: Live,
}

/// How the program is set up on its machine, as far as pages need to know.
#[derive(Debug, Clone)]
pub struct Setting {
    /// Whether browsers reach the program by TLS that a reverse proxy ends.
    pub secure: bool,
    /// What the program shows for itself where it speaks TLS on its own.
    pub identity: Option<Arc<Identity>>,
    /// The reverse proxy whose word is taken for where a request comes from.
    pub proxy: Option<IpAddr>,
    /// Where backups go; in the data folder where nothing is said.
    pub backups: Option<PathBuf>,
    /// The longest that an answer may take, with the body it has to wait for.
    pub answer: Duration,
}

impl Default for Setting {
    fn default() -> Self {
        Self { secure: false, identity: None, proxy: None, backups: None, answer: Duration::from_secs(30) }
    }
}

impl AppState {
    /// The state of a running program; `secure` where browsers reach it by TLS that a proxy ends.
    pub fn new(store: Store, secure: bool) -> Self {
        Self::set_up(store, Setting { secure, ..Setting::default() })
    }

    /// The state of a running program that is set up in some way of its own.
    pub fn set_up(store: Store, setting: Setting) -> Self {
        let backups = setting.backups.clone().unwrap_or_else(|| store.folder().backups());
        Self(Arc::new(Inner {
            store,
            setting,
            backups,
            checked: Checked::default(),
            floor: Floor::default(),
            live: Live::default(),
        }))
    }

    /// The shop's database.
    pub fn store(&self) -> &Store {
        &self.0.store
    }

    /// The changes of jobs, for whoever listens.
    pub fn live(&self) -> &Live {
        &self.0.live
    }

    /// How the boats that are in stand.
    pub fn floor(&self) -> &Floor {
        &self.0.floor
    }

    /// The reports of plans that nobody changed since.
    pub fn checked(&self) -> &Checked {
        &self.0.checked
    }

    /// Whether browsers reach the program by TLS.
    pub fn secure(&self) -> bool {
        self.0.setting.secure || self.0.setting.identity.is_some()
    }

    /// What the program shows for itself where it speaks TLS on its own.
    pub fn identity(&self) -> Option<&Arc<Identity>> {
        self.0.setting.identity.as_ref()
    }

    /// Where backups are.
    pub fn backups(&self) -> &Path {
        &self.0.backups
    }

    fn setting(&self) -> &Setting {
        &self.0.setting
    }

    /// The time: here is the one clock of the web floor.
    pub fn now(&self) -> Timestamp {
        Timestamp::now()
    }
}

/// The whole program as one service: routes, guards and defences. Tests build the same one.
pub fn app(state: AppState) -> Router {
    let routes = routes::router().fallback(error::unknown_address);
    defence::around(routes, &state).with_state(state)
}
