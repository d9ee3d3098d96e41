//! Steps, progress and hold points.

use driploop::job::check::check;
use driploop::job::event::{History, Mark, Release, Repair, Tick};
use driploop::job::file::JobFile;
use driploop::job::hold_point::HoldPoint;
use driploop::job::phase::Phase;
use driploop::job::plan::Plan;
use driploop::job::progress::{Progress, StepState};
use driploop::job::stage::{Stage, Stages};
use driploop::job::step::StepKey;
use driploop::job::steps::Steps;
use driploop::job::value::CircuitId;
use driploop::job::wiring::Conductors;
use jiff::Timestamp;
use serde_json::json;
use uuid::Uuid;

use driploop::trade::units::Units;

use crate::fixture::{job, plan};

fn steps(plan: &Plan) -> Steps {
    Steps::of(plan, &Conductors::of(plan), &check(plan).routes)
}

fn tick(number: u128, step: &str, mark: Mark, by: &str, second: i64) -> Tick {
    Tick {
        id: Uuid::from_u128(number),
        step: step.parse().unwrap(),
        mark,
        reason: (mark == Mark::NotNeeded).then(|| "not on this boat".parse().unwrap()),
        by: by.parse().unwrap(),
        at: Timestamp::from_second(second).unwrap(),
    }
}

/// A history in which every step of these phases is done.
fn done(steps: &Steps, phases: &[Phase]) -> History {
    let all = phases.iter().flat_map(|phase| steps.in_phase(*phase));
    let ticks = all
        .enumerate()
        .map(|(index, step)| tick(index as u128 + 1, &step.key.to_string(), Mark::Done, "Robin", 1000));
    History { ticks: ticks.collect(), ..History::default() }
}

#[test]
fn the_steps_are_what_the_job_contains() {
    let plan = plan(|job| job["devices"][0]["settings"] = json!([{"name": "Brightness"}]));
    let steps = steps(&plan);
    let counted = Phase::ALL.map(|phase| (phase.word(), steps.in_phase(phase).len()));
    let expected = [
        ("strip-out", 1 + 3 + 1),      // the battery, three locations, one raceway
        ("mounting", 3 * (5 + 2) + 3), // five points and two devices: placed, backed, fastened; holes of three locations
        ("runs", 2 * (4 + 2)),         // two pairs and two feeders: pulled, labeled
        ("terminations", 2 * (6 + 2)), // two ends of each conductor, jumpers among them
        ("switches", 1),
        ("power-up-test", 6 + 2 + 1), // the boat dead and at first power; a return and its polarity; the test
        ("tie-down", 2 + 2 * 3), // a run strain-relieved and tied; two feeders through a tube, guarded as well
        ("setup", 1),
    ];
    assert_eq!(counted, expected);
    let circuit = "C01".parse().unwrap();
    let of_circuit: Vec<_> = steps.of_circuit(&circuit).map(|step| step.key.to_string()).collect();
    for key in ["conductor/C01-3/pull", "end/C01-1a/terminate", "position/panel-1/wire", "circuit/C01/test"] {
        assert!(of_circuit.iter().any(|step| step == key), "{key} in {of_circuit:?}");
    }
    let mut keys: Vec<_> = steps.all().iter().map(|step| step.key.clone()).collect();
    keys.sort();
    keys.dedup();
    assert_eq!(keys.len(), steps.all().len(), "every step has a name of its own");
}

#[test]
fn the_latest_tick_decides_and_all_are_kept() {
    let plan = plan(|_| {});
    let steps = steps(&plan);
    let key: StepKey = "conductor/C01-3/pull".parse().unwrap();
    let first = tick(1, "conductor/C01-3/pull", Mark::Done, "Robin", 10);
    let second = tick(2, "conductor/C01-3/pull", Mark::Undone, "Kim", 20);
    let history = History { ticks: vec![second.clone(), first.clone(), second], ..History::default() };
    let progress = Progress::new(&steps, &history);
    let standing = progress.standing(&key);
    assert_eq!((standing.state(), standing.ticks.len()), (StepState::Open, 2));
    assert_eq!(standing.contradicted().map(|tick| tick.by.as_str()), Some("Robin"));
    assert_eq!(progress.circuit(&"C01".parse().unwrap()).done, 0);
}

