//! Whether the parts of a job fit together: every id exists, is used once, and is of the right kind.
//!
//! All faults are collected, so that a file can be corrected in one go.

use std::fmt::Display;

use foldhash::{HashMap, HashSet};
use uom::si::length::meter;
use uuid::Uuid;

use super::before_power;
use super::board::parts::mountable;
use super::event::History;
use super::fault::PlanFault;
use super::limits;
use super::plan::{Cable, CableTo, Circuit, Device, Feeder, Leg, Plan, Polarity};
use super::point::{Body, PointKind, SwitchKind};
use super::record::{self, Record, RecordVisitor};
use super::value::{CircuitId, DeviceId, LocationId, PointId, RacewayId};
use super::wiring;

impl Plan {
    /// All inconsistencies in the plan, each with its path as in the job file.
    ///
    /// Beyond a [limit](limits::LIMITS) there is nothing else in the list. An empty list means that every id
    /// refers to an item. Then the checks, the network and the steps can be
    /// derived from the plan.
    pub fn faults(&self) -> Vec<PlanFault> {
        let exceeded = limits::exceeded(self);
        if !exceeded.is_empty() {
            return exceeded;
        }
        let mut search = Search::new(self);
        search.ids();
        search.locations();
        search.boards();
        for (index, feeder) in self.feeders.iter().enumerate() {
            search.feeder(&format!("feeders[{index}]"), feeder);
        }
        for (index, circuit) in self.circuits.iter().enumerate() {
            search.circuit(&format!("circuits[{index}]"), circuit);
        }
        search.throws();
        search.modes();
        search.removed();
        search.proposed();
        search.seats();
        search.faults
    }
}

impl History {
    /// All impossible events in the history: an event twice, a step for an item of the wrong kind, or a step "not
    /// needed" without a reason.
    ///
    /// Events are kept even if the plan no longer has the item they are about.
    pub fn faults(&self) -> Vec<PlanFault> {
        if let Some(too_long) = limits::too_long(self) {
            return vec![too_long];
        }
        let mut judge = Judge { history: self, seen: HashSet::default(), faults: Vec::new() };
        record::visit(&mut judge);
        let mut faults = judge.faults;
        for (index, reading) in self.step_readings.iter().enumerate() {
            if before_power::unit(&reading.step).is_none() {
                let path = format!("history.step_readings[{index}].step");
                faults.push(PlanFault::expected(path, &reading.step, "a step that is measured by itself"));
            }
        }
        for (index, tick) in self.ticks.iter().enumerate() {
            let path = format!("history.ticks[{index}]");
            if !tick.step.action.is_done_to(tick.step.subject.kind) {
                faults.push(PlanFault::expected(
                    format!("{path}.step"),
                    &tick.step,
                    format!("a step that is done to a {}", tick.step.subject.kind.word()),
                ));
            }
        }
        faults
    }
}

/// Checks records one by one, with the ids that are already used.
struct Judge<'a> {
    history: &'a History,
    seen: HashSet<Uuid>,
    faults: Vec<PlanFault>,
}

impl RecordVisitor for Judge<'_> {
    fn visit<R: Record>(&mut self) {
        for (index, record) in R::list(self.history).iter().enumerate() {
            let path = format!("history.{}[{index}]", R::LIST);
            if !self.seen.insert(record.id()) {
                self.faults.push(twice(format!("{path}.id"), record.id(), "event"));
            }
            let fault = record.fault();
            self.faults
                .extend(fault.map(|fault| PlanFault::new(format!("{path}.{}", fault.path), fault.text)));
        }
    }
}

/// The plan's ids, and the faults found so far.
struct Search<'a> {
    plan: &'a Plan,
    locations: HashSet<&'a LocationId>,
    points: HashMap<&'a PointId, PointKind>,
    devices: HashSet<&'a DeviceId>,
    raceways: HashSet<&'a RacewayId>,
    circuits: HashSet<&'a CircuitId>,
    faults: Vec<PlanFault>,
}

impl<'a> Search<'a> {
    fn new(plan: &'a Plan) -> Self {
        Self {
            plan,
            locations: plan.locations.iter().map(|location| &location.id).collect(),
            points: plan.points.iter().map(|point| (&point.id, point.body.kind())).collect(),
            devices: plan.devices.iter().map(|device| &device.id).collect(),
            raceways: plan.raceways.iter().map(|raceway| &raceway.id).collect(),
            circuits: plan.circuits.iter().map(|circuit| &circuit.id).collect(),
            faults: Vec::new(),
        }
    }

