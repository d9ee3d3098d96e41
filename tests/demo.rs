//! The demo shop: three jobs that are whole, fresh and at the phases they are meant to show.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::HashSet;

use driploop::job::before_power;
use driploop::job::check::check;
use driploop::job::checked::Checked;
use driploop::job::diagnose::diagnose;
use driploop::job::event::Mark;
use driploop::job::file::JobFile;
use driploop::job::meter::{MeterModel, ReadingOutcome};
use driploop::job::phase::Phase;
use driploop::job::value::Name;
use driploop::job::work::{Verdicts, Work, expected};
use driploop::shop::demo;
use driploop::trade::finding::{Code, Level};
use driploop::trade::units::Units;
use jiff::Timestamp;
use jiff::civil::{Date, date};
use jiff::tz::TimeZone;

const TODAY: Date = date(2031, 2, 3);

fn boats() -> Vec<JobFile> {
    demo::files().unwrap()
}

fn boat(name: &str) -> JobFile {
    boats().into_iter().find(|file| file.plan.boat.name.as_str() == name).unwrap()
}

/// Who did each thing, and when.
fn events(file: &JobFile) -> Vec<(&Name, Timestamp)> {
    let ticks = file.history.ticks.iter().map(|tick| (&tick.by, tick.at));
    let readings = file.history.readings.iter().map(|reading| (&reading.by, reading.at));
    let releases = file.history.releases.iter().map(|release| (&release.by, release.at));
    ticks.chain(readings).chain(releases).collect()
}

fn last(file: &JobFile) -> Timestamp {
    events(file).into_iter().map(|(_, at)| at).max().unwrap()
}

#[test]
fn every_file_is_valid_by_the_schema() {
    let schema = jsonschema::validator_for(&JobFile::schema()).unwrap();
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/shop/demo");
    let files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    assert_eq!(files.len(), 4);
    for path in files {
        let document = serde_json::from_slice(&std::fs::read(&path).unwrap()).unwrap();
        let errors: Vec<_> = schema.iter_errors(&document).map(|error| error.to_string()).collect();
        assert!(errors.is_empty(), "{}: {errors:?}", path.display());
    }
}

#[test]
fn written_and_read_again_each_is_the_same() {
    for file in boats() {
        assert_eq!(JobFile::read(file.write().as_bytes()).unwrap(), file);
    }
}

#[test]
fn the_main_boat_is_a_full_rewire() {
    let plan = boat("Second Plover").plan;
    let of_kind = |word| plan.points.iter().filter(|point| point.body.kind().word() == word).count();
    assert_eq!(plan.circuits.len(), 35);
    assert_eq!(of_kind("battery"), 2);
    assert_eq!(of_kind("negative-bus"), 2);
    assert_eq!(of_kind("fuse-block"), 4);
    assert_eq!(of_kind("switch-panel"), 2);
    assert_eq!(of_kind("junction-bar"), 2);
    assert!(plan.circuits.iter().all(|circuit| circuit.protection.is_some()));
    let report = check(&plan);
    assert!(report.circuits.values().all(|circuit| circuit.conductor.one_way_m.is_some()));
    assert!(report.feeders.values().all(|feeder| feeder.conductor.one_way_m.is_some()));
}

#[test]
fn every_wire_has_a_route_and_some_have_their_length_from_it() {
    for file in boats() {
        let report = check(&file.plan);
        let runs: Vec<_> = report.routes.of_wires().map(|(_, run)| run).collect();
        assert!(runs.iter().all(|run| run.by.is_some() && run.cut.is_some()), "{}", file.plan.boat.name);
        assert!(runs.iter().any(|run| !run.length_given), "{}", file.plan.boat.name);
    }
    let of_cables = |plan| check(plan).routes.runs.values().filter(|run| run.cable.is_some()).count();
    let cables = boats().iter().map(|file| of_cables(&file.plan)).collect::<Vec<_>>();
    assert_eq!(cables, [7, 1, 0, 0]);
}

#[test]
fn some_sizes_of_unfinished_boats_are_left_to_be_chosen() {
    for file in boats().into_iter().filter(|file| file.plan.boat.name.as_str() != "Pied Wagtail") {
        assert!(file.plan.circuits.iter().any(|circuit| circuit.size.is_none()), "{}", file.plan.boat.name);
    }
}

#[test]
fn a_day_has_24_hours_in_every_use_pattern() {
    for name in ["Second Plover", "Hazel Tern"] {
        let hours: f64 = boat(name).plan.modes.iter().map(|mode| mode.hours.number()).sum();
        assert!((hours - 24.0).abs() < 1e-9, "{name}: {hours} h");
    }
}

#[test]
fn only_people_of_the_shop_did_anything() {
    let people: HashSet<_> = demo::people().iter().map(|person| person.name).collect();
    assert_eq!(people.len(), 3);
    for file in boats() {
        assert!(events(&file).iter().all(|(by, _)| people.contains(by.as_str())), "{}", file.plan.boat.name);
    }
}

