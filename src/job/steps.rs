//! Every step of a job, derived from the plan, in the order of work.

use std::collections::BTreeMap;

use foldhash::{HashMap, HashSet};

use super::phase::Phase;
use super::plan::{CableTo, Circuit, Feeder, Plan, Polarity, PullString};
use super::point::Body;
use super::routing::RoutesReport;
use super::run::{self, Piece, Pieces};
use super::step::{Action, StepKey};
use super::subject::{Subject, SubjectKind};
use super::supply::Supply;
use super::tie::Counts;
use super::value::{CableId, CircuitId, DeviceId, FeederId, LocationId};
use super::wiring::Conductors;

/// One step, with what a list of steps needs to show.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The key of the step, which its ticks use.
    pub key: StepKey,
    /// The name of its subject on screen: `C01-3, fb1 → nav`.
    pub about: String,
    /// The circuits it is part of.
    pub circuits: Vec<CircuitId>,
    /// The feeder whose wire it is done to.
    pub feeder: Option<FeederId>,
    /// The cable it is done to.
    pub cable: Option<CableId>,
    /// The location of the work, if there is only one.
    pub location: Option<LocationId>,
}

impl Step {
    /// The phase of the step.
    pub fn phase(&self) -> Phase {
        self.key.action.phase()
    }
}

/// All steps of a job, phase by phase.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Steps {
    all: Vec<Step>,
    by_key: HashMap<StepKey, usize>,
    states: HashMap<StepKey, Step>,
}

impl Steps {
    /// The steps of a plan with these conductors and routes.
    pub fn of(plan: &Plan, conductors: &Conductors, routes: &RoutesReport) -> Self {
        let draft = Draft { plan, conductors, routes, all: Vec::new() };
        let (states, mut all): (Vec<_>, Vec<_>) =
            draft.drawn_up().into_iter().partition(|step| step.key.is_state());
        all.sort_by_key(Step::phase);
        let by_key = all.iter().enumerate().map(|(index, step)| (step.key.clone(), index)).collect();
        let states = states.into_iter().map(|step| (step.key.clone(), step)).collect();
        Self { all, by_key, states }
    }

    /// All steps, in the order of work.
    pub fn all(&self) -> &[Step] {
        &self.all
    }

    /// The steps of one phase.
    pub fn in_phase(&self, phase: Phase) -> &[Step] {
        let first = self.all.partition_point(|step| step.phase() < phase);
        let after = self.all.partition_point(|step| step.phase() <= phase);
        self.all.get(first..after).unwrap_or_default()
    }

    /// The steps of one circuit, in the order of work.
    pub fn of_circuit<'a>(&'a self, id: &'a CircuitId) -> impl Iterator<Item = &'a Step> {
        self.all.iter().filter(move |step| step.circuits.contains(id))
    }

    /// The steps on one subject.
    pub fn of_subject<'a>(&'a self, subject: &'a Subject) -> impl Iterator<Item = &'a Step> {
        self.all.iter().filter(move |step| step.key.subject == *subject)
    }

    /// The step or state with this key.
    pub fn get(&self, key: &StepKey) -> Option<&Step> {
        let step = self.by_key.get(key).and_then(|index| self.all.get(*index));
        step.or_else(|| self.states.get(key))
    }

    /// The steps and states of the plan.
    pub fn with_states(&self) -> impl Iterator<Item = &Step> {
        self.all.iter().chain(self.states.values())
    }
}

/// Collects the steps.
struct Draft<'a> {
    plan: &'a Plan,
    conductors: &'a Conductors,
    routes: &'a RoutesReport,
    all: Vec<Step>,
}