    /// Checks that every id is unique. Distribution points and devices share one set of ids, because a conductor's
    /// end names either. Feeders and conductors share another, because both are labels on wires.
    fn ids(&mut self) {
        let plan = self.plan;
        self.once(
            "location",
            plan.locations.iter().enumerate().map(|(i, p)| (format!("locations[{i}].id"), p.id.as_str())),
        );
        self.once(
            "raceway",
            plan.raceways.iter().enumerate().map(|(i, p)| (format!("raceways[{i}].id"), p.id.as_str())),
        );
        let points = plan.points.iter().enumerate().map(|(i, p)| (format!("points[{i}].id"), p.id.as_str()));
        let devices =
            plan.devices.iter().enumerate().map(|(i, d)| (format!("devices[{i}].id"), d.id.as_str()));
        self.once("point or device", points.chain(devices));
        self.once(
            "circuit",
            plan.circuits.iter().enumerate().map(|(i, c)| (format!("circuits[{i}].id"), c.id.as_str())),
        );
        let laid: Vec<_> = plan.circuits.iter().flat_map(|circuit| wiring::lay(circuit).conductors).collect();
        let wires: HashSet<&str> = laid.iter().map(|conductor| conductor.id.as_str()).collect();
        self.once(
            "feeder",
            plan.feeders.iter().enumerate().map(|(i, f)| (format!("feeders[{i}].id"), f.id.as_str())),
        );
        for (index, feeder) in plan.feeders.iter().enumerate() {
            if wires.contains(feeder.id.as_str()) {
                self.faults.push(PlanFault::expected(
                    format!("feeders[{index}].id"),
                    &feeder.id,
                    "an id that is not also the label of a circuit's conductor",
                ));
            }
        }
        let cables = plan.devices.iter().enumerate().flat_map(|(index, device)| {
            let cables = device.cables.iter().enumerate();
            cables.map(move |(at, cable)| (format!("devices[{index}].cables[{at}]"), cable))
        });
        let cables: Vec<_> = cables.collect();
        self.once("cable", cables.iter().map(|(path, cable)| (format!("{path}.id"), cable.id.as_str())));
        let labels: HashSet<&str> = laid.iter().map(|conductor| conductor.label.as_str()).collect();
        self.labels(&wires, &labels);
        let feeders = plan.feeders.iter().flat_map(|feeder| [feeder.id.as_str(), feeder.label_text()]);
        let taken: HashSet<&str> = wires.iter().chain(&labels).copied().chain(feeders).collect();
        self.cable_labels(&cables, &taken);
        self.once(
            "board",
            plan.boards.iter().enumerate().map(|(i, b)| (format!("boards[{i}].id"), b.id.as_str())),
        );
        self.once(
            "mode",
            plan.modes.iter().enumerate().map(|(i, m)| (format!("modes[{i}].id"), m.id.as_str())),
        );
    }

    /// Checks that labels are unique: those of circuits, and those of feeders together with the circuits' wires.
    fn labels(&mut self, wires: &HashSet<&str>, labels: &HashSet<&str>) {
        let plan = self.plan;
        let ids = plan.circuits.iter().filter(|circuit| circuit.label.is_none());
        let mut taken: HashSet<&str> = ids.map(|circuit| circuit.id.as_str()).collect();
        for (index, circuit) in plan.circuits.iter().enumerate() {
            if let Some(label) = circuit.label.as_ref().filter(|label| !taken.insert(label.as_str())) {
                let path = format!("circuits[{index}].label");
                self.faults.push(PlanFault::expected(path, label, "a label that no other circuit has"));
            }
        }
        let ids = plan.feeders.iter().filter(|feeder| feeder.label.is_none());
        let mut taken: HashSet<&str> = ids.map(|feeder| feeder.id.as_str()).collect();
        for (index, feeder) in plan.feeders.iter().enumerate() {
            let text = feeder.label_text();
            let field = if feeder.label.is_some() { "label" } else { "id" };
            let path = format!("feeders[{index}].{field}");
            if feeder.label.is_some() && !taken.insert(text) {
                self.faults.push(PlanFault::expected(path, text, "a label that no other feeder has"));
            } else if labels.contains(text) && !wires.contains(feeder.id.as_str()) {
                let expected = format!("{field} that is not also the label of a circuit's conductor");
                let article = if field == "id" { "an" } else { "a" };
                self.faults.push(PlanFault::expected(path, text, format!("{article} {expected}")));
            }
        }
    }

