//! Removed: what nothing refers to goes, what is still used stays and says by what.

use axum::http::StatusCode;

use crate::fixture::{Shop, shop};

async fn remove(shop: &Shop, path: &str) -> crate::fixture::Answer {
    let form = shop.form(path).await;
    let version = form.iter().find(|(name, _)| name == "version").unwrap().1.clone();
    shop.post(&format!("{path}/remove"), &[("version", version.as_str())]).await
}

#[tokio::test]
async fn what_is_still_used_stays_and_names_what_uses_it() {
    let shop = shop().await;
    for (path, users) in [
        ("locations/helm", ["/plan/raceways/tube", "/plan/points/fb1"]),
        ("points/fb1", ["/plan/feeders/F2", "/plan/circuits/C02"]),
        ("devices/nav", ["circuit C02", "/plan/circuits/C02"]),
        ("circuits/C02", ["mode running", "/plan/modes/running"]),
    ] {
        let answer = remove(&shop, path).await;
        assert_eq!(answer.status, StatusCode::CONFLICT, "{path}");
        assert!(users.iter().all(|user| answer.says(user)), "{path}: {}", answer.page);
    }
    let plan = shop.plan().await;
    assert_eq!(
        (plan.locations.len(), plan.points.len(), plan.devices.len(), plan.circuits.len()),
        (3, 7, 3, 2)
    );
}

#[tokio::test]
async fn everything_can_be_removed_from_the_top_down() {
    let shop = shop().await;
    for path in [
        "modes/running",
        "modes/anchored",
        "circuits/C02",
        "circuits/C01",
        "feeders/F1",
        "feeders/F2",
        "feeders/F3",
        "removed/old01",
        "devices/nav",
        "devices/pump",
        "devices/horn",
        "points/house",
        "points/alternator",
        "points/main",
        "points/fb1",
        "points/neg1",
        "points/panel",
        "points/jb1",
        "boards/inside",
        "boards/locker",
        "raceways/tube",
        "raceways/under",
        "locations/stern",
        "locations/helm",
        "locations/bow",
    ] {
        let answer = remove(&shop, path).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{path}: {}", answer.page);
        assert!(answer.to.contains("/plan/") || answer.to.ends_with("/boards"), "{}", answer.to);
    }
    assert!(shop.plan().await.locations.is_empty());
    for list in [
        "locations",
        "points",
        "devices",
        "circuits",
        "feeders",
        "modes",
        "removed",
        "new/circuit",
        "new/mode",
    ] {
        assert_eq!(shop.get(list).await.status, StatusCode::OK, "{list} with nothing planned");
    }
}

#[tokio::test]
async fn a_switch_position_a_circuit_is_on_stays() {
    let shop = shop().await;
    let fields = [
        ("positions[0].label", ""),
        ("positions[0].rating_a", ""),
        ("positions[0].engraved", ""),
        ("positions[0].switch", ""),
        ("positions[0].indicator", ""),
        ("positions[0].throw_1", ""),
        ("positions[0].throw_2", ""),
        ("positions[1].label", ""),
        ("positions[1].engraved", ""),
        ("positions[1].switch", ""),
        ("positions[1].indicator", ""),
        ("positions[2].label", ""),
    ];
    let answer = shop.change("points/panel", &fields).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.says("Circuit C02, switch position"), "{}", answer.page);
}

#[tokio::test]
async fn what_was_changed_meanwhile_is_looked_at_again_before_it_goes() {
    let shop = shop().await;
    let answer = shop.change("modes/anchored", &[("hours", "11")]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    let stale = shop.post("modes/anchored/remove", &[("version", "1")]).await;
    assert_eq!(stale.status, StatusCode::CONFLICT);
    assert!(stale.says("Look at it again") && stale.field("hours") == "11", "{}", stale.page);
    assert_eq!(shop.plan().await.modes.len(), 2);
}
