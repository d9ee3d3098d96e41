//! What every handler can use: the store, the settings of the program, and what is kept in memory.

use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use jiff::Timestamp;

use super::checked::CheckedPlans;
use super::held_act::HeldActs;
use super::line::Line;
use super::live::Live;
use super::pictures::Pictures;
use crate::store::Store;
use crate::web::tls::{Hosts, Identity};

/// What every handler can use.
#[derive(Debug, Clone)]
pub struct AppState(Arc<Inner>);

#[derive(Debug)]
struct Inner {
    store: Store,
    setting: ServerSettings,
    backups: PathBuf,
    checked: CheckedPlans,
    held_acts: HeldActs,
    live: Live,
    pictures: Pictures,
}

/// The settings of the program on its machine, as far as pages need them.
#[derive(Debug, Clone)]
pub struct ServerSettings {
    /// Whether browsers reach the program by TLS that a reverse proxy ends.
    pub secure: bool,
    /// The program's certificate, if it speaks TLS itself.
    pub identity: Option<Arc<Identity>>,
    /// The reverse proxy that is trusted to name the sender of a request.
    pub proxy: Option<IpAddr>,
    /// The folder for backups. `None`: in the data folder.
    pub backups: Option<PathBuf>,
    /// The hosts that requests may name. `None`: any host, where the service is not reached over a network.
    pub hosts: Option<Hosts>,
    /// The maximum time for an answer, including the wait for the request body.
    pub answer: Duration,
}

impl Default for ServerSettings {
    fn default() -> Self {
        Self {
            secure: false,
            identity: None,
            proxy: None,
            backups: None,
            hosts: None,
            answer: Duration::from_secs(30),
        }
    }
}

impl AppState {
    /// The state of a running program; `secure` where browsers reach it by TLS that a proxy ends.
    pub fn new(store: Store, secure: bool) -> Self {
        Self::set_up(store, ServerSettings { secure, ..ServerSettings::default() })
    }

    /// The state of a running program with these settings.
    pub fn set_up(store: Store, setting: ServerSettings) -> Self {
        let backups = setting.backups.clone().unwrap_or_else(|| store.folder().backups());
        Self(Arc::new(Inner {
            store,
            setting,
            backups,
            checked: CheckedPlans::default(),
            held_acts: HeldActs::default(),
            live: Live::default(),
            pictures: Pictures::default(),
        }))
    }

    /// The shop's database.
    pub fn store(&self) -> &Store {
        &self.0.store
    }

    /// The changes of jobs, for all listeners.
    pub fn live(&self) -> &Live {
        &self.0.live
    }

    /// The reports of plans that have not changed since.
    pub fn checked(&self) -> &CheckedPlans {
        &self.0.checked
    }

    /// Where heavy work waits.
    pub fn line(&self) -> &Line {
        self.0.checked.line()
    }

    /// The forms that wait for the passphrase of their sender.
    pub fn held_acts(&self) -> &HeldActs {
        &self.0.held_acts
    }

    /// The turns at sending pictures.
    pub fn pictures(&self) -> &Pictures {
        &self.0.pictures
    }

    /// Whether browsers reach the program by TLS.
    pub fn secure(&self) -> bool {
        self.0.setting.secure || self.0.setting.identity.is_some()
    }

    /// The program's certificate, if it speaks TLS itself.
    pub fn identity(&self) -> Option<&Arc<Identity>> {
        self.0.setting.identity.as_ref()
    }

    /// The folder for backups.
    pub fn backups(&self) -> &Path {
        &self.0.backups
    }

    /// The settings of the program.
    pub fn setting(&self) -> &ServerSettings {
        &self.0.setting
    }

    /// The time. This is the only clock of the pages.
    pub fn now(&self) -> Timestamp {
        Timestamp::now()
    }
}
