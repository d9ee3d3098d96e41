//! Factory cables in the hand: their steps, their labels, how they are found, and what tying them down takes.

use driploop::job::check::check;
use driploop::job::checked::Checked;
use driploop::job::event::{History, Mark};
use driploop::job::file::JobFile;
use driploop::job::find;
use driploop::job::label::{Labels, Limit, Rule};
use driploop::job::names::Names;
use driploop::job::next;
use driploop::job::plan::Plan;
use driploop::job::run::{Piece, Pieces};
use driploop::job::steps::Steps;
use driploop::job::subject::{Subject, SubjectKind};
use driploop::job::tie::Counts;
use driploop::job::wiring::Conductors;
use driploop::job::work::{StepState, Verdicts, Work};
use serde_json::{Value, json};

use crate::fixture;
use crate::worker::Worker;

/// The sound job with an antenna coax that goes from the bow to the helm by a tube.
fn job(job: &mut Value) {
    let tube =
        json!({"id": "tube-bow", "between": ["helm", "bow"], "length_m": 2.5, "bore_mm": 38, "kind": "tube"});
    job["raceways"].as_array_mut().unwrap().push(tube);
    let location = json!({"id": "bow", "name": "Bow", "wet": true});
    job["locations"][2] = location;
    job["devices"].as_array_mut().unwrap().push(json!({
        "id": "aerial", "name": "VHF antenna", "location": "bow",
        "cables": [{"id": "aerial", "kind": "antenna", "length_m": 5, "to": {"location": "helm"}}]
    }));
}

fn plan() -> Plan {
    fixture::plan(job)
}

fn keys(plan: &Plan) -> Vec<String> {
    let steps = Steps::of(plan, &Conductors::of(plan), &check(plan).routes);
    let cables = steps.all().iter().filter(|step| step.key.subject.kind == SubjectKind::Cable);
    cables.map(|step| step.key.to_string()).collect()
}

#[test]
fn a_cable_is_pulled_labeled_and_tied_down() {
    let actions = ["pull", "label", "inspect", "guard", "drip-loop", "relieve", "tie"];
    assert_eq!(keys(&plan()), actions.map(|action| format!("cable/aerial/{action}")));
    let at_helm = fixture::plan(|plan| {
        job(plan);
        plan["devices"][2]["location"] = json!("helm");
    });
    assert_eq!(
        keys(&at_helm),
        ["cable/aerial/label", "cable/aerial/inspect", "cable/aerial/relieve", "cable/aerial/tie"],
        "nothing to pull within one location"
    );
}

#[test]
fn each_cable_of_a_device_has_its_own_name() {
    let plan = fixture::plan(|plan| {
        job(plan);
        let tracker = json!({"id": "tracker", "kind": "network", "length_m": 5, "to": {"location": "helm"}});
        plan["devices"].as_array_mut().unwrap().last_mut().unwrap()["cables"]
            .as_array_mut()
            .unwrap()
            .push(tracker);
    });
    let names = Names::of(&plan);
    let name = |id| names.name(SubjectKind::Cable, id);
    assert_eq!(name("aerial").as_deref(), Some("VHF antenna, antenna coax"));
    assert_eq!(name("tracker").as_deref(), Some("VHF antenna, network cable"));
    assert_eq!(name("no-cable"), None);
}

fn labels(rule: &str, limit: usize) -> Labels {
    let (plan, rule): (_, Rule) = (plan(), rule.parse().unwrap());
    Labels::of(&plan, &Conductors::of(&plan), |conductor| conductor.size, &rule, Limit::new(limit))
}

/// What is said on the cable.
fn of_cable(labels: &Labels) -> Vec<&str> {
    let own = labels.all().iter().filter(|label| label.on.to_string() == "cable/aerial");
    own.map(|label| label.text.as_str()).collect()
}

#[test]
fn both_ends_are_labeled_by_the_shops_rule() {
    let said =
        |rule: &str| -> Vec<String> { of_cable(&labels(rule, 40)).into_iter().map(str::to_owned).collect() };
    assert_eq!(said("{wire}{end} {far}"), ["aerial-a helm", "aerial-b aerial"]);
    assert_eq!(
        said("{circuit}-{n} {location}, {far-name}"),
        ["aerial Helm console, Helm console", "aerial Bow, VHF antenna"]
    );
    assert_eq!(said("{wire} {name}"), ["aerial antenna coax"; 2]);
}

