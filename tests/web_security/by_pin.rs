//! What a session begun by PIN leads to: looking and work at once, everything that signs or accepts after the
//! passphrase, which is asked for once. The act that needed it goes on, and nothing is typed twice.

use axum::http::{Method, StatusCode};
use driploop::job::checked::Checked;
use driploop::job::event::{History, Mark};
use driploop::job::step::StepKey;
use driploop::job::work::{Verdicts, Who, Work};
use driploop::shop::role::Role;
use driploop::store::{file, people, sign_in};
use jiff::Timestamp;
use uuid::Uuid;

use crate::shop::{Answer, Browser, JOB, PEOPLE, Shop, person};

const MANAGER: &str = PEOPLE[0].2;
const TECHNICIAN: &str = PEOPLE[1].2;

async fn history(shop: &Shop) -> History {
    file::export(&mut shop.store.read().await.unwrap(), JOB.into()).await.unwrap().history
}

/// What the status of the boat's work says.
async fn work<T>(shop: &Shop, ask: impl FnOnce(&Work<'_>) -> T) -> T {
    let mut job = file::export(&mut shop.store.read().await.unwrap(), JOB.into()).await.unwrap();
    job.history.all_imported();
    let checked = Checked::of(job.plan);
    let verdicts = Verdicts::of(&checked, &job.history);
    ask(&Work::of(&checked, &job.history, &verdicts))
}

/// An open step that this person may waive.
async fn to_waive(shop: &Shop, by: Who) -> StepKey {
    work(shop, |work| {
        let mut steps = work.steps().all().iter().map(|step| &step.key);
        let may = |key: &&StepKey| {
            Work::waiver_by(key.action) == by
                && work.may(key, Mark::NotNeeded, by, "Somebody").is_ok()
                && !work.state(key).is_closed()
        };
        steps.find(may).unwrap().clone()
    })
    .await
}

/// A step with an open item that a technician may release.
async fn to_release(shop: &Shop) -> (StepKey, String) {
    work(shop, |work| {
        let held = work.steps().all().iter().flat_map(|step| {
            let holds = work.on_hold(&step.key).into_iter();
            holds
                .filter(|hold| hold.can_be_released() && hold.by == Who::Technician)
                .map(|hold| (step.key.clone(), hold))
        });
        let (key, hold) = held.into_iter().next().unwrap();
        (key, hold.obstacle.key().unwrap())
    })
    .await
}

async fn waive(shop: &Shop, browser: &Browser, step: &StepKey, reason: &str) -> Answer {
    let (event, step) = (Uuid::now_v7().to_string(), step.to_string());
    let fields = [
        ("event", &*event),
        ("step", &*step),
        ("mark", "not-needed"),
        ("reason", reason),
        ("back", "/jobs/1?after"),
    ];
    shop.post(browser, &format!("/jobs/{JOB}/ticks"), &fields).await
}

/// The id of the act that waits, as the form for the passphrase has it.
#[track_caller]
fn act(refused: &Answer) -> String {
    assert_eq!(refused.status, StatusCode::FORBIDDEN, "{}", refused.text);
    assert!(refused.text.contains("action=\"/confirm\""), "{}", refused.text);
    let rest =
        refused.text.split_once("name=\"act\" value=\"").unwrap_or_else(|| panic!("{}", refused.text)).1;
    rest.split_once('"').unwrap().0.to_owned()
}

async fn give(shop: &Shop, browser: &Browser, act: &str, passphrase: &str) -> Answer {
    shop.post(browser, "/confirm", &[("passphrase", passphrase), ("act", act), ("back", "/shop")]).await
}

#[tokio::test]
async fn an_act_that_needs_the_passphrase_goes_on_when_it_is_given() {
    let shop = Shop::open().await;
    let mut ana = shop.switch_to(Role::Manager).await;
    let step = to_waive(&shop, Who::Manager).await;
    let (before, lines) = (history(&shop).await.ticks.len(), shop.log_lines().await);
    let refused = waive(&shop, &ana, &step, "The customer keeps the old pump").await;
    let id = act(&refused);
    assert!(!refused.text.contains("The customer keeps the old pump"), "no page has what was sent");
    assert_eq!(shop.log_lines().await, lines, "nothing is changed yet");

    let wrong = give(&shop, &ana, &id, "copper before crime").await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(wrong.text.contains(&format!("name=\"act\" value=\"{id}\"")), "it still waits: {}", wrong.text);
    let went_on = give(&shop, &ana, &id, MANAGER).await;
    assert_eq!(
        (went_on.status, went_on.header("location")),
        (StatusCode::SEE_OTHER, "/jobs/1?after"),
        "{}",
        went_on.text
    );
    ana.take_cookie(&went_on);
    let ticks = history(&shop).await.ticks;
    assert_eq!(ticks.len(), before + 1);
    let last = ticks.iter().find(|tick| tick.step == step && tick.mark == Mark::NotNeeded).unwrap();
    assert_eq!(last.reason.as_ref().unwrap().as_str(), "The customer keeps the old pump");
    assert_eq!(last.by.as_str(), PEOPLE[0].0);

    let next = to_waive(&shop, Who::Manager).await;
    let done = waive(&shop, &ana, &next, "Nor the old lamp").await;
    assert_eq!(done.status, StatusCode::SEE_OTHER, "it is asked for once: {}", done.text);
    let again = give(&shop, &ana, &id, MANAGER).await;
    assert_eq!(again.status, StatusCode::CONFLICT, "an act goes on once");
    assert!(again.text.contains("Go back and send it again."), "{}", again.text);
    ana.take_cookie(&again);
    assert_eq!(history(&shop).await.ticks.len(), before + 2);
    assert_eq!(shop.get(&ana, "/people").await.status, StatusCode::OK, "the new cookie counts all the same");
}

#[tokio::test]
async fn a_release_and_a_technicians_waiver_go_on_too() {
    let shop = Shop::open().await;
    let mut tess = shop.switch_to(Role::Technician).await;
    let (step, obstacle) = to_release(&shop).await;
    let (event, key) = (Uuid::now_v7().to_string(), step.to_string());
    let fields = [
        ("event", &*event),
        ("step", &*key),
        ("obstacle", &*obstacle),
        ("reason", "The string is in already"),
        ("back", "/jobs/1"),
    ];
    let refused = shop.post(&tess, &format!("/jobs/{JOB}/releases"), &fields).await;
    let went_on = give(&shop, &tess, &act(&refused), TECHNICIAN).await;
    assert_eq!(went_on.header("location"), "/jobs/1", "{}", went_on.text);
    tess.take_cookie(&went_on);
    let releases = history(&shop).await.releases;
    assert_eq!(releases.last().map(|release| release.reason.as_str()), Some("The string is in already"));

    let pin = [("person", "2"), ("pin", PEOPLE[1].3), ("back", "/")];
    tess.take_cookie(&shop.post(&tess, "/switch", &pin).await);
    let step = to_waive(&shop, Who::Technician).await;
    let refused = waive(&shop, &tess, &step, "A factory cable").await;
    assert_eq!(give(&shop, &tess, &act(&refused), TECHNICIAN).await.header("location"), "/jobs/1?after");
}

#[tokio::test]
async fn what_an_apprentice_may_mark_needs_no_passphrase() {
    let shop = Shop::open().await;
    let ana = shop.switch_to(Role::Manager).await;
    let step = to_waive(&shop, Who::Apprentice).await;
    assert_eq!(waive(&shop, &ana, &step, "No such hole").await.status, StatusCode::SEE_OTHER);
    let bo = shop.switch_to(Role::Apprentice).await;
    let manager = to_waive(&shop, Who::Manager).await;
    let refused = waive(&shop, &bo, &manager, "Looks fine").await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    assert!(
        refused.text.contains("This needs the role of manager"),
        "a passphrase would not help: {}",
        refused.text
    );
}

#[tokio::test]
async fn a_form_with_a_secret_in_it_goes_on_and_no_page_has_it() {
    let shop = Shop::open().await;
    let ana = shop.switch_to(Role::Manager).await;
    let new = "strip it to the stringers";
    let reset = [("version", "1"), ("name", "Bo Fenwick"), ("role", "apprentice"), ("passphrase", new)];
    let refused = shop.post(&ana, "/people/3", &reset).await;
    assert!(!refused.text.contains(new), "{}", refused.text);
    let wrong = give(&shop, &ana, &act(&refused), "copper before crime").await;
    assert!(!wrong.text.contains(new), "{}", wrong.text);
    let went_on = give(&shop, &ana, &act(&refused), MANAGER).await;
    assert_eq!(went_on.status, StatusCode::SEE_OTHER, "{}", went_on.text);
    let signed_in = shop.try_sign_in(&Browser::default(), PEOPLE[2].0, new).await;
    assert_eq!(signed_in.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn grants_go_on_with_every_boat_that_was_chosen() {
    let shop = Shop::open().await;
    let ana = shop.switch_to(Role::Manager).await;
    shop.grant(&[]).await;
    let refused = shop.post(&ana, "/people/4/jobs", &[("job", "1"), ("job", "1")]).await;
    let went_on = give(&shop, &ana, &act(&refused), MANAGER).await;
    assert_eq!(went_on.header("location"), "/people/4", "{} {}", went_on.status, went_on.text);
    let rae = shop.sign_in(Role::Viewer).await;
    assert_eq!(shop.get(&rae, "/jobs/1").await.status, StatusCode::OK);
}

#[tokio::test]
async fn an_act_waits_for_the_session_that_sent_it_alone() {
    let shop = Shop::open().await;
    let (ana, tess) = (shop.switch_to(Role::Manager).await, shop.switch_to(Role::Technician).await);
    let step = to_waive(&shop, Who::Manager).await;
    let before = history(&shop).await;
    let id = act(&waive(&shop, &ana, &step, "Not on this boat").await);
    let taken = give(&shop, &tess, &id, TECHNICIAN).await;
    assert_eq!(taken.status, StatusCode::CONFLICT, "{}", taken.text);
    assert_eq!(history(&shop).await, before);
    // Somebody else at the same tablet does not send it either.
    let mut bo = ana.clone();
    let pin = [("person", "3"), ("pin", PEOPLE[2].3), ("back", "/")];
    bo.take_cookie(&shop.post(&ana, "/switch", &pin).await);
    let taken = give(&shop, &bo, &id, PEOPLE[2].2).await;
    assert_ne!(taken.status, StatusCode::SEE_OTHER, "{}", taken.text);
    assert_eq!(history(&shop).await, before);
}

#[tokio::test]
async fn a_file_is_not_kept_and_the_page_says_so() {
    let shop = Shop::open().await;
    let ana = shop.switch_to(Role::Manager).await.with("content-type", "multipart/form-data; boundary=edge");
    let mut request = ana.request(Method::POST, "/shop/mark", &[]);
    request.headers_mut().insert("content-type", "multipart/form-data; boundary=edge".parse().unwrap());
    let refused = shop.ask(request).await;
    assert_eq!(refused.status, StatusCode::FORBIDDEN);
    assert!(
        refused.text.contains("choose the file again") && !refused.text.contains("name=\"act\""),
        "{}",
        refused.text
    );
}

#[tokio::test]
async fn it_changes_nothing_that_signs_anybody_in() {
    let shop = Shop::open().await;
    let elsewhere = shop.sign_in(Role::Technician).await;
    let tess = shop.switch_to(Role::Technician).await;
    let (mut read, now) = (shop.store.read().await.unwrap(), Timestamp::now());
    let devices = sign_in::devices(&mut read, Some(person(Role::Technician)), now).await.unwrap();
    let before = people::all(&mut read).await.unwrap();
    drop(read);
    let other = devices.iter().find(|device| device.seen_at == device.created_at).unwrap();
    let refused = shop.post(&tess, &format!("/sign-ins/{}/end", other.id), &[]).await;
    assert!(!act(&refused).is_empty());
    assert_eq!(shop.get(&elsewhere, "/").await.status, StatusCode::OK, "her sign-in elsewhere goes on");
    assert_eq!(people::all(&mut shop.store.read().await.unwrap()).await.unwrap(), before);
}
