//! HTTPS by the program itself: `--tls` and the hosts it is for.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use jiff::Timestamp;

use super::outcome::Error;
use crate::store::folder::Folder;
use crate::web::tls::{Host, Hosts, Identity};

/// Whether the program speaks HTTPS, and for which hosts.
#[derive(Debug, Clone, clap::Args)]
pub struct Tls {
    /// Use https with the shop's own certificate authority, which each tablet must be set to trust once
    #[arg(long, env = "DRIPLOOP_TLS", conflicts_with_all = ["https", "proxy"])]
    tls: bool,
    /// Another name or address that browsers use for this computer; repeat the option for more than one
    #[arg(long = "name", env = "DRIPLOOP_NAME", value_name = "HOST", value_delimiter = ',')]
    names: Vec<Host>,
}

impl Tls {
    /// How often the program checks whether the certificate expires soon or the computer has other addresses.
    const LOOK: Duration = Duration::from_secs(3600);

    /// The hosts by which browsers reach the program at this address.
    pub fn hosts(&self, listen: SocketAddr) -> Hosts {
        Hosts::new(listen, self.names.clone())
    }

    /// The certificate of the program for its hosts; `None` if it uses plain HTTP.
    ///
    /// # Errors
    ///
    /// [`Error::Tls`].
    pub fn identity(&self, folder: &Folder, hosts: &Hosts) -> Result<Option<Arc<Identity>>, Error> {
        let open = || Identity::open(folder, &hosts.all(), Timestamp::now());
        Ok(self.tls.then(open).transpose()?.map(Arc::new))
    }

    /// Renews the certificate when it is time, as long as it is polled.
    pub async fn keep(identity: Option<Arc<Identity>>, hosts: Hosts) {
        let Some(identity) = identity else { return };
        loop {
            tokio::time::sleep(Self::LOOK).await;
            match identity.renew(&hosts.all(), Timestamp::now()) {
                Ok(true) => tracing::info!("the certificate was renewed"),
                Ok(false) => {}
                Err(error) => tracing::error!(%error, "the certificate could not be renewed"),
            }
        }
    }
}
