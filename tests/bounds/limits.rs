//! Each limit of a plan is refused where it is exceeded, by one, and its help says so.

use driploop::job::file::{FileError, JobFile};
use driploop::job::limits::{LIMITS, Limit, MOST_RECORDS};
use serde_json::{Value, json};

use crate::hard_shapes::small;

const HELP: &str = include_str!("../../templates/help/job-file.md");

/// The faults of a job file.
fn faults(job: &Value) -> Vec<String> {
    match JobFile::read(job.to_string().as_bytes()) {
        Ok(_) => vec![],
        Err(FileError::Faults(faults)) => faults.iter().map(ToString::to_string).collect(),
        Err(other) => vec![other.to_string()],
    }
}

/// Grows a list to this length by copies of its first item with ids of their own.
fn grow(job: &mut Value, list: &str, length: usize) {
    let first = job[list][0].clone();
    let items = (0..length).map(|number| {
        let mut item = first.clone();
        item["id"] = json!(format!("x{number}"));
        item
    });
    job[list] = items.collect();
}

/// The small job with one more than a limit allows.
fn beyond(limit: &Limit) -> Value {
    let (mut job, many) = (small(), limit.most + 1);
    job["boards"] =
        json!([{"id": "board", "name": "Board", "location": "helm", "width_mm": 300, "height_mm": 200}]);
    job["modes"] = json!([{"id": "mode", "name": "Running", "hours": 0, "on": []}]);
    job["removed"] = json!([{"id": "old", "name": "Old light", "fate": "scrap"}]);
    job["proposed"] = json!([{"id": "p", "thing": "device/d0-0", "rules": ["P8"], "given": "mark"}]);
    let label = |number: usize| json!({"label": format!("S{number}")});
    match limit.what {
        "positions of switch panels" => {
            let positions: Vec<_> = (0..many).map(label).collect();
            job["points"][1] =
                json!({"id": "block", "kind": "switch-panel", "location": "helm", "positions": positions});
        }
        "cables of devices" => {
            let cable = |number: usize| json!({"id": format!("k{number}"), "kind": "antenna", "to": {"location": "helm"}});
            job["devices"][0]["cables"] = (0..many).map(cable).collect();
        }
        "settings of devices" => {
            let setting = json!({"name": "Mode", "value": "1"});
            job["devices"][0]["settings"] = vec![setting; many].into();
        }
        "legs of circuits" => {
            let leg = |number: usize| json!({"number": number % 10_000 + 1, "device": "d0-0"});
            job["circuits"][0]["legs"] = (0..many).map(leg).collect();
        }
        "conductors with their own length or size" => {
            let own = json!({"from": "block", "to": "d0-0", "length_m": 1});
            job["circuits"][0]["conductors"] = vec![own; many].into();
        }
        "raceways on given routes" => job["circuits"][0]["route"] = vec![json!("tube"); many].into(),
        "circuits in use, over all modes" => {
            job["modes"][0]["on"] = vec![json!({"circuit": "C0000"}); many].into();
        }
        _ => grow(&mut job, limit.path, many),
    }
    job
}

#[test]
fn one_more_than_a_limit_is_refused_with_list_count_and_limit() {
    for limit in &LIMITS {
        let (what, many) = (limit.what, limit.most + 1);
        let expected = format!("{}: {many} {what} are too many: expected at most {}", limit.path, limit.most);
        assert_eq!(faults(&beyond(limit)), [expected], "{what}");
    }
}

#[test]
fn a_longer_history_is_refused() {
    let mut job = small();
    let tick = |number: usize| {
        json!({"id": format!("00000000-0000-4000-8000-{number:012}"), "at": "2026-03-02T08:00:00Z", "by": "I",
            "step": "location/helm/strip", "mark": "done"})
    };
    job["history"] = json!({"ticks": (0..=MOST_RECORDS).map(tick).collect::<Vec<_>>()});
    let many = MOST_RECORDS + 1;
    let expected = format!("history: {many} records are too many: expected at most {MOST_RECORDS}");
    assert_eq!(faults(&job), [expected]);
}

#[test]
fn the_help_has_every_limit() {
    let with_commas = |number: usize| match number {
        0..1_000 => number.to_string(),
        _ => format!("{},{:03}", number / 1_000, number % 1_000),
    };
    for Limit { path, what, most, .. } in &LIMITS {
        let row = format!("| `{path}` | {} {what} |", with_commas(*most));
        assert!(HELP.contains(&row), "{row}");
    }
    assert!(HELP.contains(&format!("| `history` | {} records |", with_commas(MOST_RECORDS))));
}
