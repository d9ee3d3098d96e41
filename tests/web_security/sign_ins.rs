//! What a sign-in is worth, and when it is worth nothing any more.

use axum::http::{Method, StatusCode};
use driploop::shop::role::Role;
use driploop::store::file;
use driploop::store::sign_in::{self, SignedInDevice};
use driploop::web::routes;
use jiff::{SignedDuration, Timestamp};

use crate::roles::filled;
use crate::shop::{Answer, Browser, JOB, PEOPLE, Shop, person};

/// The header that has a browser delete what it kept.
const CLEAR: &str = "\"cache\"";

async fn is_in(shop: &Shop, browser: &Browser) -> bool {
    shop.get(browser, "/").await.status == StatusCode::OK
}

async fn devices(shop: &Shop) -> Vec<SignedInDevice> {
    sign_in::devices(&mut shop.store.read().await.unwrap(), None, Timestamp::now()).await.unwrap()
}

#[tokio::test]
async fn signing_in_makes_a_new_token_and_ends_the_old_one() {
    let shop = Shop::open().await;
    let before = shop.sign_in(Role::Apprentice).await;
    let (name, _, passphrase, _) = PEOPLE[2];
    let answer = shop.try_sign_in(&before, name, passphrase).await;
    let mut after = before.clone();
    after.take_cookie(&answer);
    assert_ne!(before.cookie, after.cookie);
    assert!(is_in(&shop, &after).await && !is_in(&shop, &before).await);
}

