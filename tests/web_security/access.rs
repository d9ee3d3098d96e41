//! Who sees which boat, what a session begun by PIN may do, and what becomes of a job that is not open.

use std::time::Duration;

use axum::body::Body;
use axum::http::{Method, StatusCode};
use driploop::job::file::JobFile;
use driploop::shop::demo;
use driploop::shop::picture::Picture;
use driploop::shop::role::Role;
use driploop::store::{JobId, PhotoId, file, photos, sign_in};
use http_body_util::BodyExt;
use jiff::{SignedDuration, Timestamp};
use tokio::time::timeout;
use tower::ServiceExt;
use uuid::Uuid;

use crate::shop::{Answer, Browser, JOB, PEOPLE, Shop, actor, person};

/// A second boat, with a photo.
async fn second(shop: &Shop) -> (JobId, PhotoId) {
    let mut write = shop.store.write(&actor(), Timestamp::now()).await.unwrap();
    let job = file::import(&mut write, &demo::files().unwrap()[1]).await.unwrap();
    let picture = Picture { bytes: b"another picture".to_vec(), width: 4, height: 3 };
    let subject = "job/job".parse().unwrap();
    let photo = photos::add(&mut write, shop.store.folder(), job, &subject, &picture).await.unwrap();
    write.commit().await.unwrap();
    (job, photo)
}

async fn export(shop: &Shop, job: JobId) -> JobFile {
    file::export(&mut shop.store.read().await.unwrap(), job).await.unwrap()
}

/// Records something found on the first circuit: the work of an apprentice.
async fn found(shop: &Shop, browser: &Browser) -> Answer {
    let plan = export(shop, JOB.into()).await.plan;
    let (event, thing) = (Uuid::now_v7().to_string(), format!("circuit/{}", plan.circuits[0].id));
    let item = [("found", "strands cut"), ("severity", "note"), ("acts", "technician"), ("back", "/jobs/1")];
    let fields = [[("event", event.as_str()), ("thing", thing.as_str())].as_slice(), &item].concat();
    shop.post(browser, &format!("/jobs/{JOB}/open-items"), &fields).await
}

fn is_refused_for_the_passphrase(answer: &Answer) -> bool {
    answer.status == StatusCode::FORBIDDEN
        && answer.text.contains("This needs your passphrase")
        && answer.text.contains("action=\"/confirm\"")
}

#[tokio::test]
async fn a_viewer_sees_only_the_granted_boats() {
    let shop = Shop::open().await;
    let (other, photo) = second(&shop).await;
    let (granted, hidden) = (export(&shop, JOB.into()).await, export(&shop, other).await);
    let rae = shop.sign_in(Role::Viewer).await;
    let floor = shop.get(&rae, "/").await.text;
    assert!(floor.contains(granted.plan.boat.name.as_str()));
    assert!(!floor.contains(hidden.plan.boat.name.as_str()), "the floor");
    let of_job = |job: JobId, photo: i64| {
        [
            format!("/jobs/{job}"),
            format!("/jobs/{job}/log"),
            format!("/jobs/{job}/job.json"),
            format!("/jobs/{job}/photos/{photo}"),
            format!("/jobs/{job}/labels"),
            format!("/jobs/{job}/labels.pdf"),
            format!("/jobs/{job}/labels.csv"),
            format!("/jobs/{job}/wires?find=1"),
            format!("/jobs/{job}/report"),
        ]
    };
    for path in of_job(JOB.into(), 1) {
        assert_eq!(shop.get(&rae, &path).await.status, StatusCode::OK, "{path}");
    }
    for path in of_job(other, photo.number()).into_iter().chain([format!("/jobs/{other}/live")]) {
        let answer = shop.get(&rae, &path).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
        assert!(!answer.text.contains(hidden.plan.boat.name.as_str()), "{path}");
    }
    let borrowed = format!("/jobs/{JOB}/photos/{photo}");
    assert_eq!(
        shop.get(&rae, &borrowed).await.status,
        StatusCode::NOT_FOUND,
        "by the address of another boat"
    );

    let bo = shop.sign_in(Role::Apprentice).await;
    let floor = shop.get(&bo, "/").await.text;
    assert!(floor.contains(hidden.plan.boat.name.as_str()), "an apprentice sees every boat");
}

