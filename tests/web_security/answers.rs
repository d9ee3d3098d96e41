//! What every answer carries, and what none of them tells.

use axum::body::Body;
use axum::http::{Method, Request, StatusCode, header};
use driploop::shop::role::Role;
use driploop::web::ServerSettings;
use http_body_util::StreamBody;

use crate::shop::{Answer, Browser, PEOPLE, Shop, mark};

fn https() -> ServerSettings {
    ServerSettings { secure: true, ..ServerSettings::default() }
}

/// One answer of each kind the program gives.
async fn every_kind(shop: &Shop) -> Vec<(StatusCode, Answer)> {
    let manager = shop.sign_in(Role::Manager).await;
    let viewer = shop.sign_in(Role::Viewer).await;
    let nobody = Browser::default();
    let forged = manager.clone().with("sec-fetch-site", "cross-site");
    let too_long = "a".repeat(300 * 1024);
    let mut answers = vec![
        (StatusCode::OK, shop.get(&manager, "/").await),
        (StatusCode::OK, shop.get(&nobody, "/static/0/driploop.css").await),
        (StatusCode::SEE_OTHER, shop.get(&nobody, "/people").await),
        (StatusCode::UNAUTHORIZED, shop.post(&nobody, "/people", &[]).await),
        (StatusCode::FORBIDDEN, shop.get(&viewer, "/people").await),
        (StatusCode::FORBIDDEN, shop.post(&forged, "/people", &[]).await),
        (StatusCode::NOT_FOUND, shop.get(&manager, "/nowhere").await),
        (StatusCode::NOT_FOUND, shop.get(&manager, "/jobs/77").await),
        (StatusCode::METHOD_NOT_ALLOWED, shop.get(&nobody, "/theme").await),
        (StatusCode::PAYLOAD_TOO_LARGE, shop.post(&nobody, "/theme", &[("theme", &too_long)]).await),
        (StatusCode::UNPROCESSABLE_ENTITY, shop.post(&manager, "/people", &[]).await),
    ];
    for _ in 0..5 {
        shop.try_sign_in(&nobody, "Ana Quill", "not her passphrase").await;
    }
    let waits = shop.try_sign_in(&nobody, "Ana Quill", "not her passphrase").await;
    answers.push((StatusCode::TOO_MANY_REQUESTS, waits));
    // Nothing breaks a program like a database that is gone.
    shop.store.close().await;
    answers.push((StatusCode::INTERNAL_SERVER_ERROR, shop.get(&manager, "/").await));
    answers
}

#[tokio::test]
async fn every_kind_of_answer_carries_the_headers() {
    let shop = Shop::set_up(https()).await;
    for (status, answer) in every_kind(&shop).await {
        assert_eq!(answer.status, status, "{}", answer.text);
        let policy = answer.header("content-security-policy");
        for part in [
            "default-src 'none'",
            "object-src 'none'",
            "base-uri 'none'",
            "frame-ancestors 'none'",
            "form-action 'self'",
        ] {
            assert!(policy.contains(part), "{status}: {policy}");
        }
        assert!(!policy.contains("unsafe") && !policy.contains('*'), "{status}: {policy}");
        assert_eq!(answer.header("x-content-type-options"), "nosniff", "{status}");
        assert_eq!(answer.header("x-frame-options"), "DENY", "{status}");
        assert_eq!(answer.header("referrer-policy"), "same-origin", "{status}");
        assert_eq!(answer.header("cross-origin-opener-policy"), "same-origin", "{status}");
        assert_eq!(answer.header("cross-origin-resource-policy"), "same-origin", "{status}");
        assert!(answer.header("permissions-policy").contains("camera=()"), "{status}");
        assert_eq!(answer.header("strict-transport-security"), "max-age=31536000", "{status}");
        assert!(!answer.header("cache-control").is_empty(), "{status}");
        assert!(!answer.header("x-request-id").is_empty(), "{status}");
        assert_eq!((answer.header("server"), answer.header("x-powered-by")), ("", ""), "{status}");
        assert_eq!(answer.header("access-control-allow-origin"), "", "{status}");
    }
}

#[tokio::test]
async fn no_refusal_tells_what_is_inside() {
    let shop = Shop::open().await;
    let folder = shop.folder().display().to_string();
    for (status, answer) in every_kind(&shop).await {
        let inside = [
            folder.as_str(),
            "sqlx",
            "sqlite",
            "SELECT",
            "panicked",
            "axum",
            ".rs:",
            "argon2",
            "driploop.db",
        ];
        for word in inside {
            let shown = !status.is_success() && answer.text.contains(word);
            assert!(!shown, "{status} tells of '{word}':\n{}", answer.text);
        }
        if status.is_server_error() {
            let number = answer.header("x-request-id");
            assert!(answer.text.contains(number), "the page has the number under which the log tells more");
        }
    }
}

