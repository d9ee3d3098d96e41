//! Cables that are cut to length: their ends are made in the boat, as those of wires are.

use driploop::job::check::{Report, check};
use driploop::job::checked::Checked;
use driploop::job::event::Mark;
use driploop::job::find;
use driploop::job::label::{Labels, Limit, Rule};
use driploop::job::plan::Plan;
use driploop::job::run::Pieces;
use driploop::job::steps::Steps;
use driploop::job::subject::{Subject, SubjectKind};
use driploop::job::termination;
use driploop::job::wiring::Conductors;
use driploop::job::work::StepState;
use driploop::trade::finding::Code;
use serde_json::{Value, json};

use crate::fixture;
use crate::worker::Worker;

/// The sound job with two cables of its light at the bow: one that is cut to length, with a label, and a made one.
fn job(job: &mut Value) {
    let tube =
        json!({"id": "tube-bow", "between": ["helm", "bow"], "length_m": 2.5, "bore_mm": 38, "kind": "tube"});
    job["raceways"].as_array_mut().unwrap().push(tube);
    let plotter = json!({"id": "plotter", "name": "Plotter", "location": "helm"});
    job["devices"].as_array_mut().unwrap().push(plotter);
    job["devices"][0]["cables"] = json!([
        {"id": "net", "label": "N1", "kind": "network", "to": {"device": "plotter"},
            "connector": {"name": "M12 male"}, "far_connector": {"name": "M12 female"}},
        {"id": "coax", "kind": "antenna", "to": {"location": "helm"}, "length_m": 5,
            "connector": {"name": "PL-259"}}
    ]);
}

fn plan() -> Plan {
    fixture::plan(job)
}

fn report(change: fn(&mut Value)) -> Report {
    fixture::report(|plan| {
        job(plan);
        change(plan);
    })
}

fn steps(plan: &Plan) -> Steps {
    Steps::of(plan, &Conductors::of(plan), &check(plan).routes)
}

/// The steps on a cable and its ends.
fn keys(plan: &Plan, cable: &str) -> Vec<String> {
    let steps = steps(plan);
    let own = steps.all().iter().filter(|step| step.cable.as_ref().is_some_and(|id| id.as_str() == cable));
    own.map(|step| step.key.to_string()).collect()
}

#[test]
fn both_ends_of_a_cut_cable_are_terminated_and_a_made_one_is_plugged_in() {
    let on = |cable: &str, actions: &[&str]| -> Vec<String> {
        actions.iter().map(|action| format!("cable/{cable}/{action}")).collect()
    };
    let tie_down = ["guard", "relieve", "tie"];
    let ends = ["end/net-a/terminate", "end/net-b/terminate"].map(str::to_owned);
    let expected =
        [on("net", &["pull", "label"]), ends.to_vec(), on("net", &["inspect"]), on("net", &tie_down)]
            .concat();
    assert_eq!(keys(&plan(), "net"), expected);
    assert_eq!(
        keys(&plan(), "coax"),
        [on("coax", &["pull", "label", "inspect"]), on("coax", &tie_down)].concat()
    );
    let steps = steps(&plan());
    let far = steps.get(&"end/net-b/terminate".parse().unwrap()).unwrap();
    assert_eq!((far.about.as_str(), far.location.as_ref().unwrap().as_str()), ("N1-b at plotter", "helm"));
}

#[test]
fn an_end_leads_to_its_cable() {
    let plan = plan();
    let conductors = Conductors::of(&plan);
    let of = |end: &str| {
        let about = Pieces::of(&plan, &conductors).about(&Subject::new(SubjectKind::End, end));
        about.map(|(piece, end)| (piece.id().to_owned(), end))
    };
    assert_eq!(of("net-b"), Some(("net".to_owned(), Some(1))));
    assert_eq!(of("C01-3a"), Some(("C01-3".to_owned(), Some(0))));
    assert_eq!((of("net-c"), of("neta"), of("net")), (None, None, None));
}

#[test]
fn its_ends_wait_for_its_pull_and_label_and_its_look_over_waits_for_its_ends() {
    let checked = Checked::of(plan());
    let held = |worker: &Worker, step: &str| -> Vec<String> {
        worker.status(&checked, |work| {
            let holds = work.on_hold(&step.parse().unwrap()).into_iter();
            holds.filter_map(|hold| hold.obstacle.key()).filter(|key| key.contains("net")).collect()
        })
    };
    let mut worker = Worker::new();
    assert_eq!(held(&worker, "end/net-a/terminate"), ["cable/net/pull", "cable/net/label"]);
    worker.work(&checked, |key| !key.to_string().contains("end/net"));
    assert_eq!(held(&worker, "end/net-a/terminate"), [""; 0]);
    assert_eq!(held(&worker, "cable/net/inspect"), ["end/net-a/terminate", "end/net-b/terminate"]);
}

#[test]
fn an_undone_termination_opens_the_tie_down_of_its_cable_alone() {
    let checked = Checked::of(plan());
    let mut worker = Worker::new();
    worker.work(&checked, |_| true);
    let state =
        |worker: &Worker, step: &str| worker.status(&checked, |work| work.state(&step.parse().unwrap()));
    assert_eq!(state(&worker, "cable/net/tie"), StepState::Done);
    worker.mark(&checked, &"end/net-a/terminate".parse().unwrap(), Mark::Undone);
    assert_eq!(state(&worker, "cable/net/tie"), StepState::Open);
    assert_eq!(state(&worker, "cable/coax/tie"), StepState::Done);
}

