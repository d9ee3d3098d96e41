//! Random job files: the parts are of the right form, their connections and figures are not always sensible, and
//! some values are replaced by others. Each file gives a checked plan or faults, and never a panic.
//!
//! `DRIPLOOP_FILES=100000` tries more of them. A failure names its seed; `DRIPLOOP_SEED` starts there.

use driploop::job::check::together;
use driploop::job::checked::Checked;
use driploop::job::file::JobFile;
use serde_json::{Value, json};

/// How many files are tried without the variable.
const FILES: u64 = 20;
/// As for the hard shapes.
const STACK: usize = 256 * 1024;

/// Numbers that follow from a seed (SplitMix64, Steele and others 2014).
struct Dice(u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below this one.
    fn below(&mut self, most: usize) -> usize {
        let drawn = self.next() % u64::try_from(most.max(1)).unwrap();
        usize::try_from(drawn).unwrap()
    }

    fn is(&mut self, one_in: usize) -> bool {
        self.below(one_in) == 0
    }

    fn of<'a, T>(&mut self, choices: &'a [T]) -> &'a T {
        &choices[self.below(choices.len())]
    }

    /// The id of one of so many things.
    fn id(&mut self, letter: char, many: usize) -> String {
        format!("{letter}{}", self.below(many))
    }

    /// A number in a range, now and then at its end.
    fn number(&mut self, low: f64, high: f64) -> f64 {
        match self.below(12) {
            0 => low,
            1 => high,
            _ => low + (high - low) * f64::from(u32::try_from(self.below(1000)).unwrap()) / 1000.0,
        }
    }

    /// Sets a field, but for now and then.
    fn maybe(&mut self, item: &mut Value, field: &str, value: Value) {
        if !self.is(4) {
            item[field] = value;
        }
    }
}

const SIZES: [&str; 8] = ["22 AWG", "16 AWG", "14 AWG", "10 AWG", "6 AWG", "2 AWG", "2/0 AWG", "4/0 AWG"];
const FUSES: [&str; 3] = ["blade-fuse", "bolt-down-fuse", "breaker"];
const POINTS: [&str; 8] = [
    "battery",
    "charger",
    "battery-switch",
    "positive-bus",
    "negative-bus",
    "fuse-block",
    "switch-panel",
    "junction-bar",
];

/// How many of each thing a file has.
struct Counts {
    locations: usize,
    raceways: usize,
    points: usize,
    feeders: usize,
    devices: usize,
    circuits: usize,
}

fn file(dice: &mut Dice) -> Value {
    let large = if dice.is(20) { 40 } else { 8 };
    let counts = Counts {
        locations: 1 + dice.below(large),
        raceways: dice.below(2 * large),
        points: 3 + dice.below(large),
        feeders: dice.below(2 * large),
        devices: 1 + dice.below(2 * large),
        circuits: dice.below(2 * large),
    };
    let kinds: Vec<&str> = (0..counts.points).map(|at| kind_of_point(dice, at)).collect();
    let mut job = json!({
        "format": 1,
        "job": {"name": "Random", "rules": dice.of(&["us", "us", "iso"]), "nominal_v": dice.of(&[12, 12, 24]),
            "ambient_c": dice.number(0.0, 50.0)},
        "boat": {"name": "Any", "length_m": dice.number(3.0, 20.0), "fuel": dice.of(&["gasoline", "diesel"]),
            "engine": dice.of(&["outboard", "inboard"])},
        "locations": (0..counts.locations).map(|at| location(dice, at)).collect::<Vec<_>>(),
        "raceways": [],
        "points": kinds.iter().enumerate().map(|(at, kind)| point(dice, at, kind, &counts)).collect::<Vec<_>>(),
        "feeders": (0..counts.feeders).map(|at| feeder(dice, at, &kinds, &counts)).collect::<Vec<_>>(),
        "devices": (0..counts.devices).map(|at| device(dice, at, &counts)).collect::<Vec<_>>(),
        "circuits": (0..counts.circuits).map(|at| circuit(dice, at, &kinds, &counts)).collect::<Vec<_>>(),
        "modes": (0..dice.below(4)).map(|at| mode(dice, at, &counts)).collect::<Vec<_>>(),
    });
    if counts.locations > 1 {
        job["raceways"] = (0..counts.raceways).map(|at| raceway(dice, at, &counts)).collect();
    }
    job
}

/// The first points are a battery, a block and a negative bar, so that most plans have a supply.
fn kind_of_point(dice: &mut Dice, at: usize) -> &'static str {
    match at {
        0 => "battery",
        1 => "fuse-block",
        2 => "negative-bus",
        _ => POINTS[dice.below(POINTS.len())],
    }
}

