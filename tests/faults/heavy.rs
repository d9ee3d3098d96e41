//! Jobs of extreme shape: they hold up nobody, and they can be put aside and deleted while they are checked.

use std::time::Instant;

use crate::bystander::Bystander;
use crate::hard_shapes::SHAPES;
use crate::shop_server::{Browser, DEMO_OWNER, ShopServer};

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn heavy_jobs_hold_up_nobody_and_can_be_put_aside_and_deleted() {
    let data = tempfile::tempdir().expect("a folder");
    let server = ShopServer::start(data.path());
    let browser = Browser::sign_in(&server.address, DEMO_OWNER.0, DEMO_OWNER.1).await;
    let bystander = Bystander::begin(&server).await;
    let mut jobs = Vec::new();
    for shape in &SHAPES {
        let answer = browser
            .post_file(&server.address, "/jobs/from-file", &[], ("file", shape.text().as_bytes()))
            .await
            .expect("an answer");
        assert_eq!(answer.status(), 303, "{} is accepted", shape.name);
        let job = answer.headers()["location"].to_str().expect("an address").to_owned();
        let asked = Instant::now();
        let page = browser.get(&server.address, &job).await.expect("an answer");
        println!("{}: {} after {} ms", shape.name, page.status(), asked.elapsed().as_millis());
        assert!(page.status() == 200 || page.headers().contains_key("refresh"), "{}", page.status());
        jobs.push(job);
    }
    bystander.end(&server, "jobs of extreme shape").await;
    server.kill();

    let server = ShopServer::start(data.path());
    let bystander = Bystander::begin(&server).await;
    let asked = Instant::now();
    let floor = browser.get(&server.address, "/").await.expect("an answer");
    println!("after a new start the floor took {} ms", asked.elapsed().as_millis());
    assert_eq!(floor.status(), 200);
    for job in &jobs {
        let state = browser.get(&server.address, &format!("{job}/state")).await.expect("an answer");
        assert_eq!(state.status(), 200, "its state is shown without its check");
        let path = format!("{job}/state");
        let aside = browser.post(&server.address, &path, &[("state", "put-aside")]).await.expect("an answer");
        assert_eq!(aside.status(), 303);
        let path = format!("{job}/delete");
        let gone = browser.post(&server.address, &path, &[("name", "Sandpiper")]).await.expect("an answer");
        assert_eq!(gone.status(), 200, "it is deleted");
    }
    bystander.end(&server, "the same jobs after a new start, put aside and deleted").await;
}
