//! People, what signs them in, and what holds against guessing.

use driploop::job::value::Name;
use driploop::shop::access::Proof;
use driploop::shop::picture::Picture;
use driploop::shop::role::Role;
use driploop::shop::secret::{Passphrase, Pin};
use driploop::store::people::{self, Newcomer, Person};
use driploop::store::sign_in::{self, Attempt, IDLE, LIFE, PAIR_MISSES, SignInRefusal, WINDOW};
use driploop::store::{Error, Hashed, PersonId, Token, Version, log, mark, shop, switch};
use jiff::SignedDuration;

use crate::fixture::{Shop, at};

const ANA: &str = "copper before chrome";
const BO: &str = "two ends on every wire";

async fn newcomer(name: &str, role: Role, passphrase: &str, pin: Option<&str>) -> Newcomer {
    let pin = match pin {
        Some(pin) => Some(Hashed::pin(&pin.parse::<Pin>().unwrap()).await.unwrap()),
        None => None,
    };
    let passphrase = Hashed::passphrase(&passphrase.parse::<Passphrase>().unwrap()).await.unwrap();
    Newcomer { name: name.parse().unwrap(), role, passphrase, pin }
}

/// A shop with its manager Ana and the apprentice Bo.
async fn peopled() -> (Shop, PersonId, PersonId) {
    let shop = Shop::open().await;
    let (ana, bo) = (
        newcomer("Ana", Role::Manager, ANA, Some("4071")).await,
        newcomer("Bo", Role::Apprentice, BO, Some("2583")).await,
    );
    let mut write = shop.write().await;
    let ana = people::add_first(&mut write, &ana).await.unwrap();
    let bo = people::add(&mut write, &bo).await.unwrap();
    write.commit().await.unwrap();
    (shop, ana, bo)
}

fn attempt<'a>(name: &'a str, passphrase: &'a str, address: &'a str) -> Attempt<'a> {
    Attempt { name, passphrase, address, device: "tablet at the slip" }
}

async fn sign_in(
    shop: &Shop,
    name: &str,
    passphrase: &str,
    now: i64,
) -> Result<(Token, Person), SignInRefusal> {
    sign_in::open(&shop.store, attempt(name, passphrase, "10.0.0.7"), at(now)).await
}

#[tokio::test]
async fn the_right_name_and_passphrase_sign_in_whatever_the_case_of_the_name() {
    let (shop, ana, _) = peopled().await;
    let (token, person) = sign_in(&shop, " ana ", ANA, 0).await.unwrap();
    assert_eq!((person.id, person.role), (ana, Role::Manager));
    let found = sign_in::find(&shop.store, &token, at(1)).await.unwrap().unwrap();
    assert_eq!((found.person, found.opened_by), (person, ana));
    let other: Token = "0".repeat(64).parse().unwrap();
    assert_eq!(sign_in::find(&shop.store, &other, at(1)).await.unwrap(), None);
}

#[tokio::test]
async fn a_wrong_name_and_a_wrong_passphrase_give_the_same_answer() {
    let (shop, _, bo) = peopled().await;
    let mut write = shop.write().await;
    people::enable(&mut write, bo, false).await.unwrap();
    write.commit().await.unwrap();
    let mut told = Vec::new();
    for (name, passphrase) in [("Ana", BO), ("Nobody", ANA), ("Bo", BO), ("", ""), ("Ana", "")] {
        told.push(sign_in(&shop, name, passphrase, 0).await.unwrap_err().to_string());
    }
    told.dedup();
    assert_eq!(told, ["this name and passphrase do not go together"]);
    let mut raw = shop.raw().await;
    let misses: i64 =
        sqlx::query_scalar("SELECT count(*) FROM sign_in_misses").fetch_one(&mut raw).await.unwrap();
    assert_eq!(misses, 5);
}