#[test]
fn what_is_not_needed_is_closed_and_counted_apart() {
    let plan = plan(|_| {});
    let steps = steps(&plan);
    let ticks = vec![tick(1, "location/bow/strip", Mark::NotNeeded, "Robin", 10)];
    let history = History { ticks, ..History::default() };
    let count = Progress::new(&steps, &history).phase(Phase::StripOut);
    assert_eq!((count.done, count.not_needed, count.open, count.percent()), (0, 1, 4, 20));
}

#[test]
fn nothing_is_tied_before_it_is_proven() {
    let plan = plan(|_| {});
    let steps = steps(&plan);
    let step = |key: &str| steps.get(&key.parse().unwrap()).unwrap();
    let shut_by = |history: &History, key: &str| {
        let shut = Progress::new(&steps, history).shut_by(step(key));
        shut.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    let nothing = History::default();
    assert_eq!(shut_by(&nothing, "circuit/C01/tie"), ["C01"]);
    assert_eq!(shut_by(&nothing, "feeder/F1/tie"), ["C01"]);
    assert_eq!(shut_by(&nothing, "feeder/F2/tie"), ["C01"], "its return runs there");
    assert!(shut_by(&nothing, "circuit/C01/test").is_empty());
    let proven = done(&steps, &[Phase::PowerUpTest]);
    assert!(shut_by(&proven, "circuit/C01/tie").is_empty());
    assert!(shut_by(&proven, "feeder/F1/tie").is_empty());
}

#[test]
fn a_hold_point_names_its_open_items() {
    let plan = plan(|_| {});
    let steps = steps(&plan);
    let before = [Phase::StripOut, Phase::Mounting, Phase::Runs, Phase::Terminations];
    let history = done(&steps, &before);
    let progress = Progress::new(&steps, &history);
    let hold_point = HoldPoint::new(Phase::PowerUpTest, &progress, &[], &history);
    let keys: Vec<_> = hold_point.obstacles.iter().map(|obstacle| obstacle.key.as_str()).collect();
    assert_eq!(keys, ["position/panel-1/wire"]);
    assert_eq!(hold_point.obstacles[0].text.text(Units::Metric), "NAV, panel 1: not wired");
    assert!(!hold_point.is_open());
    assert!(HoldPoint::new(Phase::StripOut, &progress, &[], &history).is_open());
    assert!(HoldPoint::new(Phase::Switches, &progress, &[], &history).is_open());
}

#[test]
fn power_waits_for_findings_that_say_stop() {
    let plan = plan(|job| drop(job["circuits"][0].as_object_mut().unwrap().remove("protection")));
    let steps = steps(&plan);
    let mut history = done(&steps, &Phase::ALL[..5]);
    let findings = check(&plan).findings;
    let stands = |history: &History| {
        let hold_point =
            HoldPoint::new(Phase::PowerUpTest, &Progress::new(&steps, history), &findings, history);
        let standing = hold_point.standing().map(|obstacle| obstacle.key.clone()).collect::<Vec<_>>();
        (hold_point.is_open(), standing, hold_point.obstacles.len())
    };
    let key = "finding/unprotected/circuit/C01";
    assert_eq!(stands(&history), (false, vec![key.to_owned()], 1));
    history.releases.push(Release {
        id: Uuid::from_u128(900),
        into: Phase::PowerUpTest,
        obstacle: key.to_owned(),
        reason: "powered from a fused bench supply".parse().unwrap(),
        by: "Kim".parse().unwrap(),
        at: Timestamp::from_second(2000).unwrap(),
    });
    assert_eq!(stands(&history), (true, vec![], 1), "what was released still shows");
    history.releases[0].into = Phase::TieDown;
    assert!(!stands(&history).0, "a release is for one hold_point");
}

#[test]
fn ticks_of_removed_things_are_kept_and_reported() {
    let mut job = job(|_| {});
    job.history.ticks.push(tick(1, "circuit/C99/test", Mark::Done, "Robin", 10));
    let read = JobFile::read(job.write().as_bytes()).unwrap();
    assert_eq!(read, job);
    let report = driploop::job::check::check_job(&read);
    let said = report.findings.last().unwrap();
    assert_eq!(crate::fixture::told(said), "note record-without-item circuit/C99");
}

#[test]
fn a_stage_that_is_not_closed_shuts_the_next() {
    let plan = plan(|_| {});
    let steps = steps(&plan);
    let mut history = done(&steps, &Phase::ALL[..5]);
    let shut = |history: &History, stage: Stage| {
        let progress = Progress::new(&steps, history);
        let stages = Stages::of(&progress, history);
        (
            stages.current(),
            stages.shut(stage, None).map(|standing| standing.step.key.to_string()).collect::<Vec<_>>(),
        )
    };
    let made_safe = ["job/job/look-over", "job/job/all-off", "job/job/negative-off"];
    let (current, open) = shut(&history, Stage::Dead);
    assert_eq!((current, open), (Stage::MadeSafe, made_safe.map(str::to_owned).to_vec()));
    let tick_all = |history: &mut History, keys: &[&str]| {
        for key in keys {
            let number = 5000 + history.ticks.len() as u128;
            history.ticks.push(tick(number, key, Mark::Done, "Robin", 2000));
        }
    };
    tick_all(&mut history, &made_safe);
    assert!(shut(&history, Stage::Dead).1.is_empty());
    tick_all(&mut history, &["job/job/between-poles", "circuit/C01/continuity", "job/job/main-fuse-out"]);
    assert_eq!(shut(&history, Stage::FirstPower), (Stage::Dead, vec!["circuit/C01/polarity".to_owned()]));
    history.releases.push(Release {
        id: Uuid::from_u128(901),
        into: Phase::PowerUpTest,
        obstacle: "circuit/C01/polarity".to_owned(),
        reason: "sealed plug that goes in one way only".parse().unwrap(),
        by: "Kim".parse().unwrap(),
        at: Timestamp::from_second(2001).unwrap(),
    });
    assert_eq!(shut(&history, Stage::FirstPower), (Stage::FirstPower, vec![]));
    assert_eq!(shut(&history, Stage::Circuits).1, ["job/job/first-power"]);
    tick_all(&mut history, &["job/job/first-power"]);
    assert_eq!(shut(&history, Stage::Circuits), (Stage::Circuits, vec![]));

    let undone = tick(9001, "end/C01-1a/terminate", Mark::Undone, "Kim", 3000);
    history.ticks.push(undone);
    let progress = Progress::new(&steps, &history);
    let stages = Stages::of(&progress, &history);
    let shut_for = |circuit: Option<&str>| -> Vec<String> {
        let circuit = circuit.map(|id| id.parse::<CircuitId>().unwrap());
        stages.shut(Stage::Circuits, circuit.as_ref()).map(|one| one.step.key.to_string()).collect()
    };
    let both = ["circuit/C01/continuity", "circuit/C01/polarity"];
    assert_eq!(shut_for(Some("C01")), both, "a release does not cover what was opened since");
    assert!(shut_for(None).is_empty() && shut_for(Some("C02")).is_empty(), "the others go on, its fuse out");
}

#[test]
fn a_wire_that_is_opened_again_is_proven_and_tied_again() {
    let plan = plan(|_| {});
    let steps = steps(&plan);
    let stands = |history: &History, key: &str| Progress::new(&steps, history).state(&key.parse().unwrap());
    let all = done(&steps, &Phase::ALL);
    let with = |ticks: &[Tick]| {
        let ticks = all.ticks.iter().chain(ticks).cloned().collect();
        History { ticks, ..History::default() }
    };
    let (test, tie) = ("circuit/C01/test", "circuit/C01/tie");
    let dead = ["circuit/C01/continuity", "circuit/C01/polarity"];
    assert_eq!([test, tie, dead[0], dead[1]].map(|key| stands(&all, key)), [StepState::Done; 4]);
    let undone = tick(7001, "end/C01-1a/terminate", Mark::Undone, "Kim", 3000);
    let again = tick(7002, "end/C01-1a/terminate", Mark::Done, "Kim", 3010);
    let opened = with(&[undone.clone(), again.clone()]);
    assert_eq!(
        [test, tie].map(|key| stands(&opened, key)),
        [StepState::Open; 2],
        "terminated again is not proven"
    );
    assert_eq!(dead.map(|key| stands(&opened, key)), [StepState::Open; 2], "nor proven dead");
    let switch = with(&[tick(7006, "position/panel-1/wire", Mark::Undone, "Kim", 3000)]);
    assert_eq!([test, tie, dead[0], dead[1]].map(|key| stands(&switch, key)), [StepState::Open; 4]);
    assert_eq!(stands(&opened, "circuit/C02/test"), stands(&all, "circuit/C02/test"));
    let retested = with(&[undone, again, tick(7003, test, Mark::Done, "Kim", 3020)]);
    assert_eq!([test, tie].map(|key| stands(&retested, key)), [StepState::Done, StepState::Open]);
    let label = with(&[tick(7004, "conductor/C01-3/label", Mark::Undone, "Kim", 3000)]);
    assert_eq!(stands(&label, test), StepState::Done, "a label is changed without opening anything");
    let feeder = with(&[tick(7005, "end/F1a/terminate", Mark::Undone, "Kim", 3000)]);
    let through = [test, "feeder/F1/tie", "feeder/F2/tie"].map(|key| stands(&feeder, key));
    assert_eq!(
        through,
        [StepState::Open, StepState::Open, StepState::Done],
        "what draws through it, and its own ties"
    );
}

#[test]
fn what_was_repaired_is_measured_again() {
    let plan = plan(|_| {});
    let steps = steps(&plan);
    let mut history = done(&steps, &Phase::ALL);
    history.repairs.push(Repair {
        id: Uuid::from_u128(902),
        circuit: "C01".parse().unwrap(),
        r#where: "C01-4".parse().unwrap(),
        found: "ring crimped on insulation; cut back and crimped again".parse().unwrap(),
        by: "Kim".parse().unwrap(),
        at: Timestamp::from_second(2001).unwrap(),
    });
    let progress = Progress::new(&steps, &history);
    assert_eq!(progress.state(&"circuit/C01/test".parse().unwrap()), StepState::Open);
    assert!(progress.opened(&"C01".parse().unwrap()).unwrap().words().contains("repaired by Kim"));
}

/// A boat whose lights' wire runs along the gunwale from helm to bow, through a bulkhead, to a wet location.
fn along_the_gunwale() -> Plan {
    plan(|job| {
        job["locations"].as_array_mut().unwrap().push(json!({"id": "locker", "name": "Bow locker"}));
        job["locations"][2]["wet"] = json!(true);
        let ways = json!([
            {"id": "gunwale", "between": ["helm", "locker"], "length_m": 2.6, "kind": "gunwale"},
            {"id": "hole", "between": ["locker", "bow"], "length_m": 0.1, "bore_mm": 25, "kind": "bulkhead"}
        ]);
        job["raceways"].as_array_mut().unwrap().extend(ways.as_array().unwrap().iter().cloned());
    })
}

#[test]
fn a_run_is_tied_down_part_by_part_as_its_route_needs() {
    let plan = along_the_gunwale();
    let steps = steps(&plan);
    let of = |subject: &str| -> Vec<&str> {
        let of_this = steps.in_phase(Phase::TieDown).iter();
        let of_this = of_this.filter(|step| step.key.subject.to_string() == subject);
        of_this.map(|step| step.key.action.word()).collect()
    };
    assert_eq!(of("circuit/C01"), ["support", "guard", "drip-loop", "relieve", "tie"]);
    assert_eq!(of("feeder/F1"), ["guard", "relieve", "tie"], "a tube carries its wires");
    let tie = "circuit/C01/tie".parse().unwrap();
    let untied = |ticks: &[&str]| -> Vec<&str> {
        let ticks =
            ticks.iter().zip(1_u8..).map(|(step, n)| tick(n.into(), step, Mark::Done, "Robin", n.into()));
        let history = History { ticks: ticks.collect(), ..History::default() };
        let progress = Progress::new(&steps, &history);
        progress.untied(&tie).map(|step| step.key.action.word()).collect()
    };
    assert_eq!(untied(&[]), ["support", "guard", "drip-loop", "relieve"]);
    assert_eq!(untied(&["circuit/C01/guard", "circuit/C01/drip-loop"]), ["support", "relieve"]);
}

#[test]
fn one_tick_of_old_speaks_for_every_part_of_a_tie() {
    let plan = along_the_gunwale();
    let steps = steps(&plan);
    let stands = |ticks: Vec<Tick>| {
        let history = History { ticks, ..History::default() };
        let progress = Progress::new(&steps, &history);
        ["support", "guard", "tie"]
            .map(|part| progress.state(&format!("circuit/C01/{part}").parse().unwrap()))
    };
    let old = tick(1, "circuit/C01/tie", Mark::Done, "Robin", 10);
    assert_eq!(stands(vec![old.clone()]), [StepState::Done; 3]);
    let guard = tick(2, "circuit/C01/guard", Mark::Undone, "Kim", 20);
    assert_eq!(stands(vec![old.clone(), guard]), [StepState::Done, StepState::Open, StepState::Done]);
    let opened = [
        tick(3, "end/C01-3a/terminate", Mark::Done, "Robin", 5),
        tick(4, "end/C01-3a/terminate", Mark::Undone, "Kim", 30),
    ];
    assert_eq!(
        stands([old].into_iter().chain(opened).collect()),
        [StepState::Open; 3],
        "opened with its wire"
    );
}