#[tokio::test]
async fn without_https_no_browser_is_sent_to_it() {
    let shop = Shop::open().await;
    let answer = shop.get(&Browser::default(), "/sign-in").await;
    assert_eq!(answer.header("strict-transport-security"), "");
}

#[tokio::test]
async fn no_browser_keeps_what_was_made_for_one_person_and_no_tablet_what_only_the_manager_sees() {
    let shop = Shop::open().await;
    let manager = shop.sign_in(Role::Manager).await;
    assert_eq!(shop.get(&Browser::default(), "/sign-in").await.header("cache-control"), "private, no-cache");
    for path in ["/", "/jobs/1", "/jobs/1/photos/1", "/jobs/1/job.json", "/help", "/nowhere"] {
        assert_eq!(shop.get(&manager, path).await.header("cache-control"), "private, no-store", "{path}");
    }
    for path in ["/people", "/people/2", "/backups"] {
        let answer = shop.get(&manager, path).await;
        assert_eq!((answer.header("cache-control"), answer.header("x-user")), ("no-store", ""), "{path}");
    }
    let mark = format!("/shop/mark/{}", mark().hash());
    assert_eq!(shop.get(&manager, &mark).await.header("cache-control"), "private, no-store");
}

/// A body that breaks off: the connection ends before what was announced has come.
fn cut_off(browser: &Browser, path: &str, kind: &str, sent: &'static str) -> Request<Body> {
    let pieces = [Ok(sent), Err(std::io::Error::from(std::io::ErrorKind::UnexpectedEof))];
    let mut request = browser.request(Method::GET, path, &[]);
    *request.method_mut() = Method::POST;
    request.headers_mut().insert(header::CONTENT_TYPE, kind.parse().unwrap());
    *request.body_mut() = Body::from_stream(futures_util::stream::iter(pieces));
    request
}

#[tokio::test]
async fn a_body_that_breaks_off_is_a_bad_request_and_changes_nothing() {
    let shop = Shop::open().await;
    let manager = shop.sign_in(Role::Manager).await;
    let by_pin = shop.switch_to(Role::Technician).await;
    let file = "--edge\r\ncontent-disposition: form-data; name=\"photo\"; filename=\"a.jpg\"\r\n\r\nabc";
    let upload = "multipart/form-data; boundary=edge";
    let form = "application/x-www-form-urlencoded";
    let before = shop.log_lines().await;
    for (browser, path, kind, sent) in [
        (&Browser::default(), "/sign-in", form, "name=Ana+Quill&passphrase=copper+before+chr"),
        (&manager, "/shop", form, "name=Sli"),
        (&by_pin, "/jobs/1/ticks", form, "step=loc"),
        (&manager, "/jobs/1/photos", upload, file),
        (&manager, "/shop/mark", upload, file),
        (&manager, "/jobs/from-file", upload, file),
    ] {
        let answer = shop.ask(cut_off(browser, path, kind, sent)).await;
        assert_eq!(answer.status, StatusCode::BAD_REQUEST, "{path}: {}", answer.text);
        assert!(answer.text.contains("<h1"), "{path}: {}", answer.text);
    }
    assert_eq!(shop.log_lines().await, before);
}

#[tokio::test]
async fn too_long_a_form_of_somebody_who_came_by_pin_is_too_large_and_not_broken() {
    let shop = Shop::open().await;
    let by_pin = shop.switch_to(Role::Technician).await;
    let answer = shop.post(&by_pin, "/jobs/1/ticks", &[("step", &"a".repeat(300 * 1024))]).await;
    assert_eq!(answer.status, StatusCode::PAYLOAD_TOO_LARGE);
}

#[tokio::test]
async fn the_cookie_is_out_of_reach_of_scripts_and_other_sites() {
    for (setting, name) in [(ServerSettings::default(), "sign-in="), (https(), "__Host-sign-in=")] {
        let secure = setting.secure;
        let shop = Shop::set_up(setting).await;
        let (person, _, passphrase, _) = PEOPLE[0];
        let answer = shop.try_sign_in(&Browser::default(), person, passphrase).await;
        let cookie = answer.cookie();
        assert!(cookie.starts_with(name), "{cookie}");
        for part in ["; HttpOnly", "; SameSite=Lax", "; Path=/"] {
            assert!(cookie.contains(part), "{cookie}");
        }
        assert_eq!(cookie.contains("; Secure"), secure, "{cookie}");
        // Without a domain it goes to this host alone; without an age it goes when the browser is closed.
        assert!(!cookie.contains("Domain") && !cookie.contains("Max-Age"), "{cookie}");
        assert!(!answer.text.contains(&cookie[name.len()..name.len() + 64]), "the token is in no page");
    }
}

