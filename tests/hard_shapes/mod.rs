//! Jobs of extreme shape within the limits of a plan, for the test of bounds and for the benchmarks.
#![allow(dead_code, reason = "each user takes its part of this")]
#![allow(clippy::expect_used, reason = "a shape that cannot be built fails by panicking")]

use serde_json::{Value, json};

/// A shape by its name.
pub struct Shape {
    pub name: &'static str,
    build: fn() -> Value,
}

impl Shape {
    /// The job file.
    pub fn text(&self) -> String {
        (self.build)().to_string()
    }
}

/// Every hard shape.
pub const SHAPES: [Shape; 14] = [
    Shape { name: "feeder from a switch back to its battery", build: back_to_the_battery },
    Shape { name: "2,000 feeders in a row", build: feeders_in_a_row },
    Shape { name: "5,000 devices on a chain", build: || devices_on_a_circuit("chain") },
    Shape { name: "5,000 devices on home runs", build: || devices_on_a_circuit("home-runs") },
    Shape { name: "2,000 batteries", build: batteries },
    Shape { name: "60 bars each joined to each", build: bars_all_joined },
    Shape { name: "1,000 two-way loops", build: two_way_loops },
    Shape { name: "1,000 modes x 300 circuits", build: modes },
    Shape { name: "800 banks x 1,000 modes", build: banks_in_modes },
    Shape { name: "800 engines on two batteries", build: engines },
    Shape { name: "200 doubled switches", build: doubled_switches },
    Shape { name: "2,000 locations in a row", build: locations_in_a_row },
    Shape { name: "2,000 locations in a grid", build: locations_in_a_grid },
    Shape { name: "2,000 circuits between two locations", build: circuits_side_by_side },
];

/// The smallest job: a battery, a fuse block, a negative bar and one circuit.
pub fn small() -> Value {
    let mut job = json!({
        "format": 1,
        "job": {"name": "Rewire", "rules": "us", "nominal_v": 12, "ambient_c": 30},
        "boat": {"name": "Sandpiper", "length_m": 7.1, "fuel": "gasoline", "engine": "outboard"},
        "locations": [{"id": "helm", "name": "Helm console"}, {"id": "stern", "name": "Stern locker"}],
        "raceways": [{"id": "tube", "between": ["helm", "stern"], "length_m": 4.3, "bore_mm": 38, "kind": "tube"}],
        "points": [], "feeders": [], "devices": [], "circuits": []
    });
    add(&mut job, "points", battery("house"));
    add(
        &mut job,
        "points",
        json!({"id": "block", "kind": "fuse-block", "location": "helm", "rating_a": 100}),
    );
    add(
        &mut job,
        "points",
        json!({"id": "neg", "kind": "negative-bus", "location": "helm", "rating_a": 150}),
    );
    add(&mut job, "feeders", feeder("return", "neg", "house", "negative"));
    add_circuit(&mut job, 0, 1, "block");
    job
}

fn add(job: &mut Value, list: &str, item: Value) {
    job[list].as_array_mut().expect("a list").push(item);
}

fn battery(id: &str) -> Value {
    json!({"id": id, "kind": "battery", "location": "stern", "open_circuit_v": 12.7, "internal_mohm": 6.0,
        "capacity_ah": 100, "chemistry": "agm"})
}

fn switch(id: &str) -> Value {
    json!({"id": id, "kind": "battery-switch", "location": "stern", "rating_a": 300})
}

fn bar(id: &str) -> Value {
    json!({"id": id, "kind": "positive-bus", "location": "stern", "rating_a": 300})
}

fn feeder(id: &str, from: &str, to: &str, polarity: &str) -> Value {
    let mut feeder = json!({"id": id, "from": from, "to": to, "polarity": polarity, "size": "2 AWG",
        "insulation_c": 105, "length_m": 0.5});
    if polarity == "positive" {
        feeder["protection"] = json!({"kind": "bolt-down-fuse", "rating_a": 100, "from_source_m": 0.1,
            "interrupt_a": 5000});
    }
    feeder
}

fn device(id: &str) -> Value {
    json!({"id": id, "name": "Light", "location": "stern", "drop_limit_pct": 10,
        "load": {"kind": "constant-power", "w": 0.2}})
}

