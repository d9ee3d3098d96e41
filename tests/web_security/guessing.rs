//! Guessing at names and passphrases: slow for the guesser, harmless for everybody else.

use axum::http::StatusCode;
use driploop::shop::role::Role;
use driploop::store::sign_in::PAIR_MISSES;
use driploop::web::ServerSettings;

use crate::shop::{Answer, Browser, PEOPLE, Shop};

const ANA: &str = PEOPLE[0].0;
const ANAS: &str = PEOPLE[0].2;

async fn miss(shop: &Shop, browser: &Browser, name: &str) {
    for _ in 0..PAIR_MISSES {
        let answer = shop.try_sign_in(browser, name, "not the passphrase").await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    }
}

/// What an answer says, but for what was typed and the number of the request.
fn said(answer: &Answer, name: &str) -> (StatusCode, Vec<String>, String) {
    let mut headers: Vec<String> = answer
        .headers
        .iter()
        .filter(|(name, _)| *name != "x-request-id" && *name != "content-length")
        .map(|(name, value)| format!("{name}: {value:?}"))
        .collect();
    headers.sort();
    (answer.status, headers, answer.text.replace(name, "NAME"))
}

#[tokio::test]
async fn a_name_that_is_not_there_is_answered_like_one_that_is() {
    let shop = Shop::open().await;
    let mut answers = Vec::new();
    for (turn, name) in [ANA, "Nobody Known"].into_iter().enumerate() {
        let browser = Browser::from(&format!("10.0.0.{turn}"));
        let wrong = shop.try_sign_in(&browser, name, "not the passphrase").await;
        miss_on(&shop, &browser, name).await;
        let waits = shop.try_sign_in(&browser, name, "not the passphrase").await;
        assert_eq!(waits.status, StatusCode::TOO_MANY_REQUESTS);
        let wait: u64 = waits.header("retry-after").parse().unwrap();
        assert!((1..=900).contains(&wait), "{wait}");
        answers.push(said(&wrong, name));
    }
    assert_eq!(answers[0], answers[1]);
}

async fn miss_on(shop: &Shop, browser: &Browser, name: &str) {
    for _ in 1..PAIR_MISSES {
        shop.try_sign_in(browser, name, "not the passphrase").await;
    }
}

#[tokio::test]
async fn guessing_at_a_name_locks_out_the_guesser_and_nobody_else() {
    let shop = Shop::open().await;
    let guesser = Browser::from("10.0.0.66");
    miss(&shop, &guesser, ANA).await;
    let right = shop.try_sign_in(&guesser, ANA, ANAS).await;
    assert_eq!(right.status, StatusCode::TOO_MANY_REQUESTS, "even with the right passphrase");
    assert!(!right.text.contains("passphrase do not go together"), "which is not told");
    let elsewhere = shop.try_sign_in(&Browser::from("10.0.0.7"), ANA, ANAS).await;
    assert_eq!(elsewhere.status, StatusCode::SEE_OTHER, "she signs in from her own tablet");
    let (bo, _, bos, _) = PEOPLE[2];
    let beside = shop.try_sign_in(&guesser, bo, bos).await;
    assert_eq!(beside.status, StatusCode::SEE_OTHER, "and others from the same address");
}

#[tokio::test]
async fn behind_the_proxy_each_tablet_counts_by_its_own_address() {
    let proxy = "127.0.0.1";
    let shop =
        Shop::set_up(ServerSettings { proxy: Some(proxy.parse().unwrap()), ..ServerSettings::default() })
            .await;
    // The proxy appends whom it saw; whatever stands before that, the client has made up.
    let through = |client: &str| Browser::from(proxy).with("x-forwarded-for", format!("10.9.9.9, {client}"));
    miss(&shop, &through("10.0.0.66"), ANA).await;
    assert_eq!(
        shop.try_sign_in(&through("10.0.0.66"), ANA, ANAS).await.status,
        StatusCode::TOO_MANY_REQUESTS
    );
    assert_eq!(shop.try_sign_in(&through("10.0.0.7"), ANA, ANAS).await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn who_is_not_the_proxy_is_not_believed() {
    let proxy = "127.0.0.1".parse().unwrap();
    for setting in
        [ServerSettings::default(), ServerSettings { proxy: Some(proxy), ..ServerSettings::default() }]
    {
        let shop = Shop::set_up(setting).await;
        for turn in 0..PAIR_MISSES {
            let made_up = Browser::from("10.0.0.66").with("x-forwarded-for", format!("10.1.1.{turn}"));
            shop.try_sign_in(&made_up, ANA, "not the passphrase").await;
        }
        let made_up = Browser::from("10.0.0.66").with("x-forwarded-for", "10.1.1.200");
        assert_eq!(shop.try_sign_in(&made_up, ANA, ANAS).await.status, StatusCode::TOO_MANY_REQUESTS);
    }
}

#[tokio::test]
async fn a_pin_holds_for_a_few_guesses_on_one_device_and_works_on_others() {
    let shop = Shop::open().await;
    let tess = shop.sign_in(Role::Technician).await;
    let guess = [("person", "1"), ("pin", "0963"), ("back", "/")];
    let right = [("person", "1"), ("pin", PEOPLE[0].3), ("back", "/")];
    for _ in 0..5 {
        assert_eq!(shop.post(&tess, "/switch", &guess).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    }
    let spent = shop.post(&tess, "/switch", &right).await;
    assert_eq!(spent.status, StatusCode::UNPROCESSABLE_ENTITY, "spent: the right one comes too late");
    let bo = shop.sign_in(Role::Apprentice).await;
    assert_eq!(shop.post(&bo, "/switch", &right).await.status, StatusCode::SEE_OTHER);
    assert_eq!(shop.try_sign_in(&Browser::default(), ANA, ANAS).await.status, StatusCode::SEE_OTHER);
}
