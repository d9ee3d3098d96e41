//! The job file: what bad input is answered with, and that writing and reading lose nothing.

use driploop::job::file::{FileError, JobFile, LIMIT};
use serde_json::{Value, json};

use crate::fixture::sound;

/// What reading says of the sound job after one change.
fn told(change: impl FnOnce(&mut Value)) -> String {
    let mut job = sound();
    change(&mut job);
    told_of(&job.to_string())
}

fn told_of(text: &str) -> String {
    match JobFile::read(text.as_bytes()) {
        Ok(_) => "read".to_owned(),
        // Where a value stands in one long line says nothing here.
        Err(error) => {
            let said = error.to_string();
            said.split(" (line ").next().unwrap().to_owned()
        }
    }
}

#[track_caller]
fn check(change: impl FnOnce(&mut Value), expected: &str) {
    assert_eq!(told(change), expected);
}

#[test]
fn a_sound_job_is_read() {
    check(|_| {}, "read");
    let text = serde_json::to_string_pretty(&sound()).unwrap();
    let file = JobFile::read(text.as_bytes()).unwrap();
    assert_eq!(file.plan.circuits.len(), 1);
    assert_eq!(JobFile::read(file.write().as_bytes()).unwrap(), file);
    assert_eq!(JobFile::read(format!("\u{feff}{text}").as_bytes()).unwrap(), file, "a byte order mark");
}

#[test]
fn unknown_and_missing_fields() {
    check(
        |job| job["circuits"][0]["lenght_m"] = json!(5),
        "circuits[0].lenght_m: unknown field `lenght_m`, expected one of `id`, `label`, `name`, `legs`, `legs_given`, `from`, \
         `protection`, `switch`, `float_switch`, `junction`, `return`, `wiring`, `size`, `insulation_c`, `length_m`, \
         `route`, `jacketed`, `bundle`, `color`, `return_color`, `conductors`",
    );
    check(
        |job| drop(job["locations"][1].as_object_mut().unwrap().remove("name")),
        "locations[1]: missing field `name`",
    );
    check(|job| drop(job.as_object_mut().unwrap().remove("boat")), "the job file: missing field `boat`");
    check(
        |job| job["points"][1]["capacity_ah"] = json!(100),
        "points[1]: the field 'capacity_ah' does not go with a fuse-block",
    );
    check(
        |job| drop(job["points"][0].as_object_mut().unwrap().remove("open_circuit_v")),
        "points[0]: the field 'open_circuit_v' is missing: a battery needs it",
    );
}

/// A file of each older format. Once a format is released, its file is never changed.
const OLDER: [&str; 1] = [include_str!("format_0.json")];

#[test]
fn older_formats_are_read_and_written_in_the_present_one() {
    for older in OLDER {
        let file = JobFile::read(older.as_bytes()).unwrap();
        assert_eq!((file.plan.locations.len(), file.history.ticks.len()), (1, 1));
        let written = file.write();
        assert!(written.starts_with("{\n  \"format\": 1,"), "{written}");
        assert_eq!(JobFile::read(written.as_bytes()).unwrap(), file);
    }
}

#[test]
fn another_format() {
    check(
        |job| job["format"] = json!(2),
        "format: '2' is not valid here: expected 1, the only format this version reads",
    );
}

