//! The sizing page: planned beside chosen, and choices that are saved as one change.

use axum::http::StatusCode;
use driploop::job::check::{check, compared};
use driploop::job::choice::{self, Choice};
use driploop::job::file::JobFile;
use driploop::job::plan::Plan;
use driploop::shop::demo;
use driploop::shop::role::Role::{Apprentice, Technician, Viewer};

use crate::shop::{CurrentUser, Shop};

/// A small boat with entered and open sizes: F2 and all circuits are open in part.
fn crumb() -> JobFile {
    demo_boat("Crumb")
}

fn demo_boat(name: &str) -> JobFile {
    let mut file =
        demo::files().unwrap().into_iter().find(|file| file.plan.boat.name.as_str() == name).unwrap();
    file.history = Default::default();
    file
}

fn all(plan: &Plan) -> Choice {
    Choice::of(plan, &choice::choosable(plan))
}

/// Sends the form of the page with these rows ticked.
async fn save(user: &CurrentUser, which: &str, ticked: &[&str]) -> crate::shop::Answer {
    let page = user.page("/sizing").await;
    let revision = page.hidden("choices-form", "revision");
    let mut fields = vec![("revision", revision.as_str()), ("which", which)];
    fields.extend(ticked.iter().map(|key| ("take", *key)));
    user.post("/sizing", &fields).await
}

async fn plan(shop: &Shop) -> Plan {
    shop.export().await.plan
}

#[tokio::test]
async fn every_circuit_and_feeder_is_there_with_planned_and_chosen() {
    for name in ["Second Plover", "Hazel Tern", "Crumb"] {
        let file = demo_boat(name);
        let (report, choice) = (check(&file.plan), all(&file.plan));
        let joint = compared(&file.plan, &report, &choice.open, &choice.report);
        let wires = file.plan.circuits.len() + file.plan.feeders.len();
        let shop = Shop::open(file).await;
        let page = shop.sign_in(Viewer).await.page("/sizing").await;
        for column in ["Current", "As planned", "As chosen", "What differs", "Total drop", "Ampacity margin"]
        {
            assert_eq!(page.count(&format!("data-name=\"{column}\"")), wires, "{column} of {name}");
        }
        for kg in [joint.planned_kg, joint.anew_kg, joint.lower_bound_kg] {
            page.says(&[&format!("{kg:.2} kg")]);
        }
        for wire in &choice.wires {
            let size = choice.get(wire).unwrap().size.unwrap();
            page.says(&[&format!("how-{}-as-chosen-size", wire.id), size.text()]);
        }
        page.opens();
        page.lacks("<button name=\"which\"");
        page.lacks("type=\"checkbox\"");
    }
}

#[tokio::test]
async fn what_differs_is_said_in_words() {
    let shop = Shop::open(demo_boat("Second Plover")).await;
    let page = shop.sign_in(Technician).await.page("/sizing").await;
    page.says(&[
        "Thinner: ",
        "Thicker: ",
        "Smaller fuse: ",
        ">Same<",
        "Starter cable: as its manufacturer says",
    ]);
    let shop = Shop::open(crumb()).await;
    shop.sign_in(Technician).await.page("/sizing").await.says(&["Size not entered: ", "not all entered"]);
}

#[tokio::test]
async fn all_choices_are_one_change_and_one_undo() {
    let shop = Shop::open(demo_boat("Hazel Tern")).await;
    let cy = shop.sign_in(Technician).await;
    let before = plan(&shop).await;
    let choice = all(&before);
    save(&cy, "all", &[]).await.leads_to("/jobs/1/sizing");
    let after = plan(&shop).await;
    for feeder in &after.feeders {
        assert_eq!(*feeder, choice.take_feeder(before.feeder(&feeder.id).unwrap().clone()));
    }
    for circuit in &after.circuits {
        assert_eq!(*circuit, choice.take_circuit(before.circuit(&circuit.id).unwrap().clone()));
    }
    let log = cy.page("/log").await;
    let undo = log.after("action=\"/jobs/1/log/", "/undo\"");
    let page = cy.page("/sizing").await;
    assert_eq!(page.count("type=\"checkbox\""), 0, "nothing is left to save");
    cy.post(&format!("/log/{undo}/undo"), &[("", ""); 0]).await;
    assert_eq!(plan(&shop).await, before, "one undo takes all of it back");
}

