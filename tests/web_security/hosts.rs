//! Which hosts a request may name, and how large its head may be.

use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use driploop::shop::role::Role;
use driploop::web::ServerSettings;
use driploop::web::tls::Hosts;

use crate::shop::{Browser, Shop};

fn at_home() -> ServerSettings {
    let hosts = Hosts::new("192.168.1.10:8640".parse().unwrap(), vec!["boats.test".parse().unwrap()]);
    ServerSettings { hosts: Some(hosts), ..ServerSettings::default() }
}

/// The same request for other hosts.
fn naming(mut request: Request<Body>, hosts: &[&str]) -> Request<Body> {
    request.headers_mut().remove(header::HOST);
    for host in hosts {
        request.headers_mut().append(header::HOST, host.parse().unwrap());
    }
    request
}

#[tokio::test]
async fn a_request_for_another_host_is_refused_whatever_it_asks() {
    let shop = Shop::set_up(at_home()).await;
    let manager = shop.sign_in(Role::Manager).await;
    for host in
        ["boats.test", "Boats.Test:8640", "192.168.1.10:8640", "localhost", "127.0.0.1:9", "[::1]:8640"]
    {
        let answer = shop.ask(naming(manager.request(Method::GET, "/", &[]), &[host])).await;
        assert_eq!(answer.status, StatusCode::OK, "{host}");
    }
    for path in ["/", "/sign-in", "/trust", "/static/0/icon.svg", "/jobs/1/labels.csv", "/jobs/1/labels"] {
        for host in ["elsewhere.test", "192.168.1.11:8640", "boats.test.elsewhere.test"] {
            let answer = shop.ask(naming(manager.request(Method::GET, path, &[]), &[host])).await;
            assert_eq!(answer.status, StatusCode::MISDIRECTED_REQUEST, "{host}{path}");
            assert!(!answer.text.contains("Slip Number Nine"), "{host}{path}");
            assert_eq!(answer.header("x-content-type-options"), "nosniff", "{host}{path}");
        }
    }
    let before = shop.log_lines().await;
    let sent = naming(manager.request(Method::POST, "/sign-out", &[]), &["elsewhere.test"]);
    assert_eq!(shop.ask(sent).await.status, StatusCode::MISDIRECTED_REQUEST);
    assert_eq!(shop.log_lines().await, before);
}

#[tokio::test]
async fn another_site_cannot_make_the_shop() {
    let shop = Shop::without_shop_at(at_home()).await;
    let stranger = Browser::default();
    for (method, path) in [(Method::GET, "/first-run"), (Method::POST, "/first-run"), (Method::GET, "/")] {
        let answer = shop.ask(naming(stranger.request(method, path, &[]), &["rebound.test:8640"])).await;
        assert_eq!(answer.status, StatusCode::MISDIRECTED_REQUEST, "{path}");
    }
    assert_eq!(shop.get(&stranger, "/first-run").await.status, StatusCode::OK);
}

#[tokio::test]
async fn codes_lead_to_a_host_of_the_shop_only() {
    let shop = Shop::set_up(at_home()).await;
    let manager = shop.sign_in(Role::Manager).await;
    let list = shop.get(&manager, "/jobs/1/labels.csv").await;
    assert!(list.text.contains("http://boats.test/jobs/1/"), "{}", list.text);
}

#[tokio::test]
async fn a_request_that_names_no_host_or_two_is_a_bad_request() {
    for setting in [at_home(), ServerSettings::default()] {
        let shop = Shop::set_up(setting).await;
        let wrong: [&[&str]; 4] =
            [&[], &["boats.test", "boats.test"], &["boats.test", "elsewhere.test"], &["boats test"]];
        for hosts in wrong {
            let request = naming(Browser::default().request(Method::GET, "/sign-in", &[]), hosts);
            assert_eq!(shop.ask(request).await.status, StatusCode::BAD_REQUEST, "{hosts:?}");
        }
        let mut two = Browser::default().request(Method::GET, "/sign-in", &[]);
        *two.uri_mut() = "http://elsewhere.test/sign-in".parse().unwrap();
        assert_eq!(shop.ask(two).await.status, StatusCode::BAD_REQUEST, "its address names another one");
    }
}

#[tokio::test]
async fn the_head_of_a_request_has_64_kib_and_no_more() {
    let shop = Shop::open().await;
    let long = |bytes: usize| Browser::default().with("x-long", "a".repeat(bytes));
    let head = |bytes| long(bytes).request(Method::GET, "/sign-in", &[]);
    assert_eq!(shop.ask(head(63 * 1024)).await.status, StatusCode::OK);
    let refused = shop.ask(head(64 * 1024)).await;
    assert_eq!(refused.status, StatusCode::REQUEST_HEADER_FIELDS_TOO_LARGE);
    assert!(refused.text.contains("Too large"), "{}", refused.text);
}