#[test]
fn wrong_units_and_types() {
    check(
        |job| job["circuits"][0]["length_m"] = json!("4.3 m"),
        "circuits[0].length_m: '4.3 m' is not valid here: expected a length in meters from 0 to 200",
    );
    check(
        |job| job["feeders"][0]["protection"]["rating_a"] = json!("60 A"),
        "feeders[0].protection.rating_a: '60 A' is not valid here: expected a rating in amperes from 0.1 to 2000",
    );
    check(
        |job| job["circuits"][0]["size"] = json!(16),
        "circuits[0].size: invalid type: integer `16`, expected text",
    );
    check(|job| job["locations"] = json!({}), "locations: invalid type: map, expected a list");
    check(
        |job| job["circuits"][0]["switch"] = json!(1),
        "circuits[0].switch: invalid type: integer `1`, expected an object in braces",
    );
    check(
        |job| job["circuits"][0]["switch"]["position"] = json!(-1),
        "circuits[0].switch.position: invalid value: integer `-1`, expected a whole number from 0 to 65535",
    );
    check(
        |job| job["points"][3]["positions"][0]["label"] = json!(7),
        "points[3].positions[0].label: invalid type: integer `7`, expected a label of 1 to 24 characters",
    );
    check(
        |job| job["points"][3]["positions"] = json!(6),
        "points[3]: the field 'positions' of a switch-panel is a list: expected one object with a label for each position",
    );
    check(
        |job| job["devices"][0]["load"] = json!({"kind": "constant-current", "w": 5}),
        "devices[0].load: a load of this kind takes the field 'a' and no other figure",
    );
    check(|job| job["job"]["rules"] = json!("eu"), "job.rules: unknown variant `eu`, expected `us` or `iso`");
}

#[test]
fn lists_where_objects_belong() {
    check(
        |job| job["locations"][2] = json!(["bow", "Bow", null, null, false, false]),
        "locations[2]: invalid type: sequence, expected an object in braces",
    );
    check(
        |job| job["circuits"][0]["switch"] = json!(["panel", 1]),
        "circuits[0].switch: invalid type: sequence, expected an object in braces",
    );
    check(
        |job| {
            let fields = ["format", "job", "boat"].map(|field| job[field].take());
            *job = json!([fields[0], fields[1], fields[2], null, [], [], [], [], [], [], [], [], [], [], {}]);
        },
        "the job file: invalid type: sequence, expected an object in braces",
    );
}

#[test]
fn a_size_that_is_not_made() {
    let said = told(|job| job["circuits"][0]["size"] = json!("16 gauge"));
    assert!(said.starts_with("circuits[0].size: size `16 gauge`: expected AWG from `22 AWG`"), "{said}");
}

#[test]
fn values_out_of_bounds() {
    check(
        |job| job["circuits"][0]["length_m"] = json!(-2),
        "circuits[0].length_m: '-2' is not valid here: expected a length in meters from 0 to 200",
    );
    check(
        |job| job["job"]["nominal_v"] = json!(230),
        "job.nominal_v: '230' is not valid here: expected a nominal direct voltage in volts from 6 to 60",
    );
    check(
        |job| job["points"][0]["internal_mohm"] = json!(0),
        "points[0].internal_mohm: '0' is not valid here: expected an internal resistance in milliohms from 0.01 to \
         10000, or nothing where it is not known",
    );
    check(
        |job| job["locations"][0]["id"] = json!("bow locker"),
        "locations[0].id: 'bow locker' is not valid here: expected an id of 1 to 32 letters, digits, '-' or '_' \
         that begins with a letter or digit",
    );
}

#[test]
fn numbers_that_json_does_not_have() {
    let with = |token: &str| sound().to_string().replace("7.1", token);
    assert_eq!(
        told_of(&with("NaN")),
        "boat.length_m: not JSON: expected value, found 'NaN' at line 1, column 59"
    );
    assert_eq!(
        told_of(&with("Infinity")),
        "boat.length_m: not JSON: expected value, found 'Infinity' at line 1, column 59"
    );
    assert!(told_of(&with("1e999")).starts_with("boat.length_m: not JSON: number out of range"));
}

#[test]
fn text_that_is_no_json() {
    assert!(told_of("").starts_with("not JSON: EOF while parsing a value"));
    assert!(told_of("nonsense").starts_with("not JSON: expected ident"));
    let cut_short = &sound().to_string()[..200];
    assert!(told_of(cut_short).contains("not JSON: EOF while parsing"), "{}", told_of(cut_short));
    let trailing = sound().to_string() + "x";
    assert!(told_of(&trailing).starts_with("not JSON: trailing characters, found 'x'"));
}

#[test]
fn a_field_given_twice() {
    let twice = sound().to_string().replace("\"length_m\":7.1", "\"length_m\":7.1,\"length_m\":8");
    assert_eq!(told_of(&twice), "boat: duplicate field `length_m`");
}

