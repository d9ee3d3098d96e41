//! `driploop serve`: opens the shop's data, listens, and prints the address.

use std::io::{self, Write as _};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr};
use std::time::Duration;
use std::{process, thread};

use jiff::Timestamp;
use tokio::net::TcpListener;
use tokio::time::timeout;
use tracing_subscriber::EnvFilter;

use super::backup::Schedule;
use super::data::Data;
use super::demo;
use super::outcome::{Error, Outcome};
use super::tls::Tls;
use crate::shop::demo as demo_shop;
use crate::store::{Store, shop};
use crate::web::kit::identify::TRUST;
use crate::web::server::{self, Patience};
use crate::web::tls::{Authority, Identity};
use crate::web::{AppState, ServerSettings};

/// How long the database may take to close.
const CLOSING: Duration = Duration::from_secs(3);
/// The time after which the program has ended, once it was asked to stop. Open requests are given less, see
/// [`Patience`].
const LAST: Duration = Duration::from_millis(19_500);
/// How many threads may do work that blocks. Each kind of such work has a limit of its own that is lower.
const BLOCKING: usize = 32;

/// The arguments of `driploop serve`. Each can also be set in the environment; the command line has precedence.
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(flatten)]
    data: Data,
    /// Address and port to listen on; other computers can reach any address except 127.0.0.1
    #[arg(long, env = "DRIPLOOP_LISTEN", value_name = "ADDRESS:PORT", default_value = "127.0.0.1:8640")]
    listen: SocketAddr,
    /// Browsers reach the program over https through a reverse proxy; cookies are limited to https
    #[arg(long, env = "DRIPLOOP_HTTPS")]
    https: bool,
    /// Address of that reverse proxy, which is trusted to report where a request comes from
    #[arg(long, env = "DRIPLOOP_PROXY", value_name = "ADDRESS")]
    proxy: Option<IpAddr>,
    #[command(flatten)]
    tls: Tls,
    #[command(flatten)]
    schedule: Schedule,
    /// Start with an empty shop instead of the demo, if there is no shop yet
    #[arg(long, env = "DRIPLOOP_EMPTY")]
    empty: bool,
    /// Log level: error, warn, info, debug or trace, also by module
    #[arg(long, env = "DRIPLOOP_LOG", value_name = "FILTER", default_value = "warn,driploop=info")]
    log: String,
}

/// Serves until the system stops the program.
///
/// # Errors
///
/// [`Error`] if the data cannot be opened or the address cannot be listened on.
pub fn run(args: Args) -> Result<Outcome, Error> {
    let filter = EnvFilter::try_new(&args.log).map_err(|error| Error::LogFilter(args.log.clone(), error))?;
    tracing_subscriber::fmt().with_env_filter(filter).with_writer(io::stderr).init();
    let folder = args.data.folder().ok_or(Error::NoDataFolder)?;
    let mut runtime = tokio::runtime::Builder::new_multi_thread();
    let runtime = runtime.enable_all().max_blocking_threads(BLOCKING).build()?;
    let done = runtime.block_on(async {
        let store = Store::open(&folder).await?;
        if !args.empty {
            demo_where_nothing_is(&store).await?;
        }
        let listener = TcpListener::bind(args.listen)
            .await
            .map_err(|error| Error::NotListening { address: args.listen, error })?;
        let address = listener.local_addr()?;
        let hosts = args.tls.hosts(address);
        let identity = args.tls.identity(store.folder(), &hosts)?;
        announce(address, &store, identity.as_deref().map(Identity::authority)).await?;
        let backups = args.schedule.folder().cloned();
        let renewing = tokio::spawn(Tls::keep(identity.clone(), hosts.clone()));
        let setting = ServerSettings {
            secure: args.https,
            identity,
            proxy: args.proxy,
            backups,
            hosts: Some(hosts),
            ..ServerSettings::default()
        };
        let keeping = tokio::spawn(args.schedule.keep(store.clone()));
        let app = AppState::set_up(store.clone(), setting);
        let stop = stop_signal()?;
        server::serve(listener, app, Patience::default(), stop).await;
        // A backup that is interrupted here starts again at the next start of the program.
        keeping.abort();
        renewing.abort();
        // What was acknowledged is on the disk. This only folds the write-ahead log in.
        if timeout(CLOSING, store.close()).await.is_err() {
            tracing::warn!("the database is still at work and was not waited for");
        }
        Ok(Outcome::Well)
    });
    // Without this, the program would wait for every thread that is still at work.
    runtime.shutdown_background();
    done
}

/// Loads the demo shop at the very first run.
async fn demo_where_nothing_is(store: &Store) -> Result<(), Error> {
    if shop::get(&mut *store.read().await?).await?.is_none() {
        demo::load(store, Timestamp::now()).await?;
    }
    Ok(())
}