#[tokio::test]
async fn open_sizes_are_filled_and_nothing_entered_is_replaced() {
    let shop = Shop::open(crumb()).await;
    let cy = shop.sign_in(Technician).await;
    let before = plan(&shop).await;
    let report = check(&before);
    save(&cy, "open", &[]).await.leads_to("/jobs/1/sizing");
    let after = plan(&shop).await;
    let mut filled = 0;
    for (old, new) in before.feeders.iter().zip(&after.feeders) {
        assert_eq!(new.size, report.feeders[&new.id].conductor.size);
        filled += usize::from(old.size != new.size);
        assert!(old.size.is_none() || old.size == new.size, "{}", old.id);
    }
    assert!(filled > 0);
    for (old, new) in before.circuits.iter().zip(&after.circuits) {
        assert_eq!(new.size, report.circuits[&new.id].conductor.size);
        assert!(old.size.is_none() || old.size == new.size, "{}", old.id);
    }
}

#[tokio::test]
async fn a_ticked_row_changes_alone_and_is_shown_first_if_it_needs_another_choice() {
    let shop = Shop::open(demo_boat("Hazel Tern")).await;
    let cy = shop.sign_in(Technician).await;
    let before = plan(&shop).await;
    let all = all(&before);
    for wire in choice::choosable(&before) {
        let alone = Choice::of(&before, &[wire.clone()].into());
        let key = wire.to_string();
        let answer = save(&cy, "ticked", &[&key]).await;
        if alone.get(&wire) == all.get(&wire) {
            continue;
        }
        // Nothing is saved before the other choice was seen.
        answer.is(StatusCode::CONFLICT).says(&["some ticked rows need other sizes", "checked"]);
        let revision = answer.hidden("choices-form", "revision");
        let agreed = answer.hidden("choices-form", "agreed");
        let fields =
            [("revision", revision.as_str()), ("agreed", &agreed), ("take", &key), ("which", "ticked")];
        cy.post("/sizing", &fields).await.leads_to("/jobs/1/sizing");
        return;
    }
    panic!("no wire of this boat depends on the others");
}

#[tokio::test]
async fn only_the_ticked_rows_change() {
    let shop = Shop::open(demo_boat("Second Plover")).await;
    let cy = shop.sign_in(Technician).await;
    let before = plan(&shop).await;
    let choice = Choice::of(&before, &["circuit/C02".parse().unwrap()].into());
    save(&cy, "ticked", &["circuit/C02"]).await.leads_to("/jobs/1/sizing");
    let after = plan(&shop).await;
    assert_eq!(before.feeders, after.feeders);
    for (old, new) in before.circuits.iter().zip(&after.circuits) {
        let expected = if old.id.as_str() == "C02" { choice.take_circuit(old.clone()) } else { old.clone() };
        assert_eq!(*new, expected);
    }
}

#[tokio::test]
async fn nothing_is_saved_over_a_plan_that_somebody_changed() {
    let shop = Shop::open(crumb()).await;
    let cy = shop.sign_in(Technician).await;
    let revision = cy.page("/sizing").await.hidden("choices-form", "revision");
    let circuit = plan(&shop).await.circuits[0].id.clone();
    shop.relabel(circuit.as_str(), "X9").await;
    let before = plan(&shop).await;
    let key = format!("circuit/{circuit}");
    let fields = [("revision", revision.as_str()), ("which", "all"), ("take", &key)];
    let answer = cy.post("/sizing", &fields).await;
    answer.is(StatusCode::CONFLICT).says(&["Somebody changed the plan meanwhile"]);
    assert_eq!(plan(&shop).await, before);
    assert_ne!(answer.hidden("choices-form", "revision"), revision, "the next save begins with the new plan");
}

#[tokio::test]
async fn a_save_without_a_row_or_without_the_right_is_refused() {
    let shop = Shop::open(crumb()).await;
    let before = plan(&shop).await;
    let cy = shop.sign_in(Technician).await;
    save(&cy, "ticked", &[]).await.is(StatusCode::CONFLICT).says(&["No row is ticked"]);
    let bo = shop.sign_in(Apprentice).await;
    let answer = bo.post("/sizing", &[("revision", "1"), ("which", "all")]).await;
    answer.is(StatusCode::FORBIDDEN);
    assert_eq!(plan(&shop).await, before);
}
