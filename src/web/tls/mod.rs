//! HTTPS without anybody else: the program's own certificate authority, and the certificate it gives the server.
//!
//! The authority is made once and kept, for every tablet has to be told to trust it. The server's certificate is
//! short-lived and made anew by itself. There is no clock here, and no connection: see [`super::server`].

mod authority;
mod error;
mod host;
mod identity;

pub use authority::Authority;
pub use error::Error;
pub use host::{Host, NoHost, reached_by};
pub use identity::Identity;
