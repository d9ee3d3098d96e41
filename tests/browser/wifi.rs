//! The shop's Wi-Fi, between a browser and the program: it can drop.
//!
//! The browser's own emulation cuts a page from the network and not the worker that stands between them.

use std::net::SocketAddr;

use tokio::io::copy_bidirectional;
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;

/// A way to the program that can be cut.
pub struct WiFi {
    /// Where the program is reached through it.
    pub address: String,
    there: watch::Sender<bool>,
}

impl WiFi {
    /// A way to the program at this address.
    pub async fn to(address: &str) -> Self {
        let program: SocketAddr =
            address.trim_start_matches("http://").parse().expect("an address with a port");
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let address = format!("http://{}", listener.local_addr().expect("its address"));
        let (there, is_there) = watch::channel(true);
        tokio::spawn(async move {
            while let Ok((stream, _)) = listener.accept().await {
                tokio::spawn(carry(stream, program, is_there.clone()));
            }
        });
        Self { address, there }
    }

    /// Cuts it, or lets it back.
    pub fn set(&self, there: bool) {
        self.there.send_replace(there);
    }
}

/// Carries one connection for as long as the Wi-Fi is there.
async fn carry(mut browser: TcpStream, program: SocketAddr, mut is_there: watch::Receiver<bool>) {
    if !*is_there.borrow_and_update() {
        return;
    }
    let Ok(mut program) = TcpStream::connect(program).await else { return };
    tokio::select! {
        _ = copy_bidirectional(&mut browser, &mut program) => {}
        _ = is_there.wait_for(|there| !there) => {}
    }
}
