//! Every route, asked by nobody and by somebody of each role.

use axum::http::{Method, StatusCode};
use driploop::job::file::JobFile;
use driploop::shop::role::Role;
use driploop::store::file;
use driploop::web::kit::guard::Least;
use driploop::web::routes::{self, Route};

use crate::shop::{Answer, Browser, JOB, Shop};
use crate::tls;

/// The table as it was decided. A route that is new, gone, or asks another role has to be written here too.
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
    let least = match route.least {
        Least::Anyone => "anyone",
        Least::AtLeast(role) => role.word(),
    };
    format!("{least:<10} {} {}", route.method, route.path)
}

#[tokio::test]
async fn every_route_lets_in_exactly_who_the_table_says() {
    let (shop, _, _keys) = tls::shop().await;
    let plan = file::export(&mut shop.store.read().await.unwrap(), JOB.into()).await.unwrap();
    for role in
        [None, Some(Role::Viewer), Some(Role::Apprentice), Some(Role::Technician), Some(Role::Manager)]
    {
        let mut browser = asking(&shop, role).await;
        for route in routes::table() {
            // Admitted, it answers for ten minutes: only who is refused is tried here.
            if route.path.ends_with("/live") && admits(route.least, role) {
                continue;
            }
            let path = filled(route.path, &plan);
            let before = shop.log_lines().await;
            let answer = shop.ask(browser.request(route.method.clone(), &path, &[])).await;
            let who = format!("{role:?}: {} {path}", route.method);
            if admits(route.least, role) {
                assert_admitted(&route, &answer, &who);
            } else {
                assert_refused(&route, role, &answer, &who);
                assert_eq!(shop.log_lines().await, before, "{who} was refused and changed something");
            }
            if route.path == "/sign-out" {
                browser = asking(&shop, role).await;
            }
        }
    }
}

#[tokio::test]
async fn asking_for_the_head_of_a_page_takes_the_same_role() {
    let shop = Shop::open().await;
    let plan = file::export(&mut shop.store.read().await.unwrap(), JOB.into()).await.unwrap();
    for route in routes::table() {
        if route.method == Method::GET && route.least != Least::Anyone {
            let path = filled(route.path, &plan);
            let answer = shop.ask(Browser::default().request(Method::HEAD, &path, &[])).await;
            assert!(!answer.status.is_success(), "HEAD {path}: {}", answer.status);
        }
    }
}

async fn asking(shop: &Shop, role: Option<Role>) -> Browser {
    match role {
        Some(role) => shop.sign_in(role).await,
        None => Browser::default(),
    }
}

fn admits(least: Least, role: Option<Role>) -> bool {
    match least {
        Least::Anyone => true,
        Least::AtLeast(least) => role.is_some_and(|role| role >= least),
    }
}

/// Admitted is answered by the handler: a page where one is asked for, and to an empty form whatever it makes of it.
fn assert_admitted(route: &Route, answer: &Answer, who: &str) {
    if route.method == Method::GET {
        let way_on =
            answer.status == StatusCode::SEE_OTHER && !answer.header("location").starts_with("/sign-in");
        assert!(answer.status == StatusCode::OK || way_on, "{who}: {}\n{}", answer.status, answer.text);
    } else {
        let kept_out = [StatusCode::UNAUTHORIZED, StatusCode::FORBIDDEN, StatusCode::METHOD_NOT_ALLOWED];
        assert!(!kept_out.contains(&answer.status), "{who}: {}\n{}", answer.status, answer.text);
        assert!(!answer.status.is_server_error(), "{who}: {}\n{}", answer.status, answer.text);
    }
}

fn assert_refused(route: &Route, role: Option<Role>, answer: &Answer, who: &str) {
    match role {
        Some(_) => assert_eq!(answer.status, StatusCode::FORBIDDEN, "{who}"),
        None if route.method == Method::GET => {
            assert_eq!(answer.status, StatusCode::SEE_OTHER, "{who}");
            assert!(
                answer.header("location").starts_with("/sign-in"),
                "{who}: {}",
                answer.header("location")
            );
        }
        None => assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{who}"),
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
