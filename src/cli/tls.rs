//! HTTPS by the program itself: `--tls` and the hosts it is for.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use jiff::Timestamp;

use super::outcome::Error;
use crate::store::folder::Folder;
use crate::web::tls::{Host, Identity, reached_by};

/// Whether the program speaks HTTPS, and for which hosts.
#[derive(Debug, Clone, clap::Args)]
pub struct Tls {
    /// Use https with the shop's own certificate authority, which each tablet must be set to trust once
    #[arg(long, env = "DRIPLOOP_TLS", conflicts_with_all = ["https", "proxy"])]
    tls: bool,
    /// Another name or address that browsers use for this computer; repeat the option for more than one
    #[arg(
        long = "name",
        env = "DRIPLOOP_NAME",
        value_name = "HOST",
        value_delimiter = ',',
        requires = "tls"
    )]
    names: Vec<Host>,
}

impl Tls {
    /// How often the program checks whether the certificate expires soon or the computer has other addresses.
    const LOOK: Duration = Duration::from_secs(3600);

    /// The certificate of the program at this address; `None` if it uses plain HTTP.
    ///
    /// # Errors
    ///
    /// [`Error::Tls`].
    pub fn identity(&self, folder: &Folder, listen: SocketAddr) -> Result<Option<Arc<Identity>>, Error> {
        let open = || Identity::open(folder, &reached_by(listen, &self.names), Timestamp::now());
        Ok(self.tls.then(open).transpose()?.map(Arc::new))
    }

    /// Renews the certificate when it is time, as long as it is polled.
    pub async fn keep(self, identity: Option<Arc<Identity>>, listen: SocketAddr) {
        let Some(identity) = identity else { return };
        loop {
            tokio::time::sleep(Self::LOOK).await;
            match identity.renew(&reached_by(listen, &self.names), Timestamp::now()) {
                Ok(true) => tracing::info!("the certificate was renewed"),
                Ok(false) => {}
                Err(error) => tracing::error!(%error, "the certificate could not be renewed"),
            }
        }
    }
}