    /// Checks that the id and the label of each cable are not those of a wire, and that no other cable has its label.
    /// A wire whose text ends in a dash would have the same ends as a cable without the dash.
    fn cable_labels(&mut self, cables: &[(String, &Cable)], wires: &HashSet<&str>) {
        let ids = cables.iter().filter(|(_, cable)| cable.label.is_none());
        let mut taken: HashSet<&str> = ids.map(|(_, cable)| cable.id.as_str()).collect();
        let on_wire = |text: &str| wires.contains(text) || wires.contains(format!("{text}-").as_str());
        for (path, cable) in cables {
            if on_wire(cable.id.as_str()) {
                let path = format!("{path}.id");
                self.faults.push(PlanFault::expected(
                    path,
                    &cable.id,
                    "an id that is not also the label of a wire",
                ));
            }
            let Some(label) = &cable.label else { continue };
            let expected = if on_wire(label.as_str()) {
                "a label that is not also the label of a wire"
            } else if !taken.insert(label.as_str()) {
                "a label that no other cable has"
            } else {
                continue;
            };
            self.faults.push(PlanFault::expected(format!("{path}.label"), label, expected));
        }
    }

    /// Checks that each thing was proposed once. A thing may be gone: then nothing of it is to be measured.
    fn proposed(&mut self) {
        let proposed = self.plan.proposed.iter().enumerate();
        self.once("proposed", proposed.map(|(i, one)| (format!("proposed[{i}].id"), one.id.as_str())));
    }

    /// Checks removed equipment: its location exists, and what replaces it is an existing device. Each device
    /// replaces at most one item.
    fn removed(&mut self) {
        let plan = self.plan;
        let ids = plan.removed.iter().enumerate();
        self.once("removed", ids.map(|(i, removed)| (format!("removed[{i}].id"), removed.id.as_str())));
        let mut fitted = HashSet::default();
        for (index, removed) in plan.removed.iter().enumerate() {
            if let Some(location) = &removed.location {
                self.location(format!("removed[{index}].location"), location);
            }
            let Some(device) = &removed.device else { continue };
            let path = format!("removed[{index}].device");
            if !self.devices.contains(device) {
                let known = known("device", plan.devices.iter().map(|device| device.id.as_str()));
                self.faults.push(PlanFault::expected(path, device, known));
            } else if !fitted.insert(device) {
                self.faults.push(PlanFault::expected(path, device, "a device that no other removed became"));
            }
        }
    }