#[test]
fn no_cable_says_what_a_wire_says() {
    let mut named_alike = fixture::sound();
    job(&mut named_alike);
    named_alike["feeders"][0]["id"] = json!("aerial");
    let told = JobFile::read(named_alike.to_string().as_bytes()).unwrap_err().to_string();
    assert!(told.contains("an id that is not also the label of a wire"), "{told}");
    let two = |plan: &mut Value| {
        job(plan);
        let second = json!({"id": "aerial-2", "kind": "antenna", "length_m": 5, "to": {"device": "side"}});
        plan["devices"][2]["cables"].as_array_mut().unwrap().push(second);
    };
    let (plan, rule): (_, Rule) = (fixture::plan(two), "{wire}".parse().unwrap());
    let conductors = Conductors::of(&plan);
    let labels = Labels::of(&plan, &conductors, |wire| wire.size, &rule, Limit::new(8));
    assert_eq!(of_cable(&labels), ["aerial"; 2]);
    let said = |end: &str| labels.get(end).map(|label| label.text.as_str());
    assert_eq!((said("aerial-2-a"), said("aerial-2-b")), (Some("aerial-2"), Some("aerial-2")));
    let cables = Pieces::of(&plan, &conductors).all().filter(|piece| matches!(piece, Piece::Cable(_)));
    let steps = Steps::of(&plan, &conductors, &check(&plan).routes);
    let pulls = cables.map(|piece| steps.of_subject(&piece.subject()).count());
    assert_eq!(pulls.collect::<Vec<_>>(), [7, 5], "each has its own steps; the second stays at the bow");
}

/// What is found for what was typed, and whether it was meant.
fn found(typed: &str) -> (Vec<String>, bool) {
    let plan = plan();
    let conductors = Conductors::of(&plan);
    let hits = find::pieces(&plan, &conductors, typed);
    let cables = hits.iter().filter(|hit| matches!(hit.piece, Piece::Cable(_)));
    let ids =
        cables.map(|hit| hit.end.map_or_else(|| "cable".to_owned(), |end| hit.piece.ends()[end].id.clone()));
    (ids.collect(), find::meant(&hits).is_some())
}

#[test]
fn a_cable_is_found_by_its_label_and_by_words() {
    for typed in ["aerial-b", "AERIALB", "aerial b", "aer1al-b"] {
        assert_eq!(found(typed), (vec!["aerial-b".to_owned()], true), "{typed}");
    }
    for typed in ["aerial", "aer", "vhf coax", "antenna bow", "factory helm"] {
        assert_eq!(found(typed), (vec!["cable".to_owned()], false), "{typed}");
    }
    assert_eq!(found("windlass"), (vec![], false));
}

#[test]
fn it_is_among_what_comes_next() {
    let checked = Checked::of(plan());
    let (history, verdicts) = (History::default(), Verdicts::default());
    let work = Work::of(&checked, &history, &verdicts);
    let next = next::on_pieces(&checked.plan, &checked.conductors, &work, Some(&"bow".parse().unwrap()));
    let location = |key: &str| next.iter().position(|step| step.key.to_string() == key).unwrap();
    assert!(
        location("conductor/C01-4/label") < location("cable/aerial/pull"),
        "the wires that leave from there first"
    );
    assert!(
        location("cable/aerial/label") < location("conductor/F1/pull"),
        "then the cable, before another location's"
    );
}

#[test]
fn an_undone_pull_opens_the_look_over_and_the_tie_of_the_cable_alone() {
    let checked = Checked::of(plan());
    let mut worker = Worker::new();
    assert_eq!(worker.work(&checked, |_| true), []);
    worker.mark(&checked, &"cable/aerial/pull".parse().unwrap(), Mark::Undone);
    let state = |key: &str| worker.status(&checked, |work| work.state(&key.parse().unwrap()));
    assert_eq!(state("cable/aerial/inspect"), StepState::Open);
    assert_eq!(state("cable/aerial/tie"), StepState::Open);
    assert_eq!(state("cable/aerial/label"), StepState::Done);
    assert_eq!(state("feeder/F1/tie"), StepState::Done);
}

#[test]
fn tying_it_down_takes_guards_reliefs_and_a_drip_loop() {
    let plan = plan();
    let routes = check(&plan).routes;
    let own = Counts::of(&plan, &routes, &Subject::new(SubjectKind::Cable, "aerial"));
    assert_eq!((own.guards, own.reliefs, own.supports), (2, 2, 0), "a tube has two mouths");
    assert_eq!(own.drip_loops.iter().map(ToString::to_string).collect::<Vec<_>>(), ["bow"]);
    let without = fixture::plan(|plan| {
        job(plan);
        plan["devices"].as_array_mut().unwrap().pop();
    });
    let whole = |plan: &Plan| Counts::whole(plan, &check(plan).routes).reliefs;
    assert_eq!(whole(&plan), whole(&without) + 2);
}
