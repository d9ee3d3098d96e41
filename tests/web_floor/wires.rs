//! A wire in the hand: found, ticked, and on to the next.

use axum::http::StatusCode;
use driploop::job::event::{Mark, StepReading, Tick};
use driploop::job::file::JobFile;
use driploop::job::phase::Phase;
use driploop::job::plan::Join;
use driploop::job::step::Action;
use driploop::shop::role::Role::{Apprentice, Technician, Viewer};
use uuid::Uuid;

use crate::shop::{Shop, done_before, job};

async fn ready_to_crimp() -> Shop {
    Shop::open(JobFile { history: done_before(&job().plan, Phase::Terminations), ..job() }).await
}

#[tokio::test]
async fn a_wires_page_says_all_that_the_hand_needs() {
    let shop = ready_to_crimp().await;
    let page = shop.sign_in(Viewer).await.page("/wires/C01-1").await;
    page.is(StatusCode::OK).says(&[
        "Wire C01-1",
        "14 AWG dark gray, labeled C01-1a and C01-1b",
        "as planned; leave slack",
        "Fuse block, Helm console",
        "Panel 1, Helm console",
        "Navigation lights (C01)",
        "blue, 16 to 14 AWG",
        "Not chosen. Enter the stud, screw or tab at Fuse block (fb1).",
        // 30 lbf for 14 AWG: ABYC E-11, from memory.
        "133 N",
        "Code for the page of C01-1",
        "http://shop.test/jobs/1/wires/C01-1",
        "No step is marked yet.",
    ]);
    assert!(page.how("C01-1-cut-to").contains("0.5 m given = 0.5 m"));
    page.lacks("name=\"mark\" value=\"done\">");
}

/// The code of a page as dots of gray, from the squares of its path: `M16 20h8v4h-8z`, each as one closed box.
fn code_of(page: &str) -> (usize, Vec<u8>) {
    let drawn = page.split("class=\"drawing qr\"").nth(1).unwrap();
    let within = |start: &str| drawn.split(start).nth(1).unwrap().split('"').next().unwrap();
    let side: usize = within("viewBox=\"0 0 ").split(' ').next().unwrap().parse().unwrap();
    let mut dots = vec![255; side * side];
    for square in within(" d=\"M").split('M') {
        let numbers: Vec<usize> =
            square.split([' ', 'h', 'v', '-', 'z']).filter_map(|number| number.parse().ok()).collect();
        let [x, y, width, height, back] = numbers[..] else { panic!("{square} is no box") };
        assert_eq!(width, back, "{square} is closed");
        for row in y..y + height {
            dots[row * side + x..row * side + x + width].fill(0);
        }
    }
    (side, dots)
}

/// A reader that shares nothing with the writer (ISO/IEC 18004) reads the address off the screen.
#[tokio::test]
async fn the_code_on_a_wires_page_is_read_as_its_address() {
    let shop = ready_to_crimp().await;
    let ron = shop.sign_in(Viewer).await;
    for wire in ["C01-1", "F1"] {
        let page = ron.page(&format!("/wires/{wire}")).await;
        let (side, dots) = code_of(page.text());
        let mut picture = rqrr::PreparedImage::prepare_from_greyscale(side, side, |x, y| dots[y * side + x]);
        let codes = picture.detect_grids();
        assert_eq!(codes.len(), 1);
        let (_, said) = codes[0].decode().unwrap();
        assert_eq!(said, format!("http://shop.test/jobs/1/wires/{wire}"));
    }
}