#[tokio::test]
async fn guessing_locks_the_guesser_out_and_nobody_else() {
    let (shop, ana, _) = peopled().await;
    for second in 0..PAIR_MISSES {
        let miss = sign_in(&shop, "ANA", "a wrong guess at it", second).await.unwrap_err();
        assert!(matches!(miss, SignInRefusal::Wrong), "{miss}");
    }
    let Err(SignInRefusal::Wait { until }) = sign_in(&shop, "Ana", ANA, 60).await else { panic!() };
    assert_eq!(until, at(0) + WINDOW);
    // Ana herself, from her own tablet; and Bo from the guesser's.
    let elsewhere = sign_in::open(&shop.store, attempt("Ana", ANA, "10.0.0.8"), at(60)).await.unwrap();
    assert_eq!(elsewhere.1.id, ana);
    assert!(sign_in(&shop, "Bo", BO, 60).await.is_ok());
    // And once the window has passed, from the same location.
    assert!(sign_in(&shop, "Ana", ANA, 901).await.is_ok());
}

#[tokio::test]
async fn guesses_sent_at_once_are_all_counted() {
    let (shop, ..) = peopled().await;
    let mut guesses = Vec::new();
    for _ in 0..12 {
        let store = shop.store.clone();
        guesses.push(tokio::spawn(async move {
            sign_in::open(&store, attempt("Ana", "a wrong guess at it", "10.0.0.7"), at(0)).await.unwrap_err()
        }));
    }
    let mut looked_at = 0;
    for guess in guesses {
        looked_at += i64::from(matches!(guess.await.unwrap(), SignInRefusal::Wrong));
    }
    assert_eq!(looked_at, PAIR_MISSES);
}

#[tokio::test]
async fn success_forgets_the_misses_before_it() {
    let (shop, ..) = peopled().await;
    for round in 0..3 {
        for _ in 1..PAIR_MISSES {
            sign_in(&shop, "Ana", "a wrong guess at it", round).await.unwrap_err();
        }
        sign_in(&shop, "Ana", ANA, round).await.unwrap();
    }
}

#[tokio::test]
async fn misses_of_a_clock_that_ran_ahead_hold_nobody() {
    let (shop, ..) = peopled().await;
    for _ in 0..PAIR_MISSES {
        sign_in(&shop, "Ana", "a wrong guess at it", 86_400 * 365).await.unwrap_err();
    }
    assert!(sign_in(&shop, "Ana", ANA, 0).await.is_ok());
}

#[tokio::test]
async fn a_sign_in_ends_when_idle_when_old_and_when_revoked() {
    let (shop, ana, _) = peopled().await;
    let find = async |token: &Token, after: SignedDuration| {
        sign_in::find(&shop.store, token, at(0) + after).await.unwrap().map(|found| found.id)
    };
    let (token, _) = sign_in(&shop, "Ana", ANA, 0).await.unwrap();
    assert_eq!(find(&token, IDLE).await, None);
    // Kept busy, each use counts from the last, until its life is over.
    let step = SignedDuration::from_hours(11);
    let mut age = SignedDuration::ZERO;
    while age + step < LIFE {
        age += step;
        assert!(find(&token, age).await.is_some(), "{age}");
    }
    assert_eq!(find(&token, LIFE).await, None);

    let (token, _) = sign_in(&shop, "Ana", ANA, 0).await.unwrap();
    let id = find(&token, SignedDuration::from_mins(1)).await.unwrap();
    let devices = sign_in::devices(&mut shop.store.read().await.unwrap(), Some(ana), at(60)).await.unwrap();
    assert_eq!(devices[0].device, "tablet at the slip");
    assert!(devices.iter().any(|device| device.id == id));
    let mut write = shop.write().await;
    sign_in::revoke(&mut write, id).await.unwrap();
    sign_in::revoke(&mut write, id).await.unwrap();
    write.commit().await.unwrap();
    assert_eq!(find(&token, SignedDuration::from_mins(2)).await, None);
}

#[tokio::test]
async fn every_sign_in_has_a_token_of_its_own_and_none_is_stored() {
    let (shop, ..) = peopled().await;
    let (first, _) = sign_in(&shop, "Ana", ANA, 0).await.unwrap();
    let (second, _) = sign_in(&shop, "Ana", ANA, 0).await.unwrap();
    assert_ne!(first, second);
    shop.store.close().await;
    let file = std::fs::read(shop.store.folder().database()).unwrap();
    let holds = |needle: &[u8]| file.windows(needle.len()).any(|window| window == needle);
    assert!(
        !holds(first.reveal().as_bytes())
            && !holds(ANA.as_bytes())
            && holds(b"$argon2id$v=19$m=19456,t=2,p=1$")
    );
}