fn location(dice: &mut Dice, at: usize) -> Value {
    json!({"id": format!("l{at}"), "name": format!("Location {at}"), "wet": dice.is(3), "engine_space": dice.is(4)})
}

fn raceway(dice: &mut Dice, at: usize, counts: &Counts) -> Value {
    let from = dice.below(counts.locations);
    let to = (from + 1 + dice.below(counts.locations - 1)) % counts.locations;
    let mut raceway = json!({"id": format!("r{at}"), "between": [format!("l{from}"), format!("l{to}")],
        "kind": dice.of(&["tube", "tray", "gunwale", "bulkhead"])});
    let (length, bore) = (dice.number(0.0, 20.0), dice.number(3.0, 100.0));
    dice.maybe(&mut raceway, "length_m", json!(length));
    dice.maybe(&mut raceway, "bore_mm", json!(bore));
    raceway
}

fn point(dice: &mut Dice, at: usize, kind: &str, counts: &Counts) -> Value {
    let location = dice.id('l', counts.locations);
    let mut point = json!({"id": format!("p{at}"), "kind": kind, "location": location});
    match kind {
        "battery" | "charger" => {
            point["open_circuit_v"] = json!(dice.number(10.0, 30.0));
            let (inside, rating) = (dice.number(0.01, 50.0), dice.number(1.0, 200.0));
            dice.maybe(&mut point, "internal_mohm", json!(inside));
            if kind == "battery" {
                dice.maybe(&mut point, "capacity_ah", json!(rating));
            } else {
                dice.maybe(&mut point, "rating_a", json!(rating));
                if dice.is(3) {
                    point["starter_a"] = json!(rating);
                }
            }
        }
        "switch-panel" => {
            let positions =
                (0..1 + dice.below(8)).map(|at| json!({"label": format!("S{at}"), "rating_a": 10}));
            point["positions"] = positions.collect();
        }
        _ => {
            let rating = dice.number(5.0, 400.0);
            dice.maybe(&mut point, "rating_a", json!(rating));
        }
    }
    point
}

fn protection(dice: &mut Dice) -> Value {
    let mut fuse = json!({"kind": dice.of(&FUSES)});
    let (rating, distance, interrupts) =
        (*dice.of(&[1, 5, 10, 30, 60, 100, 200]), dice.number(0.0, 3.0), 2000);
    dice.maybe(&mut fuse, "rating_a", json!(rating));
    dice.maybe(&mut fuse, "from_source_m", json!(distance));
    dice.maybe(&mut fuse, "interrupt_a", json!(interrupts));
    fuse
}

/// A point for a conductor of this polarity; seldom any point at all.
fn landing(dice: &mut Dice, kinds: &[&str], polarity: &str) -> String {
    let fits = |kind: &str| match polarity {
        "negative" => matches!(kind, "negative-bus" | "battery" | "charger"),
        _ => kind != "negative-bus",
    };
    let fitting: Vec<usize> = (0..kinds.len()).filter(|at| fits(kinds[*at])).collect();
    if dice.is(500) { dice.id('p', kinds.len() + 1) } else { format!("p{}", dice.of(&fitting)) }
}

fn feeder(dice: &mut Dice, at: usize, kinds: &[&str], counts: &Counts) -> Value {
    let polarity = *dice.of(&["positive", "positive", "negative"]);
    let from = landing(dice, kinds, polarity);
    let mut to = landing(dice, kinds, polarity);
    for _ in 0..20 {
        if to != from {
            break;
        }
        to = landing(dice, kinds, polarity);
    }
    let mut feeder = json!({"id": format!("f{at}"), "from": from, "to": to, "polarity": polarity,
        "insulation_c": dice.of(&[75, 105]), "cranking": dice.is(8)});
    let (size, length) = (*dice.of(&SIZES), dice.number(0.0, 10.0));
    dice.maybe(&mut feeder, "length_m", json!(length));
    if dice.is(2) {
        feeder["size"] = json!(size);
    }
    if dice.is(2) {
        feeder["protection"] = protection(dice);
    }
    if dice.is(20) && counts.raceways > 0 && counts.locations > 1 {
        feeder["route"] = json!([dice.id('r', counts.raceways)]);
    }
    feeder
}

fn device(dice: &mut Dice, at: usize, counts: &Counts) -> Value {
    let location = dice.id('l', counts.locations);
    let mut device = json!({"id": format!("d{at}"), "name": format!("Device {at}"), "location": location});
    let load = match dice.below(3) {
        0 => json!({"kind": "constant-current", "a": dice.number(0.01, 40.0)}),
        1 => json!({"kind": "constant-power", "w": dice.number(0.1, 600.0)}),
        _ => json!({"kind": "resistance", "ohm": dice.number(0.1, 100.0)}),
    };
    let (limit, fuse) = (dice.number(1.0, 10.0), *dice.of(&[3, 10, 30]));
    dice.maybe(&mut device, "load", load);
    dice.maybe(&mut device, "drop_limit_pct", json!(limit));
    dice.maybe(&mut device, "max_fuse_a", json!(fuse));
    if dice.is(5) {
        let to = match dice.below(2) {
            0 => json!({"location": dice.id('l', counts.locations)}),
            _ => json!({"device": format!("d{}", (at + 1) % counts.devices)}),
        };
        device["cables"] = json!([{"id": format!("k{at}"), "kind": "antenna", "to": to}]);
    }
    device
}

