//! The strip-out list: removed equipment, its photos, and fitting it again.

use axum::http::StatusCode;
use driploop::job::plan::Fate;
use driploop::shop::role::Role;

use crate::fixture::{Shop, picture, shop};

#[tokio::test]
async fn removed_equipment_is_recorded_decided_and_fitted_again() {
    let shop = shop().await;
    let horn =
        [("name", "Horn, twin trumpet"), ("location", "bow"), ("fate", "unsure"), ("worth_new", "64,50")];
    shop.change("new/removed", &horn).await.saved("/plan/removed#old02");
    let early = shop.post("removed/old02/fit", &[("version", "2")]).await;
    assert_eq!(early.status, StatusCode::CONFLICT, "what is not to be kept is not fitted");
    shop.change("removed/old02", &[("fate", "keep"), ("tested", "works")]).await.saved("/plan/removed#old02");
    shop.post("removed/old02/fit", &[("version", "3")]).await.saved("/plan/devices/dev01");
    let plan = shop.plan().await;
    let device = plan.devices.last().unwrap();
    assert_eq!(
        (device.name.as_str(), device.location.as_str(), device.kept),
        ("Horn, twin trumpet", "bow", true)
    );
    let removed = plan.removed.last().unwrap();
    assert_eq!((removed.fate, removed.device.as_ref()), (Fate::Keep, Some(&device.id)));
    let list = shop.get("removed").await;
    assert!(list.says("64.50 USD") && list.says("Fitted again as"), "{}", list.page);

    // Fitting is one change of two things, and one undo.
    let log = shop.get("/jobs/1/log").await;
    assert!(log.says("added device dev01") && log.says("/jobs/1/log/4/undo"), "{}", log.page);
    assert_eq!(log.page.matches("/jobs/1/log/4/undo").count(), 1 + 1, "on the line, and in the title block");
    shop.post("/jobs/1/log/4/undo", &[("back", "/jobs/1/log")]).await.saved("/log");
    let plan = shop.plan().await;
    assert!(plan.devices.iter().all(|device| device.id.as_str() != "dev01"));
    assert_eq!(plan.removed.last().unwrap().device, None);
    let log = shop.get("/jobs/1/log").await;
    assert!(log.says("by undoing an earlier change"), "{}", log.page);
}

#[tokio::test]
async fn the_id_of_what_was_removed_is_not_offered_again() {
    let shop = shop().await;
    assert_eq!(shop.get("new/removed").await.field("id"), "old02");
    shop.post("removed/old01/remove", &[("version", "1")]).await.saved("/plan/removed");
    assert_eq!(shop.get("new/removed").await.field("id"), "old02", "old01 had been given");
    let again = shop.change("new/removed", &[("id", "old01"), ("name", "Horn"), ("fate", "keep")]).await;
    again.refused("id", "an id that no removed of this job ever had");
}

#[tokio::test]
async fn nothing_is_fitted_where_nobody_knows_where() {
    let shop = shop().await;
    shop.change("new/removed", &[("name", "Clock"), ("fate", "keep")]).await.saved("#old02");
    let answer = shop.post("removed/old02/fit", &[("version", "1")]).await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST);
    assert!(answer.says("location: missing"), "{}", answer.page);
}

#[tokio::test]
async fn a_location_or_device_that_the_register_names_stays() {
    let shop = shop().await;
    let page = shop.get("devices/pump").await;
    let version = page.field("version");
    let kept = shop.post("devices/pump/remove", &[("version", &version)]).await;
    assert_eq!(kept.status, StatusCode::CONFLICT);
    assert!(kept.says("removed old01"), "{}", kept.page);
}

#[tokio::test]
async fn a_photo_is_kept_shown_and_taken_away() {
    let shop = Shop::open("metric", Role::Technician).await;
    let photos = format!("/jobs/{}/photos", shop.job);
    let fields = [("subject", "removed/old01"), ("back", "/jobs/1/plan/removed")];
    let kept = shop.upload_to(&photos, &fields, Some(&picture())).await;
    kept.saved("/plan/removed");
    let list = shop.get("removed").await;
    assert!(list.says(&format!("src=\"{photos}/1\"")), "{}", list.page);
    assert_eq!(shop.file(&format!("{photos}/1")).await.0, "image/jpeg");
    shop.post(&format!("{photos}/1/remove"), &[("back", "/jobs/1/plan/removed")]).await.saved("/removed");
    assert_eq!(shop.get(&format!("{photos}/1")).await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn what_lies_about_being_a_picture_is_refused_in_words() {
    let shop = shop().await;
    let photos = format!("/jobs/{}/photos", shop.job);
    let fields = [("subject", "removed/old01"), ("back", "/")];
    let refused = [
        (&b"#!/bin/sh\necho photo"[..], "no picture that can be read"),
        (&b""[..], "nothing was sent"),
        (&picture()[..40], "damaged or cut short"),
    ];
    for (bytes, words) in refused {
        let answer = shop.upload_to(&photos, &fields, Some(bytes)).await;
        assert_eq!(answer.status, StatusCode::BAD_REQUEST);
        assert!(answer.says(words), "{words}: {}", answer.page);
    }
    for nothing in [
        "removed/old99",
        "location/nowhere",
        "circuit/C99",
        "conductor/C01-99",
        "end/C01-99a",
        "position/console-99",
        "setting/pump-7",
        "cable/nothing",
        "job/other",
    ] {
        let answer = shop.upload_to(&photos, &[("subject", nothing), ("back", "/")], Some(&picture())).await;
        assert_eq!(answer.status, StatusCode::NOT_FOUND, "{nothing}: {}", answer.page);
    }
    let nowhere = shop.upload_to(&photos, &[("subject", "keel")], Some(&picture())).await;
    assert!(nowhere.says("subject:"), "{}", nowhere.page);
}