    fn once<'b>(&mut self, thing: &str, ids: impl Iterator<Item = (String, &'b str)>) {
        let mut seen = HashSet::default();
        for (path, id) in ids {
            if !seen.insert(id) {
                self.faults.push(twice(path, id, thing));
            }
        }
    }

    fn locations(&mut self) {
        let plan = self.plan;
        for (index, raceway) in plan.raceways.iter().enumerate() {
            let [one, other] = &raceway.between;
            self.location(format!("raceways[{index}].between[0]"), one);
            self.location(format!("raceways[{index}].between[1]"), other);
            if one == other {
                let path = format!("raceways[{index}].between[1]");
                self.faults.push(PlanFault::expected(path, other, "another location than the first"));
            }
        }
        for (index, point) in plan.points.iter().enumerate() {
            self.location(format!("points[{index}].location"), &point.location);
        }
        for (index, device) in plan.devices.iter().enumerate() {
            self.location(format!("devices[{index}].location"), &device.location);
            for (at, cable) in device.cables.iter().enumerate() {
                self.cable(&format!("devices[{index}].cables[{at}]"), device, cable);
            }
        }
    }

    /// A cable goes to another device or to a location, and is shortened only if it has a length.
    fn cable(&mut self, path: &str, device: &Device, cable: &Cable) {
        match &cable.to {
            CableTo::Location(location) => self.location(format!("{path}.to.location"), location),
            CableTo::Device(other) if !self.devices.contains(other) => {
                let known = known("device", self.plan.devices.iter().map(|device| device.id.as_str()));
                self.faults.push(PlanFault::expected(format!("{path}.to.device"), other, known));
            }
            CableTo::Device(other) if *other == device.id => {
                let path = format!("{path}.to.device");
                self.faults.push(PlanFault::expected(path, other, "another device than its own"));
            }
            CableTo::Device(_) => {}
        }
        if let (Some(least), None) = (cable.least_length_m, cable.length_m) {
            let path = format!("{path}.least_length_m");
            self.faults.push(PlanFault::expected(path, least, "nothing of a cable that is cut to length"));
        }
    }

    /// A manual route: its raceways exist, each once. Whether they connect the ends is tested by the check.
    fn route(&mut self, path: &str, route: &[RacewayId]) {
        let mut seen = HashSet::default();
        for (index, id) in route.iter().enumerate() {
            let path = format!("{path}.route[{index}]");
            if !self.raceways.contains(id) {
                let known = known("raceway", self.plan.raceways.iter().map(|raceway| raceway.id.as_str()));
                self.faults.push(PlanFault::expected(path, id, known));
            } else if !seen.insert(id) {
                self.faults.push(PlanFault::expected(path, id, "each raceway once on a route"));
            }
        }
    }

    /// Boards are at existing locations. Parts are on existing boards at the location of the part.
    fn boards(&mut self) {
        let plan = self.plan;
        for (index, board) in plan.boards.iter().enumerate() {
            self.location(format!("boards[{index}].location"), &board.location);
        }
        let points = (0..plan.points.len()).map(|index| format!("points[{index}]"));
        let devices = (0..plan.devices.len()).map(|index| format!("devices[{index}]"));
        for (path, thing) in points.chain(devices).zip(mountable(plan)) {
            let Some(mounting) = thing.mounting else { continue };
            let path = format!("{path}.mounting.board");
            match plan.board(&mounting.board) {
                None => {
                    let known = known("board", plan.boards.iter().map(|board| board.id.as_str()));
                    self.faults.push(PlanFault::expected(path, &mounting.board, known));
                }
                Some(board) if board.location != *thing.location => {
                    let expected = format!("a board at {}, where the part is mounted", thing.location);
                    self.faults.push(PlanFault::expected(path, &mounting.board, expected));
                }
                Some(_) => {}
            }
        }
    }

    fn location(&mut self, path: String, id: &LocationId) {
        if !self.locations.contains(id) {
            let known = known("location", self.plan.locations.iter().map(|location| location.id.as_str()));
            self.faults.push(PlanFault::expected(path, id, known));
        }
    }

    /// A distribution point that exists and that a conductor of this kind may land on.
    fn point(&mut self, path: String, id: &PointId, fits: fn(PointKind) -> bool, words: &str) {
        match self.points.get(id) {
            None => {
                let points = self.plan.points.iter().filter(|point| fits(point.body.kind()));
                let known = known(words, points.map(|point| point.id.as_str()));
                self.faults.push(PlanFault::expected(path, id, known));
            }
            Some(kind) if !fits(*kind) => {
                let got = format!("{id}, a {}", kind.word());
                self.faults.push(PlanFault::expected(path, got, format!("a {words}")));
            }
            Some(_) => {}
        }
    }

    fn feeder(&mut self, path: &str, feeder: &Feeder) {
        let (fits, words): (fn(PointKind) -> bool, _) = match feeder.polarity {
            Polarity::Positive => (is_positive, "point of the positive side"),
            Polarity::Negative => (is_negative, "negative-bus, battery or charger"),
        };
        self.point(format!("{path}.from"), &feeder.from, fits, words);
        self.point(format!("{path}.to"), &feeder.to, fits, words);
        if feeder.from == feeder.to {
            let path = format!("{path}.to");
            self.faults.push(PlanFault::expected(path, &feeder.to, "another point than it comes from"));
        }
        self.bundle(path, feeder.bundle);
        self.route(path, &feeder.route);
    }

    fn circuit(&mut self, path: &str, circuit: &Circuit) {
        self.point(format!("{path}.from"), &circuit.from, is_positive, "point of the positive side");
        let fits = is_negative;
        self.point(format!("{path}.return"), &circuit.r#return, fits, "negative-bus, battery or charger");
        if let Some(junction) = &circuit.junction {
            self.point(
                format!("{path}.junction"),
                junction,
                |kind| kind == PointKind::JunctionBar,
                "junction-bar",
            );
        }
        self.switch(path, circuit);
        if circuit.float_switch && (circuit.switch.is_none() || circuit.legs.len() != 1) {
            let expected = "only on a circuit with a switch and one device";
            self.faults.push(PlanFault::expected(format!("{path}.float_switch"), true, expected));
        }
        self.fed(path, circuit);
        self.bundle(path, circuit.bundle);
        self.route(path, &circuit.route);
        self.conductors(path, circuit);
    }

    fn switch(&mut self, path: &str, circuit: &Circuit) {
        let Some(switch) = &circuit.switch else { return };
        let panel = |kind| kind == PointKind::SwitchPanel;
        self.point(format!("{path}.switch.panel"), &switch.panel, panel, "switch-panel");
        let Some(count) = self.plan.point(&switch.panel).and_then(|point| point.body.position_count()) else {
            return;
        };
        if !(1..=count).contains(&usize::from(switch.position)) {
            let expected = format!("a position of {} from 1 to {count}", switch.panel);
            self.faults.push(PlanFault::expected(
                format!("{path}.switch.position"),
                switch.position,
                expected,
            ));
            return;
        }
        let throws = self.plan.position(switch).map_or(0, |position| position.throws.len());
        let mut seen = HashSet::default();
        for (at, throw) in switch.throws.iter().enumerate() {
            if !(1..=throws).contains(&usize::from(*throw)) || !seen.insert(throw) {
                let expected = match throws {
                    0 => format!("none: position {} of {} has no throws", switch.position, switch.panel),
                    _ => format!("a throw from 1 to {throws}, each once"),
                };
                self.faults.push(PlanFault::expected(format!("{path}.switch.throws[{at}]"), throw, expected));
            }
        }
    }

    /// The throws of a panel's switches: only for a switch with two on positions, and with different names.
    fn throws(&mut self) {
        for (index, point) in self.plan.points.iter().enumerate() {
            let Body::SwitchPanel(panel) = &point.body else { continue };
            for (at, position) in panel.positions.iter().enumerate() {
                let path = format!("points[{index}].positions[{at}].throws");
                let text = match position.throws.as_slice() {
                    [] => continue,
                    _ if position.switch != Some(SwitchKind::OnOffOn) => "only where the switch is on-off-on",
                    [one, other] if one == other => "two throws of different names",
                    [_, _] => continue,
                    _ => "two throws or none",
                };
                self.faults.push(PlanFault::new(path, format!("not valid here: expected {text}")));
            }
        }
    }

    /// The legs of a circuit: at least one, with each device once and each number once.
    fn fed(&mut self, path: &str, circuit: &Circuit) {
        if circuit.legs.is_empty() {
            self.faults
                .push(PlanFault::new(format!("{path}.legs"), "empty: expected a leg with a device at least"));
        }
        let (mut seen, mut numbers) = (HashSet::default(), HashSet::default());
        for (index, Leg { number, device }) in circuit.legs.iter().enumerate() {
            let path = format!("{path}.legs[{index}]");
            if !(1..=Circuit::MOST_LEGS).contains(number) || !numbers.insert(number) {
                let expected = format!("a number from 1 to {}, each once on a circuit", Circuit::MOST_LEGS);
                self.faults.push(PlanFault::expected(format!("{path}.number"), number, expected));
            }
            let path = format!("{path}.device");
            if !self.devices.contains(device) {
                let known = known("device", self.plan.devices.iter().map(|device| device.id.as_str()));
                self.faults.push(PlanFault::expected(path, device, known));
            } else if !seen.insert(device) {
                self.faults.push(PlanFault::expected(path, device, "each device once on a circuit"));
            }
        }
    }

    fn bundle(&mut self, path: &str, bundle: Option<u16>) {
        if bundle == Some(0) {
            let path = format!("{path}.bundle");
            self.faults.push(PlanFault::expected(path, 0, "1 or more, because the conductor itself counts"));
        }
    }

    /// Conductors given by their ends: each exists and is given once. Their lengths together are not more than
    /// that of the circuit.
    fn conductors(&mut self, path: &str, circuit: &Circuit) {
        let laid = wiring::lay(circuit);
        let all = laid.conductors.iter().map(|wire| (wire.from.id(), wire.to.id()));
        let ways: HashSet<(&str, &str)> = all.clone().collect();
        let mut seen = HashSet::default();
        for (index, given) in circuit.conductors.iter().enumerate() {
            let path = format!("{path}.conductors[{index}]");
            let way = (given.from.as_str(), given.to.as_str());
            let got = format!("{} to {}", given.from, given.to);
            if !ways.contains(&way) {
                let ways =
                    first_few(all.clone().map(|(from, to)| format!("{from} to {to}"))).unwrap_or_default();
                self.faults.push(PlanFault::expected(
                    path,
                    got,
                    format!("a conductor of this circuit: {ways}"),
                ));
            } else if !seen.insert(way) {
                self.faults.push(PlanFault::expected(path, got, "each conductor once"));
            }
        }
        if let (Some(length), Some(over)) = (circuit.length_m, laid.overdrawn) {
            let over = over.get::<meter>();
            let expected = format!("at least {over:.3} m more, for the lengths given on its conductors");
            self.faults.push(PlanFault::expected(format!("{path}.length_m"), length, expected));
        }
    }

    fn modes(&mut self) {
        for (index, mode) in self.plan.modes.iter().enumerate() {
            let mut seen = HashSet::default();
            for (location, used) in mode.on.iter().enumerate() {
                let path = format!("modes[{index}].on[{location}].circuit");
                if !self.circuits.contains(&used.circuit) {
                    let known =
                        known("circuit", self.plan.circuits.iter().map(|circuit| circuit.id.as_str()));
                    self.faults.push(PlanFault::expected(path, &used.circuit, known));
                } else if !seen.insert(&used.circuit) {
                    self.faults.push(PlanFault::expected(path, &used.circuit, "each circuit once in a mode"));
                }
            }
        }
        self.charging();
        let hours: f64 = self.plan.modes.iter().map(|mode| mode.hours.number()).sum();
        if hours > 24.0 {
            let text = format!("the hours of all modes add up to {hours}: expected at most 24, a day");
            self.faults.push(PlanFault::new("modes", text));
        }
    }

    /// Checks that a conductor sits on one thing: a stud, a tab or a lead.
    fn seats(&mut self) {
        let plan = self.plan;
        for (index, point) in plan.points.iter().enumerate() {
            if let (Some(_), Some(tab)) = (point.screw, point.tab_mm) {
                let path = format!("points[{index}].tab_mm");
                self.faults.push(PlanFault::expected(path, tab, "either a screw or a tab for the circuits"));
            }
        }
        for (index, device) in plan.devices.iter().enumerate() {
            let given = [
                ("stud", device.stud.is_some()),
                ("tab_mm", device.tab_mm.is_some()),
                ("join", device.join.is_some()),
            ];
            let mut given = given.into_iter().filter(|(_, given)| *given);
            if let (Some(_), Some((field, _))) = (given.next(), given.next()) {
                let path = format!("devices[{index}].{field}");
                self.faults.push(PlanFault::new(path, "expected only one of stud, tab_mm and join"));
            }
        }
    }

    /// What charges in a mode is a charger, and each is listed once.
    fn charging(&mut self) {
        let plan = self.plan;
        for (index, mode) in plan.modes.iter().enumerate() {
            let mut seen = HashSet::default();
            for (location, charger) in mode.charging.iter().enumerate() {
                let path = format!("modes[{index}].charging[{location}]");
                if seen.insert(charger) {
                    self.point(path, charger, |kind| kind == PointKind::Charger, "charger");
                } else {
                    self.faults.push(PlanFault::expected(path, charger, "each charger once in a mode"));
                }
            }
        }
    }
}

fn is_positive(kind: PointKind) -> bool {
    kind != PointKind::NegativeBus
}

fn is_negative(kind: PointKind) -> bool {
    kind == PointKind::NegativeBus || kind.is_source()
}

fn twice(path: String, id: impl Display, thing: &str) -> PlanFault {
    PlanFault::expected(path, id, format!("an id that no other {thing} has"))
}

/// Suggestions for a fault: the first few existing ids.
fn known<'a>(thing: &str, ids: impl Iterator<Item = &'a str>) -> String {
    match first_few(ids.map(str::to_owned)) {
        None => format!("the id of a {thing}, of which there is none"),
        Some(shown) => format!("the id of a {thing}: {shown}"),
    }
}

/// The first few texts and how many more there are; `None` if there is none.
fn first_few(mut texts: impl Iterator<Item = String>) -> Option<String> {
    const SHOWN: usize = 12;
    let shown = texts.by_ref().take(SHOWN).collect::<Vec<_>>().join(", ");
    match texts.count() {
        0 if shown.is_empty() => None,
        0 => Some(shown),
        more => Some(format!("{shown} and {more} more")),
    }
}