/// Prints the address, who can reach it, and the demo accounts.
async fn announce(address: SocketAddr, store: &Store, authority: Option<&Authority>) -> Result<(), Error> {
    let shop = shop::get(&mut *store.read().await?).await?;
    let text = announcement(address, shop.as_ref().map(|shop| shop.value.name.as_str()), authority);
    // An error here is ignored: nobody may be reading the output.
    let _ = io::stdout().lock().write_all(text.as_bytes());
    Ok(())
}

fn announcement(address: SocketAddr, shop: Option<&str>, authority: Option<&Authority>) -> String {
    let scheme = if authority.is_some() { "https" } else { "http" };
    let mut lines = vec![format!("Driploop is running. Open {}", url(scheme, address))];
    match authority {
        Some(authority) => lines.push(how_to_trust(authority)),
        None if !address.ip().is_loopback() => lines.push(open_to_others(address)),
        None => {}
    }
    match shop {
        None => {
            let how = "There is no shop yet: the first page makes it, with the account of its manager.";
            lines.push(how.to_owned());
        }
        Some(demo_shop::SHOP) => {
            let which = "This is the demo shop. Its people are invented; sign in as any of them:";
            lines.push(which.to_owned());
            lines.extend(demo_shop::people().iter().map(|person| {
                format!("  {} ({}): {}, PIN {}", person.name, person.role, person.passphrase, person.pin)
            }));
            lines.push("Your own shop: driploop serve --empty --data DIR".to_owned());
        }
        Some(_) => {}
    }
    lines.push(String::new());
    lines.join("\n")
}

/// The address to open on this machine.
fn url(scheme: &str, address: SocketAddr) -> String {
    let ip = match address.ip() {
        ip if !ip.is_unspecified() => ip,
        IpAddr::V4(_) => Ipv4Addr::LOCALHOST.into(),
        IpAddr::V6(_) => Ipv6Addr::LOCALHOST.into(),
    };
    format!("{scheme}://{}", SocketAddr::new(ip, address.port()))
}

fn open_to_others(address: SocketAddr) -> String {
    format!(
        "Everybody who can reach {address} over the network can open the sign-in page, and without https what they\n\
         send can be read by others there. Keep it to the shop's own network, or start with --tls, or put a reverse proxy\n\
         with https before it and start with --https."
    )
}

fn how_to_trust(authority: &Authority) -> String {
    let fingerprint = authority.fingerprint().join("\n  ");
    format!(
        "A browser warns until it trusts this shop's certificate authority: its page {} tells how. Take it on only\n\
         where its SHA-256 fingerprint is\n  {fingerprint}",
        TRUST
    )
}

/// Is ready when the system asks the program to stop. A thread of its own waits for that, so that nothing the others do
/// can delay it. It ends the program after [`LAST`], whatever still runs then.
fn stop_signal() -> io::Result<impl Future<Output = ()>> {
    let (ask, asked) = tokio::sync::oneshot::channel();
    let clock = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    thread::Builder::new().name("stop".to_owned()).spawn(move || {
        clock.block_on(asked_to_stop());
        // It is no failure if the server has ended by itself.
        let _ = ask.send(());
        thread::sleep(LAST);
        tracing::error!("something did not end in time and was cut off");
        process::exit(1);
    })?;
    Ok(async move {
        // Without the thread there is no signal. Then the program serves on.
        if asked.await.is_err() {
            std::future::pending().await
        }
    })
}

/// Waits until the system asks the program to stop.
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
        assert_eq!(url("http", "127.0.0.1:8640".parse().unwrap()), "http://127.0.0.1:8640");
        assert_eq!(url("http", "0.0.0.0:80".parse().unwrap()), "http://127.0.0.1:80");
        assert_eq!(url("https", "[::]:8640".parse().unwrap()), "https://[::1]:8640");
    }

    #[test]
    fn an_address_that_others_reach_is_printed_with_what_it_means() {
        let warned = |address: &str| {
            announcement(address.parse().unwrap(), Some("Slip Number Nine"), None).contains("https")
        };
        assert!(warned("0.0.0.0:8640") && warned("192.168.1.10:8640") && warned("[::]:8640"));
        assert!(!warned("127.0.0.1:8640") && !warned("[::1]:8640"));
    }

    #[test]
    fn with_tls_the_fingerprint_to_compare_is_printed() {
        let authority = Authority { certificate: b"abc".to_vec(), until: Timestamp::MAX };
        let said = announcement("192.168.1.10:8640".parse().unwrap(), None, Some(&authority));
        // FIPS 180-2, example B.1: the digest of "abc".
        assert!(said.contains("BA 78 16 BF 8F 01 CF EA\n  41 41 40 DE"), "{said}");
        assert!(said.contains("https://192.168.1.10:8640") && said.contains("/trust"), "{said}");
    }
}