#[tokio::test]
async fn where_there_are_accounts_already_only_a_manager_makes_the_shop() {
    let shop = Shop::without_shop().await;
    let make = async |name: &str, passphrase: &str| {
        let fields = [
            ("shop", "Slip Number Ten"),
            ("units", "metric"),
            ("time_zone", "Europe/Oslo"),
            ("currency", "NOK"),
            ("name", name),
            ("passphrase", passphrase),
            ("passphrase_again", passphrase),
        ];
        shop.post(&Browser::default(), "/first-run", &fields).await
    };
    for (name, passphrase) in
        [("Passer By", "a way in for anybody"), (PEOPLE[0].0, PEOPLE[1].2), (PEOPLE[1].0, PEOPLE[1].2)]
    {
        let answer = make(name, passphrase).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}");
        assert!(answer.text.contains("enter a manager"), "{name}: {}", answer.text);
        assert_eq!(shop.get(&Browser::default(), "/").await.header("location"), "/first-run");
    }
    let answer = make(PEOPLE[0].0, PEOPLE[0].2).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let mut manager = Browser::default();
    manager.take_cookie(&answer);
    assert_eq!(shop.get(&manager, "/people").await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_token_that_somebody_else_chose_is_not_taken_on() {
    let shop = Shop::open().await;
    let chosen = format!("sign-in={}", "ab".repeat(32));
    let mut browser = Browser { cookie: Some(chosen.clone()), ..Browser::default() };
    let (name, _, passphrase, _) = PEOPLE[1];
    let answer = shop.try_sign_in(&browser, name, passphrase).await;
    assert!(!answer.cookie().starts_with(&chosen));
    assert!(!is_in(&shop, &browser).await);
    browser.take_cookie(&answer);
    assert!(is_in(&shop, &browser).await);
}

#[tokio::test]
async fn a_quick_switch_makes_a_new_token_and_ends_the_old_one() {
    let shop = Shop::open().await;
    let tess = shop.sign_in(Role::Technician).await;
    let answer = shop.post(&tess, "/switch", &[("person", "3"), ("pin", PEOPLE[2].3), ("back", "/")]).await;
    let mut bo = tess.clone();
    bo.take_cookie(&answer);
    assert!(is_in(&shop, &bo).await && !is_in(&shop, &tess).await);
    let page = shop.get(&bo, "/").await;
    assert!(page.text.contains("Bo Fenwick") && !page.text.contains("Tess Marlin"));
    assert_eq!(shop.get(&bo, "/jobs/new").await.status, StatusCode::FORBIDDEN, "with his role and not hers");
}

#[tokio::test]
async fn signing_out_ends_it_on_the_server_and_clears_what_the_browser_kept() {
    let shop = Shop::open().await;
    let ana = shop.sign_in(Role::Manager).await;
    let answer = shop.post(&ana, "/sign-out", &[]).await;
    assert!(answer.cookie().contains("Max-Age=0"), "{}", answer.cookie());
    assert_eq!(answer.header("clear-site-data"), CLEAR);
    assert!(!is_in(&shop, &ana).await, "the cookie kept by hand is worth nothing");
    let reached = shop.get(&ana, "/people").await;
    assert!(reached.header("location").starts_with("/sign-in"));
}

#[tokio::test]
async fn every_end_of_a_sign_in_clears_what_the_browser_kept() {
    let shop = Shop::open().await;
    let cleared = |answer: &Answer, what: &str| {
        assert_eq!(answer.header("clear-site-data"), CLEAR, "{what}: {}", answer.status);
    };
    let mut tess = shop.sign_in(Role::Technician).await;
    assert_eq!(shop.get(&tess, "/").await.header("clear-site-data"), "", "not while it lasts");
    let by_pin = [("person", "3"), ("pin", PEOPLE[2].3), ("back", "/")];
    let switched = shop.post(&tess, "/switch", &by_pin).await;
    cleared(&switched, "a switch of the user");
    cleared(&shop.get(&tess, "/jobs/1").await, "a page that still shows the one before");

    tess = shop.sign_in(Role::Technician).await;
    let old = [
        ("old", PEOPLE[1].2),
        ("passphrase", "three turns of the tape"),
        ("passphrase_again", "three turns of the tape"),
    ];
    let changed = shop.post(&tess, "/passphrase", &old).await;
    assert_eq!(changed.status, StatusCode::SEE_OTHER, "{}", changed.text);
    cleared(&changed, "a new passphrase");
    cleared(&shop.get(&tess, "/").await, "a device that the new passphrase signed out");

    let (ana, bo) = (shop.sign_in(Role::Manager).await, shop.sign_in(Role::Apprentice).await);
    let bos = devices(&shop).await.into_iter().filter(|device| device.person == person(Role::Apprentice));
    for device in bos {
        shop.post(&ana, &format!("/sign-ins/{}/end", device.id), &[]).await;
    }
    cleared(&shop.get(&bo, "/jobs/1").await, "a sign-in that the manager ended");
    cleared(&shop.post(&bo, "/jobs/1/ticks", &[]).await, "the same for what is sent");

    let own = devices(&shop).await.into_iter().find(|device| device.person == person(Role::Manager)).unwrap();
    cleared(
        &shop.post(&ana, &format!("/sign-ins/{}/end", own.id), &[]).await,
        "the own one, ended from the list",
    );

    let rae = shop.sign_in(Role::Viewer).await;
    let token = rae.cookie.as_ref().unwrap().split_once('=').unwrap().1.parse().unwrap();
    let next_week = Timestamp::now() + SignedDuration::from_hours(8 * 24);
    assert_eq!(sign_in::find(&shop.store, &token, next_week).await.unwrap(), None, "it expires");
    shop.expire_sign_ins().await;
    cleared(&shop.get(&rae, "/").await, "a sign-in that expired");
}

#[tokio::test]
async fn every_page_of_somebody_signed_in_has_the_sign_out() {
    let shop = Shop::open().await;
    let plan = file::export(&mut shop.store.read().await.unwrap(), JOB.into()).await.unwrap();
    let manager = shop.sign_in(Role::Manager).await;
    let mut pages = 0;
    for route in routes::table() {
        if route.method != Method::GET || route.path.ends_with("/live") {
            continue;
        }
        let path = filled(route.path, &plan);
        let answer = shop.get(&manager, &path).await;
        if answer.text.contains("<main") {
            pages += 1;
            assert!(answer.text.contains("<form method=\"post\" action=\"/sign-out\">"), "{path}");
        }
    }
    assert!(pages > 40, "{pages} pages");
    let refused = shop.get(&manager, "/nowhere").await;
    assert!(refused.text.contains("action=\"/sign-out\""), "a page of an error too");
    assert!(!shop.get(&Browser::default(), "/sign-in").await.text.contains("/sign-out"));
}

#[tokio::test]
async fn the_manager_ends_any_sign_in_and_others_only_their_own() {
    let shop = Shop::open().await;
    let (ana, tess) = (shop.sign_in(Role::Manager).await, shop.sign_in(Role::Technician).await);
    let of = |name: &str, devices: Vec<SignedInDevice>| {
        devices.into_iter().find(|device| device.name.as_str() == name).unwrap().id
    };
    let anas = of("Ana Quill", devices(&shop).await);
    let tesses = of("Tess Marlin", devices(&shop).await);
    let seen = shop.get(&tess, "/sign-ins").await.text;
    assert!(
        seen.contains(&format!("/sign-ins/{tesses}/end")) && !seen.contains(&format!("/sign-ins/{anas}/end"))
    );
    let answer = shop.post(&tess, &format!("/sign-ins/{anas}/end"), &[]).await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);
    assert!(is_in(&shop, &ana).await);
    let answer = shop.post(&ana, &format!("/sign-ins/{tesses}/end"), &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert!(!is_in(&shop, &tess).await, "at once, not when the cookie goes");
}

#[tokio::test]
async fn who_leaves_the_shop_is_signed_out_everywhere() {
    let shop = Shop::open().await;
    let (ana, bo) = (shop.sign_in(Role::Manager).await, shop.sign_in(Role::Apprentice).await);
    let left = [("version", "1"), ("name", "Bo Fenwick"), ("role", "apprentice"), ("left", "yes")];
    let answer = shop.post(&ana, "/people/3", &left).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    assert!(!is_in(&shop, &bo).await);
    let (name, _, passphrase, _) = PEOPLE[2];
    let again = shop.try_sign_in(&Browser::default(), name, passphrase).await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY);
}

