//! Terminals and heat shrink: by the size of the wire and by what it lands on. Common practice but for the
//! widths of tabs (IEC 61210, from memory) and the join rule (ABYC E-11: no twist-on connectors, from memory).

use driploop::job::conductor::Conductor;
use driploop::job::plan::Plan;
use driploop::job::termination;
use driploop::job::wiring::Conductors;
use driploop::trade::conductor::Size;
use driploop::trade::units::Units;
use serde_json::{Value, json};

use crate::fixture::{self, job, sound};

/// The sound job with everything said of what its conductors land on.
fn seated(job: &mut Value) {
    for (index, seat) in [
        json!({"stud": "3/8 in"}),
        json!({"stud": "1/4 in", "screw": "#8"}),
        json!({"stud": "M6", "screw": "M4"}),
        json!({"tab_mm": 6.3}),
        json!({"screw": "#8"}),
    ]
    .into_iter()
    .enumerate()
    {
        job["points"][index].as_object_mut().unwrap().extend(seat.as_object().unwrap().clone());
    }
    job["devices"][0]["join"] = json!("sealed-butt");
    job["devices"][1]["tab_mm"] = json!(4.8);
}

fn plan(change: impl FnOnce(&mut Value)) -> Plan {
    job(|job| {
        seated(job);
        change(job);
    })
    .plan
}

fn size(conductor: &Conductor) -> Option<Size> {
    conductor.size
}

/// What goes on an end, or why nothing does.
fn fitted(plan: &Plan, end: &str) -> String {
    let conductors = Conductors::of(plan);
    let (conductor, end) = conductors.end(end).unwrap();
    match termination::terminal(plan, conductor, &end.at, size(conductor)) {
        Ok(fitted) => {
            let terminal = &fitted.terminal;
            format!("{}, {}, {}", terminal.kind.words(), terminal.barrel.words(), fitted.seat.words())
        }
        Err(said) => format!("{}: {}", said.code.phrase(), said.text.text(Units::Metric)),
    }
}

#[test]
fn a_feeder_takes_the_stud_and_a_circuit_the_screw_or_the_tab() {
    let plan = plan(|_| {});
    assert_eq!(fitted(&plan, "F1a"), "ring terminal, tinned lug, 3/8 in stud (M10)");
    assert_eq!(fitted(&plan, "F1b"), "ring terminal, tinned lug, 1/4 in stud (M6)");
    assert_eq!(fitted(&plan, "C01-1a"), "ring terminal, red, 22 to 16 AWG, #8 stud (M4)");
    assert_eq!(fitted(&plan, "C01-1b"), "push-on terminal, red, 22 to 16 AWG, 6.3 mm tab");
    assert_eq!(
        fitted(&plan, "C01-3b"),
        "butt connector, red, 22 to 16 AWG, sealed butt connector on its own lead"
    );
    assert_eq!(fitted(&plan, "C01-5b"), "push-on terminal, red, 22 to 16 AWG, 4.8 mm tab");
}

#[test]
fn a_stud_alone_takes_the_circuits_as_well() {
    let plan = plan(|job| {
        job["points"][1].as_object_mut().unwrap().remove("screw");
    });
    assert_eq!(fitted(&plan, "C01-1a"), "ring terminal, red, 22 to 16 AWG, 1/4 in stud (M6)");
}

#[test]
fn nothing_is_guessed() {
    let bare = plan(|job| {
        job["points"][1].as_object_mut().unwrap().remove("stud");
        job["devices"][1].as_object_mut().unwrap().remove("tab_mm");
    });
    let missing = "input-missing: Enter the stud, screw or tab at point fb1. This is needed to check the terminal there.";
    assert_eq!(fitted(&bare, "F1b"), missing);
    let odd = plan(|job| job["points"][3]["tab_mm"] = json!(5));
    assert!(
        fitted(&odd, "C01-1b")
            .starts_with("no-standard-terminal: No standard push-on terminal fits a 5 mm tab")
    );
}