#[test]
fn no_event_of_one_boat_has_the_id_of_another() {
    let files = boats();
    let ids: Vec<_> = files.iter().flat_map(|file| file.history.ticks.iter().map(|tick| tick.id)).collect();
    assert_eq!(ids.iter().collect::<HashSet<_>>().len(), ids.len());
}

/// Asks the status of a boat's work.
fn ask<T>(file: &JobFile, ask: impl FnOnce(&Work<'_>, &Checked) -> T) -> T {
    let checked = Checked::of(file.plan.clone());
    let verdicts = Verdicts::of(&checked, &file.history);
    ask(&Work::of(&checked, &file.history, &verdicts), &checked)
}

#[test]
fn each_boat_is_in_its_phase() {
    let phases = boats().iter().map(|file| ask(file, |work, _| work.current_phase())).collect::<Vec<_>>();
    assert_eq!(phases, [Some(Phase::PowerUpTest), Some(Phase::Runs), Some(Phase::StripOut), None]);
}

#[test]
fn every_tick_is_of_a_step_of_the_plan() {
    for file in boats() {
        let strays: Vec<_> = ask(&file, |work, _| work.strays().map(|tick| tick.step.clone()).collect());
        assert!(strays.is_empty(), "{}: {strays:?}", file.plan.boat.name);
    }
}

#[test]
fn every_record_of_the_work_counts() {
    for file in boats() {
        ask(&file, |work, checked| {
            for step in checked.steps.all() {
                let status = work.status(&step.key);
                let last = status.last().map(|tick| tick.mark);
                let closed = matches!(last, Some(Mark::Done | Mark::NotNeeded));
                let reason = status.reopened.as_ref().map(|why| why.words());
                assert!(!closed || status.state.is_closed(), "{}: {reason:?}", step.key);
            }
        });
    }
}

#[test]
fn about_half_of_the_main_boat_is_proven() {
    let file = boat("Second Plover");
    let tested = |work: &Work<'_>, checked: &Checked| {
        let proven = checked.plan.circuits.iter();
        proven.filter(|circuit| work.state(&driploop::job::work::test_of(&circuit.id)).is_closed()).count()
    };
    assert_eq!(ask(&file, tested), 17);
}

#[test]
fn the_main_boat_shows_every_kind_of_event() {
    let history = boat("Second Plover").history;
    let marked = |mark| history.ticks.iter().any(|tick| tick.mark == mark);
    assert!(marked(Mark::Done) && marked(Mark::Undone) && marked(Mark::NotNeeded));
    assert_eq!(history.releases.len(), 1);
    assert!(history.readings.len() >= 18);
}

#[test]
fn the_meter_reads_what_is_expected_but_for_the_thin_wire_and_the_bad_ground() {
    let file = boat("Second Plover");
    let report = check(&file.plan);
    let conductors = report.conductors(&file.plan);
    let meter = MeterModel::new(&file.plan, &conductors, &report).unwrap();
    let readings = file.history.readings.iter();
    let odd = readings.filter(|reading| meter.judge(reading).outcome != ReadingOutcome::Pass);
    assert_eq!(odd.map(|reading| reading.circuit.as_str()).collect::<Vec<_>>(), ["C01", "C04"]);
}

#[test]
fn it_was_proven_before_any_power() {
    let file = boat("Second Plover");
    let checked = Checked::of(file.plan.clone());
    let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).unwrap();
    for reading in &file.history.step_readings {
        let expected = expected(&checked, Some(&meter), &reading.step, reading.point.as_ref());
        let verdict = before_power::judge(reading, &expected, 12.0);
        let is_known = reading.ohm.is_none() || expected.ohm.is_some();
        assert!(verdict.outcome == ReadingOutcome::Pass || !is_known, "{}: {verdict:?}", reading.step);
    }
}

#[test]
fn the_readings_place_the_bad_ground_and_the_thin_wire() {
    let file = boat("Second Plover");
    let answer = ask(&file, |work, checked| {
        let meter = MeterModel::new(&checked.plan, &checked.conductors, &checked.report).unwrap();
        diagnose(&checked.plan, &checked.conductors, &meter, work)
    });
    let first = &answer.explanations[0];
    let named: Vec<_> =
        first.faults.iter().flat_map(|fault| &fault.circuits).map(ToString::to_string).collect();
    assert_eq!(named, ["C04"], "{answer:#?}");
}

#[test]
fn the_bad_ground_lies_in_the_return() {
    let file = boat("Second Plover");
    let report = check(&file.plan);
    let conductors = report.conductors(&file.plan);
    let meter = MeterModel::new(&file.plan, &conductors, &report).unwrap();
    let reading = file.history.readings.iter().find(|reading| reading.circuit.as_str() == "C04").unwrap();
    let circuit = file.plan.circuit(&reading.circuit).unwrap();
    let expected = meter.expect(circuit, reading.device.as_ref()).unwrap();
    assert!(reading.return_ohm.unwrap().number() > expected.return_ohm.unwrap() + 0.2);
}