#[tokio::test]
async fn a_pin_switches_and_the_old_token_is_worth_nothing() {
    let (shop, ana, bo) = peopled().await;
    let (token, _) = sign_in(&shop, "Ana", ANA, 0).await.unwrap();
    let device = sign_in::find(&shop.store, &token, at(1)).await.unwrap().unwrap();
    let next = switch::to(&shop.store, &device, bo, "2583", at(2)).await.unwrap();
    assert_eq!(sign_in::find(&shop.store, &token, at(3)).await.unwrap(), None);
    let now = sign_in::find(&shop.store, &next, at(3)).await.unwrap().unwrap();
    assert_eq!((now.id, now.person.id, now.opened_by), (device.id, bo, ana));
    // A switch does not prolong what the passphrase opened.
    assert_eq!(sign_in::find(&shop.store, &next, at(0) + LIFE).await.unwrap(), None);
    let lines = log::of_shop(&mut shop.store.read().await.unwrap(), None, 1).await.unwrap();
    assert_eq!((lines[0].change, lines[0].by.as_str()), (log::Change::Switched, "Bo"));
}

#[tokio::test]
async fn a_guessed_pin_is_spent_on_the_guessers_devices_only() {
    let (shop, ana, bo) = peopled().await;
    let open = async |name: &str, passphrase: &str| {
        let (token, _) = sign_in(&shop, name, passphrase, 0).await.unwrap();
        sign_in::find(&shop.store, &token, at(1)).await.unwrap().unwrap()
    };
    let bos = open("Bo", BO).await;
    for guess in 0..switch::MISSES {
        let miss = switch::to(&shop.store, &bos, ana, &format!("10{guess:02}"), at(2)).await.unwrap_err();
        assert!(matches!(miss, SignInRefusal::WrongPin), "{miss}");
        // Entering one's own PIN or signing in again buys no further guess.
        let token = switch::to(&shop.store, &bos, bo, "2583", at(3)).await.unwrap();
        assert!(sign_in::find(&shop.store, &token, at(3)).await.unwrap().is_some());
    }
    let again = open("Bo", BO).await;
    let spent = switch::to(&shop.store, &again, ana, "4071", at(4)).await.unwrap_err();
    assert!(matches!(spent, SignInRefusal::PinSpent), "{spent}");
    // On a device that Ana opened, her PIN works as ever; her passphrase clears the misses everywhere.
    let anas = open("Ana", ANA).await;
    assert!(switch::to(&shop.store, &anas, ana, "4071", at(5)).await.is_ok());
    let bos = open("Bo", BO).await;
    assert!(switch::to(&shop.store, &bos, ana, "4071", at(6)).await.is_ok());
}

#[tokio::test]
async fn who_has_no_pin_or_is_disabled_or_unknown_cannot_be_switched_to() {
    let (shop, _, bo) = peopled().await;
    let (token, _) = sign_in(&shop, "Ana", ANA, 0).await.unwrap();
    let device = sign_in::find(&shop.store, &token, at(1)).await.unwrap().unwrap();
    let names = async || {
        let people = switch::people(&mut shop.store.read().await.unwrap()).await.unwrap();
        people.into_iter().map(|person| person.name.to_string()).collect::<Vec<_>>()
    };
    assert_eq!(names().await, ["Ana", "Bo"]);
    let mut write = shop.write().await;
    people::set_pin(&mut write, bo, None).await.unwrap();
    write.commit().await.unwrap();
    assert_eq!(names().await, ["Ana"]);
    for person in [bo, PersonId::from(99)] {
        let refusal = switch::to(&shop.store, &device, person, "2583", at(1)).await.unwrap_err();
        assert!(matches!(refusal, SignInRefusal::WrongPin), "{refusal}");
    }
}