#[test]
fn nesting_without_end() {
    let deep = "[".repeat(100_000);
    let anywhere = sound().to_string().replace("7.1", &deep);
    assert_eq!(
        told_of(&anywhere),
        "boat.length_m: invalid type: sequence, expected a boat's length in meters from 2 to 30"
    );
    assert!(told_of(&deep).starts_with("[0]: invalid type: sequence"), "{}", told_of(&deep));
    let objects = "{\"format\":".repeat(100_000);
    assert_eq!(told_of(&objects), "format: invalid type: map, expected a whole number");
}

#[test]
fn bytes_that_are_no_text() {
    let mut bytes = serde_json::to_vec_pretty(&sound()).unwrap();
    let at = bytes.iter().position(|byte| *byte == b'S').unwrap();
    bytes[at] = 0xff;
    let said = JobFile::read(&bytes).unwrap_err().to_string();
    assert!(said.starts_with("the file is not UTF-8 text: line "), "{said}");
}

#[test]
fn fifty_megabytes_of_nonsense() {
    let nonsense = vec![b'x'; 50 * 1024 * 1024];
    let error = JobFile::read(&nonsense).unwrap_err();
    assert!(matches!(error, FileError::TooLarge));
    assert_eq!(error.to_string(), "the file is larger than a job file can be: expected at most 8 MiB");
    let spaces = vec![b' '; LIMIT];
    assert!(!matches!(JobFile::read(&spaces).unwrap_err(), FileError::TooLarge));
}

#[test]
fn ids_that_lead_nowhere() {
    check(
        |job| job["devices"][0]["location"] = json!("mast"),
        "devices[0].location: 'mast' is not valid here: expected the id of a location: helm, stern, bow",
    );
    check(
        |job| job["raceways"][0]["between"][1] = json!("mast"),
        "raceways[0].between[1]: 'mast' is not valid here: expected the id of a location: helm, stern, bow",
    );
    check(
        |job| job["feeders"][0]["to"] = json!("fb9"),
        "feeders[0].to: 'fb9' is not valid here: expected the id of a point of the positive side: \
         house, fb1, panel, jb1",
    );
    check(
        |job| job["circuits"][0]["legs"][0]["device"] = json!("lamp"),
        "circuits[0].legs[0].device: 'lamp' is not valid here: expected the id of a device: side, stern-light",
    );
    check(
        |job| job["modes"][0]["on"][0]["circuit"] = json!("C99"),
        "modes[0].on[0].circuit: 'C99' is not valid here: expected the id of a circuit: C01",
    );
}

#[test]
fn parts_on_boards_that_are_not_there() {
    let board = |location: &str| json!([{"id": "b1", "name": "Board", "location": location, "width_mm": 600, "height_mm": 400}]);
    check(
        |job| {
            job["boards"] = board("helm");
            job["points"][1]["mounting"] = json!({"board": "b2"});
        },
        "points[1].mounting.board: 'b2' is not valid here: expected the id of a board: b1",
    );
    check(
        |job| {
            job["boards"] = board("helm");
            job["devices"][0]["mounting"] = json!({"board": "b1"});
        },
        "devices[0].mounting.board: 'b1' is not valid here: expected a board at bow, where the part is mounted",
    );
    check(
        |job| job["boards"] = board("mast"),
        "boards[0].location: 'mast' is not valid here: expected the id of a location: helm, stern, bow",
    );
}

#[test]
fn points_of_the_wrong_kind() {
    check(
        |job| job["circuits"][0]["return"] = json!("fb1"),
        "circuits[0].return: 'fb1, a fuse-block' is not valid here: expected a negative-bus, battery or charger",
    );
    check(
        |job| job["circuits"][0]["from"] = json!("neg1"),
        "circuits[0].from: 'neg1, a negative-bus' is not valid here: expected a point of the positive side",
    );
    check(
        |job| job["circuits"][0]["junction"] = json!("fb1"),
        "circuits[0].junction: 'fb1, a fuse-block' is not valid here: expected a junction-bar",
    );
    check(
        |job| job["circuits"][0]["switch"]["panel"] = json!("jb1"),
        "circuits[0].switch.panel: 'jb1, a junction-bar' is not valid here: expected a switch-panel\n\
         circuits[0].switch.position: '1' is not valid here: expected a position of jb1 from 1 to 10"
            .split('\n')
            .next()
            .unwrap(),
    );
    check(
        |job| job["circuits"][0]["switch"]["position"] = json!(3),
        "circuits[0].switch.position: '3' is not valid here: expected a position of panel from 1 to 2",
    );
}