fn circuit(dice: &mut Dice, at: usize, kinds: &[&str], counts: &Counts) -> Value {
    let many = (1 + dice.below(4)).min(counts.devices);
    let first = dice.below(counts.devices);
    let leg =
        |leg: usize| json!({"number": leg + 1, "device": format!("d{}", (first + leg) % counts.devices)});
    let mut circuit = json!({"id": format!("c{at}"), "name": format!("Circuit {at}"),
        "legs": (0..many).map(leg).collect::<Vec<_>>(), "from": landing(dice, kinds, "positive"),
        "return": landing(dice, kinds, "negative"), "wiring": dice.of(&["chain", "home-runs"]),
        "insulation_c": dice.of(&[75, 105]), "jacketed": dice.is(2)});
    let (size, length) = (*dice.of(&SIZES), dice.number(0.0, 30.0));
    let fuse = protection(dice);
    dice.maybe(&mut circuit, "protection", fuse);
    if dice.is(2) {
        circuit["length_m"] = json!(length);
    }
    if dice.is(3) {
        circuit["size"] = json!(size);
    }
    for (field, kind) in [("switch", "switch-panel"), ("junction", "junction-bar")] {
        let of_kind = kinds.iter().position(|one| *one == kind);
        if let (Some(at), true) = (of_kind, dice.is(2)) {
            circuit[field] = match field {
                "switch" => json!({"panel": format!("p{at}"), "position": 1}),
                _ => json!(format!("p{at}")),
            };
        }
    }
    circuit
}

fn mode(dice: &mut Dice, at: usize, counts: &Counts) -> Value {
    let on: Vec<Value> =
        (0..counts.circuits).filter(|_| dice.is(2)).map(|at| json!({"circuit": format!("c{at}")})).collect();
    json!({"id": format!("m{at}"), "name": format!("Mode {at}"), "hours": dice.number(0.0, 6.0), "on": on})
}

/// Replaces a value somewhere in the file by another one, or removes it.
fn spoil(dice: &mut Dice, job: &mut Value) {
    let lists = ["locations", "raceways", "points", "feeders", "devices", "circuits", "modes"];
    let Some(items) = job[*dice.of(&lists)].as_array_mut().filter(|items| !items.is_empty()) else { return };
    let at = dice.below(items.len());
    if dice.is(6) {
        let twin = items[at].clone();
        return items.push(twin);
    }
    let Some(item) = items[at].as_object_mut() else { return };
    let fields: Vec<String> = item.keys().cloned().collect();
    let field = dice.of(&fields).clone();
    let others = [
        Value::Null,
        json!(-1),
        json!(0),
        json!(1e308),
        json!(""),
        json!("p0"),
        json!("\u{202e}\u{0}"),
        json!([]),
        json!({}),
        json!([[[[[[]]]]]]),
    ];
    match dice.is(4) {
        true => item.remove(&field),
        false => item.insert(field, dice.of(&others).clone()),
    };
}

/// Whether a file of this seed could be read. It is checked and sized if so.
fn tried(seed: u64) -> bool {
    let mut dice = Dice(seed);
    let mut job = file(&mut dice);
    if dice.is(4) {
        (0..1 + dice.below(3)).for_each(|_| spoil(&mut dice, &mut job));
    }
    let Ok(read) = JobFile::read(job.to_string().as_bytes()) else { return false };
    let checked = Checked::of(read.plan);
    together(&checked.plan, &checked.report);
    true
}

fn set(variable: &str) -> Option<u64> {
    std::env::var(variable).ok().map(|text| text.parse().expect(variable))
}

#[test]
fn random_files_give_a_checked_plan_or_faults() {
    let (first, files) = (set("DRIPLOOP_SEED").unwrap_or(0), set("DRIPLOOP_FILES").unwrap_or(FILES));
    let mut read = 0;
    for seed in first..first + files {
        let thread = std::thread::Builder::new().stack_size(STACK).spawn(move || tried(seed));
        match thread.expect("a thread").join() {
            Ok(could_be_read) => read += u64::from(could_be_read),
            Err(_) => panic!("seed {seed}"),
        }
    }
    assert!(2 * read > files, "only {read} of {files} files could be read");
}
