//! Jobs that are heavier than any boat: each of their pages is bounded, and they can be put aside and deleted.

use std::time::Duration;

use axum::http::{Method, StatusCode};
use driploop::job::file::JobFile;
use driploop::job::phase::Phase;
use driploop::shop::role::Role::Manager;
use driploop::web::routes;

use crate::hard_shapes::{row_of_feeders, wide};
use crate::shop::{Answer, CurrentUser, Shop};

/// The most that a page or a file of a heavy job may have, in bytes. The power-up test has three lists of 100 rows.
const MOST: usize = 2_500_000;

/// The page, after the job is checked.
async fn when_checked(user: &CurrentUser, path: &str) -> Answer {
    loop {
        let page = user.at(path).await;
        if page.status() != StatusCode::SERVICE_UNAVAILABLE {
            return page;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
}

/// The addresses of a job's pages, with a thing of the job in place of each brace.
fn pages() -> Vec<String> {
    let table = routes::table().into_iter();
    let of_job = table.filter(|route| route.method == Method::GET && route.path.starts_with("/jobs/{job}"));
    let mut pages: Vec<String> = of_job
        .map(|route| route.path.replace("{job}", "1"))
        // A stream without end; a photo, a board, a hold and a judgment that this job does not have.
        .filter(|path| {
            !["live", "photos", "boards/", "release", "judgment"].iter().any(|part| path.contains(part))
                || path.ends_with("/releases")
        })
        .collect();
    for phase in Phase::ALL {
        pages.push(format!("/jobs/1/phases/{phase}"));
    }
    pages.retain(|path| !path.contains("{phase}"));
    let things = [
        ("plan/locations/{id}", "stern"),
        ("plan/raceways/{id}", "tube"),
        ("plan/points/{id}", "block"),
        ("plan/devices/{id}", "d0-0"),
        ("plan/circuits/{id}", "C0000"),
        ("plan/feeders/{id}", "on"),
        ("circuits/{circuit}", "C0000"),
        ("feeders/{feeder}", "on"),
        ("wires/{conductor}", "C0000-3"),
    ];
    for page in &mut pages {
        for (path, id) in things {
            let brace = path.find('{').unwrap_or(path.len());
            *page = page.replace(path, &format!("{}{id}", &path[..brace]));
        }
        *page = page.replace("{side}", "a");
    }
    pages.retain(|path| !path.contains('{'));
    pages
}

#[tokio::test]
async fn every_page_of_a_heavy_job_is_bounded() {
    let job = JobFile::read(wide(400, 400).to_string().as_bytes()).unwrap();
    let shop = Shop::open(job).await;
    let user = shop.sign_in(Manager).await;
    let pages = pages();
    assert!(pages.len() > 50, "{pages:?}");
    for path in pages {
        let page = when_checked(&user, &path).await;
        assert_eq!(page.status(), StatusCode::OK, "{path}");
        assert!(page.text().len() < MOST, "{path} has {} bytes", page.text().len());
    }
}

#[tokio::test]
async fn each_thing_of_a_long_phase_is_on_one_of_its_pages() {
    let job = JobFile::read(wide(150, 1).to_string().as_bytes()).unwrap();
    let shop = Shop::open(job).await;
    let user = shop.sign_in(Manager).await;
    let first = when_checked(&user, "/jobs/1/phases/mounting").await;
    first.says(&["Rows 1 to 100 of 155", "/jobs/1/phases/mounting?page=2"]);
    first.lacks("step-device-d149-0-mount");
    let linked = user.page("/phases/mounting?step=device/d149-0/mount").await;
    linked.says(&["id=\"step-device-d149-0-mount\"", "Rows 101 to 155 of 155"]);
    // A refusal shows the page that has the step.
    let refused = user.tick("device/d149-0/mount", "done").await;
    refused.is(StatusCode::CONFLICT).says(&["Not marked.", "id=\"step-device-d149-0-mount\""]);
}

#[tokio::test]
async fn a_job_over_its_work_limit_is_a_line_on_the_floor_and_can_be_put_aside_and_deleted() {
    let job = JobFile::read(row_of_feeders(1_450).to_string().as_bytes()).unwrap();
    let shop = Shop::open(job).await;
    let user = shop.sign_in(Manager).await;
    let what = "Too much is joined in this plan for the route of every feeder. \
                Nothing that depends on it is checked. Divide the wiring.";
    let page = when_checked(&user, "/jobs/1").await;
    page.says(&[&format!("This plan is not checked completely. {what}")]);
    let line = format!("Not checked completely. {what}");
    while !user.at("/").await.is(StatusCode::OK).text().contains(&line) {
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    user.at("/").await.says(&["href=\"/jobs/1/state\""]);
    user.post("/state", &[("state", "put-aside")]).await.is(StatusCode::SEE_OTHER);
    user.post("/delete", &[("name", "Sandpiper")]).await.is(StatusCode::OK);
    user.page("").await.is(StatusCode::NOT_FOUND);
}