/// The findings about terminals and joins, above a note or not.
fn found(plan: &Plan) -> Vec<String> {
    let conductors = Conductors::of(plan);
    let (_, said) = termination::check(plan, &conductors, size);
    said.iter()
        .map(|finding| format!("{} {} {}", finding.level.word(), finding.code.phrase(), finding.subject))
        .collect()
}

#[test]
fn joins_that_do_not_last_are_findings() {
    assert_eq!(found(&plan(|_| {})), [""; 0]);
    let wet = |join: &'static str| {
        plan(move |job| {
            job["locations"][2]["wet"] = json!(true);
            job["devices"][0]["join"] = json!(join);
        })
    };
    assert_eq!(found(&wet("sealed-butt")), [""; 0]);
    assert_eq!(found(&wet("butt")), ["fix join-not-sealed device/side"]);
    assert_eq!(found(&wet("wire-nut")), ["fix wire-nut device/side"]);
    let dry = plan(|job| job["devices"][0]["join"] = json!("butt"));
    assert_eq!(found(&dry), [""; 0]);
}

#[test]
fn what_is_not_given_is_said_once() {
    let bare = job(|_| {}).plan;
    let conductors = Conductors::of(&bare);
    let (_, said) = termination::check(&bare, &conductors, size);
    assert_eq!(said.len(), 1, "{said:?}");
    assert_eq!(
        fixture::said(&said[0]),
        "Enter the studs, screws or tabs at point fb1, point panel, point jb1, point neg1, device stern-light, \
         point house and device side. This is needed to check which terminals go there."
    );
}

#[test]
fn a_terminal_nobody_makes_is_a_finding_of_its_end() {
    // Lugs for 6 AWG are made from #10 on.
    let thin = plan(|job| job["points"][0]["stud"] = json!("#8"));
    assert_eq!(found(&thin), ["fix no-standard-terminal end/F1a", "fix no-standard-terminal end/F2a"]);
}

#[test]
fn every_end_is_counted_once_chosen_or_not() {
    let plan = plan(|_| {});
    let conductors = Conductors::of(&plan);
    let (tally, _) = termination::check(&plan, &conductors, size);
    let terminals: usize = tally.terminals.iter().map(|count| count.count).sum();
    assert_eq!((terminals, tally.not_chosen), (2 * conductors.all().len(), 0));
    let pieces: usize = tally.tubes.iter().map(|tube| tube.pieces).sum();
    assert_eq!(pieces, terminals);
    let screws: Vec<_> =
        tally.terminals.iter().filter(|count| count.seat.words() == "#8 stud (M4)").collect();
    assert_eq!(screws.len(), 1, "one kind at one location is one line");
    assert_eq!(screws[0].count, 4, "fuse block, junction bar twice, negative bar");

    let bare = job(|_| {}).plan;
    let (tally, _) = termination::check(&bare, &conductors, size);
    assert_eq!((tally.terminals.len(), tally.not_chosen), (0, 2 * conductors.all().len()));
}

#[test]
fn a_conductor_sits_on_one_thing() {
    let faults = |change: fn(&mut Value)| {
        let mut value = sound();
        seated(&mut value);
        change(&mut value);
        let error = driploop::job::file::JobFile::read(value.to_string().as_bytes()).unwrap_err();
        error.to_string()
    };
    let both = faults(|job| job["points"][3]["screw"] = json!("#8"));
    assert!(both.contains("points[3].tab_mm") && both.contains("either a screw or a tab"), "{both}");
    let both = faults(|job| job["devices"][0]["stud"] = json!("#8"));
    assert!(both.contains("devices[0].join") && both.contains("only one of stud, tab_mm and join"), "{both}");
    let odd = faults(|job| job["devices"][0]["join"] = json!("tape"));
    assert!(odd.contains("devices[0].join"), "{odd}");
}