#[test]
fn ids_given_twice() {
    check(
        |job| job["locations"][1]["id"] = json!("bow"),
        "locations[2].id: 'bow' is not valid here: expected an id that no other location has\n\
         raceways[0].between[1]: 'stern' is not valid here: expected the id of a location: helm, bow, bow\n\
         points[0].location: 'stern' is not valid here: expected the id of a location: helm, bow, bow\n\
         devices[1].location: 'stern' is not valid here: expected the id of a location: helm, bow, bow",
    );
    check(
        |job| {
            let mut twin = job["devices"][1].clone();
            twin["id"] = json!("fb1");
            job["devices"].as_array_mut().unwrap().push(twin);
        },
        "devices[2].id: 'fb1' is not valid here: expected an id that no other point or device has",
    );
    check(
        |job| {
            job["feeders"][0]["id"] = json!("C01-3");
        },
        "feeders[0].id: 'C01-3' is not valid here: expected an id that is not also the label of a circuit's conductor",
    );
}

#[test]
fn labels_and_numbers_are_given_once() {
    check(
        |job| job["circuits"][0]["legs"][1]["number"] = json!(1),
        "circuits[0].legs[1].number: '1' is not valid here: expected a number from 1 to 10000, each once on a circuit",
    );
    check(
        |job| {
            let mut twin = job["circuits"][0].clone();
            (twin["id"], twin["label"]) = (json!("C02"), json!("C01"));
            job["circuits"].as_array_mut().unwrap().push(twin);
        },
        "circuits[1].label: 'C01' is not valid here: expected a label that no other circuit has",
    );
    check(
        |job| job["feeders"][0]["label"] = json!("F2"),
        "feeders[0].label: 'F2' is not valid here: expected a label that no other feeder has",
    );
    check(
        |job| job["feeders"][0]["label"] = json!("C01-3"),
        "feeders[0].label: 'C01-3' is not valid here: expected a label that is not also the label of a circuit's \
         conductor",
    );
    check(
        |job| {
            job["circuits"][0]["label"] = json!("F");
            job["feeders"][0]["id"] = json!("F-3");
        },
        "feeders[0].id: 'F-3' is not valid here: expected an id that is not also the label of a circuit's conductor",
    );
}

#[test]
fn a_label_is_given_to_one_cable() {
    fn cables(job: &mut Value, cables: Value) {
        job["devices"][0]["cables"] = cables;
    }
    fn labeled(id: &str, label: &str) -> Value {
        json!({"id": id, "label": label, "kind": "network", "to": {"location": "helm"}})
    }
    check(
        |job| cables(job, json!([labeled("net", "N1"), labeled("net-2", "N1")])),
        "devices[0].cables[1].label: 'N1' is not valid here: expected a label that no other cable has",
    );
    check(
        |job| {
            let plain = json!({"id": "net", "kind": "network", "to": {"location": "helm"}});
            cables(job, json!([plain, labeled("net-2", "net")]));
        },
        "devices[0].cables[1].label: 'net' is not valid here: expected a label that no other cable has",
    );
    for wire in ["C01-3", "F1"] {
        check(
            |job| cables(job, json!([labeled("net", wire)])),
            &format!(
                "devices[0].cables[0].label: '{wire}' is not valid here: expected a label that is not also the label \
                 of a wire"
            ),
        );
    }
    check(
        |job| {
            job["feeders"][0]["label"] = json!("net-");
            cables(job, json!([labeled("other", "net")]));
        },
        "devices[0].cables[0].label: 'net' is not valid here: expected a label that is not also the label of a wire",
    );
}

