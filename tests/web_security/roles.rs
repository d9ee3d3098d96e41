//! Every route, requested by nobody and by somebody of each role, with and without a grant, by passphrase and by PIN.

use axum::http::{Method, StatusCode};
use driploop::job::file::JobFile;
use driploop::shop::access::Proof;
use driploop::shop::role::{Permission, Role};
use driploop::store::file;
use driploop::web::kit::guard::Needs;
use driploop::web::routes::{self, Route};

use crate::shop::{Answer, Browser, JOB, Shop, mark};
use crate::tls;

/// The table as it was decided. A route that is new, gone, or needs something else has to be written here too.
const DECIDED: &str = include_str!("routes.txt");

#[test]
fn every_route_and_its_least_role_was_decided() {
    let table: Vec<String> = routes::table().iter().map(line).collect();
    let decided: Vec<&str> =
        DECIDED.lines().filter(|line| !line.is_empty() && !line.starts_with('#')).collect();
    for line in &table {
        assert!(decided.contains(&line.as_str()), "nobody decided who may: {line}");
    }
    for line in &decided {
        assert!(table.iter().any(|known| known == line), "decided, and no such route: {line}");
    }
    assert_eq!(table.len(), decided.len(), "a route is there twice");
}

fn line(route: &Route) -> String {
    let least = match route.needs {
        Needs::Anyone => "anyone",
        Needs::May(action) => action.least().word(),
    };
    let passphrase = if needs_passphrase(route) { " passphrase" } else { "" };
    format!("{least:<10} {} {}{passphrase}", route.method, route.path)
}

fn needs_passphrase(route: &Route) -> bool {
    route.method == Method::POST && matches!(route.needs, Needs::May(action) if action.needs_passphrase())
}

/// Somebody who tries every route.
#[derive(Debug, Clone, Copy)]
struct Asker {
    /// The role; `None` for nobody.
    role: Option<Role>,
    proof: Proof,
    /// Whether the job is granted to the viewer.
    granted: bool,
}

/// What an asker is answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Expected {
    Admitted,
    SignInFirst,
    NoSuchJob,
    Role,
    Passphrase,
}

const ASKERS: [Asker; 9] = [
    Asker { role: None, proof: Proof::Passphrase, granted: false },
    Asker { role: Some(Role::Viewer), proof: Proof::Passphrase, granted: false },
    Asker { role: Some(Role::Viewer), proof: Proof::Pin, granted: false },
    Asker { role: Some(Role::Viewer), proof: Proof::Passphrase, granted: true },
    Asker { role: Some(Role::Apprentice), proof: Proof::Passphrase, granted: false },
    Asker { role: Some(Role::Technician), proof: Proof::Passphrase, granted: false },
    Asker { role: Some(Role::Technician), proof: Proof::Pin, granted: false },
    Asker { role: Some(Role::Manager), proof: Proof::Passphrase, granted: false },
    Asker { role: Some(Role::Manager), proof: Proof::Pin, granted: false },
];

#[tokio::test]
async fn every_route_admits_exactly_who_the_table_says() {
    let (shop, _, _keys) = tls::shop().await;
    let plan = file::export(&mut shop.store.read().await.unwrap(), JOB.into()).await.unwrap();
    for asker in ASKERS {
        shop.grant(if asker.granted { &[JOB] } else { &[] }).await;
        let mut browser = asking(&shop, asker).await;
        for route in routes::table() {
            let expected = expected(&route, asker);
            // Admitted, it answers for ten minutes: only who is refused is tried here.
            if route.path.ends_with("/live") && expected == Expected::Admitted {
                continue;
            }
            let path = filled(route.path, &plan);
            let before = shop.log_lines().await;
            let answer = shop.ask(browser.request(route.method.clone(), &path, &[])).await;
            let who = format!("{asker:?}: {} {path}", route.method);
            if expected == Expected::Admitted {
                assert_admitted(&route, &answer, &who);
            } else {
                assert_refused(&route, expected, &answer, &who);
                assert_eq!(shop.log_lines().await, before, "{who} was refused and changed something");
            }
            if expected == Expected::NoSuchJob {
                let other = filled(&route.path.replace("{job}", "999"), &plan);
                let missing = shop.ask(browser.request(route.method.clone(), &other, &[])).await;
                let same = |text: &str| text.replace("/jobs/999", "/jobs/1").replace("%2F999", "%2F1");
                assert_eq!(missing.status, answer.status, "{who}");
                assert_eq!(same(&missing.text), same(&answer.text), "{who}: as a job that does not exist");
            }
            if route.path == "/sign-out" {
                browser = asking(&shop, asker).await;
            }
        }
    }
}

#[tokio::test]
async fn the_head_of_a_page_needs_the_same_role() {
    let shop = Shop::open().await;
    let plan = file::export(&mut shop.store.read().await.unwrap(), JOB.into()).await.unwrap();
    shop.grant(&[]).await;
    let viewer = shop.sign_in(Role::Viewer).await;
    for route in routes::table() {
        if route.method == Method::GET && route.needs != Needs::Anyone {
            let path = filled(route.path, &plan);
            let answer = shop.ask(Browser::default().request(Method::HEAD, &path, &[])).await;
            assert!(!answer.status.is_success(), "HEAD {path}: {}", answer.status);
            if route.path.contains("{job}") {
                let answer = shop.ask(viewer.request(Method::HEAD, &path, &[])).await;
                assert_eq!(answer.status, StatusCode::NOT_FOUND, "HEAD {path}");
            }
        }
    }
}

