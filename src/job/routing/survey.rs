//! The runs of a plan, and the map of its locations and raceways that routing uses.

use foldhash::HashMap;
use uom::si::f64::{Length, Ratio};
use uom::si::length::{meter, millimeter};
use uom::si::ratio::percent;

use crate::job::conductor::{Conductor, Of};
use crate::job::layout::raceway_length;
use crate::job::plan::{Circuit, Condition, Location, Plan, Raceway, RacewayKind, Wiring};
use crate::job::run::{PieceId, Run, cable};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{LengthM, LocationId, RacewayId};
use crate::job::wiring::{ConductorRoute, ConductorRoutes, Conductors};
use crate::trade::conductor::Size;
use crate::trade::route;
use crate::trade::route::settle::{Girth, Routing};
use crate::trade::route::{Allowances, Cut, Map, RacewayRoom, Way};
use crate::trade::say::{Part, Statement, say};

/// A manual route that does not connect the ends of its wire.
pub(super) struct Broken {
    pub(super) subject: Subject,
    pub(super) why: Statement,
}

/// A plan prepared for routing. The runs of circuits come first, then those of feeders and cables.
pub(super) struct Survey<'a> {
    pub(super) plan: &'a Plan,
    pub(super) conductors: Conductors,
    /// The contents of each run on the map.
    pub(super) pulled: Vec<Run<'a>>,
    pub(super) broken: Vec<Broken>,
    map: Map,
    runs: Vec<route::RunToRoute>,
    numbers: HashMap<&'a LocationId, usize>,
    ends: HashMap<&'a str, usize>,
}

impl<'a> Survey<'a> {
    /// Finds the runs of a plan.
    pub(super) fn of(plan: &'a Plan) -> Self {
        let numbers: HashMap<&LocationId, usize> =
            plan.locations.iter().enumerate().map(|(number, location)| (&location.id, number)).collect();
        let points = plan.points.iter().map(|point| (point.id.as_str(), &point.location));
        let all = points.chain(plan.devices.iter().map(|device| (device.id.as_str(), &device.location)));
        let ends = all.filter_map(|(id, location)| Some((id, *numbers.get(location)?))).collect();
        let nowhere = plan.locations.len();
        let raceways = plan.raceways.iter().map(|raceway| route::MapRaceway {
            between: raceway.between.each_ref().map(|id| numbers.get(id).copied().unwrap_or(nowhere)),
            length: raceway_length(plan, raceway).map(|(meters, _)| Length::new::<meter>(meters)),
            room: room(raceway),
        });
        let mut survey = Self {
            plan,
            conductors: Conductors::of(plan),
            pulled: Vec::new(),
            broken: Vec::new(),
            map: Map::new(plan.locations.len(), raceways.collect()),
            runs: Vec::new(),
            numbers,
            ends,
        };
        survey.circuits();
        survey.feeders();
        survey.cables();
        survey
    }

    pub(super) fn map(&self) -> &Map {
        &self.map
    }

    pub(super) fn runs(&self) -> &[route::RunToRoute] {
        &self.runs
    }

