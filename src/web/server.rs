//! How connections are taken: how many at once, how patiently, and how they end when the program does.
//!
//! HTTP/1.1 alone is spoken, plain or in the program's own TLS: browsers take nothing newer without TLS, and a
//! reverse proxy that ends the TLS speaks it too. The limits here are those that no layer around the routes can keep, because no request has
//! arrived yet, or its answer is already made.

use std::future::Future;
use std::io;
use std::net::SocketAddr;
use std::pin::pin;
use std::sync::Arc;
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
use tokio::sync::{OwnedSemaphorePermit, Semaphore};
use tokio::time::timeout;
use tokio_io_timeout::TimeoutStream;
use tokio_rustls::TlsAcceptor;
use tower::Service;

use super::kit::AppState;

/// The most bytes that the head of a request may have.
const HEAD_LIMIT: usize = 64 * 1024;
/// How long to wait after the system had no connection to give, for want of open files as a rule.
const BREATH: Duration = Duration::from_secs(1);

/// What a client may take of the program's time and room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Patience {
    /// How long TLS may take to come about, and the head of a request to arrive. A connection at rest is closed after
    /// the same time.
    pub head: Duration,
    /// How long a client may leave an answer lying without taking any of it.
    pub write: Duration,
    /// How many connections are open at once; the next waits in the system's queue.
    pub connections: usize,
    /// How long requests in hand may take once the program is asked to stop.
    pub farewell: Duration,
}

impl Default for Patience {
    fn default() -> Self {
        Self {
            head: Duration::from_secs(20),
            write: Duration::from_secs(30),
            connections: 256,
            farewell: Duration::from_secs(20),
        }
    }
}

/// Serves until `stop` is ready, then takes no more connections and finishes the requests in hand.
pub async fn serve(listener: TcpListener, app: AppState, patience: Patience, stop: impl Future<Output = ()>) {
    let router = super::app(app.clone());
    let open = GracefulShutdown::new();
    let room = Arc::new(Semaphore::new(patience.connections));
    let tls = app.identity().map(|identity| identity.acceptor());
    let mut stop = pin!(stop);
    loop {
        let taken = tokio::select! {
            biased;
            () = &mut stop => break,
            taken = take(&listener, &room) => taken,
        };
        match taken {
            Ok((stream, peer, place)) => {
                let attended = attend(stream, peer, tls.clone(), router.clone(), patience, open.watcher());
                tokio::spawn(async move {
                    attended.await;
                    drop(place);
                });
            }
            Err(error) if is_of_the_client(&error) => {}
            Err(error) => {
                tracing::error!(%error, "no connection could be taken");
                tokio::time::sleep(BREATH).await;
            }
        }
    }
    drop(listener);
    // A stream of changes has no end of its own.
    app.live().close();
    tracing::info!("stopping: finishing the open requests");
    if timeout(patience.farewell, open.shutdown()).await.is_err() {
        tracing::warn!("some requests took too long to finish and were cut off");
    }
}

/// The next connection, once there is room for it.
async fn take(
    listener: &TcpListener,
    room: &Arc<Semaphore>,
) -> io::Result<(TcpStream, SocketAddr, OwnedSemaphorePermit)> {
    let place = room.clone().acquire_owned().await.map_err(io::Error::other)?;
    let (stream, peer) = listener.accept().await?;
    Ok((stream, peer, place))
}

/// A client that hung up before it was taken in is nobody's trouble.
fn is_of_the_client(error: &io::Error) -> bool {
    use io::ErrorKind::{ConnectionAborted, ConnectionRefused, ConnectionReset};
    matches!(error.kind(), ConnectionAborted | ConnectionRefused | ConnectionReset)
}

/// Takes one connection in, by TLS where that is spoken, and answers its requests until it ends.
async fn attend(
    stream: TcpStream,
    peer: SocketAddr,
    tls: Option<TlsAcceptor>,
    router: Router,
    patience: Patience,
    watcher: Watcher,
) {
    // Answers are sent as they are ready; without it, small ones may wait for an acknowledgement.
    let _ = stream.set_nodelay(true);
    let mut stream = TimeoutStream::new(stream);
    stream.set_write_timeout(Some(patience.write));
    let stream = Box::pin(stream);
    let Some(tls) = tls else { return answer(stream, peer, router, patience, watcher).await };
    match timeout(patience.head, tls.accept(stream)).await {
        Ok(Ok(stream)) => answer(stream, peer, router, patience, watcher).await,
        Ok(Err(error)) => tracing::debug!(%peer, %error, "no TLS came about"),
        Err(_) => tracing::debug!(%peer, "no TLS came about in time"),
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
        tracing::debug!(%peer, %error, "a connection broke off");
    }
}