#[tokio::test]
async fn the_manager_grants_boats_on_the_page_of_a_viewer() {
    let shop = Shop::open().await;
    let (other, _) = second(&shop).await;
    let boat = export(&shop, other).await.plan.boat.name.to_string();
    let (ana, rae) = (shop.sign_in(Role::Manager).await, shop.sign_in(Role::Viewer).await);
    let page = format!("/people/{}", person(Role::Viewer));
    let before = shop.get(&ana, &page).await.text;
    assert!(before.contains("Boats that this viewer sees") && before.contains(&boat));
    let chosen = other.to_string();
    let granted = shop.post(&ana, &format!("{page}/jobs"), &[("job", &chosen)]).await;
    assert_eq!((granted.status, granted.header("location")), (StatusCode::SEE_OTHER, page.as_str()));
    assert_eq!(shop.get(&rae, &format!("/jobs/{other}")).await.status, StatusCode::OK);
    assert_eq!(shop.get(&rae, &format!("/jobs/{JOB}")).await.status, StatusCode::NOT_FOUND, "no longer");
    assert!(
        shop.get(&rae, &format!("/jobs/{other}/log"))
            .await
            .text
            .contains("granted this boat to Rae Sandling")
    );
    let log = shop.get(&ana, &format!("/jobs/{JOB}/log")).await.text;
    assert!(log.contains("ended the grant of this boat to Rae Sandling"));

    let none = shop.post(&ana, &format!("{page}/jobs"), &[]).await;
    assert_eq!(none.status, StatusCode::SEE_OTHER);
    assert!(shop.get(&rae, "/").await.text.contains("No boats to show"));

    let technician = format!("/people/{}", person(Role::Technician));
    assert!(!shop.get(&ana, &technician).await.text.contains("Boats that this viewer sees"));
    let refused = shop.post(&ana, &format!("{technician}/jobs"), &[("job", &chosen)]).await;
    assert_eq!(refused.status, StatusCode::CONFLICT);
    assert!(refused.text.contains("is a technician and sees every boat"), "{}", refused.text);
}

/// Opens the event stream of the first job.
async fn listen(shop: &Shop, browser: &Browser) -> Body {
    let request = browser.request(Method::GET, &format!("/jobs/{JOB}/live"), &[]);
    let response = shop.app.clone().oneshot(request).await.unwrap();
    assert_eq!(response.status(), StatusCode::OK);
    response.into_body()
}

#[tokio::test]
async fn an_event_stream_ends_with_its_grant() {
    let shop = Shop::open().await;
    let (rae, bo) = (shop.sign_in(Role::Viewer).await, shop.sign_in(Role::Apprentice).await);
    let mut stream = listen(&shop, &rae).await;
    assert_eq!(found(&shop, &bo).await.status, StatusCode::SEE_OTHER);
    let heard = timeout(Duration::from_secs(20), stream.frame()).await.unwrap().unwrap().unwrap();
    assert!(String::from_utf8_lossy(heard.data_ref().unwrap()).contains("changed"));
    shop.grant(&[]).await;
    assert_eq!(found(&shop, &bo).await.status, StatusCode::SEE_OTHER);
    let rest = timeout(Duration::from_secs(20), stream.collect()).await.unwrap().unwrap().to_bytes();
    assert!(!String::from_utf8_lossy(&rest).contains("changed"), "{rest:?}");
}

