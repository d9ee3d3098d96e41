//! A proposed plan: shown, taken as one change, measured, and undone.

use axum::http::StatusCode;
use driploop::job::supposed::to_measure;
use driploop::shop::role::Role;

use crate::fixture::{Answer, Shop, shop};

const FORM: &[(&str, &str)] = &[
    ("pattern", "open-skiff"),
    ("length_m", "5.5"),
    ("engine", "outboard"),
    ("fuel", "gasoline"),
    ("banks", "one"),
    ("rules", "us"),
    ("wishes", "Nav lights\r\nBilge pump with float\r\nVHF radio\r\nflux capacitor"),
];

async fn proposed(shop: &Shop, act: &str, form: &[(String, String)]) -> Answer {
    let fields: Vec<(&str, &str)> = FORM.iter().copied().chain([("act", act)]).collect();
    shop.send("propose", form, &fields).await
}

#[tokio::test]
async fn a_proposal_is_shown_taken_and_undone() {
    let shop = shop().await;
    let before = shop.plan().await;
    let page = shop.get("propose").await;
    assert!(page.says("Show the proposal"), "{}", page.page);
    let shown = proposed(&shop, "show", &page.fields()).await;
    assert_eq!(shown.status, StatusCode::OK, "{}", shown.page);
    for text in [
        "flux capacitor",
        "Not understood. Name one kind of equipment.",
        "P10: One fuse of the rating that the pump",
        "Take this plan",
        "It is one change with one undo.",
    ] {
        assert!(shown.says(text), "{text}: {}", shown.page);
    }
    assert_eq!(shop.plan().await, before, "nothing is saved yet");

    proposed(&shop, "take", &shown.fields()).await.saved("/plan/measure");
    let plan = shop.plan().await;
    assert!(plan.circuits.iter().any(|circuit| circuit.name.as_str() == "VHF radio"));
    assert!(plan.job.proposed_from.is_some() && !plan.proposed.is_empty());

    shop.post("/jobs/1/log/2/undo", &[("back", "/jobs/1/log")]).await.saved("/log");
    let undone = shop.plan().await;
    assert_eq!(undone.circuits, before.circuits);
    assert_eq!((undone.proposed.len(), undone.job.proposed_from), (0, None));
}

#[tokio::test]
async fn what_is_wrong_in_the_form_is_said_at_its_field() {
    let shop = shop().await;
    let form = shop.get("propose").await.fields();
    let wrong = [("pattern", "raft"), ("length_m", "1"), ("wishes", ""), ("act", "show")];
    let answer = shop.send("propose", &form, &wrong).await;
    answer.refused("pattern", "Choose one of the list.");
    answer.refused("wishes", "Write at least one wish.");
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    // A proposal that was shown before another change is not taken.
    let shown = proposed(&shop, "show", &form).await;
    proposed(&shop, "take", &shown.fields()).await.saved("/plan/measure");
    let late = proposed(&shop, "take", &shown.fields()).await;
    assert!(late.says("The plan changed after this proposal was shown."), "{}", late.page);
}

#[tokio::test]
async fn values_are_measured_and_confirmed() {
    let shop = shop().await;
    let shown = proposed(&shop, "show", &shop.get("propose").await.fields()).await;
    proposed(&shop, "take", &shown.fields()).await.saved("/plan/measure");
    let rows = to_measure(&shop.plan().await).len();
    let list = shop.get("measure").await;
    assert!(list.says(&format!("{rows} values are supposed")), "{}", list.page);

    // Two numbers are one change.
    let typed = [("value[raceway-to-stern~length_m]", "1,25"), ("value[device-vhf-radio~load/a]", "5.5")];
    shop.send("measure", &list.fields(), &typed).await.saved("/plan/measure");
    let plan = shop.plan().await;
    assert_eq!(plan.raceway(&"to-stern".parse().unwrap()).unwrap().length_m.unwrap().number(), 1.25);
    assert_eq!(to_measure(&plan).len(), rows - 2);

    let confirm = [("confirm", "raceway-to-stern~bore_mm")];
    shop.send("measure", &shop.get("measure").await.fields(), &confirm).await.saved("/plan/measure");
    assert_eq!(to_measure(&shop.plan().await).len(), rows - 3);

    let wrong = [("value[device-bilge-pump-automatic~load/a]", "-4")];
    let refused = shop.send("measure", &shop.get("measure").await.fields(), &wrong).await;
    refused.refused("value[device-bilge-pump-automatic~load/a]", "expected a current");
    let nothing = shop.send("measure", &shop.get("measure").await.fields(), &[]).await;
    assert!(nothing.says("No number is typed."), "{}", nothing.page);

    shop.post("/jobs/1/log/4/undo", &[("back", "/jobs/1/log")]).await.saved("/log");
    assert_eq!(to_measure(&shop.plan().await).len(), rows - 2);
}

#[tokio::test]
async fn an_apprentice_sees_the_list_and_no_fields() {
    let shop = Shop::open("metric", Role::Apprentice).await;
    let page = shop.get("propose").await;
    assert!(page.says("Only those who may change this plan can make one."), "{}", page.page);
    assert!(shop.get("measure").await.says("Every value that the proposal supposed"));
}