async fn asking(shop: &Shop, asker: Asker) -> Browser {
    match (asker.role, asker.proof) {
        (None, _) => Browser::default(),
        (Some(role), Proof::Passphrase) => shop.sign_in(role).await,
        (Some(role), Proof::Pin) => shop.switch_to(role).await,
    }
}

fn expected(route: &Route, asker: Asker) -> Expected {
    let Needs::May(action) = route.needs else { return Expected::Admitted };
    let Some(role) = asker.role else { return Expected::SignInFirst };
    if route.path.contains("{job}") && role == Role::Viewer && !asker.granted {
        Expected::NoSuchJob
    } else if role < action.least() {
        Expected::Role
    } else if asker.proof == Proof::Pin && needs_passphrase(route) {
        Expected::Passphrase
    } else {
        Expected::Admitted
    }
}

/// Admitted is answered by the handler: a page for a GET, and any answer but a refusal for an empty form.
fn assert_admitted(route: &Route, answer: &Answer, who: &str) {
    if route.method == Method::GET {
        let goes_on =
            answer.status == StatusCode::SEE_OTHER && !answer.header("location").starts_with("/sign-in");
        assert!(answer.status == StatusCode::OK || goes_on, "{who}: {}\n{}", answer.status, answer.text);
    } else {
        let kept_out = [StatusCode::UNAUTHORIZED, StatusCode::FORBIDDEN, StatusCode::METHOD_NOT_ALLOWED];
        assert!(!kept_out.contains(&answer.status), "{who}: {}\n{}", answer.status, answer.text);
        assert!(!answer.status.is_server_error(), "{who}: {}\n{}", answer.status, answer.text);
    }
}

fn assert_refused(route: &Route, expected: Expected, answer: &Answer, who: &str) {
    let asks_passphrase = answer.text.contains("action=\"/confirm\"");
    match expected {
        Expected::Admitted => panic!("{who}: is not refused"),
        Expected::NoSuchJob => assert_eq!(answer.status, StatusCode::NOT_FOUND, "{who}"),
        Expected::Role => {
            assert_eq!((answer.status, asks_passphrase), (StatusCode::FORBIDDEN, false), "{who}");
        }
        Expected::Passphrase => {
            assert_eq!((answer.status, asks_passphrase), (StatusCode::FORBIDDEN, true), "{who}");
        }
        Expected::SignInFirst if route.method == Method::GET => {
            assert_eq!(answer.status, StatusCode::SEE_OTHER, "{who}");
            assert!(
                answer.header("location").starts_with("/sign-in"),
                "{who}: {}",
                answer.header("location")
            );
        }
        Expected::SignInFirst => assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{who}"),
    }
}

#[test]
fn every_action_is_needed_by_a_route_or_asked_by_a_handler() {
    let in_handlers = [Permission::Price];
    for action in Permission::ALL {
        let routed = routes::table().iter().any(|route| route.needs == Needs::May(action));
        assert!(routed != in_handlers.contains(&action), "{action:?}");
    }
}

/// The address with something of the shop's in place of each parameter.
pub fn filled(path: &str, job: &JobFile) -> String {
    let plan = &job.plan;
    let mut filled = Vec::new();
    let mut kind = "";
    for part in path.split('/') {
        let value = match part {
            "{job}" => JOB.to_string(),
            "{person}" => "2".to_owned(),
            "{sign_in}" => "999".to_owned(),
            "{hash}" => "0".to_owned(),
            "{mark}" => mark().hash(),
            "{*name}" => "driploop.css".to_owned(),
            "{phase}" => "runs".to_owned(),
            "{page}" => "start".to_owned(),
            // One is there to be looked at; it is not to be gone when the next role looks.
            "{photo}" => if path.ends_with("/remove") { "999" } else { "1" }.to_owned(),
            "{backup}" => "driploop-20260225T061320Z".to_owned(),
            "{circuit}" => plan.circuits[0].id.to_string(),
            "{conductor}" => format!("{}-1", plan.circuits[0].id),
            "{side}" => "a".to_owned(),
            "{board}" => plan.boards[0].id.to_string(),
            "{line}" => "999999".to_owned(),
            "{paper}" => "a4".to_owned(),
            "{feeder}" => plan.feeders[0].id.to_string(),
            "{id}" => match kind {
                "locations" => plan.locations[0].id.to_string(),
                "raceways" => plan.raceways[0].id.to_string(),
                "points" => plan.points[0].id.to_string(),
                "devices" => plan.devices[0].id.to_string(),
                "circuits" => plan.circuits[0].id.to_string(),
                "feeders" => plan.feeders[0].id.to_string(),
                "modes" => plan.modes[0].id.to_string(),
                "removed" => plan.removed[0].id.to_string(),
                "boards" => plan.boards[0].id.to_string(),
                other => panic!("{path}: this test does not know an id of {other}"),
            },
            parameter if parameter.starts_with('{') => panic!("{path}: this test does not know {parameter}"),
            plain => plain.to_owned(),
        };
        kind = part;
        filled.push(value);
    }
    filled.join("/")
}
