//! The shell around every page, asked through the router.

use axum::Router;
use axum::body::Body;
use axum::http::{Method, Request, Response, StatusCode, header};
use driploop::store::Store;
use driploop::web::{self, AppState};
use http_body_util::BodyExt;
use tempfile::TempDir;
use tower::ServiceExt;

/// The program on an empty data folder of its own, which lives as long as the test.
struct Shell {
    _folder: TempDir,
    app: Router,
}

async fn shell() -> Shell {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).await.unwrap();
    Shell { _folder: folder, app: web::app(AppState::new(store, false)) }
}

impl Shell {
    async fn ask(&self, request: Request<Body>) -> Response<Body> {
        self.app.clone().oneshot(request).await.unwrap()
    }
}

async fn text(response: Response<Body>) -> String {
    let bytes = response.into_body().collect().await.unwrap().to_bytes();
    String::from_utf8(bytes.to_vec()).unwrap()
}

fn get(path: &str) -> Request<Body> {
    Request::get(path).header(header::HOST, "boats.test").body(Body::empty()).unwrap()
}

/// A form sent to the theme page, which takes no sign-in, with these headers beside it.
fn form(headers: &[(&str, &str)]) -> Request<Body> {
    let mut request = Request::builder()
        .method(Method::POST)
        .uri("/theme")
        .header(header::HOST, "boats.test")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    request.body(Body::from("theme=dark&back=%2Fjobs")).unwrap()
}

#[tokio::test]
async fn every_answer_carries_the_defences() {
    let shell = shell().await;
    for path in ["/nowhere", "/static/0/driploop.css"] {
        let response = shell.ask(get(path)).await;
        let header = |name: &str| response.headers().get(name).map_or("", |value| value.to_str().unwrap());
        let policy = header("content-security-policy");
        assert!(policy.starts_with("default-src 'none'"), "{path}: {policy}");
        assert!(!policy.contains("unsafe"), "{path}: {policy}");
        for part in ["form-action 'self'", "frame-ancestors 'none'", "base-uri 'none'"] {
            assert!(policy.contains(part), "{path}: {policy}");
        }
        assert_eq!(header("x-content-type-options"), "nosniff");
        assert_eq!(header("referrer-policy"), "same-origin");
        assert_eq!(header("cross-origin-opener-policy"), "same-origin");
        assert!(!header("permissions-policy").is_empty() && !header("x-request-id").is_empty());
    }
}

#[tokio::test]
async fn an_unknown_address_gets_the_error_page_with_a_way_back() {
    let shell = shell().await;
    let response = shell.ask(get("/nowhere")).await;
    assert_eq!(response.status(), StatusCode::NOT_FOUND);
    let page = text(response).await;
    assert!(page.contains("Not found") && page.contains(r#"href="/""#), "{page}");
}

#[tokio::test]
async fn a_wrong_verb_gets_the_error_page_and_is_told_which_is_right() {
    let shell = shell().await;
    let response = shell.ask(get("/theme")).await;
    assert_eq!(response.status(), StatusCode::METHOD_NOT_ALLOWED);
    assert_eq!(response.headers()[header::ALLOW], "POST");
    assert!(text(response).await.contains("Not done this way"));
}

#[tokio::test]
async fn a_form_from_another_site_is_refused() {
    let shell = shell().await;
    let foreign: [&[(&str, &str)]; 4] = [
        &[("sec-fetch-site", "cross-site")],
        &[("sec-fetch-site", "same-site"), ("origin", "http://other.test")],
        &[("origin", "http://elsewhere.test")],
        &[("origin", "null")],
    ];
    for headers in foreign {
        let response = shell.ask(form(headers)).await;
        assert_eq!(response.status(), StatusCode::FORBIDDEN, "{headers:?}");
        assert!(response.headers().get(header::SET_COOKIE).is_none(), "{headers:?}");
        assert!(text(response).await.contains("did not come from a page of this shop"));
    }
}

#[tokio::test]
async fn a_form_of_our_own_goes_through() {
    let shell = shell().await;
    let own: [&[(&str, &str)]; 3] =
        [&[("sec-fetch-site", "same-origin")], &[("origin", "http://boats.test")], &[]];
    for headers in own {
        let response = shell.ask(form(headers)).await;
        assert_eq!(response.status(), StatusCode::SEE_OTHER, "{headers:?}");
        assert_eq!(response.headers()[header::LOCATION], "/jobs");
        let cookie = response.headers()[header::SET_COOKIE].to_str().unwrap();
        assert!(cookie.contains("theme=dark") && cookie.contains("SameSite=Lax"), "{cookie}");
    }
}

#[tokio::test]
async fn a_body_over_the_limit_is_refused() {
    let shell = shell().await;
    let request = Request::post("/theme")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::from(vec![b'a'; 300 * 1024]))
        .unwrap();
    let response = shell.ask(request).await;
    assert_eq!(response.status(), StatusCode::PAYLOAD_TOO_LARGE);
    assert!(text(response).await.contains("Too large"));
}

#[tokio::test]
async fn static_files_are_kept_for_good_and_known_by_their_tag() {
    let shell = shell().await;
    let page = text(shell.ask(get("/nowhere")).await).await;
    let start = page.find("/static/").unwrap();
    let address = page[start..].split('"').next().unwrap().to_owned();
    let first = shell.ask(get(&address)).await;
    assert_eq!(first.status(), StatusCode::OK);
    assert!(first.headers()[header::CACHE_CONTROL].to_str().unwrap().contains("immutable"));
    let tag = first.headers()[header::ETAG].clone();
    let mut again = get(&address);
    again.headers_mut().insert(header::IF_NONE_MATCH, tag);
    assert_eq!(shell.ask(again).await.status(), StatusCode::NOT_MODIFIED);
    let old = shell.ask(get("/static/0000/driploop.css")).await;
    assert_eq!(old.headers()[header::CACHE_CONTROL], "no-cache");
    assert_eq!(shell.ask(get("/static/0/../Cargo.toml")).await.status(), StatusCode::NOT_FOUND);
}