/// What holds a boat up, one finding to a line.
fn held_up(name: &str) -> String {
    let findings = check(&boat(name).plan).findings.into_iter();
    let lines = findings
        .filter(|finding| finding.level > Level::Note)
        .map(|finding| format!("{} {} {}", finding.level.word(), finding.code.phrase(), finding.subject));
    lines.collect::<Vec<_>>().join("\n")
}

#[test]
fn findings_of_the_main_boat_tell_its_story() {
    insta::assert_snapshot!(held_up("Second Plover"), @r"
    fix drop-over-limit circuit/C01
    fix total-drop-over-limit circuit/C01
    fix input-missing circuit/C35
    ");
}

#[test]
fn the_finished_boat_has_notes_only() {
    assert_eq!(held_up("Pied Wagtail"), "");
}

/// What an electrician would not leave: a pump with two feeds, a windlass ahead of the switch, a missing wire.
#[test]
fn no_boat_is_connected_wrongly() {
    for file in boats() {
        let report = check(&file.plan);
        let wrong = report.findings.iter().filter(|finding| {
            matches!(
                finding.code,
                Code::BackFeed
                    | Code::NegativesOverInputs
                    | Code::AheadOfBatterySwitch
                    | Code::AlwaysOnBehindSwitch
                    | Code::DeviceWithoutWire
                    | Code::NotIgnitionProtected
                    | Code::IgnitionProtectionUnknown
            )
        });
        let wrong: Vec<_> = wrong.map(|finding| finding.subject.to_string()).collect();
        assert!(wrong.is_empty(), "{}: {wrong:?}", file.plan.boat.name);
    }
}

#[test]
fn findings_of_the_cruiser() {
    insta::assert_snapshot!(held_up("Hazel Tern"), @r"
    fix bank-too-small point/house
    fix bank-too-small point/house
    fix cable-too-short device/vhf
    fix input-missing circuit/C19
    fix length-implausible conductor/C06-5
    fix length-implausible conductor/C06-6
    ");
}

/// Its bank runs down in charge and in volts, two things under one code.
#[test]
fn what_the_cruisers_findings_say_is_no_more_than_is_so() {
    let said = check(&boat("Hazel Tern").plan).findings;
    let small = said.iter().filter(|finding| finding.code.phrase() == "bank-too-small");
    let texts: Vec<_> = small.map(|finding| finding.text.text(Units::Us)).collect();
    let what: Vec<_> = texts.iter().map(|text| text.split(" falls below ").next().unwrap()).collect();
    assert_eq!(what, ["The state of charge", "The bank voltage"]);
    let over = said.iter().filter(|finding| finding.code.phrase() == "total-drop-over-limit");
    assert_eq!(over.count(), 0, "sizes left open keep the limits");
}

#[test]
fn findings_of_the_skiff_name_what_is_still_missing() {
    insta::assert_snapshot!(held_up("Crumb"), @r"
    fix input-missing job/job
    fix input-missing job/job
    fix input-missing raceway/sole-tube
    fix input-missing raceway/tube-stbd
    fix input-missing point/fb1
    fix input-missing point/neg1
    fix input-missing point/switch
    fix input-missing feeder/F1
    fix input-missing feeder/F1
    fix input-missing feeder/F1
    fix input-missing feeder/F1
    fix input-missing feeder/F1
    fix input-missing feeder/F2
    fix input-missing feeder/F2
    fix input-missing feeder/F2
    fix input-missing feeder/F3
    fix input-missing feeder/F3
    fix input-missing feeder/F3
    fix input-missing feeder/F4
    fix input-missing device/livewell
    fix interrupt-rating-unconfirmed circuit/C4
    fix input-missing circuit/C5
    fix input-missing circuit/C5
    fix input-missing circuit/C5
    fix input-missing circuit/C5
    fix input-missing circuit/C7
    fix input-missing circuit/C7
    ");
}

#[test]
fn moved_to_today_the_last_thing_was_done_yesterday() {
    for file in boats().into_iter().map(|file| demo::shift(file, TODAY)) {
        let day = last(&file).to_zoned_datetime(TimeZone::UTC).date();
        assert_eq!(day, date(2031, 2, 2), "{}", file.plan.boat.name);
    }
}

#[test]
fn moving_keeps_everything_but_the_dates_and_their_distances() {
    for file in boats() {
        let moved = demo::shift(file.clone(), TODAY);
        let by = last(&file).duration_until(last(&moved));
        for ((who, before), (moved_who, after)) in events(&file).into_iter().zip(events(&moved)) {
            assert_eq!((who, before.duration_until(after)), (moved_who, by));
        }
        let received = |file: &JobFile| file.plan.job.received_on.unwrap();
        assert_eq!(received(&file).duration_until(received(&moved)), by);
        assert_eq!(moved.plan.circuits, file.plan.circuits);
        assert_eq!(demo::shift(moved.clone(), TODAY), moved);
    }
}

#[test]
fn a_job_without_events_stays_as_it_is() {
    let mut file = boat("Crumb");
    file.history = driploop::job::event::History::default();
    assert_eq!(demo::shift(file.clone(), TODAY), file);
}