#[tokio::test]
async fn an_event_stream_ends_at_once_with_its_sign_in() {
    let shop = Shop::open().await;
    let ana = shop.sign_in(Role::Manager).await;
    for end in ["sign-out", "switch", "from afar"] {
        let tess = shop.sign_in(Role::Technician).await;
        let stream = listen(&shop, &tess).await;
        let others = listen(&shop, &ana).await;
        let answer = match end {
            "sign-out" => shop.post(&tess, "/sign-out", &[]).await,
            "switch" => {
                shop.post(&tess, "/switch", &[("person", "3"), ("pin", PEOPLE[2].3), ("back", "/")]).await
            }
            _ => {
                let mut read = shop.store.read().await.unwrap();
                let of = Some(person(Role::Technician));
                let device = sign_in::devices(&mut read, of, Timestamp::now()).await.unwrap().remove(0);
                drop(read);
                shop.post(&ana, &format!("/sign-ins/{}/end", device.id), &[]).await
            }
        };
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{end}: {}", answer.text);
        // Less than the time between two signs of life.
        timeout(Duration::from_secs(12), stream.collect()).await.expect(end).unwrap();
        let mut others = others;
        assert_eq!(found(&shop, &ana).await.status, StatusCode::SEE_OTHER);
        let heard = timeout(Duration::from_secs(12), async {
            while let Some(frame) = others.frame().await {
                if String::from_utf8_lossy(frame.unwrap().data_ref().unwrap()).contains("changed") {
                    return true;
                }
            }
            false
        });
        assert!(heard.await.unwrap(), "{end}: another person's stream goes on");
    }
}

#[tokio::test]
async fn a_page_left_open_does_not_keep_a_sign_in_alive() {
    let shop = Shop::open().await;
    let bo = shop.sign_in(Role::Apprentice).await;
    let token = bo.cookie.as_ref().unwrap().split_once('=').unwrap().1.parse().unwrap();
    let later = Timestamp::now() + SignedDuration::from_hours(11);
    assert!(sign_in::look_up(&shop.store, &token, later).await.unwrap().is_some());
    let after = Timestamp::now() + SignedDuration::from_hours(13);
    assert!(sign_in::find(&shop.store, &token, after).await.unwrap().is_none(), "looking was no use of it");
}

#[tokio::test]
async fn a_session_begun_by_pin_needs_the_passphrase_for_a_managers_acts() {
    let shop = Shop::open().await;
    shop.sign_in(Role::Technician).await;
    let mut ana = shop.switch_to(Role::Manager).await;
    let people = shop.get(&ana, "/people").await;
    assert_eq!(people.status, StatusCode::OK, "looking is possible");
    assert!(people.text.contains("You switched to this tablet with a PIN"));
    assert_eq!(found(&shop, &ana).await.status, StatusCode::SEE_OTHER, "and work");
    let released = shop.post(&ana, &format!("/jobs/{JOB}/releases"), &[]).await;
    assert!(is_refused_for_the_passphrase(&released), "{}", released.text);

    let from = ana.clone().with("referer", "http://boats.test/people/2?page=1");
    let pin = [("version", "1"), ("name", "Tess Marlin"), ("role", "technician"), ("pin", "8052")];
    let before = shop.log_lines().await;
    let refused = shop.post(&from, "/people/2", &pin).await;
    assert!(is_refused_for_the_passphrase(&refused), "{}", refused.text);
    assert!(refused.text.contains("name=\"back\" value=\"/people/2?page=1\""), "{}", refused.text);
    assert_eq!(shop.log_lines().await, before);

    let others =
        sign_in::devices(&mut shop.store.read().await.unwrap(), None, Timestamp::now()).await.unwrap();
    let other = others.iter().find(|device| device.person == person(Role::Technician)).unwrap();
    let refused = shop.post(&ana, &format!("/sign-ins/{}/end", other.id), &[]).await;
    assert!(is_refused_for_the_passphrase(&refused), "{}", refused.text);

    let give = |passphrase: &'static str| [("passphrase", passphrase), ("back", "/people/2")];
    let wrong = shop.post(&ana, "/confirm", &give(PEOPLE[2].2)).await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY, "of who signed the tablet in");
    assert!(wrong.text.contains("This is not your passphrase."));
    let right = shop.post(&ana, "/confirm", &give(PEOPLE[0].2)).await;
    assert_eq!((right.status, right.header("location")), (StatusCode::SEE_OTHER, "/people/2"));
    ana.take_cookie(&right);
    assert!(!shop.get(&ana, "/people").await.text.contains("You switched to this tablet with a PIN"));
    assert_eq!(shop.post(&ana, "/people/2", &pin).await.status, StatusCode::SEE_OTHER);

    let fields = [("person", "1"), ("pin", PEOPLE[0].3), ("back", "/")];
    let again = shop.post(&ana, "/switch", &fields).await;
    ana.take_cookie(&again);
    assert!(is_refused_for_the_passphrase(&shop.post(&ana, "/backups", &[]).await), "until the next switch");
}

