//! HTTPS without any outside service: the program's own certificate authority, and the server's certificate.
//!
//! The authority is made once and kept, because each tablet has to trust it. The server's certificate is
//! short-lived and renewed automatically. No clock and no connection is used here: see [`super::server`].

mod authority;
mod error;
mod host;
mod identity;

pub use authority::Authority;
pub use error::TlsError;
pub use host::{Host, Hosts, NoHost};
pub use identity::Identity;
