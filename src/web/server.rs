//! How connections are accepted: how many at once, with which time limits, and how they end when the program stops.
//!
//! Only HTTP/1.1 is spoken, plain or in the program's own TLS. Browsers use nothing newer without TLS, and a
//! reverse proxy that ends the TLS speaks it too. The limits here are those that no layer around the routes can
//! set: no request has arrived yet, or its answer is already made.

use std::future::Future;
use std::io;
use std::net::SocketAddr;
use std::pin::pin;
use std::time::Duration;

use axum::Router;
use axum::extract::{ConnectInfo, Request};
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::{GracefulShutdown, Watcher};
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::time::timeout;
use tokio_io_timeout::TimeoutStream;
use tokio_rustls::TlsAcceptor;
use tower::Service;

use super::kit::AppState;
use super::places::{Place, Places};

/// The maximum size of a request head in bytes.
const HEAD_LIMIT: usize = 64 * 1024;
/// How long to wait when the system cannot give a connection, usually because too many files are open.
const BREATH: Duration = Duration::from_secs(1);

/// The limits for a client.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Patience {
    /// The time limit for the TLS handshake, and for the head of a request to arrive. An idle connection is closed
    /// after the same time.
    pub head: Duration,
    /// How long a client may read nothing of an answer.
    pub write: Duration,
    /// How many connections are open at once. The next one waits in the system's queue.
    pub connections: usize,
    /// How many of them one computer may have. The next one is closed at once.
    pub share: usize,
    /// How long open requests may take after the program is asked to stop.
    pub farewell: Duration,
}

impl Default for Patience {
    fn default() -> Self {
        Self {
            head: Duration::from_secs(20),
            write: Duration::from_secs(30),
            connections: 512,
            share: 128,
            farewell: Duration::from_secs(15),
        }
    }
}

/// Serves until `stop` is ready. Then it accepts no more connections and finishes the open requests.
pub async fn serve(listener: TcpListener, app: AppState, patience: Patience, stop: impl Future<Output = ()>) {
    let router = super::app(app.clone());
    let open = GracefulShutdown::new();
    let places = Places::new(patience.connections, patience.share, app.setting().proxy);
    let tls = app.identity().map(|identity| identity.acceptor());
    let mut stop = pin!(stop);
    loop {
        let taken = tokio::select! {
            biased;
            () = &mut stop => break,
            taken = take(&listener, &places) => taken,
        };
        match taken {
            Ok((_, peer, None)) => tracing::debug!(%peer, "a connection above its share was closed"),
            Ok((stream, peer, Some(place))) => {
                let attended = attend(stream, peer, tls.clone(), router.clone(), patience, open.watcher());
                tokio::spawn(async move {
                    attended.await;
                    drop(place);
                });
            }
            Err(error) if is_of_the_client(&error) => {}
            Err(error) => {
                tracing::error!(%error, "no connection could be accepted");
                tokio::time::sleep(BREATH).await;
            }
        }
    }
    drop(listener);
    // A stream of changes does not end by itself.
    app.live().close();
    tracing::info!("stopping: finishing the open requests");
    if timeout(patience.farewell, open.shutdown()).await.is_err() {
        tracing::warn!("some requests took too long to finish and were cut off");
    }
}

/// The next connection, when there is room for it; without a place if its computer has its share already.
async fn take(listener: &TcpListener, places: &Places) -> io::Result<(TcpStream, SocketAddr, Option<Place>)> {
    let room = places.room().await?;
    let (stream, peer) = listener.accept().await?;
    Ok((stream, peer, places.give(room, peer.ip())))
}

/// Whether the client closed the connection before it was accepted, which needs no action.
fn is_of_the_client(error: &io::Error) -> bool {
    use io::ErrorKind::{ConnectionAborted, ConnectionRefused, ConnectionReset};
    matches!(error.kind(), ConnectionAborted | ConnectionRefused | ConnectionReset)
}

/// Accepts one connection, by TLS if that is set up, and answers its requests until it ends.
async fn attend(
    stream: TcpStream,
    peer: SocketAddr,
    tls: Option<TlsAcceptor>,
    router: Router,
    patience: Patience,
    watcher: Watcher,
) {
    // Send answers when they are ready. Without this, small ones may wait for an acknowledgment.
    let _ = stream.set_nodelay(true);
    let mut stream = TimeoutStream::new(stream);
    stream.set_write_timeout(Some(patience.write));
    let stream = Box::pin(stream);
    let Some(tls) = tls else { return answer(stream, peer, router, patience, watcher).await };
    match timeout(patience.head, tls.accept(stream)).await {
        Ok(Ok(stream)) => answer(stream, peer, router, patience, watcher).await,
        Ok(Err(error)) => tracing::debug!(%peer, %error, "the TLS handshake failed"),
        Err(_) => tracing::debug!(%peer, "the TLS handshake timed out"),
    }
}

async fn answer<S>(stream: S, peer: SocketAddr, router: Router, patience: Patience, watcher: Watcher)
where
    S: AsyncRead + AsyncWrite + Unpin + Send + 'static,
{
    let service = service_fn(move |mut request: Request<Incoming>| {
        request.extensions_mut().insert(ConnectInfo(peer));
        router.clone().call(request)
    });
    let connection = http1::Builder::new()
        .timer(TokioTimer::new())
        .header_read_timeout(patience.head)
        .max_buf_size(HEAD_LIMIT)
        .serve_connection(TokioIo::new(stream), service);
    if let Err(error) = watcher.watch(connection).await {
        tracing::debug!(%peer, %error, "a connection was lost");
    }
}
