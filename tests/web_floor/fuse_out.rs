//! The record that a fuse is out, and the way from an open item to the step that closes it.

use axum::http::StatusCode;
use driploop::job::file::JobFile;
use driploop::job::phase::Phase;
use driploop::shop::role::Role::Apprentice;

use crate::shop::{Shop, done_before, job};

#[tokio::test]
async fn a_fuse_is_recorded_as_out_for_every_circuit_and_every_feeder_with_a_fuse() {
    let job = job();
    let shop = Shop::open(JobFile { history: done_before(&job.plan, Phase::PowerUpTest), ..job }).await;
    let bo = shop.sign_in(Apprentice).await;
    let page = bo.page("/phases/power-up-test").await;
    assert_eq!(page.count("Fuse not recorded as out"), 3, "two circuits and the positive feeder");
    page.lacks("state-step-feeder-F2-fuse-out");
    for step in ["circuit/C01/fuse-out", "feeder/F1/fuse-out"] {
        bo.tick(step, "done").await.is(StatusCode::SEE_OTHER);
    }
    let page = bo.page("/phases/power-up-test").await;
    assert_eq!(page.count("Fuse recorded as out"), 2);
    assert_eq!(page.count("Fuse not recorded as out"), 1);
    bo.tick("circuit/C01/fuse-out", "undone").await.is(StatusCode::SEE_OTHER);
    assert_eq!(bo.page("/phases/power-up-test").await.count("Fuse recorded as out"), 1);
}

#[tokio::test]
async fn a_boat_that_is_not_isolated_leads_to_the_step_that_isolates_it() {
    let shop = Shop::open(job()).await;
    let bo = shop.sign_in(Apprentice).await;
    bo.page("/phases/strip-out").await.says(&[
        "The boat is not isolated",
        "href=\"/jobs/1/phases/strip-out?step=job/job/isolate#step-job-job-isolate\"",
        "id=\"step-job-job-isolate\"",
    ]);
}