    pub(super) fn location(&self, number: usize) -> Option<&'a Location> {
        self.plan.locations.get(number)
    }

    pub(super) fn raceway(&self, number: usize) -> Option<&'a Raceway> {
        self.plan.raceways.get(number)
    }

    pub(super) fn raceway_ids(&self, way: &Way) -> Vec<RacewayId> {
        way.raceways.iter().filter_map(|number| Some(self.raceway(*number)?.id.clone())).collect()
    }

    /// The conductors of a run.
    pub(super) fn wires(&self, run: &Run<'_>) -> impl Iterator<Item = &Conductor> {
        run.wires().iter().filter_map(|at| self.conductors.all().get(*at))
    }

    /// The id of a run: that of its first wire, or of its cable.
    pub(super) fn id(&self, number: usize) -> Option<PieceId> {
        let run = self.pulled.get(number)?;
        match run.cable() {
            Some(own) => Some(PieceId::from(&own.cable.id)),
            None => self.wires(run).next().map(|wire| PieceId::from(&wire.id)),
        }
    }

    /// The runs by their ids.
    pub(super) fn numbers_by_id(&self) -> HashMap<PieceId, usize> {
        (0..self.pulled.len()).filter_map(|number| Some((self.id(number)?, number))).collect()
    }

    /// The name of a run: the label of its first wire, or of its cable.
    pub(super) fn called(&self, number: usize) -> String {
        let Some(run) = self.pulled.get(number) else { return String::new() };
        match run.cable() {
            Some(own) => format!("cable {}", own.cable.label_text()),
            None => self.wires(run).next().map(|wire| wire.label.clone()).unwrap_or_default(),
        }
    }

    /// The first conductor of a run, or its cable, as a subject.
    pub(super) fn thing(&self, number: usize) -> Option<Subject> {
        let is_cable = self.pulled.get(number)?.cable().is_some();
        let kind = if is_cable { SubjectKind::Cable } else { SubjectKind::Conductor };
        self.id(number).map(|id| Subject::new(kind, id))
    }

    /// The circuit, feeder or cable that a run is part of.
    pub(super) fn part_of(&self, number: usize) -> Option<Subject> {
        let run = self.pulled.get(number)?;
        if run.cable().is_some() { self.thing(number) } else { Some(run.subject()) }
    }

    /// The subject of a finding about a run.
    pub(super) fn subject(&self, number: usize) -> Option<Subject> {
        self.pulled.get(number).map(Run::subject)
    }

    fn circuits(&mut self) {
        for circuit in &self.plan.circuits {
            let (jumpers, pairs) = self.split(circuit);
            for jumper in jumpers {
                self.pull_wires(&Of::Circuit(circuit.id.clone()), &[jumper], circuit.jacketed, None);
            }
            let ways = self.by_hand(circuit, &pairs);
            for (pair, way) in pairs.into_iter().zip(ways) {
                self.pair(circuit, pair, way);
            }
        }
    }

    /// The conductors of a circuit by their index in the list: jumpers, and a pair for each device.
    fn split(&self, circuit: &Circuit) -> (Vec<usize>, Vec<[usize; 2]>) {
        let range = self.conductors.locations_of_circuit(&circuit.id);
        let first_pair = range.end.saturating_sub(2 * circuit.legs.len()).max(range.start);
        let pairs = (first_pair..range.end).step_by(2).map(|at| [at, at + 1]);
        ((range.start..first_pair).collect(), pairs.collect())
    }

    /// A positive and its negative: one run if they begin and end at the same locations.
    fn pair(&mut self, circuit: &Circuit, [positive, negative]: [usize; 2], way: Option<Vec<usize>>) {
        let of = Of::Circuit(circuit.id.clone());
        if self.between(positive) == self.between(negative) {
            self.pull_wires(&of, &[positive, negative], circuit.jacketed, way);
        } else {
            self.pull_wires(&of, &[positive], false, way);
            self.pull_wires(&of, &[negative], false, None);
        }
    }

    fn feeders(&mut self) {
        for feeder in &self.plan.feeders {
            let Some(at) = self.conductors.location_of_feeder(&feeder.id) else { continue };
            let way = match self.between(at) {
                Some([from, to]) if !feeder.route.is_empty() => {
                    // A negative begins at its far end, where the current comes from.
                    let (start, goal) = if self.begins_far(at) { (to, from) } else { (from, to) };
                    let walked =
                        self.walked(&Subject::new(SubjectKind::Feeder, &feeder.id), start, &feeder.route);
                    walked.and_then(|(mut raceways, locations)| {
                        if locations.last() != Some(&goal) {
                            self.strays(SubjectKind::Feeder, &feeder.id, goal);
                            return None;
                        }
                        if start == to {
                            raceways.reverse();
                        }
                        Some(raceways)
                    })
                }
                _ => None,
            };
            self.pull_wires(&Of::Feeder(feeder.id.clone()), &[at], false, way);
        }
    }

    fn cables(&mut self) {
        for own in cable::all(self.plan) {
            if let [Some(from), Some(to)] = own.between(self.plan).map(|id| self.numbers.get(id?).copied()) {
                self.pull(Run::Cable(own), [from, to], None);
            }
        }
    }

    /// Adds a run of wires, unless both ends are at one location.
    fn pull_wires(&mut self, of: &Of, at: &[usize], jacketed: bool, given: Option<Vec<usize>>) {
        let Some(between) = at.first().and_then(|at| self.between(*at)) else { return };
        if between[0] != between[1] {
            self.pull(Run::Wires { of: of.clone(), at: at.to_vec(), jacketed }, between, given);
        }
    }

    fn pull(&mut self, run: Run<'a>, between: [usize; 2], given: Option<Vec<usize>>) {
        self.runs.push(route::RunToRoute { between, given, widest: run.widest() });
        self.pulled.push(run);
    }

    /// The locations of a conductor's ends, the one nearer the source first.
    fn between(&self, conductor: usize) -> Option<[usize; 2]> {
        let [near, far] = self.conductors.all().get(conductor)?.ends();
        Some([*self.ends.get(near.at.id())?, *self.ends.get(far.at.id())?])
    }

    fn begins_far(&self, conductor: usize) -> bool {
        let wire = self.conductors.all().get(conductor);
        wire.is_some_and(|wire| wire.ends()[0].at != wire.from)
    }

    /// The part of a circuit's manual route that each of its pairs takes.
    ///
    /// The route begins where the first pair begins. ConductorRoute a chain each pair begins where the one before ended.
    /// With home runs each pair follows the route to its own device.
    fn by_hand(&mut self, circuit: &Circuit, pairs: &[[usize; 2]]) -> Vec<Option<Vec<usize>>> {
        let none = vec![None; pairs.len()];
        let start = pairs.first().and_then(|[positive, _]| self.between(*positive)).map(|[near, _]| near);
        let (false, Some(start)) = (circuit.route.is_empty(), start) else { return none };
        let about = Subject::new(SubjectKind::Circuit, &circuit.id);
        let Some((raceways, locations)) = self.walked(&about, start, &circuit.route) else { return none };
        let (mut ways, mut from, mut farthest) = (Vec::new(), 0, 0);
        for [positive, _] in pairs {
            let Some([_, goal]) = self.between(*positive) else { return none };
            let Some(to) = (from..locations.len()).find(|at| locations.get(*at) == Some(&goal)) else {
                self.strays(SubjectKind::Circuit, &circuit.id, goal);
                return none;
            };
            ways.push(raceways.get(from..to).map(<[usize]>::to_vec));
            farthest = farthest.max(to);
            if circuit.wiring == Wiring::Chain {
                from = to;
            }
        }
        if farthest < raceways.len() {
            let why = say!("It goes on beyond the last device.");
            self.broken.push(Broken { subject: about, why });
            return none;
        }
        ways
    }

    /// A manual route as raceway numbers, with the locations that it passes.
    fn walked(
        &mut self,
        about: &Subject,
        start: usize,
        route: &[RacewayId],
    ) -> Option<(Vec<usize>, Vec<usize>)> {
        let number = |id: &RacewayId| self.plan.raceways.position(id.as_str());
        let raceways: Vec<usize> = route.iter().map(number).collect::<Option<_>>()?;
        let why = match self.map.walk(start, &raceways) {
            Err(at) => {
                let before = at.checked_sub(1).and_then(|at| route.get(at));
                let next = route.get(at).map(Part::from).unwrap_or_else(|| Part::from("it"));
                match (before, self.plan.locations.get(start)) {
                    (Some(before), _) => say!("{} does not start at the far end of {}.", next, before),
                    (None, Some(location)) => say!("{} does not start at {}.", next, &location.id),
                    (None, None) => say!("{} does not start where the wire does.", next),
                }
            }
            Ok(locations) => match raceways.iter().position(|raceway| self.map.is_shut(*raceway)) {
                None => return Some((raceways, locations)),
                Some(at) => {
                    let raceway = route.get(at).map(Part::from).unwrap_or_else(|| Part::from("it"));
                    say!("{} is blocked.", raceway)
                }
            },
        };
        self.broken.push(Broken { subject: about.clone(), why });
        None
    }

    fn strays(&mut self, kind: SubjectKind, id: &impl std::fmt::Display, goal: usize) {
        let why = match self.location(goal) {
            Some(location) => say!("It does not reach {}.", &location.id),
            None => say!("It does not reach its end."),
        };
        self.broken.push(Broken { subject: Subject::new(kind, id), why });
    }

    /// The lengths that are added at the ends of a run.
    pub(super) fn allowances(&self, [near, far]: [usize; 2]) -> Allowances {
        let given = self.plan.job.allowances;
        let length = |given: Option<LengthM>, usual: f64| {
            given.map_or_else(|| Length::new::<meter>(usual), LengthM::quantity)
        };
        let rise = |location: usize| {
            let own = self.location(location).and_then(|location| location.rise_m);
            length(own.or(given.rise_m), Allowances::USUAL_RISE_M)
        };
        Allowances {
            rise: [rise(near), rise(far)],
            service_loop: length(given.service_loop_m, Allowances::USUAL_SERVICE_LOOP_M),
            drip_loop: length(given.drip_loop_m, Allowances::USUAL_DRIP_LOOP_M),
            waste: given.waste_pct.map_or_else(
                || Ratio::new::<percent>(Allowances::USUAL_WASTE_PERCENT),
                |waste| waste.quantity(),
            ),
        }
    }

    /// The length to cut for a run along a route.
    pub(super) fn cut(&self, run: usize, way: &Way) -> Option<Cut> {
        let between = self.runs.get(run)?.between;
        Some(Cut::of(way.length?, &self.allowances(between)))
    }

    /// How many current-carrying conductors are in a raceway.
    pub(super) fn carrying(&self, routing: &Routing, raceway: usize) -> usize {
        routing.sharing(raceway).filter_map(|run| self.pulled.get(run)).map(Run::carrying).sum()
    }

    /// The same for every raceway.
    pub(super) fn carrying_each(&self, routing: &Routing) -> Vec<usize> {
        (0..self.plan.raceways.len()).map(|raceway| self.carrying(routing, raceway)).collect()
    }

    /// Whether a route passes an engine space.
    pub(super) fn is_hot(&self, run: usize, way: &Way) -> bool {
        let start = self.runs.get(run).map(|run| run.between[0]);
        let locations = start.and_then(|start| self.map.walk(start, &way.raceways).ok()).unwrap_or_default();
        let hot_location =
            |location: &usize| self.location(*location).is_some_and(|location| location.engine_space);
        let hot_raceway =
            |raceway: &usize| self.raceway(*raceway).is_some_and(|raceway| raceway.engine_space);
        locations.iter().any(hot_location) || way.raceways.iter().any(hot_raceway)
    }

    /// What each conductor gets from a routing.
    pub(super) fn ways(&self, routing: &Routing) -> ConductorRoutes {
        let (mut ways, carrying) = (ConductorRoutes::default(), self.carrying_each(routing));
        for (number, run) in self.pulled.iter().enumerate() {
            let Some(way) = routing.ways.get(number).and_then(Option::as_ref) else { continue };
            let along = ConductorRoute {
                length: self.cut(number, way).map(|cut| Length::new::<meter>(cut.total_m)),
                engine_space: self.is_hot(number, way),
                company: company(&carrying, way),
            };
            ways.extend(self.wires(run).map(|wire| (wire.id.clone(), along)));
        }
        ways
    }

    /// The outside diameters of each run, for these sizes of all conductors.
    pub(super) fn girths(&self, sizes: &[Option<Size>]) -> Vec<Girth> {
        self.pulled.iter().map(|run| run.girth(sizes)).collect()
    }

    /// The outside diameters of a run as a text: `2 x 3.5 mm`.
    pub(super) fn girth_words(girth: &[Length]) -> String {
        let widest = girth.iter().copied().max_by(|one, other| one.value.total_cmp(&other.value));
        let mm = widest.map_or(0.0, |widest| widest.get::<millimeter>());
        format!("{} x {mm:.1} mm", girth.len())
    }
}

/// A tray or gunwale without a bore is open. A tube or hole needs a known bore.
fn room(raceway: &Raceway) -> RacewayRoom {
    if raceway.condition == Some(Condition::Blocked) {
        return RacewayRoom::Shut;
    }
    match (raceway.bore_mm, raceway.kind) {
        (Some(bore), _) => RacewayRoom::Bore(bore.quantity()),
        (None, RacewayKind::Tray | RacewayKind::Gunwale) => RacewayRoom::Open,
        (None, RacewayKind::Tube | RacewayKind::Bulkhead) => RacewayRoom::Unknown,
    }
}

/// The largest number of current-carrying conductors in any raceway of a route.
pub(super) fn company(carrying: &[usize], way: &Way) -> usize {
    way.raceways.iter().filter_map(|raceway| carrying.get(*raceway)).copied().max().unwrap_or(0)
}
