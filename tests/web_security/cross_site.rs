//! Requests that another site makes a browser send.

use axum::http::{Method, StatusCode, header};
use driploop::shop::role::Role;
use driploop::web::routes;

use crate::shop::Shop;

#[tokio::test]
async fn nothing_another_site_sends_is_taken_whoever_is_signed_in() {
    let shop = Shop::open().await;
    let manager = shop.sign_in(Role::Manager).await;
    let before = shop.log_lines().await;
    let foreign: [&[(&'static str, &str)]; 4] = [
        &[("sec-fetch-site", "cross-site")],
        &[("sec-fetch-site", "same-site"), ("origin", "http://other.boats.test")],
        &[("origin", "http://elsewhere.test")],
        &[("origin", "null")],
    ];
    for headers in foreign {
        let mut browser = manager.clone();
        for (name, value) in headers {
            browser = browser.with(name, *value);
        }
        for route in routes::table() {
            if route.method == Method::POST {
                let answer = shop.ask(browser.request(Method::POST, &plain(route.path), &[])).await;
                assert_eq!(answer.status, StatusCode::FORBIDDEN, "{} {headers:?}", route.path);
                assert!(answer.headers.get(header::SET_COOKIE).is_none(), "{} {headers:?}", route.path);
            }
        }
    }
    assert_eq!(shop.log_lines().await, before);
    assert_eq!(shop.get(&manager, "/").await.status, StatusCode::OK, "and nobody was signed out");
}

/// The address with a 1 for each parameter: none of them is read.
fn plain(path: &str) -> String {
    path.split('/').map(|part| if part.starts_with('{') { "1" } else { part }).collect::<Vec<_>>().join("/")
}

#[tokio::test]
async fn nothing_is_changed_by_looking() {
    let shop = Shop::open().await;
    let manager = shop.sign_in(Role::Manager).await;
    let before = shop.log_lines().await;
    for route in routes::table() {
        // What is listened to has no end, and is not waited for.
        if route.method == Method::GET && !route.path.ends_with("/live") {
            shop.get(&manager, &plain(route.path)).await;
        }
    }
    assert_eq!(shop.log_lines().await, before);
}

#[tokio::test]
async fn a_form_sent_as_something_else_is_not_read() {
    let shop = Shop::open().await;
    let manager = shop.sign_in(Role::Manager).await;
    for kind in ["text/plain", "application/json", ""] {
        let mut request = manager.request(Method::POST, "/theme", &[("theme", "dark")]);
        request.headers_mut().insert(header::CONTENT_TYPE, kind.parse().unwrap());
        let answer = shop.ask(request).await;
        assert!(answer.status.is_client_error(), "{kind}: {}", answer.status);
    }
}