#[test]
fn connectors_and_cable_to_cut_are_counted() {
    let materials = report(|_| {}).materials;
    let counted: Vec<_> = materials
        .connectors
        .iter()
        .map(|row| (row.location.as_ref().unwrap().as_str(), row.name.as_str(), row.count))
        .collect();
    assert_eq!(counted, [("helm", "M12 female", 1), ("bow", "M12 male", 1)], "none of the made cable");
    let [cable] = materials.cable_to_cut.as_slice() else { panic!("{:?}", materials.cable_to_cut) };
    assert_eq!((cable.kind.words(), cable.cables, cable.unmeasured.len()), ("network cable", 1, 0));
    // (2.5 m + 2 x 0.55 m) x 1.05.
    assert!((cable.length_m - 3.78).abs() < 1e-9, "{cable:?}");
    assert_eq!(cable.working.numbers, "3.78 m (net)");
    assert_eq!(cable.working.result, "3.78 m");

    let two = report(|job| {
        let more = json!({"id": "net-2", "kind": "network", "to": {"location": "stern"},
            "connector": {"name": "M12 male"}, "far_connector": {"name": "M12 male"}});
        job["devices"][0]["cables"].as_array_mut().unwrap().push(more);
        job["raceways"][0].as_object_mut().unwrap().remove("length_m");
    })
    .materials;
    let at_bow = two.connectors.iter().find(|row| row.location.as_ref().unwrap().as_str() == "bow").unwrap();
    assert_eq!(at_bow.count, 2);
    let [cable] = two.cable_to_cut.as_slice() else { panic!("{:?}", two.cable_to_cut) };
    let unmeasured: Vec<_> = cable.unmeasured.iter().map(|id| id.as_str()).collect();
    assert_eq!((cable.cables, unmeasured), (2, vec!["net-2"]), "a raceway of unknown length");
    assert!((cable.length_m - 3.78).abs() < 1e-9, "{cable:?}");
}

#[test]
fn an_end_without_a_connector_is_not_chosen_and_a_finding_names_it() {
    let size = |wire: &driploop::job::conductor::Conductor| wire.size;
    let checked = |change: fn(&mut Value)| {
        let plan = fixture::plan(|plan| {
            job(plan);
            change(plan);
        });
        let (tally, findings) = termination::check(&plan, &Conductors::of(&plan), size);
        let said = findings.iter().find(|finding| finding.code == Code::NotChecked).map(fixture::said);
        (tally.not_chosen, said.unwrap_or_default())
    };
    let (chosen, said) = checked(|_| {});
    assert!(!said.contains("connector"), "{said}");
    let (lacking, said) = checked(|job| {
        job["devices"][0]["cables"][0].as_object_mut().unwrap().remove("far_connector");
        job["devices"][0]["cables"][1].as_object_mut().unwrap().remove("connector");
    });
    assert_eq!(lacking, chosen + 1, "the made cable lacks nothing");
    assert!(said.contains("the connectors at end net-b"), "{said}");
    assert!(said.contains("which terminals and connectors go there"), "{said}");
}

#[test]
fn the_label_of_a_cable_is_on_its_ends_in_lists_and_in_search() {
    let plan = plan();
    let conductors = Conductors::of(&plan);
    let piece = Pieces::of(&plan, &conductors).get("net").unwrap();
    assert_eq!((piece.id(), piece.label()), ("net", "N1"));
    let [near, far] = piece.ends();
    assert_eq!((near.id.as_str(), near.label.as_str()), ("net-a", "N1-a"));
    assert_eq!((far.id.as_str(), far.label.as_str()), ("net-b", "N1-b"));
    assert!(piece.about(&plan).starts_with("N1, Sidelights, network cable"), "{}", piece.about(&plan));
    let rule: Rule = "{wire}{end} {far}".parse().unwrap();
    let labels = Labels::of(&plan, &conductors, |wire| wire.size, &rule, Limit::new(24));
    assert_eq!(labels.get("net-a").unwrap().text, "N1-a plotter");
    assert_eq!(labels.get("coax-a").unwrap().text, "coax-a helm", "without a label: its id");
    let hits = find::pieces(&plan, &conductors, "n1-b");
    let meant = find::meant(&hits).unwrap();
    assert_eq!((meant.piece.id(), meant.end), ("net", Some(1)));
    let words = find::pieces(&plan, &conductors, "cut network");
    assert_eq!(words.iter().map(|hit| hit.piece.id()).collect::<Vec<_>>(), ["net"]);
}

#[test]
fn a_finding_names_the_device_of_a_cables_end() {
    let report = report(|job| {
        job["devices"][0]["cables"][0].as_object_mut().unwrap().remove("connector");
    });
    let said: Vec<_> = report.findings.iter().map(fixture::said).collect();
    assert!(said.iter().any(|text| text.contains("Sidelights, network cable (net-a)")), "{said:?}");
}