#[tokio::test]
async fn a_session_begun_by_pin_sets_no_passphrase_without_the_old_one() {
    let shop = Shop::open().await;
    let bo = shop.switch_to(Role::Apprentice).await;
    let new = "strip it to the stringers";
    for old in ["", PEOPLE[1].2, new] {
        let fields = [("old", old), ("passphrase", new), ("passphrase_again", new)];
        let refused = shop.post(&bo, "/passphrase", &fields).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{old}");
    }
    let still = shop.try_sign_in(&Browser::default(), PEOPLE[2].0, PEOPLE[2].2).await;
    assert_eq!(still.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn a_manager_resets_the_passphrase_of_others_and_not_the_own_one() {
    let shop = Shop::open().await;
    let (ana, bo) = (shop.sign_in(Role::Manager).await, shop.sign_in(Role::Apprentice).await);
    let new = "strip it to the stringers";
    let own = [("version", "1"), ("name", "Ana Quill"), ("role", "manager"), ("passphrase", new)];
    let refused = shop.post(&ana, "/people/1", &own).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("Change your own passphrase on its page. It needs the current one."));
    assert!(!shop.get(&ana, "/people/1").await.text.contains("name=\"passphrase\""), "no field for it");

    let others = [("version", "1"), ("name", "Bo Fenwick"), ("role", "apprentice"), ("passphrase", new)];
    assert_eq!(shop.post(&ana, "/people/3", &others).await.status, StatusCode::SEE_OTHER);
    assert_ne!(shop.get(&bo, "/").await.status, StatusCode::OK, "his sign-ins end");
    assert_eq!(shop.get(&ana, "/").await.status, StatusCode::OK);
    let again = shop.try_sign_in(&Browser::default(), "Bo Fenwick", new).await;
    assert_eq!(again.status, StatusCode::SEE_OTHER);
    let log = shop.get(&ana, "/log").await.text;
    assert!(log.contains("reset the passphrase of Bo Fenwick"), "{log}");
}

#[tokio::test]
async fn a_job_that_is_not_open_refuses_work_with_the_reason_and_can_be_reopened() {
    let shop = Shop::open().await;
    let boat = export(&shop, JOB.into()).await.plan.boat.name.to_string();
    let (ana, bo) = (shop.sign_in(Role::Manager).await, shop.sign_in(Role::Apprentice).await);
    let tess = shop.sign_in(Role::Technician).await;
    let overview = shop.get(&tess, &format!("/jobs/{JOB}")).await.text;
    assert!(overview.contains("/intake\">Edit</a>") && !overview.contains("Reopen it first"));
    for (state, text, listed) in
        [("closed", "closed", "Closed: 1"), ("put-aside", "put aside", "Put aside: 1")]
    {
        let page = format!("/jobs/{JOB}/state");
        let changed = shop.post(&ana, &page, &[("state", state)]).await;
        assert_eq!(changed.status, StatusCode::SEE_OTHER, "{}", changed.text);
        let reason = format!("This job is {text}. Reopen it first.");
        let refused = found(&shop, &bo).await;
        assert_eq!(refused.status, StatusCode::CONFLICT);
        assert!(refused.text.contains(&reason), "{}", refused.text);
        let blank = shop.get(&tess, &format!("/jobs/{JOB}/plan/new/location")).await;
        assert_eq!(blank.status, StatusCode::CONFLICT, "a form that could not be saved");
        let floor = shop.get(&bo, "/").await.text;
        assert!(floor.contains(listed) && floor.contains(&boat) && floor.contains("0 boats in the shop."));
        let overview = shop.get(&tess, &format!("/jobs/{JOB}")).await;
        assert_eq!(overview.status, StatusCode::OK, "it can be read");
        assert!(overview.text.contains(&reason), "{}", overview.text);
        assert!(!overview.text.contains("/intake\">Edit</a>"), "no button for what is refused");
        assert_eq!(shop.post(&tess, &page, &[("state", "open")]).await.status, StatusCode::FORBIDDEN);
    }
    let reopened = shop.post(&ana, &format!("/jobs/{JOB}/state"), &[("state", "open")]).await;
    assert_eq!(reopened.status, StatusCode::SEE_OTHER);
    assert_eq!(found(&shop, &bo).await.status, StatusCode::SEE_OTHER);
    let log = shop.get(&ana, &format!("/jobs/{JOB}/log")).await.text;
    for said in ["closed job 1", "put aside job 1", "reopened job 1"] {
        assert!(log.contains(said), "{said}");
    }
}

#[tokio::test]
async fn a_deleted_job_is_gone_and_its_job_file_is_kept() {
    let shop = Shop::open().await;
    let whole = export(&shop, JOB.into()).await;
    let ana = shop.sign_in(Role::Manager).await;
    let delete = format!("/jobs/{JOB}/delete");
    for typed in ["", "some other boat"] {
        let refused = shop.post(&ana, &delete, &[("name", typed)]).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
        assert!(refused.text.contains("Not deleted"), "{}", refused.text);
    }
    assert_eq!(shop.get(&ana, &format!("/jobs/{JOB}")).await.status, StatusCode::OK);
    let gone = shop.post(&ana, &delete, &[("name", whole.plan.boat.name.as_str())]).await;
    assert_eq!(gone.status, StatusCode::OK, "{}", gone.text);
    assert_eq!(shop.get(&ana, &format!("/jobs/{JOB}")).await.status, StatusCode::NOT_FOUND);
    let kept: Vec<_> = std::fs::read_dir(shop.store.folder().deleted()).unwrap().collect();
    let [Ok(kept)] = kept.as_slice() else { panic!("{kept:?}") };
    assert!(gone.text.contains(&kept.path().display().to_string()), "{}", gone.text);
    let file = std::fs::read(kept.path().join("job.json")).unwrap();
    assert_eq!(JobFile::read(&file).unwrap(), whole);
    assert_eq!(std::fs::read(kept.path().join("photo-1.jpg")).unwrap(), b"a picture");
    let log = shop.get(&ana, "/log").await.text;
    assert!(log.contains("removed job 1") && log.contains(&*kept.file_name().to_string_lossy()), "{log}");
}

#[tokio::test]
async fn the_settings_of_the_shop_change_its_papers_and_its_clock() {
    let shop = Shop::open().await;
    let ana = shop.sign_in(Role::Manager).await;
    let page = shop.get(&ana, "/shop").await.text;
    assert!(page.contains("Slip Number Nine") && page.contains("Europe/Oslo"));
    let settings = |zone: &'static str| {
        [
            ("version", "1"),
            ("name", "Slip Number Ten"),
            ("address", "3 Slip Road\nAlder Cove"),
            ("phone", "+64 555 0100"),
            ("units", "us"),
            ("time_zone", zone),
            ("currency", "NZD"),
        ]
    };
    let refused = shop.post(&ana, "/shop", &settings("Harbour")).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("a time zone by its IANA name"));
    let saved = shop.post(&ana, "/shop", &settings("Pacific/Auckland")).await;
    assert_eq!(saved.status, StatusCode::SEE_OTHER, "{}", saved.text);
    let stale = shop.post(&ana, "/shop", &settings("Pacific/Auckland")).await;
    assert_eq!(stale.status, StatusCode::UNPROCESSABLE_ENTITY, "somebody else saved meanwhile");

    let report = shop.get(&ana, &format!("/jobs/{JOB}/report")).await.text;
    for shown in ["Slip Number Ten", "3 Slip Road<br>Alder Cove", "+64 555 0100", "/shop/mark/"] {
        assert!(report.contains(shown), "{shown}");
    }
    let here = Timestamp::now().in_tz("Pacific/Auckland").unwrap();
    assert!(report.contains(&here.date().to_string()), "the date of the report");
    let log = shop.get(&ana, "/log").await.text;
    assert!(log.contains("changed the settings of the shop"));
    assert!(log.contains(&here.strftime("%Y-%m-%d %H:").to_string()), "the hour in the zone of the shop");
}