#[tokio::test]
async fn a_new_passphrase_ends_every_sign_in_of_the_old_one() {
    let (shop, ana, _) = peopled().await;
    let (token, _) = sign_in(&shop, "Ana", ANA, 0).await.unwrap();
    let changed = Hashed::passphrase(&"strip it to the stringers".parse().unwrap()).await.unwrap();
    let mut write = shop.write().await;
    people::set_passphrase(&mut write, ana, &changed).await.unwrap();
    write.commit().await.unwrap();
    assert_eq!(sign_in::find(&shop.store, &token, at(1)).await.unwrap(), None);
    assert!(sign_in(&shop, "Ana", ANA, 1).await.is_err());
    assert!(sign_in(&shop, "Ana", "strip it to the stringers", 1).await.is_ok());
}

#[tokio::test]
async fn a_manager_is_always_left() {
    let (shop, ana, bo) = peopled().await;
    let name: Name = "Ana".parse().unwrap();
    let mut write = shop.write().await;
    let version = people::get(&mut write, ana).await.unwrap().version;
    let demoted = people::update(&mut write, ana, &name, Role::Viewer, version).await.unwrap_err();
    assert!(matches!(demoted, Error::LastManager), "{demoted}");
    drop(write);
    let mut write = shop.write().await;
    assert!(matches!(people::enable(&mut write, ana, false).await, Err(Error::LastManager)));
    drop(write);
    let mut write = shop.write().await;
    let one = Version::first();
    people::update(&mut write, bo, &"Bo".parse().unwrap(), Role::Manager, one).await.unwrap();
    people::enable(&mut write, ana, false).await.unwrap();
    write.commit().await.unwrap();
}

#[tokio::test]
async fn a_name_is_one_person_and_a_shop_is_set_up_once() {
    let (shop, ..) = peopled().await;
    let second = newcomer("ANA", Role::Viewer, ANA, None).await;
    let mut write = shop.write().await;
    let error = people::add(&mut write, &second).await.unwrap_err();
    assert_eq!(error.to_string(), "name: taken by another person");
    assert!(matches!(people::add_first(&mut write, &second).await, Err(Error::SetUpAlready)));

    assert_eq!(shop::get(&mut write).await.unwrap(), None);
    let profile: driploop::shop::profile::Profile = serde_json::from_value(serde_json::json!({
        "name": "Otterslip", "time_zone": "America/New_York", "currency": "USD", "units": "us"
    }))
    .unwrap();
    shop::create(&mut write, &profile).await.unwrap();
    assert_eq!(shop::get(&mut write).await.unwrap().unwrap().value, profile);
    assert!(shop::create(&mut write, &profile).await.is_err());
    assert_eq!(shop::update(&mut write, &profile, Version::first()).await.unwrap(), Version::from(2));
    assert!(matches!(shop::update(&mut write, &profile, Version::first()).await, Err(Error::Stale(_))));
}

#[tokio::test]
async fn the_log_of_people_holds_no_hash() {
    let (shop, ..) = peopled().await;
    sign_in(&shop, "Ana", ANA, 0).await.unwrap();
    let lines = log::of_shop(&mut shop.store.read().await.unwrap(), None, 10).await.unwrap();
    assert_eq!(lines.len(), 3);
    assert!(lines.iter().all(|line| !format!("{line:?}").contains("argon2")));
}

#[tokio::test]
async fn looking_waits_for_nobody_who_writes() {
    let (shop, ana, _) = peopled().await;
    let (token, _) = sign_in(&shop, "Ana", ANA, 0).await.unwrap();
    let writing = shop.write().await;
    let found = sign_in::find(&shop.store, &token, at(300)).await.unwrap().unwrap();
    assert_eq!((found.person.id, found.seen_at), (ana, at(0)));
    drop(writing);
}

