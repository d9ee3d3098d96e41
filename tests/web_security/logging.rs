//! What the program's log tells, and what it never does.

use std::io;
use std::sync::{Arc, Mutex};

use axum::http::StatusCode;
use driploop::shop::role::Role;
use tracing_subscriber::fmt::MakeWriter;

use crate::shop::{Browser, PEOPLE, Shop};

/// Everything logged, by whichever thread.
#[derive(Debug, Clone, Default)]
struct Log(Arc<Mutex<Vec<u8>>>);

impl io::Write for Log {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.lock().unwrap().extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl<'a> MakeWriter<'a> for Log {
    type Writer = Self;

    fn make_writer(&'a self) -> Self {
        self.clone()
    }
}

#[tokio::test]
async fn no_secret_is_logged_even_where_everything_is() {
    let log = Log::default();
    let everything = tracing_subscriber::fmt().with_max_level(tracing::Level::TRACE).with_writer(log.clone());
    everything.with_ansi(false).init();

    let shop = Shop::open().await;
    let nobody = Browser::from("10.0.0.66");
    shop.try_sign_in(&nobody, "Ana Quill", "typed-wrong-on-purpose").await;
    let mut tess = shop.sign_in(Role::Technician).await;
    let first = tess.cookie.clone().unwrap();
    let answer = shop.post(&tess, "/switch", &[("person", "3"), ("pin", PEOPLE[2].3), ("back", "/")]).await;
    tess.take_cookie(&answer);
    shop.get(&tess, "/sign-in?next=%2Fjobs%3Fsecret-in-the-query").await;
    let refused = shop.get(&tess, "/people").await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);

    let logged = String::from_utf8(log.0.lock().unwrap().clone()).unwrap();
    let token = |cookie: &str| cookie.split_once('=').unwrap().1.to_owned();
    let second = tess.cookie.clone().unwrap();
    for secret in [
        "typed-wrong-on-purpose",
        PEOPLE[1].2,
        "secret-in-the-query",
        // As every hash begins; the schema, which is no secret, says less.
        "$argon2id$v=",
        token(&first).as_str(),
        token(&second).as_str(),
    ] {
        assert!(!logged.contains(secret), "'{secret}' was logged");
    }
    for told in [
        "path=\"/sign-in\"",
        "status=422",
        "sign-in refused",
        "address=10.0.0.66",
        "status=403",
        "Bo Fenwick",
    ] {
        assert!(logged.contains(told), "the log does not tell {told}");
    }
}