#[tokio::test]
async fn paths_lead_nowhere_but_where_the_table_says() {
    let shop = Shop::open().await;
    let manager = shop.sign_in(Role::Manager).await;
    for path in [
        "/static/0/../Cargo.toml",
        "/static/0/../../../../../etc/passwd",
        "/static/0/%2e%2e/%2e%2e/etc/passwd",
        "/static/0/..%2f..%2fetc%2fpasswd",
        "/static/0/..%5c..%5cCargo.toml",
        "/static/0//etc/passwd",
        "/static/0/driploop.css%00.png",
        "/static/..%2fdriploop.db",
        "/driploop.db",
        "/.git/config",
        "/backups/..%2f..%2fetc%2fpasswd",
        "/photos/..%2fdriploop.db",
    ] {
        let answer = shop.get(&manager, path).await;
        let refused = [StatusCode::NOT_FOUND, StatusCode::BAD_REQUEST, StatusCode::METHOD_NOT_ALLOWED];
        assert!(refused.contains(&answer.status), "{path}: {}", answer.status);
        assert!(!answer.text.contains("root:") && !answer.text.contains("[package]"), "{path}");
    }
    let proven = shop.post(&manager, "/backups/..%2f..%2fetc/prove", &[]).await;
    assert_eq!(proven.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn only_addresses_of_this_site_are_gone_on_to() {
    let shop = Shop::open().await;
    for away in ["https://elsewhere.test/", "//elsewhere.test/", "/\\elsewhere.test", "javascript:alert(1)"] {
        let answer = shop.post(&Browser::default(), "/theme", &[("theme", "dark"), ("back", away)]).await;
        assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/"), "{away}");
        let (name, _, passphrase, _) = PEOPLE[0];
        let fields = [("name", name), ("passphrase", passphrase), ("next", away)];
        let answer = shop.post(&Browser::default(), "/sign-in", &fields).await;
        assert_eq!((answer.status, answer.header("location")), (StatusCode::SEE_OTHER, "/"), "{away}");
    }
}

#[tokio::test]
async fn what_was_typed_is_shown_as_text() {
    let shop = Shop::open().await;
    let script = "<script>alert(1)</script>\"'";
    let answer = shop.try_sign_in(&Browser::default(), script, script).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(!answer.text.contains("<script>alert"), "{}", answer.text);
    assert!(
        answer.text.contains("&#60;script&#62;") || answer.text.contains("&lt;script&gt;"),
        "{}",
        answer.text
    );
}

#[tokio::test]
async fn a_page_says_whose_it_is_and_the_worker_keeps_only_what_is_the_programs() {
    let shop = Shop::open().await;
    let browser = shop.sign_in(Role::Viewer).await;
    let number = shop.get(&browser, "/").await.header("x-user").to_owned();
    assert!(number.parse::<i64>().is_ok(), "'{number}'");
    assert_eq!(shop.get(&Browser::default(), "/sign-in").await.header("x-user"), "");

    let worker = shop.get(&Browser::default(), "/worker.js").await;
    assert_eq!(worker.header("content-type"), "text/javascript; charset=utf-8");
    let files = worker.text.lines().find(|line| line.starts_with("const FILES = ")).unwrap();
    let files = files.trim_start_matches("const FILES = ").trim_end_matches(';');
    for name in serde_json::from_str::<Vec<String>>(files).unwrap() {
        assert_eq!(shop.get(&Browser::default(), &format!("/static/0/{name}")).await.status, 200, "{name}");
    }
}

#[tokio::test]
async fn a_passphrase_is_never_sent_back() {
    let shop = Shop::open().await;
    let secret = "never to be seen again";
    let answer = shop.try_sign_in(&Browser::default(), "Ana Quill", secret).await;
    assert!(!answer.text.contains(secret), "{}", answer.text);
    let manager = shop.sign_in(Role::Manager).await;
    let fields = [("name", ""), ("role", "viewer"), ("passphrase", secret), ("pin", "80808")];
    let answer = shop.post(&manager, "/people", &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(!answer.text.contains(secret) && !answer.text.contains("80808"), "{}", answer.text);
}

#[tokio::test]
async fn a_verb_nobody_answers_is_refused() {
    let shop = Shop::open().await;
    for verb in ["TRACE", "PUT", "DELETE", "PATCH", "OPTIONS", "BREW"] {
        let method = Method::from_bytes(verb.as_bytes()).unwrap();
        let answer = shop.ask(Browser::default().request(method, "/sign-in", &[])).await;
        assert!(answer.status.is_client_error(), "{verb}: {}", answer.status);
    }
}

#[tokio::test]
async fn a_body_without_a_stated_length_is_cut_off_at_the_same_limit() {
    let shop = Shop::open().await;
    let chunk = axum::body::Bytes::from(vec![b'a'; 64 * 1024]);
    let frames =
        (0..8).map(move |_| Ok::<_, std::convert::Infallible>(hyper::body::Frame::data(chunk.clone())));
    let request = Request::post("/theme")
        .header(header::HOST, "boats.test")
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
        .body(Body::new(StreamBody::new(futures_util::stream::iter(frames))))
        .unwrap();
    assert_eq!(shop.ask(request).await.status, StatusCode::PAYLOAD_TOO_LARGE);
}
