//! What can be wrong with a certificate.

use thiserror::Error;

use super::Host;
use crate::store;

/// Why there is no HTTPS.
#[derive(Debug, Error)]
pub enum TlsError {
    /// The keys cannot be stored or read.
    #[error(transparent)]
    Store(#[from] store::Error),
    /// A certificate could not be made.
    #[error("no certificate could be made: {0}")]
    Made(#[from] rcgen::Error),
    /// A stored key or certificate cannot be used.
    #[error("the key or certificate in {0} cannot be used: move the file away to have a new one made")]
    Unusable(std::path::PathBuf),
    /// A host that the authority may not vouch for.
    #[error(
        "the certificate authority of this shop cannot vouch for {host}: it was made for private addresses and for \
         the hosts configured then. Move {authority} away to have a new one made. Each tablet then has to trust \
         the new one"
    )]
    NotVouchedFor {
        /// The host.
        host: Host,
        /// The file of the authority.
        authority: std::path::PathBuf,
    },
    /// TLS cannot be set up.
    #[error("TLS cannot be set up: {0}")]
    Tls(#[from] tokio_rustls::rustls::Error),
}
