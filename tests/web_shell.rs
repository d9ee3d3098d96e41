//! The shell around every page, asked through the router.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

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
    let shell = bare().await;
    shell.make_shop().await;
    shell
}

/// The program before anybody made the shop.
async fn bare() -> Shell {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(folder.path()).await.unwrap();
    Shell { _folder: folder, app: web::app(AppState::new(store, false)) }
}

const PASSPHRASE: &str = "copper before chrome";

impl Shell {
    /// Goes through the first run, and gives the cookie of its manager.
    async fn make_shop(&self) -> String {
        let filled = "shop=Otterslip&units=us&time_zone=America%2FNew_York&currency=USD&name=Ines\
            &passphrase=copper+before+chrome&passphrase_again=copper+before+chrome";
        cookie(&self.ask(post("/first-run", filled, None)).await)
    }

    /// Signs somebody in, and gives the cookie.
    async fn sign_in(&self, name: &str, passphrase: &str) -> String {
        let answer = self.ask(post("/sign-in", &format!("name={name}&passphrase={passphrase}"), None)).await;
        assert_eq!(answer.status(), StatusCode::SEE_OTHER, "{name}");
        cookie(&answer)
    }

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

/// A form as the program's own pages send it.
fn post(path: &str, body: &str, cookie: Option<&str>) -> Request<Body> {
    let mut request = Request::post(path)
        .header(header::HOST, "boats.test")
        .header("sec-fetch-site", "same-origin")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    if let Some(cookie) = cookie {
        request = request.header(header::COOKIE, cookie);
    }
    request.body(Body::from(body.to_owned())).unwrap()
}

fn get_as(path: &str, cookie: &str) -> Request<Body> {
    let mut request = get(path);
    request.headers_mut().insert(header::COOKIE, cookie.parse().unwrap());
    request
}

/// The cookie an answer gives, as the next request sends it.
fn cookie(response: &Response<Body>) -> String {
    let given = response.headers()[header::SET_COOKIE].to_str().unwrap();
    given.split(';').next().unwrap().to_owned()
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
async fn an_unknown_address_gets_the_error_page_with_a_link_back() {
    let shell = shell().await;
    let response = shell.ask(get("/nowhere")).await;
    assert_eq!(response.status(), StatusCode::NOT_FOUND);
    let page = text(response).await;
    assert!(page.contains("Not found") && page.contains(r#"href="/""#), "{page}");
}

#[tokio::test]
async fn a_wrong_verb_gets_the_error_page_with_the_right_verb() {
    let shell = shell().await;
    let response = shell.ask(get("/theme")).await;
    assert_eq!(response.status(), StatusCode::METHOD_NOT_ALLOWED);
    assert_eq!(response.headers()[header::ALLOW], "POST");
    assert!(text(response).await.contains("Method not allowed"));
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
        .header(header::HOST, "boats.test")
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

#[tokio::test]
async fn before_there_is_a_shop_every_page_leads_to_the_one_that_makes_it() {
    let shell = bare().await;
    for path in ["/", "/jobs/1", "/sign-in", "/nowhere"] {
        let response = shell.ask(get(path)).await;
        assert_eq!(response.headers()[header::LOCATION], "/first-run", "{path}");
    }
    assert!(text(shell.ask(get("/first-run")).await).await.contains("Name of the shop"));
}

#[tokio::test]
async fn the_first_run_makes_the_shop_once_and_signs_its_manager_in() {
    let shell = bare().await;
    let refused = shell.ask(post("/first-run", "shop=&passphrase=short", None)).await;
    assert_eq!(refused.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(refused).await;
    assert!(page.contains("Not saved") && !page.contains("short"), "{page}");

    let manager = shell.make_shop().await;
    let floor = text(shell.ask(get_as("/", &manager)).await).await;
    assert!(floor.contains("Shop floor") && floor.contains("Ines"), "{floor}");
    assert!(floor.contains("Otterslip"), "{floor}");

    let second = shell.ask(post(
        "/first-run",
        "shop=Other&units=us&time_zone=UTC&currency=USD&name=Eve\
        &passphrase=somebody+elses+shop&passphrase_again=somebody+elses+shop",
        None,
    ));
    assert_eq!(second.await.headers()[header::LOCATION], "/");
    assert!(text(shell.ask(get_as("/people", &manager)).await).await.contains("Ines"));
    assert!(!text(shell.ask(get_as("/people", &manager)).await).await.contains("Eve"));
}

#[tokio::test]
async fn sign_in_leads_back_and_says_the_same_of_a_wrong_name_and_a_wrong_passphrase() {
    let shell = shell().await;
    let asked = shell.ask(get("/people")).await;
    assert_eq!(asked.headers()[header::LOCATION], "/sign-in?next=%2Fpeople");
    let wrong = [
        shell.ask(post("/sign-in", "name=Ines&passphrase=brass+before+chrome", None)).await,
        shell.ask(post("/sign-in", "name=Ines&passphrase=", None)).await,
        shell.ask(post("/sign-in", "name=Nobody&passphrase=copper+before+chrome", None)).await,
    ];
    let mut pages = Vec::new();
    for answer in wrong {
        assert_eq!(answer.status(), StatusCode::UNPROCESSABLE_ENTITY);
        assert!(answer.headers().get(header::SET_COOKIE).is_none());
        pages.push(text(answer).await.replace("Nobody", "Ines"));
    }
    assert!(
        pages.iter().all(|page| *page == pages[0] && page.contains("The name or the passphrase is wrong.")),
        "{pages:?}"
    );

    let right = format!("name=ines&passphrase={}&next=%2Fpeople", PASSPHRASE.replace(' ', "+"));
    let answer = shell.ask(post("/sign-in", &right, None)).await;
    assert_eq!(answer.headers()[header::LOCATION], "/people");
    let given = answer.headers()[header::SET_COOKIE].to_str().unwrap();
    assert!(given.contains("HttpOnly") && given.contains("SameSite=Lax"), "{given}");
}

#[tokio::test]
async fn signing_in_again_or_out_ends_the_old_cookie() {
    let shell = shell().await;
    let first = shell.sign_in("Ines", "copper+before+chrome").await;
    let again = shell.ask(post("/sign-in", "name=Ines&passphrase=copper+before+chrome", Some(&first))).await;
    let second = cookie(&again);
    assert_ne!(first, second);
    assert_eq!(shell.ask(get_as("/", &first)).await.status(), StatusCode::SEE_OTHER);
    assert_eq!(shell.ask(get_as("/", &second)).await.status(), StatusCode::OK);
    shell.ask(post("/sign-out", "", Some(&second))).await;
    assert_eq!(shell.ask(get_as("/", &second)).await.status(), StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn guessing_is_refused_with_the_time_to_wait() {
    let shell = shell().await;
    for _ in 0..5 {
        shell.ask(post("/sign-in", "name=Ines&passphrase=a+wrong+one+it+is", None)).await;
    }
    let answer = shell.ask(post("/sign-in", "name=Ines&passphrase=copper+before+chrome", None)).await;
    assert_eq!(answer.status(), StatusCode::TOO_MANY_REQUESTS);
    assert!(answer.headers().contains_key(header::RETRY_AFTER));
}

#[tokio::test]
async fn a_pin_puts_another_person_at_the_tablet_and_revoking_signs_it_out() {
    let shell = bare().await;
    let manager = shell.make_shop().await;
    let new = "name=Juno&role=apprentice&passphrase=leave+a+pull+string&pin=9136";
    assert_eq!(shell.ask(post("/people", new, Some(&manager))).await.status(), StatusCode::SEE_OTHER);
    let taken = shell.ask(post("/people", new, Some(&manager))).await;
    assert_eq!(taken.status(), StatusCode::UNPROCESSABLE_ENTITY);
    assert!(text(taken).await.contains("aken by another person"));

    let wrong = shell.ask(post("/switch", "person=2&pin=9137&back=%2F", Some(&manager))).await;
    assert!(text(wrong).await.contains("not the PIN of that person"));
    let switched = shell.ask(post("/switch", "person=2&pin=9136&back=%2Fsign-ins", Some(&manager))).await;
    assert_eq!(switched.headers()[header::LOCATION], "/sign-ins");
    let juno = cookie(&switched);
    assert_eq!(shell.ask(get_as("/people", &juno)).await.status(), StatusCode::FORBIDDEN);
    assert_eq!(
        shell.ask(get_as("/", &manager)).await.status(),
        StatusCode::SEE_OTHER,
        "the old cookie is spent"
    );

    assert!(text(shell.ask(get_as("/sign-ins", &juno)).await).await.contains("this one"));
    let ended = shell.ask(post("/sign-ins/1/end", "", Some(&juno))).await;
    assert_eq!(ended.headers()[header::LOCATION], "/sign-in");
    assert_eq!(shell.ask(get_as("/", &juno)).await.status(), StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_stale_save_shows_both_and_loses_neither() {
    let shell = bare().await;
    let manager = shell.make_shop().await;
    let boat =
        "job.name=Rewire&job.rules=us&job.nominal_v=12&job.ambient_c=30&boat.name=Skua&boat.length_m=23";
    let made = shell.ask(post("/jobs", boat, Some(&manager))).await;
    assert_eq!(made.headers()[header::LOCATION], "/jobs/1");
    let theirs = format!("{}&version=1", boat.replace("Skua", "Great+Skua"));
    assert_eq!(
        shell.ask(post("/jobs/1/intake", &theirs, Some(&manager))).await.status(),
        StatusCode::SEE_OTHER
    );

    let mine = format!("{}&version=1", boat.replace("Skua", "Arctic+Skua"));
    let stale = shell.ask(post("/jobs/1/intake", &mine, Some(&manager))).await;
    assert_eq!(stale.status(), StatusCode::UNPROCESSABLE_ENTITY);
    let page = text(stale).await;
    assert!(page.contains("Arctic Skua") && page.contains("<dt>Theirs</dt><dd>Great Skua</dd>"), "{page}");
    assert!(page.contains(r#"name="version" value="2""#), "{page}");
    let mine = format!("{}&version=2", boat.replace("Skua", "Arctic+Skua"));
    assert_eq!(
        shell.ask(post("/jobs/1/intake", &mine, Some(&manager))).await.status(),
        StatusCode::SEE_OTHER
    );
}
