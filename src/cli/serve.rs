//! `driploop serve`: opens the shop's data, listens, and says where to look.

use std::future::Future;
use std::io::{self, Write as _};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::time::Duration;

use jiff::Timestamp;
use tokio::net::TcpListener;
use tokio::sync::oneshot;
use tracing_subscriber::EnvFilter;

use super::data::Data;
use super::{Error, Outcome, demo};
use crate::shop::demo as demo_shop;
use crate::store::{Store, shop};
use crate::web::{self, AppState};

/// How long requests in hand may take once the program is asked to stop.
const FAREWELL: Duration = Duration::from_secs(20);

/// What `driploop serve` takes. Each may also be given in the environment; the command line goes first.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    data: Data,
    /// Address and port to listen on; any but 127.0.0.1 can be reached by others
    #[arg(long, env = "DRIPLOOP_LISTEN", value_name = "ADDRESS:PORT", default_value = "127.0.0.1:8640")]
    listen: SocketAddr,
    /// Browsers reach the program by https, through a reverse proxy: cookies are kept to https
    #[arg(long, env = "DRIPLOOP_HTTPS")]
    https: bool,
    /// Start with an empty shop, not with the demo, where there is no shop yet
    #[arg(long, env = "DRIPLOOP_EMPTY")]
    empty: bool,
    /// What is logged: error, warn, info, debug or trace, also by module
    #[arg(long, env = "DRIPLOOP_LOG", value_name = "FILTER", default_value = "warn,driploop=info")]
    log: String,
}

/// Serves until asked to stop.
///
/// # Errors
///
/// [`Error`] where the data cannot be opened or the address cannot be listened on.
pub fn run(args: Args) -> Result<Outcome, Error> {
    let filter = EnvFilter::try_new(&args.log).map_err(|error| Error::LogFilter(args.log.clone(), error))?;
    tracing_subscriber::fmt().with_env_filter(filter).with_writer(io::stderr).init();
    let folder = args.data.folder().ok_or(Error::NoDataFolder)?;
    let runtime = tokio::runtime::Runtime::new()?;
    runtime.block_on(async {
        let store = Store::open(&folder).await?;
        if !args.empty {
            demo_where_nothing_is(&store).await?;
        }
        let listener = TcpListener::bind(args.listen)
            .await
            .map_err(|error| Error::NotListening { address: args.listen, error })?;
        announce(listener.local_addr()?, &store).await?;
        serve(listener, AppState::new(store.clone(), args.https), asked_to_stop()).await?;
        store.close().await;
        Ok(Outcome::Well)
    })
}

/// Puts the demo shop in on the first run of all.
async fn demo_where_nothing_is(store: &Store) -> Result<(), Error> {
    if shop::get(&mut *store.read().await?).await?.is_none() {
        demo::load(store, Timestamp::now()).await?;
    }
    Ok(())
}

/// Serves until `stop` is ready, then finishes the requests in hand.
///
/// # Errors
///
/// When the listener fails.
pub async fn serve(
    listener: TcpListener,
    app: AppState,
    stop: impl Future<Output = ()> + Send + 'static,
) -> io::Result<()> {
    let (asked, heard) = oneshot::channel();
    let service = web::app(app).into_make_service_with_connect_info::<SocketAddr>();
    let serving = axum::serve(listener, service).with_graceful_shutdown(async move {
        stop.await;
        tracing::info!("asked to stop: finishing the requests in hand");
        // Nobody listens only when the serving has ended already.
        let _ = asked.send(());
    });
    let too_long = async move {
        match heard.await {
            Ok(()) => tokio::time::sleep(FAREWELL).await,
            Err(_) => std::future::pending().await,
        }
    };
    tokio::select! {
        ended = serving.into_future() => ended,
        () = too_long => {
            tracing::warn!("some requests took too long to finish and were cut off");
            Ok(())
        }
    }
}

/// Says where to look, who may look, and with which accounts.
async fn announce(address: SocketAddr, store: &Store) -> Result<(), Error> {
    let mut out = io::stdout().lock();
    writeln!(out, "Driploop is running. Open {}", url(address))?;
    if !address.ip().is_loopback() {
        writeln!(out, "{}", open_to_others(address))?;
    }
    let shop = shop::get(&mut *store.read().await?).await?;
    match shop {
        None => {
            writeln!(out, "There is no shop yet: the first page makes it, with the account of its owner.")?
        }
        Some(shop) if shop.value.name.as_str() == demo_shop::SHOP => {
            writeln!(out, "This is the demo shop. Its people are invented; sign in as any of them:")?;
            for person in demo_shop::people() {
                writeln!(
                    out,
                    "  {} ({}): {}, PIN {}",
                    person.name, person.role, person.passphrase, person.pin
                )?;
            }
            writeln!(out, "Your own shop: driploop serve --empty --data DIR")?;
        }
        Some(_) => {}
    }
    Ok(())
}

/// The address to open on this machine.
fn url(address: SocketAddr) -> String {
    let ip = match address.ip() {
        ip if !ip.is_unspecified() => ip,
        IpAddr::V4(_) => Ipv4Addr::LOCALHOST.into(),
        IpAddr::V6(_) => Ipv6Addr::LOCALHOST.into(),
    };
    format!("http://{}", SocketAddr::new(ip, address.port()))
}

fn open_to_others(address: SocketAddr) -> String {
    format!(
        "Everybody who can reach {address} over the network can open the sign-in page, and without https what they\n\
         send can be read on the way. Keep it to the shop's own network, or put a reverse proxy with https before it\n\
         and start with --https."
    )
}

/// Ready when the system asks the program to stop.
async fn asked_to_stop() {
    let interrupted = async {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    let terminated = async {
        match tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate()) {
            Ok(mut signal) => drop(signal.recv().await),
            Err(_) => std::future::pending().await,
        }
    };
    #[cfg(not(unix))]
    let terminated = std::future::pending::<()>();
    tokio::select! { () = interrupted => {}, () = terminated => {} }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_address_printed_is_one_that_opens() {
        assert_eq!(url("127.0.0.1:8640".parse().unwrap()), "http://127.0.0.1:8640");
        assert_eq!(url("0.0.0.0:80".parse().unwrap()), "http://127.0.0.1:80");
        assert_eq!(url("[::]:8640".parse().unwrap()), "http://[::1]:8640");
    }
}
