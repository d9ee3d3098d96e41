//! Many at the door at once: connections that drip, and strangers who guess.

use std::net::{IpAddr, Ipv4Addr};
use std::time::{Duration, Instant};

use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;
use tokio::task::JoinSet;
use tokio::time::{sleep, timeout};

use crate::bystander::{Bystander, ELSEWHERE};
use crate::shop_server::{Browser, DEMO_OWNER, ShopServer};

const CROWD: usize = 500;
/// How often the right person signs in meanwhile.
const TIMES: u32 = 10;

/// A connection that begins with this and then sends one drip after another. Returns whether the server closed it
/// at once, because its computer has its share.
async fn drip(address: String, begins: &'static str, drip: &'static str) -> bool {
    let Ok(mut stream) = TcpStream::connect(address.trim_start_matches("http://")).await else { return true };
    if stream.write_all(begins.as_bytes()).await.is_err() {
        return true;
    }
    let mut byte = [0];
    if timeout(Duration::from_secs(2), stream.read(&mut byte)).await.is_ok() {
        return true;
    }
    while stream.write_all(drip.as_bytes()).await.is_ok() {
        sleep(Duration::from_millis(500)).await;
    }
    false
}

/// Signs in at an address, and returns how long that took.
async fn sign_in(address: &str, from: IpAddr) -> Duration {
    let asked = Instant::now();
    Browser::stranger_at(from).signed_in(address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    asked.elapsed()
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn a_crowd_of_slow_connections_leaves_the_door_open_for_others() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let head = ("GET /sign-in HTTP/1.1\r\nhost: boats.test\r\n", "x-drip: 1\r\n");
    let body = (
        "POST /sign-in HTTP/1.1\r\nhost: boats.test\r\ncontent-length: 200000\r\n\
         content-type: application/x-www-form-urlencoded\r\n\r\n",
        "a",
    );
    let polite = (
        "GET /static/0/icon.svg HTTP/1.1\r\nhost: boats.test\r\n\r\n",
        "GET /sign-in HTTP/1.1\r\nhost: boats.test\r\n\r\n",
    );
    let kinds = [("dripping heads", head), ("dripping bodies", body), ("slow but polite requests", polite)];
    for (what, (begins, drips)) in kinds {
        let bystander = Bystander::begin(&server).await;
        let mut crowd = JoinSet::new();
        for _ in 0..CROWD {
            crowd.spawn(drip(server.address.clone(), begins, drips));
        }
        sleep(Duration::from_secs(3)).await;
        let mut worst = Duration::ZERO;
        for _ in 0..TIMES {
            worst = worst.max(sign_in(&server.address, ELSEWHERE).await);
        }
        println!("{CROWD} connections with {what}: the slowest sign-in took {} ms", worst.as_millis());
        bystander.end(&server, &format!("{CROWD} connections with {what}")).await;
        crowd.abort_all();
    }
}

/// Where strangers are.
#[derive(Debug, Clone, Copy)]
enum Crowd {
    OneAddress,
    OneNetwork,
    ManyNetworks,
}

impl Crowd {
    fn address(self, number: u8) -> IpAddr {
        IpAddr::V4(match self {
            Self::OneAddress => Ipv4Addr::new(127, 0, 1, 1),
            Self::OneNetwork => Ipv4Addr::new(127, 0, 1, number),
            Self::ManyNetworks => Ipv4Addr::new(127, 1, number, 1),
        })
    }

    /// The address of somebody else, who has the same chance.
    fn other_address(self) -> IpAddr {
        IpAddr::V4(match self {
            Self::OneAddress => Ipv4Addr::new(127, 0, 1, 2),
            Self::OneNetwork => Ipv4Addr::new(127, 0, 2, 1),
            Self::ManyNetworks => Ipv4Addr::new(127, 1, 200, 1),
        })
    }
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn strangers_who_guess_do_not_keep_the_right_person_out() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    for from in [Crowd::OneAddress, Crowd::OneNetwork, Crowd::ManyNetworks] {
        let bystander = Bystander::begin(&server).await;
        let mut strangers = JoinSet::new();
        for number in 1..=100 {
            let address_of = from.address(number);
            let address = server.address.clone();
            strangers.spawn(async move {
                let name = format!("Stranger {number} {from:?}");
                let fields = [("name", name.as_str()), ("passphrase", "not the passphrase"), ("next", "/")];
                Browser::stranger_at(address_of)
                    .post(&address, "/sign-in", &fields)
                    .await
                    .map(|got| got.status())
            });
        }
        sleep(Duration::from_millis(100)).await;
        // An address where nobody signed in before, so it is a stranger too.
        let waited = sign_in(&server.address, from.other_address()).await;
        let trouble = &format!("100 guesses, {from:?}");
        println!("{trouble}: the right person waited {} ms", waited.as_millis());
        for answer in strangers.join_all().await {
            assert_eq!(answer.map(|status| status.as_u16()), Some(422), "every guess is answered");
        }
        bystander.end(&server, trouble).await;
    }
}