#[tokio::test]
async fn a_role_that_is_taken_away_is_gone_with_the_next_request() {
    let shop = Shop::open().await;
    let (ana, tess) = (shop.sign_in(Role::Manager).await, shop.sign_in(Role::Technician).await);
    assert_eq!(shop.get(&tess, "/jobs/new").await.status, StatusCode::OK);
    let lesser = [("version", "1"), ("name", "Tess Marlin"), ("role", "viewer")];
    assert_eq!(shop.post(&ana, "/people/2", &lesser).await.status, StatusCode::SEE_OTHER);
    assert_eq!(shop.get(&tess, "/jobs/new").await.status, StatusCode::FORBIDDEN);
}

#[tokio::test]
async fn one_changes_ones_own_passphrase_with_the_old_one_and_is_signed_out_elsewhere() {
    let shop = Shop::open().await;
    let (here, there) = (shop.sign_in(Role::Apprentice).await, shop.sign_in(Role::Apprentice).await);
    let change = |old: &'static str| {
        [
            ("old", old),
            ("passphrase", "strip it to the stringers"),
            ("passphrase_again", "strip it to the stringers"),
        ]
    };
    let wrong = shop.post(&here, "/passphrase", &change("not the old one")).await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(is_in(&shop, &there).await);
    let answer = shop.post(&here, "/passphrase", &change(PEOPLE[2].2)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    assert!(!is_in(&shop, &there).await && !is_in(&shop, &here).await);
    let mut now = here.clone();
    now.take_cookie(&answer);
    assert!(is_in(&shop, &now).await);
    let old = shop.try_sign_in(&Browser::default(), PEOPLE[2].0, PEOPLE[2].2).await;
    assert_eq!(old.status, StatusCode::UNPROCESSABLE_ENTITY);
}
