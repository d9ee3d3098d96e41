//! An open item with a photo, in one form.

use axum::http::StatusCode;
use uuid::Uuid;

use crate::fixture::{picture, shop};

#[tokio::test]
async fn a_photo_comes_with_what_was_found_and_another_is_added_later() {
    let shop = shop().await;
    let id = Uuid::now_v7().to_string();
    let item = [
        ("event", id.as_str()),
        ("thing", "location/bow"),
        ("found", "Core is wet under the cleat"),
        ("severity", "should"),
        ("acts", "customer"),
        ("back", "/jobs/1/open-items"),
    ];
    for _ in 0..2 {
        shop.upload_to("/jobs/1/open-items", &item, Some(&picture())).await.saved("/open-items");
    }
    let list = shop.get("/jobs/1/open-items").await;
    assert!(list.says("Core is wet under the cleat") && list.says("/jobs/1/photos/1"), "{}", list.page);
    assert_eq!(list.page.matches("<img").count(), 1, "sent twice is stored once");

    let of = format!("open-item/{id}");
    let more = [("subject", of.as_str()), ("back", "/jobs/1/open-items")];
    shop.upload_to("/jobs/1/photos", &more, Some(&picture())).await.saved("/open-items");
    let list = shop.get("/jobs/1/open-items").await;
    assert_eq!(list.page.matches("<img").count(), 2);
    let unknown = format!("open-item/{}", Uuid::now_v7());
    let answer =
        shop.upload_to("/jobs/1/photos", &[("subject", &unknown), ("back", "/")], Some(&picture())).await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND);

    let second = Uuid::now_v7().to_string();
    let not_a_picture = [("event", second.as_str()), item[1], item[2], item[3], item[4], item[5]];
    let answer = shop.upload_to("/jobs/1/open-items", &not_a_picture, Some(b"text")).await;
    assert_eq!(answer.status, StatusCode::BAD_REQUEST, "and nothing of it is stored");
    shop.upload_to("/jobs/1/open-items", &not_a_picture, None).await.saved("/open-items");
}
