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
    /// Speak https, with a certificate authority of the shop's own that each tablet is told to trust once
    #[arg(long, env = "DRIPLOOP_TLS", conflicts_with_all = ["https", "proxy"])]
    tls: bool,
    /// A name or address by which browsers come, beside those of this machine; more than once for more than one
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
    /// How often it is looked whether the certificate nears its end or the machine has other addresses.
    const LOOK: Duration = Duration::from_secs(3600);

    /// What the program shows for itself at this address; `None` where it speaks plain HTTP.
    ///
    /// # Errors
    ///
    /// [`Error::Tls`].
    pub fn identity(&self, folder: &Folder, listen: SocketAddr) -> Result<Option<Arc<Identity>>, Error> {
        let open = || Identity::open(folder, &reached_by(listen, &self.names), Timestamp::now());
        Ok(self.tls.then(open).transpose()?.map(Arc::new))
    }

    /// Has the certificate made anew when it is time, for as long as it is polled.
    pub async fn keep(self, identity: Option<Arc<Identity>>, listen: SocketAddr) {
        let Some(identity) = identity else { return };
        loop {
            tokio::time::sleep(Self::LOOK).await;
            match identity.renew(&reached_by(listen, &self.names), Timestamp::now()) {
                Ok(true) => tracing::info!("the certificate was made anew"),
                Ok(false) => {}
                Err(error) => tracing::error!(%error, "the certificate could not be made anew"),
            }
        }
    }
}