#[tokio::test]
async fn an_end_that_is_done_or_on_hold_says_so_in_place_of_the_button() {
    let shop = ready_to_crimp().await;
    let bo = shop.sign_in(Apprentice).await;
    bo.tick("end/C01-1b/terminate", "done").await.is(StatusCode::SEE_OTHER);
    let done = bo.page("/wires/C01-1/b").await;
    done.says(&["End C01-1b: done", "Bo, ", "C01-1a at Fuse block"]);
    done.lacks("now-form");
    assert!(done.text().contains(r#"href="/jobs/1/wires/C01-1/a"#), "the other end is one tap away");
    bo.page("/wires/C01-1/a").await.says(&["End C01-1a: on hold", "Other end: C01-1b at Panel 1"]);

    let shop = Shop::open(job()).await;
    let bo = shop.sign_in(Apprentice).await;
    let held = bo.page("/wires/C01-1/a").await;
    held.says(&["End C01-1a: on hold", "On hold. Fuse block: not fastened", "Other end: C01-1b at Panel 1"]);
    held.lacks("now-form");
}

#[tokio::test]
async fn one_tap_done_leads_to_the_next_wire_and_can_be_undone() {
    let shop = ready_to_crimp().await;
    let bo = shop.sign_in(Apprentice).await;
    let page = bo.page("/wires/C01-1/b?at=helm").await;
    page.says(&["Next task", "C01-1b at Panel 1, Helm console"]);
    let onward = page.hidden("now-form", "back");
    assert_eq!(onward, "/jobs/1/wires/F1/b?at=helm&done=end%2FC01-1b%2Fterminate");
    let event = page.hidden("now-form", "event");
    let tap =
        [("event", event.as_str()), ("step", "end/C01-1b/terminate"), ("mark", "done"), ("back", &onward)];
    bo.post("/ticks", &tap).await.leads_to(&onward);

    let next = bo.page(onward.strip_prefix("/jobs/1").unwrap()).await;
    next.says(&["Wire F1b", "Recorded.", "Bo: C01-1b at Panel 1", "Undo"]);
    let back = next.hidden("just-done", "back");
    assert_eq!(back, "/jobs/1/wires/C01-1/b?at=helm");
    let undo = [
        ("event", &*Uuid::now_v7().to_string()),
        ("step", "end/C01-1b/terminate"),
        ("mark", "undone"),
        ("back", &back),
    ];
    bo.post("/ticks", &undo).await.leads_to(&back);
    assert_eq!(shop.history().await.ticks.last().unwrap().mark, Mark::Undone);
    bo.page("/wires/C01-1/b?at=helm").await.says(&["Next task", "undid end C01-1b"]);
    next_is_gone(&bo.page(onward.strip_prefix("/jobs/1").unwrap()).await);
}

/// What was undone is not said to be kept.
fn next_is_gone(page: &crate::shop::Answer) {
    page.lacks("Recorded.");
}

#[tokio::test]
async fn work_continues_from_the_users_location() {
    let shop = ready_to_crimp().await;
    let bo = shop.sign_in(Apprentice).await;
    bo.page("/wires?at=helm").await.says(&["Next, from Helm console on", "/jobs/1/wires/F1/b?at=helm"]);
    let bow = bo.page("/wires?at=bow").await;
    bow.says(&["Next, from Bow on", "C01-3b at Sidelights, Bow"]);
    bo.page("/wires?at=attic").await.is(StatusCode::OK).says(&["Where are you?"]);
}

#[tokio::test]
async fn a_label_leads_straight_to_its_end_and_words_to_a_list() {
    let shop = ready_to_crimp().await;
    let ron = shop.sign_in(Viewer).await;
    ron.page("/wires?q=c023B").await.leads_to("/jobs/1/wires/C02-3/b");
    ron.page("/wires?q=F1&at=bow").await.leads_to("/jobs/1/wires/F1?at=bow");
    ron.page("/wires?q=bilge+black").await.says(&["Found: 1", "C02-4"]);
    ron.page("/wires?q=windlass").await.says(&["Found: 0", "No wire matches."]);
}

#[tokio::test]
async fn bench_work_is_next_while_the_wires_in_the_boat_are_on_hold() {
    let shop = Shop::open(job()).await;
    let bo = shop.sign_in(Apprentice).await;
    bo.page("/wires").await.says(&["/jobs/1/wires/C01-1/b"]);
    bo.page("/wires/C01-3").await.says(&["Next task", "On hold. ", "disabled"]);
    bo.page("/wires/C01-1/a").await.says(&["On hold. "]);
}

#[tokio::test]
async fn a_wire_that_is_all_done_says_so() {
    let shop = Shop::open(JobFile { history: done_before(&job().plan, Phase::PowerUpTest), ..job() }).await;
    let bo = shop.sign_in(Apprentice).await;
    bo.page("/wires/F1").await.says(&["No open tasks on this run", "Ana", "ticked end F1a"]);
    bo.page("/wires").await.says(&["All wires are pulled, labeled and terminated."]);
    for address in ["/wires/C09-1", "/wires/C01-1/c", "/wires/C01-1/"] {
        bo.page(address).await.is(StatusCode::NOT_FOUND);
    }
}

#[tokio::test]
async fn the_other_pages_lead_to_the_wire() {
    let shop = ready_to_crimp().await;
    let ron = shop.sign_in(Viewer).await;
    ron.page("/circuits/C01").await.says(&["/jobs/1/wires/C01-3\""]);
    ron.page("/feeders/F1").await.says(&["/jobs/1/wires/F1\""]);
    ron.page("/phases/terminations").await.says(&["/jobs/1/wires/C01-3/b\"", "Next task"]);
    ron.page("/phases/runs").await.says(&["/jobs/1/wires/C01-3\"", "Next task"]);
    ron.page("").await.says(&["/jobs/1/wires\""]);
}

/// The job of these tests with what its conductors land on.
fn seated() -> JobFile {
    let mut job = JobFile { history: done_before(&job().plan, Phase::Terminations), ..job() };
    for point in &mut job.plan.points {
        point.stud = Some("1/4 in".parse().unwrap());
        point.screw = Some("#8".parse().unwrap());
    }
    job.plan.devices[0].join = Some(Join::SealedButt);
    job
}

#[tokio::test]
async fn an_end_says_its_terminal_or_what_is_missing() {
    let shop = Shop::open(seated()).await;
    let ron = shop.sign_in(Viewer).await;
    let page = ron.page("/wires/C01-1").await;
    page.says(&["Ring terminal, blue, 16 to 14 AWG", "#8 stud (M4)", "4.8 mm before it shrinks, 30 mm long"]);
    ron.page("/wires/F1").await.says(&["Ring terminal, tinned lug for 6 AWG", "1/4 in stud (M6)"]);
    ron.page("/wires/C02-3").await.says(&["Not chosen. Enter the stud, screw or tab at Bilge pump (pump)."]);
    let phase = ron.page("/phases/terminations").await;
    phase.says(&["2 not chosen", "Heat shrink, adhesive-lined", "Butt connector, blue", "barrel: "]);
}

#[tokio::test]
async fn what_a_crimp_held_is_kept_and_can_be_undone() {
    let shop = Shop::open(seated()).await;
    let (bo, cy) = (shop.sign_in(Apprentice).await, shop.sign_in(Technician).await);
    let back = "/jobs/1/wires/C01-1#a";
    let event = || Uuid::now_v7().to_string();
    let pull = |force: &str| [("event", event()), ("force_n", force.to_owned()), ("back", back.to_owned())];
    let refused = bo.post("/wires/C01-1/a/pulls", &pull("hard")).await;
    refused.is(StatusCode::UNPROCESSABLE_ENTITY).says(&["a force in newtons from 1 to 10000", "hard"]);
    // 14 AWG has to hold 30 lbf, 133 N (ABYC E-11, from memory).
    bo.post("/wires/C01-1/a/pulls", &pull("140")).await.leads_to(back);
    cy.post("/wires/C01-1/a/pulls", &pull("132,9")).await.leads_to(back);
    bo.page("/wires/C01-1/a").await.says(&["140 N, held", "132.9 N, failed", "On hold. The latest sample"]);
    bo.tick("end/C01-1b/terminate", "done")
        .await
        .is(StatusCode::CONFLICT)
        .says(&["held 132.9 N; the requirement is 133 N"]);
    let key = "finding/crimp-sample-failed/end/C01-1a";
    let release = [
        ("event", event()),
        ("step", "end/C01-1b/terminate".to_owned()),
        ("obstacle", key.to_owned()),
        ("reason", "The pull rig slips; new crimps hold by hand".to_owned()),
        ("back", back.to_owned()),
    ];
    bo.post("/releases", &release).await.is(StatusCode::FORBIDDEN);
    cy.post("/releases", &release).await.leads_to(back);
    bo.page("/wires/C01-1/b").await.says(&["Next task"]);
    bo.tick("end/C01-1b/terminate", "done")
        .await
        .leads_to("/jobs/1/phases/terminations#step-end-C01-1b-terminate");
    bo.post("/wires/C01-10/a/pulls", &pull("140")).await.is(StatusCode::NOT_FOUND);

    let history = shop.history().await;
    assert_eq!(history.crimp_pulls.len(), 2);
    let take_back = |of: Uuid| [("event", event()), ("of", of.to_string()), ("back", back.to_owned())];
    let (of_bo, of_cy) = (history.crimp_pulls[0].id, history.crimp_pulls[1].id);
    bo.post("/withdrawals", &take_back(of_cy)).await.is(StatusCode::FORBIDDEN);
    bo.post("/withdrawals", &take_back(Uuid::now_v7())).await.is(StatusCode::NOT_FOUND);
    for of in [of_bo, of_cy, of_cy] {
        cy.post("/withdrawals", &take_back(of)).await.leads_to(back);
    }
    let page = bo.page("/wires/C01-1/a").await;
    page.lacks("140 N, held");
    let history = shop.history().await;
    assert_eq!((history.crimp_pulls.len(), history.withdrawals.len()), (2, 2), "nothing is lost");
    bo.page("/log").await.says(&["measured end C01-1a", "undid a record of"]);
}

#[tokio::test]
async fn a_pass_whose_reading_is_undone_does_not_count_any_more() {
    let mut job = job();
    job.history = crate::shop::all_done(&job.plan);
    let reading = job.history.readings[0].id;
    let shop = Shop::open(job).await;
    let cy = shop.sign_in(Technician).await;
    cy.page("/report").await.says(&["Both circuits are powered and measured"]);
    let event = Uuid::now_v7().to_string();
    let form = [("event", event), ("of", reading.to_string()), ("back", "/jobs/1".to_owned())];
    cy.post("/withdrawals", &form).await.leads_to("/jobs/1");
    cy.page("/phases/power-up-test").await.says(&["Recorded, but it does not count yet. Not measured."]);
    cy.page("/report").await.lacks("Both circuits are powered and measured");
}

#[tokio::test]
async fn a_step_counts_as_long_as_a_measurement_bears_it_out() {
    let mut job = job();
    job.history = crate::shop::all_done(&job.plan);
    let of_poles = |tick: &&Tick| tick.step.action == Action::BetweenPoles;
    let step = job.history.ticks.iter().find(of_poles).unwrap().step.clone();
    let measured = |ohm: f64, at: &str| StepReading {
        id: Uuid::now_v7(),
        step: step.clone(),
        point: None,
        rating_a: None,
        ohm: Some(ohm.try_into().unwrap()),
        v: None,
        note: None,
        by: "Bo".parse().unwrap(),
        at: at.parse().unwrap(),
    };
    let taken = [measured(2200.0, "2026-05-04T10:01:00Z"), measured(2300.0, "2026-05-04T10:02:00Z")];
    job.history.step_readings.retain(|reading| reading.step != step);
    job.history.step_readings.extend(taken.to_vec());
    let shop = Shop::open(job).await;
    let bo = shop.sign_in(Apprentice).await;
    let back = "/jobs/1/phases/power-up-test";
    let take_back =
        |of: Uuid| [("event", Uuid::now_v7().to_string()), ("of", of.to_string()), ("back", back.to_owned())];
    bo.page("/phases/power-up-test").await.says(&["2300", "Undo"]);
    bo.post("/withdrawals", &take_back(taken[1].id)).await.leads_to(back);
    bo.page("/phases/power-up-test").await.says(&["2200"]).lacks("does not count yet");
    for _ in 0..2 {
        bo.post("/withdrawals", &take_back(taken[0].id)).await.leads_to(back);
    }
    bo.page("/phases/power-up-test").await.says(&["Recorded, but it does not count yet. Not measured."]);
}

/// The job with a network cable on its first device.
fn with_a_cable() -> JobFile {
    let mut file = job();
    let device = &mut file.plan.devices[0];
    let cable = serde_json::json!({"id": device.id, "kind": "network", "length_m": 6, "to": {"location": "helm"},
        "far_connector": {"width_mm": 19}});
    device.cables = vec![serde_json::from_value(cable).unwrap()];
    file
}

#[tokio::test]
async fn a_factory_cable_has_a_page_a_search_hit_and_ticks_like_a_wire() {
    let file = with_a_cable();
    let id = file.plan.devices[0].id.to_string();
    let history = done_before(&file.plan, Phase::Runs);
    let shop = Shop::open(JobFile { history, ..file }).await;
    let bo = shop.sign_in(Apprentice).await;
    let page = bo.page(&format!("/wires/{id}")).await;
    page.is(StatusCode::OK).says(&[
        "network cable, 6.0 m",
        "19 mm wide",
        &format!("Labeled</dt><dd>{id}-a helm"),
        "Pulled from the device back to the console",
        &format!("http://shop.test/jobs/1/wires/{id}"),
    ]);
    bo.page(&format!("/wires?q={id}-b")).await.leads_to(&format!("/jobs/1/wires/{id}/b"));
    bo.page("/wires?q=network+cable").await.says(&[&format!("/jobs/1/wires/{id}\""), "factory cable"]);
    let end = bo.page(&format!("/wires/{id}/b")).await;
    assert!(
        end.text().find("id=\"b\"") < end.text().find("id=\"a\""),
        "the end that was asked for comes first"
    );
    let step = format!("cable/{id}/label");
    bo.tick(&step, "done").await.is(StatusCode::CONFLICT).says(&["not pulled"]);
    bo.tick(&format!("cable/{id}/pull"), "done").await;
    bo.tick(&step, "done").await;
    assert_eq!(shop.history().await.ticks.last().unwrap().step.to_string(), step);
    bo.page(&format!("/wires/{id}")).await.says(&[&format!("ticked cable {id}: label")]);
    bo.page("/phases/tie-down").await.says(&["Cables", "network cable, 6.0 m"]);
}

#[tokio::test]
async fn the_end_that_a_code_leads_to_comes_first() {
    let shop = ready_to_crimp().await;
    let ron = shop.sign_in(Viewer).await;
    let page = ron.page("/wires/C01-1/b").await;
    assert!(page.text().find("End C01-1b") < page.text().find("End C01-1a"), "{}", page.text());
    let page = ron.page("/wires/C01-1").await;
    assert!(page.text().find("End C01-1a") < page.text().find("End C01-1b"), "{}", page.text());
}
