//! The pages as they are served.

use std::collections::BTreeSet;
use std::fs;

use axum::Router;
use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use driploop::shop::profile::{Profile, Units};
use driploop::store::{Actor, Store, shop};
use driploop::web::help::book;
use driploop::web::kit::manual;
use driploop::web::{self, AppState};
use http_body_util::BodyExt;
use jiff::Timestamp;
use tempfile::TempDir;
use tower::ServiceExt;

/// The program before anybody made the shop: the help is there from the first start.
async fn bare() -> (TempDir, Router) {
    let (folder, store) = opened().await;
    (folder, web::app(AppState::new(store, false)))
}

/// The program with a shop.
async fn made() -> (TempDir, Router) {
    let (folder, store) = opened().await;
    let profile = Profile {
        name: "Otterslip".parse().unwrap(),
        address: None,
        phone: None,
        time_zone: "America/New_York".parse().unwrap(),
        currency: "USD".parse().unwrap(),
        units: Units::Us,
    };
    let actor = Actor { person: None, name: "Robin".parse().unwrap() };
    let mut write = store.write(&actor, Timestamp::now()).await.unwrap();
    shop::create(&mut write, &profile).await.unwrap();
    write.commit().await.unwrap();
    (folder, web::app(AppState::new(store, false)))
}

async fn opened() -> (TempDir, Store) {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).await.unwrap();
    (folder, store)
}

async fn ask(app: &Router, path: &str) -> (StatusCode, String) {
    let request = Request::get(path).header(header::HOST, "boats.test").body(Body::empty()).unwrap();
    let answer = app.clone().oneshot(request).await.unwrap();
    let status = answer.status();
    let bytes = answer.into_body().collect().await.unwrap().to_bytes();
    (status, String::from_utf8(bytes.to_vec()).unwrap())
}

#[test]
fn every_file_is_a_page_and_every_page_is_short() {
    let files: BTreeSet<String> = fs::read_dir("templates/help")
        .unwrap()
        .filter_map(|entry| {
            let name = entry.unwrap().file_name().into_string().unwrap();
            name.strip_suffix(".md").map(str::to_owned)
        })
        .collect();
    let pages: Vec<&str> = manual::pages().map(|page| page.name).collect();
    assert_eq!(files, pages.iter().map(|name| (*name).to_owned()).collect());
    assert_eq!(files.len(), pages.len(), "a page is there twice");
    for page in manual::pages() {
        let lines = page.markdown.lines().count();
        assert!((20..=150).contains(&lines), "{}: {lines} lines", page.name);
        assert!(page.markdown.starts_with("# "), "{}", page.name);
    }
}

#[test]
fn no_anchor_is_there_twice() {
    for page in book::pages() {
        let different: BTreeSet<&String> = page.anchors.iter().collect();
        assert_eq!(different.len(), page.anchors.len(), "{}: {:?}", page.name, page.anchors);
    }
}

#[tokio::test]
async fn the_help_is_readable_by_everybody() {
    let (_folder, app) = bare().await;
    let (status, list) = ask(&app, "/help").await;
    assert_eq!(status, StatusCode::OK);
    for page in book::pages() {
        assert!(list.contains(&format!("href=\"{}\"", page.address())), "{}", page.name);
        let (status, text) = ask(&app, &page.address()).await;
        assert_eq!(status, StatusCode::OK, "{}", page.name);
        assert!(text.contains(page.html.as_str()), "{}", page.name);
        assert_eq!(text.matches("<h1").count(), 1, "{}", page.name);
    }
    assert_eq!(ask(&app, "/help/no-such-page").await.0, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_search_finds_headings_and_says_when_there_are_none() {
    let (_folder, app) = bare().await;
    let (_, found) = ask(&app, "/help?q=interrupt+rating").await;
    assert!(found.contains("href=\"/help/fuses#interrupt-rating\""), "{found}");
    let (_, none) = ask(&app, "/help?q=%3Cb%3Ezebra").await;
    assert!(none.contains("Found: 0") && !none.contains("<b>zebra"), "{none}");
}

#[tokio::test]
async fn the_browser_is_given_every_page_to_keep() {
    let (_folder, app) = made().await;
    let (_, script) = ask(&app, "/worker.js").await;
    for page in book::pages() {
        assert!(script.contains(&format!("{:?}", page.address())), "{}", page.name);
    }
}
