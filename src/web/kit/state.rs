//! What every handler can reach: the store, how the program is set up, and what is kept in memory.

use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use jiff::Timestamp;

use super::checked::Checked;
use super::live::Live;
use crate::store::Store;
use crate::web::tls::Identity;

/// What every handler can reach.
#[derive(Debug, Clone)]
pub struct AppState(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    store: Store,
    setting: Setting,
    backups: PathBuf,
    checked: Checked,
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
        Self(Arc::new(Inner { store, setting, backups, checked: Checked::default(), live: Live::default() }))
    }

    /// The shop's database.
    pub fn store(&self) -> &Store {
        &self.0.store
    }

    /// The changes of jobs, for whoever listens.
    pub fn live(&self) -> &Live {
        &self.0.live
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

    /// How the program is set up.
    pub fn setting(&self) -> &Setting {
        &self.0.setting
    }

    /// The time: here is the one clock of the web floor.
    pub fn now(&self) -> Timestamp {
        Timestamp::now()
    }
}