/// A circuit with so many devices of its own.
fn add_circuit(job: &mut Value, number: usize, devices: usize, from: &str) {
    let ids: Vec<String> = (0..devices).map(|device| format!("d{number}-{device}")).collect();
    for id in &ids {
        add(job, "devices", device(id));
    }
    let legs: Vec<_> =
        ids.iter().enumerate().map(|(at, id)| json!({"number": at + 1, "device": id})).collect();
    add(
        job,
        "circuits",
        json!({"id": format!("C{number:04}"), "name": "Lights", "legs": legs, "from": from, "return": "neg",
            "protection": {"kind": "blade-fuse", "rating_a": 10, "from_source_m": 0}, "insulation_c": 105}),
    );
}

fn back_to_the_battery() -> Value {
    let mut job = small();
    add(&mut job, "points", switch("switch"));
    add(&mut job, "feeders", feeder("out", "house", "switch", "positive"));
    add(&mut job, "feeders", feeder("again", "switch", "house", "positive"));
    add(&mut job, "feeders", feeder("on", "switch", "block", "positive"));
    for feeder in job["feeders"].as_array_mut().expect("a list") {
        feeder.as_object_mut().expect("an object").remove("size");
    }
    job
}

fn feeders_in_a_row() -> Value {
    row_of_feeders(2_000)
}

/// So many feeders, each from the end of the one before.
pub fn row_of_feeders(feeders: usize) -> Value {
    let mut job = small();
    let mut last = "house".to_owned();
    for number in 1..feeders {
        let next = format!("bar{number}");
        add(&mut job, "points", bar(&next));
        add(&mut job, "feeders", feeder(&format!("F{number}"), &last, &next, "positive"));
        last = next;
    }
    add(&mut job, "feeders", feeder("on", &last, "block", "positive"));
    job
}

fn devices_on_a_circuit(wiring: &str) -> Value {
    let mut job = small();
    (job["devices"], job["circuits"]) = (json!([]), json!([]));
    add(&mut job, "feeders", feeder("on", "house", "block", "positive"));
    add_circuit(&mut job, 1, 5_000, "block");
    job["circuits"][0]["wiring"] = json!(wiring);
    job
}

fn batteries() -> Value {
    let mut job = small();
    add(&mut job, "feeders", feeder("on", "house", "block", "positive"));
    for number in 0..1_999 {
        let id = format!("battery{number}");
        add(&mut job, "points", battery(&id));
        add(&mut job, "feeders", feeder(&format!("F{number}"), &id, "block", "positive"));
        add(&mut job, "feeders", feeder(&format!("N{number}"), "neg", &id, "negative"));
    }
    job
}

fn bars_all_joined() -> Value {
    let mut job = small();
    let bars: Vec<String> = (0..60).map(|number| format!("bar{number}")).collect();
    add(&mut job, "feeders", feeder("out", "house", "bar0", "positive"));
    for (at, one) in bars.iter().enumerate() {
        add(&mut job, "points", bar(one));
        for other in &bars[at + 1..] {
            add(&mut job, "feeders", feeder(&format!("{one}-{other}"), one, other, "positive"));
        }
    }
    add(&mut job, "feeders", feeder("on", "bar59", "block", "positive"));
    job
}

/// Battery switches in a row, each joined to the next in both directions.
fn two_way_loops() -> Value {
    let mut job = small();
    add(&mut job, "points", switch("switch0"));
    add(&mut job, "feeders", feeder("out", "house", "switch0", "positive"));
    for number in 1..=1_000 {
        let (one, other) = (format!("switch{}", number - 1), format!("switch{number}"));
        add(&mut job, "points", switch(&other));
        add(&mut job, "feeders", feeder(&format!("out{number}"), &one, &other, "positive"));
        add(&mut job, "feeders", feeder(&format!("back{number}"), &other, &one, "positive"));
    }
    add(&mut job, "feeders", feeder("on", "switch1000", "block", "positive"));
    job
}

fn modes() -> Value {
    let mut job = small();
    add(&mut job, "feeders", feeder("on", "house", "block", "positive"));
    (1..300).for_each(|number| add_circuit(&mut job, number, 1, "block"));
    let modes = (0..1_000).map(|mode| {
        let on = (0..300).map(|circuit| match (circuit + mode) % 3 {
            0 => json!({"circuit": format!("C{circuit:04}"), "share": 0.5}),
            _ => json!({"circuit": format!("C{circuit:04}")}),
        });
        json!({"id": format!("m{mode}"), "name": format!("Mode {mode}"), "hours": 0.02, "on": on.collect::<Vec<_>>()})
    });
    job["modes"] = modes.collect();
    job
}