#[tokio::test]
async fn a_session_begun_by_pin_is_one_of_the_passphrase_once_it_is_given() {
    let (shop, ana, bo) = peopled().await;
    let (token, _) = sign_in(&shop, "Bo", BO, 0).await.unwrap();
    let find = async |token: &Token| sign_in::find(&shop.store, token, at(5)).await.unwrap();
    let device = find(&token).await.unwrap();
    assert_eq!(device.proof, Proof::Passphrase);
    let token = switch::to(&shop.store, &device, ana, "4071", at(1)).await.unwrap();
    let device = find(&token).await.unwrap();
    assert_eq!((device.person.id, device.proof), (ana, Proof::Pin));

    let confirm =
        async |passphrase: &str| sign_in::confirm(&shop.store, &device, passphrase, "10.0.0.7", at(2)).await;
    let wrong = confirm(BO).await.unwrap_err();
    assert!(matches!(wrong, SignInRefusal::Wrong), "the passphrase of who signed in is not hers: {wrong}");
    assert_eq!(find(&token).await.unwrap().proof, Proof::Pin);
    let sure = confirm(ANA).await.unwrap();
    assert_eq!(find(&token).await, None, "a new token");
    let now = find(&sure).await.unwrap();
    assert_eq!((now.id, now.person.id, now.opened_by, now.proof), (device.id, ana, bo, Proof::Passphrase));
    assert_eq!(sign_in::find(&shop.store, &sure, at(0) + LIFE).await.unwrap(), None, "no longer than before");
    let lines = log::of_shop(&mut shop.store.read().await.unwrap(), None, 1).await.unwrap();
    assert_eq!((lines[0].change, lines[0].by.as_str()), (log::Change::PassphraseGiven, "Ana"));

    let back = switch::to(&shop.store, &now, bo, "2583", at(3)).await.unwrap();
    assert_eq!(find(&back).await.unwrap().proof, Proof::Pin, "who signed in with a passphrase and came back");
}

#[tokio::test]
async fn guesses_of_the_passphrase_in_a_session_count_as_those_at_sign_in() {
    let (shop, ana, _) = peopled().await;
    let (token, _) = sign_in(&shop, "Bo", BO, 0).await.unwrap();
    let device = sign_in::find(&shop.store, &token, at(1)).await.unwrap().unwrap();
    let token = switch::to(&shop.store, &device, ana, "4071", at(1)).await.unwrap();
    let device = sign_in::find(&shop.store, &token, at(1)).await.unwrap().unwrap();
    for second in 0..PAIR_MISSES {
        let guess = "a wrong guess at it";
        sign_in::confirm(&shop.store, &device, guess, "10.0.0.7", at(second)).await.unwrap_err();
    }
    let spent = sign_in::confirm(&shop.store, &device, ANA, "10.0.0.7", at(9)).await.unwrap_err();
    assert!(matches!(spent, SignInRefusal::Wait { .. }), "{spent}");
}

#[tokio::test]
async fn the_log_shows_who_set_a_passphrase() {
    let (shop, ana, bo) = peopled().await;
    let changed = Hashed::passphrase(&"strip it to the stringers".parse().unwrap()).await.unwrap();
    let ana = people::get(&mut shop.store.read().await.unwrap(), ana).await.unwrap().value;
    let mut write = shop.store.write(&ana.actor(), at(0)).await.unwrap();
    people::set_passphrase(&mut write, bo, &changed).await.unwrap();
    people::set_passphrase(&mut write, ana.id, &changed).await.unwrap();
    write.commit().await.unwrap();
    let lines = log::of_shop(&mut shop.store.read().await.unwrap(), None, 2).await.unwrap();
    let said: Vec<_> = lines.iter().map(|line| (line.change, line.subject.clone())).collect();
    let expected = [
        (log::Change::PassphraseSet, format!("person/{}", ana.id)),
        (log::Change::PassphraseReset, format!("person/{bo}")),
    ];
    assert_eq!(said, expected);
}

#[tokio::test]
async fn the_mark_of_the_shop_is_set_replaced_and_removed() {
    let (shop, ..) = peopled().await;
    let picture = |bytes: &[u8]| Picture { bytes: bytes.to_vec(), width: 4, height: 3 };
    let mut write = shop.write().await;
    assert_eq!(mark::get(&mut write).await.unwrap(), None);
    for bytes in [b"one", b"two"] {
        mark::set(&mut write, Some(&picture(bytes))).await.unwrap();
        assert_eq!(mark::get(&mut write).await.unwrap(), Some(picture(bytes)));
        assert_eq!(mark::hash(&mut write).await.unwrap(), Some(picture(bytes).hash()));
    }
    mark::set(&mut write, None).await.unwrap();
    assert_eq!(mark::hash(&mut write).await.unwrap(), None);
    let lines = log::of_shop(&mut write, None, 3).await.unwrap();
    assert!(lines.iter().all(|line| line.subject == "shop/mark"), "{lines:?}");
}
