//! Somebody who goes on with his day at another address, while others make trouble.

use std::net::{IpAddr, Ipv4Addr};
use std::time::{Duration, Instant};

use tokio::sync::oneshot;
use tokio::task::JoinHandle;

use crate::shop_server::{Browser, DEMO_OWNER, ShopServer};

/// Where he is.
pub const ELSEWHERE: IpAddr = IpAddr::V4(Ipv4Addr::new(127, 0, 0, 2));

/// He opens the sign-in page, the shop floor and a quiet boat, again and again.
pub struct Bystander {
    leave: oneshot::Sender<()>,
    day: JoinHandle<Day>,
}

/// What he saw.
#[derive(Debug, Default)]
pub struct Day {
    /// His longest wait.
    worst: Duration,
    /// How many pages he opened.
    pages: u32,
    /// The answers that were no page.
    refused: Vec<String>,
}

impl Bystander {
    /// Signs in and begins.
    pub async fn begin(server: &ShopServer) -> Self {
        let address = server.address.clone();
        let browser = Browser::stranger_at(ELSEWHERE).signed_in(&address, DEMO_OWNER.0, DEMO_OWNER.1).await;
        let (leave, mut told) = oneshot::channel();
        let day = tokio::spawn(async move {
            let mut day = Day::default();
            while told.try_recv().is_err() {
                for path in ["/sign-in", "/", "/jobs/3"] {
                    day.open(&browser, &address, path).await;
                }
                tokio::time::sleep(Duration::from_millis(100)).await;
            }
            day
        });
        Self { leave, day }
    }

    /// Ends his day, prints it beside the server's peak of memory, and checks that he got every page.
    pub async fn end(self, server: &ShopServer, trouble: &str) {
        let _ = self.leave.send(());
        let day = self.day.await.expect("his day ends");
        println!(
            "| {trouble:<60} | {:>4} pages, slowest {:>5} ms | server's peak {:>4} MiB |",
            day.pages,
            day.worst.as_millis(),
            server.peak_mib()
        );
        assert_eq!(day.refused, Vec::<String>::new(), "{trouble}: he gets every page");
    }
}

impl Day {
    async fn open(&mut self, browser: &Browser, address: &str, path: &str) {
        let asked = Instant::now();
        match browser.get(address, path).await.map(|answer| answer.status()) {
            Some(status) if status == 200 => self.pages += 1,
            other => self.refused.push(format!("{path}: {other:?}")),
        }
        self.worst = self.worst.max(asked.elapsed());
    }
}