#[test]
fn circuits_that_do_not_add_up() {
    check(
        |job| job["circuits"][0]["legs"] = json!([]),
        "circuits[0].legs: empty: expected a leg with a device at least",
    );
    check(
        |job| job["circuits"][0]["legs"][1]["device"] = json!("side"),
        "circuits[0].legs[1].device: 'side' is not valid here: expected each device once on a circuit",
    );
    check(
        |job| job["circuits"][0]["conductors"] = json!([{"from": "fb1", "to": "side", "length_m": 1}]),
        "circuits[0].conductors[0]: 'fb1 to side' is not valid here: expected a conductor of this circuit: \
         fb1 to panel, panel to jb1, jb1 to side, side to neg1, side to stern-light, stern-light to side",
    );
    check(
        |job| job["circuits"][0]["conductors"] = json!([{"from": "fb1", "to": "panel", "length_m": 6}]),
        "circuits[0].length_m: '5' is not valid here: expected at least 1.000 m more, for the lengths given on its conductors",
    );
    check(
        |job| job["modes"][0]["hours"] = json!(24.5),
        "modes[0].hours: '24.5' is not valid here: expected hours from 0 to 24",
    );
}

#[test]
fn every_fault_is_reported_at_once() {
    let said = told(|job| {
        job["devices"][0]["location"] = json!("mast");
        job["circuits"][0]["from"] = json!("fb9");
        job["feeders"][1]["to"] = json!("neg1");
    });
    let paths: Vec<_> = said.lines().map(|line| line.split(": ").next().unwrap()).collect();
    assert_eq!(paths, ["devices[0].location", "feeders[1].to", "circuits[0].from"]);
}

#[test]
fn a_history_that_cannot_be() {
    let tick = json!({
        "id": "0190f3a2-0000-7000-8000-000000000001", "step": "circuit/C01/test", "mark": "done",
        "by": "Robin", "at": "2026-03-01T10:00:00Z"
    });
    let with = |field: &'static str, value: Value| {
        let tick = tick.clone();
        move |job: &mut Value| {
            job["history"] = json!({"ticks": [tick]});
            job["history"]["ticks"][0][field] = value;
        }
    };
    check(with("mark", json!("done")), "read");
    check(
        with("mark", json!("not-needed")),
        "history.ticks[0].reason: missing: a step not needed has a reason",
    );
    check(
        with("step", json!("circuit/C01/mount")),
        "history.ticks[0].step: 'circuit/C01/mount' is not valid here: expected a step that is done to a circuit",
    );
    check(
        with("step", json!("circuit-C01")),
        "history.ticks[0].step: 'circuit-C01' is not valid here: expected a step as kind, id and action, such as circuit/C01/test",
    );
    let at = told(with("at", json!("yesterday")));
    assert!(at.starts_with("history.ticks[0].at: "), "{at}");
    let twice = told(|job| job["history"] = json!({"ticks": [tick.clone(), tick.clone()]}));
    assert_eq!(
        twice,
        "history.ticks[1].id: '0190f3a2-0000-7000-8000-000000000001' is not valid here: \
         expected an id that no other event has"
    );
}

#[test]
fn the_schema_accepts_what_the_program_accepts() {
    let schema = JobFile::schema();
    let validator = jsonschema::validator_for(&schema).unwrap();
    assert!(validator.is_valid(&sound()));
    let refused = |change: &dyn Fn(&mut Value)| {
        let mut job = sound();
        change(&mut job);
        assert!(!validator.is_valid(&job) && JobFile::read(job.to_string().as_bytes()).is_err());
    };
    refused(&|job| job["format"] = json!(2));
    refused(&|job| job["color"] = json!("red"));
    refused(&|job| job["circuits"][0]["lenght_m"] = json!(5));
    refused(&|job| job["circuits"][0]["length_m"] = json!(-2));
    refused(&|job| job["circuits"][0]["length_m"] = json!("4.3 m"));
    refused(&|job| job["circuits"][0]["size"] = json!("13 AWG"));
    refused(&|job| job["locations"][0]["id"] = json!("bow locker"));
    refused(&|job| job["points"][0]["kind"] = json!("dynamo"));
}