/// Batteries apart from each other, in as many modes as a plan may have.
fn banks_in_modes() -> Value {
    let mut job = small();
    add(&mut job, "feeders", feeder("on", "house", "block", "positive"));
    (1..800).for_each(|number| add(&mut job, "points", battery(&format!("bank{number}"))));
    let mode = |mode: usize| json!({"id": format!("m{mode}"), "name": format!("Mode {mode}"), "hours": 0.02, "on": []});
    job["modes"] = (0..1_000).map(mode).collect();
    job
}

/// Engines that start from the same two batteries, or from either of them alone.
fn engines() -> Value {
    let mut job = small();
    add(&mut job, "points", battery("second"));
    for polarity in ["positive", "negative"] {
        add(&mut job, "feeders", feeder(&format!("joined-{polarity}"), "second", "house", polarity));
    }
    add(&mut job, "feeders", feeder("on", "house", "block", "positive"));
    for number in 0..800 {
        let id = format!("engine{number}");
        let engine = json!({"id": id, "kind": "charger", "location": "stern", "open_circuit_v": 14.2, "rating_a": 60,
            "starter_a": 150});
        add(&mut job, "points", engine);
        for polarity in ["positive", "negative"] {
            let mut cable = feeder(&format!("{polarity}{number}"), "house", &id, polarity);
            cable["cranking"] = json!(true);
            add(&mut job, "feeders", cable);
        }
    }
    job
}

/// Stages in a row, each of two battery switches: there are 2 to the power of 200 paths.
fn doubled_switches() -> Value {
    let mut job = small();
    add(&mut job, "points", bar("bar0"));
    add(&mut job, "feeders", feeder("out", "house", "bar0", "positive"));
    for number in 1..=200 {
        let (one, next) = (format!("bar{}", number - 1), format!("bar{number}"));
        add(&mut job, "points", bar(&next));
        for side in ["port", "starboard"] {
            let id = format!("{side}{number}");
            add(&mut job, "points", switch(&id));
            add(&mut job, "feeders", feeder(&format!("to-{id}"), &one, &id, "positive"));
            add(&mut job, "feeders", feeder(&format!("from-{id}"), &id, &next, "positive"));
        }
    }
    add(&mut job, "feeders", feeder("on", "bar200", "block", "positive"));
    job
}

fn location(job: &mut Value, id: &str) {
    add(job, "locations", json!({"id": id, "name": format!("Location {id}")}));
}

fn raceway(job: &mut Value, one: &str, other: &str) {
    let raceway = json!({"id": format!("{one}-{other}"), "between": [one, other], "length_m": 0.5, "bore_mm": 50,
        "kind": "tube"});
    add(job, "raceways", raceway);
}

fn locations_in_a_row() -> Value {
    let mut job = small();
    add(&mut job, "feeders", feeder("on", "house", "block", "positive"));
    let mut last = "helm".to_owned();
    for number in 0..1_998 {
        let next = format!("l{number}");
        location(&mut job, &next);
        raceway(&mut job, &last, &next);
        last = next;
    }
    for number in 1..40 {
        add_circuit(&mut job, number, 1, "block");
        job["devices"][number]["location"] = json!(last);
    }
    job
}

fn locations_in_a_grid() -> Value {
    let (mut job, side) = (small(), 44);
    add(&mut job, "feeders", feeder("on", "house", "block", "positive"));
    let id = |row: usize, column: usize| format!("l{row}-{column}");
    for (row, column) in (0..side).flat_map(|row| (0..side).map(move |column| (row, column))) {
        location(&mut job, &id(row, column));
        if row > 0 {
            raceway(&mut job, &id(row - 1, column), &id(row, column));
        }
        if column > 0 {
            raceway(&mut job, &id(row, column - 1), &id(row, column));
        }
    }
    raceway(&mut job, "helm", &id(0, 0));
    for number in 1..200 {
        add_circuit(&mut job, number, 1, "block");
        job["devices"][number]["location"] = json!(id(side - 1, number % side));
    }
    job
}

fn circuits_side_by_side() -> Value {
    wide(2_000, 1)
}

/// So many circuits from one block, and so many feeders from the battery, each to a bar of its own.
pub fn wide(circuits: usize, feeders: usize) -> Value {
    let mut job = small();
    add(&mut job, "feeders", feeder("on", "house", "block", "positive"));
    (1..circuits).for_each(|number| add_circuit(&mut job, number, 1, "block"));
    for number in 1..feeders {
        let id = format!("bar{number}");
        add(&mut job, "points", bar(&id));
        add(&mut job, "feeders", feeder(&format!("F{number}"), "house", &id, "positive"));
    }
    job
}