impl Draft<'_> {
    fn drawn_up(mut self) -> Vec<Step> {
        self.strip_out();
        self.mounting();
        self.runs_and_terminations();
        self.switches();
        self.power_up();
        self.powered();
        self.tie_down();
        self.setup();
        self.all
    }

    fn add(&mut self, action: Action, subject: Subject, about: impl Into<String>) -> &mut Step {
        let index = self.all.len();
        let key = StepKey { subject, action };
        let about = about.into();
        self.all.push(Step { key, about, circuits: Vec::new(), feeder: None, cable: None, location: None });
        &mut self.all[index]
    }

    fn strip_out(&mut self) {
        let plan = self.plan;
        self.add(Action::Isolate, Subject::new(SubjectKind::Job, "job"), plan.boat.name.as_str());
        for location in &plan.locations {
            let step = self.add(
                Action::Strip,
                Subject::new(SubjectKind::Location, &location.id),
                location.name.as_str(),
            );
            step.location = Some(location.id.clone());
        }
        let wanted = |pull_string| pull_string != Some(PullString::NotNeeded);
        for raceway in plan.raceways.iter().filter(|raceway| wanted(raceway.pull_string)) {
            let [one, other] = raceway.between.each_ref().map(|id| self.location_name(id));
            let about = format!("{}, {one} \u{2013} {other}", raceway.id);
            self.add(Action::PullString, Subject::new(SubjectKind::Raceway, &raceway.id), about);
        }
    }

    /// Holes are bedded in sealant if water reaches them. Parts below the waterline, or with a hole through the
    /// hull there, are sealed against the sea.
    fn mounting(&mut self) {
        let plan = self.plan;
        for board in &plan.boards {
            for action in [Action::Cut, Action::Secure] {
                let step = self.add(action, Subject::new(SubjectKind::Board, &board.id), board.name.as_str());
                step.location = Some(board.location.clone());
            }
        }
        let points = plan.points.iter().map(|point| {
            (Subject::new(SubjectKind::Point, &point.id), point.called(), &point.location, false)
        });
        let devices = plan.devices.iter().map(|device| {
            let subject = Subject::new(SubjectKind::Device, &device.id);
            (subject, device.name.as_str(), &device.location, device.through_hull)
        });
        for (subject, name, id, through_hull) in points.chain(devices) {
            let location = plan.location(id);
            let wet = location.is_some_and(|location| location.wet);
            let below = through_hull || location.is_some_and(|location| location.below_waterline);
            let seals = [wet.then_some(Action::Seal), below.then_some(Action::SealBelow)];
            let actions = [Action::Place, Action::Back, Action::Mount];
            for action in actions.into_iter().chain(seals.into_iter().flatten()) {
                self.add(action, subject.clone(), name).location = Some(id.clone());
            }
        }
        // A location with a count of zero has no holes to close.
        for location in plan.locations.iter().filter(|location| location.old_holes != Some(0)) {
            let about = format!("{}, {}", location.name, location.holes_to_close());
            let step = self.add(Action::Close, Subject::new(SubjectKind::Location, &location.id), about);
            step.location = Some(location.id.clone());
        }
    }

    /// Wires that stay on the bench are neither pulled nor labeled in the boat, but each of their ends needs a
    /// crimp like any other. Cables are labeled wherever they are. A cable of a made length is plugged in; the ends
    /// of one that is cut to length are terminated.
    fn runs_and_terminations(&mut self) {
        let plan = self.plan;
        for piece in Pieces::of(plan, self.conductors).all() {
            let pulled = piece.is_pulled(plan);
            let pull = pulled.then_some(Action::Pull);
            let label = (pulled || piece.cable().is_some()).then_some(Action::Label);
            for action in pull.into_iter().chain(label) {
                self.add_for_piece(action, piece.subject(), piece.about(plan), piece);
            }
            for end in piece.ends().into_iter().filter(|_| !piece.is_made_up()) {
                let about = format!("{} at {}", end.label, end.at);
                let subject = Subject::new(SubjectKind::End, &end.id);
                let step = self.add_for_piece(Action::Terminate, subject, about, piece);
                step.location = end.at.location(plan).cloned();
            }
        }
    }

    fn add_for_piece(
        &mut self,
        action: Action,
        subject: Subject,
        about: String,
        piece: Piece<'_>,
    ) -> &mut Step {
        let step = self.add(action, subject, about);
        step.circuits = piece.circuit().into_iter().cloned().collect();
        step.feeder = piece.feeder().cloned();
        step.cable = piece.cable().map(|own| own.cable.id.clone());
        step
    }

    /// A position of a panel is wired once, even if it switches several circuits.
    fn switches(&mut self) {
        let plan = self.plan;
        for point in &plan.points {
            let Body::SwitchPanel(panel) = &point.body else { continue };
            let mut used: BTreeMap<u16, Vec<&Circuit>> = BTreeMap::new();
            let mut is_used = false;
            for circuit in &plan.circuits {
                if let Some(at) = circuit.switch.as_ref().filter(|at| at.panel == point.id) {
                    used.entry(at.position).or_default().push(circuit);
                }
            }
            for (position, circuits) in used {
                let label = panel.positions.get(usize::from(position).saturating_sub(1));
                let about = match label {
                    Some(named) => format!("{}, {} {position}", named.label, point.called()),
                    None => format!("{} {position}", point.called()),
                };
                let subject = Subject::new(SubjectKind::Position, format!("{}-{position}", point.id));
                let step = self.add(Action::Wire, subject, about);
                step.circuits = circuits.iter().map(|circuit| circuit.id.clone()).collect();
                step.location = Some(point.location.clone());
                is_used = true;
            }
            if is_used {
                let panel = Subject::new(SubjectKind::Point, &point.id);
                self.add(Action::Fit, panel, point.called()).location = Some(point.location.clone());
            }
        }
    }

    /// The tests before power come before any circuit is powered.
    fn power_up(&mut self) {
        let plan = self.plan;
        let boat = Subject::new(SubjectKind::Job, "job");
        let whole = |this: &mut Self, action| {
            this.add(action, boat.clone(), plan.boat.name.as_str());
        };
        for action in [Action::LookOver, Action::AllOff, Action::NegativeOff, Action::BetweenPoles] {
            whole(self, action);
        }
        // A negative feeder has no short circuit of its own: its positive shows it.
        for feeder in &plan.feeders {
            let no_short = (feeder.polarity == Polarity::Positive).then_some(Action::NoShort);
            for action in [Action::Continuity, Action::Polarity].into_iter().chain(no_short) {
                self.add_for_feeder(action, feeder);
            }
        }
        for circuit in &plan.circuits {
            for action in [Action::Continuity, Action::Polarity, Action::NoShort] {
                self.add_for_circuit(action, circuit);
            }
        }
        for action in [Action::MainFuseOut, Action::Connect, Action::FirstPower] {
            whole(self, action);
        }
    }

    fn add_for_feeder(&mut self, action: Action, feeder: &Feeder) -> &mut Step {
        let [from, to] = [&feeder.from, &feeder.to]
            .map(|id| self.plan.point(id).map_or_else(|| id.to_string(), |point| point.called().to_owned()));
        let about = format!("{}, {from} \u{2192} {to}", feeder.label_text());
        let step = self.add(action, Subject::new(SubjectKind::Feeder, &feeder.id), about);
        step.feeder = Some(feeder.id.clone());
        step
    }

    fn add_for_circuit(&mut self, action: Action, circuit: &Circuit) {
        let about = format!("{}, {}", circuit.label_text(), circuit.name);
        self.add(action, Subject::new(SubjectKind::Circuit, &circuit.id), about).circuits =
            vec![circuit.id.clone()];
    }

    /// The fitted fuses are read and the circuits powered one by one, then all together, which loads the feeders.
    fn powered(&mut self) {
        let plan = self.plan;
        for circuit in &plan.circuits {
            let fuse = circuit.protection.as_ref().map(|_| Action::Fuse);
            for action in fuse.into_iter().chain([Action::FuseOut, Action::Test]) {
                self.add_for_circuit(action, circuit);
            }
        }
        for piece in run::cable::all(plan).map(Piece::Cable) {
            self.add_for_piece(Action::Inspect, piece.subject(), piece.about(plan), piece);
        }
        self.add(Action::AllOn, Subject::new(SubjectKind::Job, "job"), plan.boat.name.as_str());
        for feeder in &plan.feeders {
            let fuse = feeder.protection.as_ref().map(|_| Action::Fuse);
            for action in fuse.into_iter().chain([Action::FuseOut, Action::Test]) {
                self.add_for_feeder(action, feeder);
            }
        }
        self.engines_and_chargers();
    }

    /// A starter and a charger are measured while they run.
    fn engines_and_chargers(&mut self) {
        let plan = self.plan;
        for point in &plan.points {
            let Body::Charger(charger) = &point.body else { continue };
            let cranks = charger.starter_a.is_some().then_some(Action::Crank);
            for action in cranks.into_iter().chain([Action::Charge]) {
                let step = self.add(action, Subject::new(SubjectKind::Point, &point.id), point.called());
                step.location = Some(point.location.clone());
            }
        }
    }

    /// The parts of a tie-down come before the tie-down step itself.
    fn tie_down(&mut self) {
        let plan = self.plan;
        let supply = Supply::of(plan);
        let mut through: HashMap<&FeederId, Vec<CircuitId>> = HashMap::default();
        for circuit in &plan.circuits {
            let tie = self.tie(&Subject::new(SubjectKind::Circuit, &circuit.id));
            for action in tie {
                self.add_for_circuit(action, circuit);
            }
            for feeder in supply.of_circuit(circuit) {
                through.entry(&feeder.id).or_default().push(circuit.id.clone());
            }
        }
        for feeder in &plan.feeders {
            let circuits = through.remove(&feeder.id).unwrap_or_default();
            for action in self.tie(&Subject::new(SubjectKind::Feeder, &feeder.id)) {
                self.add_for_feeder(action, feeder).circuits.clone_from(&circuits);
            }
        }
        for piece in run::cable::all(plan).map(Piece::Cable) {
            for action in self.tie(&piece.run()) {
                self.add_for_piece(action, piece.run(), piece.about(plan), piece);
            }
        }
    }

    /// The steps of a tie-down, with the tie-down step itself last.
    fn tie(&self, run: &Subject) -> impl Iterator<Item = Action> + use<> {
        Counts::of(self.plan, self.routes, run).parts().chain([Action::Tie])
    }

    fn setup(&mut self) {
        let plan = self.plan;
        let wired = wired(plan);
        for device in &plan.devices {
            for (index, setting) in device.settings.iter().enumerate() {
                let subject = Subject::new(SubjectKind::Setting, format!("{}-{}", device.id, index + 1));
                let about = match &setting.value {
                    Some(value) => format!("{}: {} = {value}", device.name, setting.name),
                    None => format!("{}: {}", device.name, setting.name),
                };
                self.add(Action::Set, subject, about).location = Some(device.location.clone());
            }
            if wired.contains(&device.id) {
                let subject = Subject::new(SubjectKind::Device, &device.id);
                let step = self.add(Action::DockTrial, subject, device.name.as_str());
                step.location = Some(device.location.clone());
            }
        }
        let actions = [Action::SecondLook, Action::Afloat, Action::SeaTrial, Action::HandOver];
        for action in actions.into_iter().chain([Action::LeaveUnsafe]) {
            self.add(action, Subject::new(SubjectKind::Job, "job"), plan.boat.name.as_str());
        }
    }

    fn location_name(&self, id: &LocationId) -> String {
        self.plan.location(id).map_or(id.as_str(), |location| location.name.as_str()).to_owned()
    }
}

/// The devices that a circuit or cable leads to.
fn wired(plan: &Plan) -> HashSet<&DeviceId> {
    let circuits = plan.circuits.iter().flat_map(Circuit::devices);
    let cables = run::cable::all(plan).flat_map(|own| {
        let other = match &own.cable.to {
            CableTo::Device(other) => Some(other),
            CableTo::Location(_) => None,
        };
        [&own.device.id].into_iter().chain(other)
    });
    circuits.chain(cables).collect()
}
