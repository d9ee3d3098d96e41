//! How the things of a plan hang together: which wires, raceways, feeders and panels belong to which step.

use foldhash::HashMap;

use crate::job::board::parts::mountable;
use crate::job::checked::Checked;
use crate::job::conductor::{Conductor, ConductorId, Landing, Of};
use crate::job::plan::{CableTo, Circuit, Feeder, Plan};
use crate::job::routing::RunReport;
use crate::job::run::{At, Piece, Pieces};
use crate::job::step::{Action, StepKey};
use crate::job::steps::Step;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::supply::Supply;
use crate::job::value::{BoardId, CircuitId, PointId, RacewayId};
use crate::job::wiring::Conductors;

/// A checked plan with what the hold points look up in it.
#[derive(Debug)]
pub(super) struct Ties<'a> {
    checked: &'a Checked,
    /// The feeders that each circuit draws through.
    feeders: HashMap<&'a CircuitId, Vec<&'a Feeder>>,
    /// The circuits that draw through each feeder.
    fed: HashMap<&'a str, Vec<&'a CircuitId>>,
    /// The steps of the positions of each panel.
    positions: HashMap<&'a str, Vec<&'a StepKey>>,
    /// The circuits, feeders and cables in each raceway.
    sharing: HashMap<&'a RacewayId, Vec<Subject>>,
    /// The raceways on the routes of each circuit, feeder and cable.
    raceways: HashMap<Subject, Vec<&'a RacewayId>>,
    /// The circuits and cables of each device.
    of_device: HashMap<&'a str, Vec<Subject>>,
    /// The wires of each circuit and feeder.
    wires: HashMap<Subject, Vec<&'a Conductor>>,
    circuits: HashMap<&'a str, &'a Circuit>,
    /// The board that each part is mounted on.
    boards: HashMap<Subject, &'a BoardId>,
    /// The panel that each panel and junction bar is fitted with.
    benches: HashMap<&'a PointId, &'a PointId>,
    /// The run that each wire is pulled in.
    runs: HashMap<&'a ConductorId, &'a RunReport>,
}

impl<'a> Ties<'a> {
    pub(super) fn of(checked: &'a Checked) -> Self {
        let plan = &checked.plan;
        let supply = Supply::of(plan);
        let mut ties = Self {
            checked,
            feeders: HashMap::default(),
            fed: HashMap::default(),
            positions: HashMap::default(),
            sharing: HashMap::default(),
            raceways: HashMap::default(),
            of_device: HashMap::default(),
            wires: HashMap::default(),
            circuits: plan.circuits.iter().map(|circuit| (circuit.id.as_str(), circuit)).collect(),
            boards: mountable(plan)
                .filter_map(|part| Some((part.subject.clone(), &part.mounting?.board)))
                .collect(),
            benches: HashMap::default(),
            runs: HashMap::default(),
        };
        for circuit in &plan.circuits {
            let Some(at) = &circuit.switch else { continue };
            ties.benches.insert(&at.panel, &at.panel);
            ties.benches.extend(circuit.junction.iter().map(|junction| (junction, &at.panel)));
        }
        for run in checked.report.routes.runs.values() {
            ties.runs.extend(run.conductors.iter().map(|id| (id, run)));
        }
        for wire in checked.conductors.all() {
            ties.wires.entry(wire.of.subject()).or_default().push(wire);
        }
        for circuit in &plan.circuits {
            let feeders: Vec<&Feeder> = supply.of_circuit(circuit).collect();
            for feeder in &feeders {
                ties.fed.entry(feeder.id.as_str()).or_default().push(&circuit.id);
            }
            ties.feeders.insert(&circuit.id, feeders);
            for device in circuit.devices() {
                ties.of_device.entry(device.as_str()).or_default().push(of_circuit(circuit));
            }
        }
        for step in checked.steps.all().iter().filter(|step| step.key.action == Action::Wire) {
            if let Some((panel, _)) = step.key.subject.id.rsplit_once('-') {
                ties.positions.entry(panel).or_default().push(&step.key);
            }
        }
        ties.follow_routes();
        ties.follow_cables();
        ties
    }

    fn follow_routes(&mut self) {
        for run in self.checked.report.routes.runs.values() {
            for raceway in &run.raceways {
                self.share(raceway, run.subject.clone());
            }
        }
    }

    fn share(&mut self, raceway: &'a RacewayId, run: Subject) {
        let sharing = self.sharing.entry(raceway).or_default();
        if !sharing.contains(&run) {
            sharing.push(run.clone());
            self.raceways.entry(run).or_default().push(raceway);
        }
    }

    fn follow_cables(&mut self) {
        for piece in self.checked.pieces().all() {
            let Piece::Cable(own) = piece else { continue };
            self.of_device.entry(own.device.id.as_str()).or_default().push(piece.subject());
            if let CableTo::Device(other) = &own.cable.to {
                self.of_device.entry(other.as_str()).or_default().push(piece.subject());
            }
        }
    }

    pub(super) fn plan(&self) -> &'a Plan {
        &self.checked.plan
    }

    pub(super) fn conductors(&self) -> &'a Conductors {
        &self.checked.conductors
    }

    pub(super) fn pieces(&self) -> Pieces<'a> {
        self.checked.pieces()
    }

    /// The step, if the plan has it.
    pub(super) fn if_step(&self, key: StepKey) -> Option<StepKey> {
        self.checked.steps.get(&key).map(|_| key)
    }

    /// The circuit of a subject, if it is one.
    pub(super) fn circuit(&self, subject: &Subject) -> Option<&'a Circuit> {
        let is_circuit = subject.kind == SubjectKind::Circuit;
        self.circuits.get(subject.id.as_str()).copied().filter(|_| is_circuit)
    }

    pub(super) fn circuit_of(&self, wire: &Conductor) -> Option<&'a Circuit> {
        match &wire.of {
            Of::Circuit(id) => self.circuits.get(id.as_str()).copied(),
            Of::Feeder(_) => None,
        }
    }

    /// The panel that switches the circuit of a wire.
    pub(super) fn panel_of(&self, wire: &Conductor) -> Option<&'a PointId> {
        Some(&self.circuit_of(wire)?.switch.as_ref()?.panel)
    }

    /// The panel that an end's landing is fitted with, if it lands on a panel or on the junction bar of one.
    pub(super) fn bench_part(&self, at: &At) -> Option<&'a PointId> {
        match at {
            At::Landing(Landing::Point { id, .. }) => self.benches.get(id).copied(),
            _ => None,
        }
    }

    /// The wires of a circuit or feeder.
    pub(super) fn wires_of(&self, subject: &Subject) -> &[&'a Conductor] {
        self.wires.get(subject).map(Vec::as_slice).unwrap_or_default()
    }

    /// The feeders that a circuit draws through.
    pub(super) fn feeders_of(&self, circuit: &Circuit) -> Vec<&'a Feeder> {
        self.feeders.get(&circuit.id).cloned().unwrap_or_default()
    }

    /// The circuits that draw through a feeder.
    pub(super) fn fed_by(&self, feeder: &str) -> Vec<&'a CircuitId> {
        self.fed.get(feeder).cloned().unwrap_or_default()
    }

    /// Every circuit and feeder.
    pub(super) fn circuits_and_feeders(&self) -> impl Iterator<Item = Subject> + use<'a> {
        let feeders = self.plan().feeders.iter().map(|feeder| Subject::new(SubjectKind::Feeder, &feeder.id));
        feeders.chain(self.plan().circuits.iter().map(of_circuit))
    }

    /// The steps of the positions of a panel.
    pub(super) fn positions_of(&self, panel: &str) -> Vec<StepKey> {
        self.positions.get(panel).into_iter().flatten().map(|key| (*key).clone()).collect()
    }

    /// The raceways that a piece is pulled through.
    pub(super) fn raceways_of(&self, piece: Piece<'_>) -> Vec<RacewayId> {
        let run = match piece {
            Piece::Wire(wire) => self.runs.get(&wire.id).copied(),
            Piece::Cable(own) => self.checked.report.routes.runs.get(own.cable.id.as_str()),
        };
        run.map(|run| run.raceways.clone()).unwrap_or_default()
    }

    /// The raceways on the routes of a circuit, feeder or cable.
    pub(super) fn raceways_of_run(&self, run: &Subject) -> Vec<RacewayId> {
        self.raceways.get(run).into_iter().flatten().map(|id| (*id).clone()).collect()
    }

    /// The circuits, feeders and cables in a raceway.
    pub(super) fn sharing_raceway(&self, raceway: &str) -> &[Subject] {
        let known = self.plan().raceways.iter().find(|known| known.id.as_str() == raceway);
        known.map_or(&[], |known| self.sharing(&known.id))
    }

    /// The circuits on a switch position, by its id: `panel-3`.
    pub(super) fn circuits_at(&self, position: &str) -> impl Iterator<Item = Subject> {
        let at = move |circuit: &&Circuit| {
            let at = circuit.switch.as_ref();
            at.is_some_and(|at| format!("{}-{}", at.panel, at.position) == position)
        };
        let circuits = self.plan().circuits.iter().filter(at);
        circuits.map(|circuit| Subject::new(SubjectKind::Circuit, &circuit.id))
    }

    pub(super) fn sharing(&self, raceway: &RacewayId) -> &[Subject] {
        self.sharing.get(raceway).map(Vec::as_slice).unwrap_or_default()
    }

    /// The circuit or feeder of a piece, and for a circuit the feeders to its block. With all of their fuses out,
    /// no current reaches the piece.
    pub(super) fn fuses_of(&self, piece: Piece<'_>) -> Vec<Subject> {
        let Piece::Wire(wire) = piece else { return Vec::new() };
        let circuit = self.circuit_of(wire);
        let into = circuit.into_iter().flat_map(|circuit| {
            let feeders = self.feeders_of(circuit).into_iter();
            feeders.filter(|feeder| feeder.to == circuit.from)
        });
        let into = into.map(|feeder| Subject::new(SubjectKind::Feeder, &feeder.id));
        [wire.of.subject()].into_iter().chain(into).collect()
    }

    /// The circuits and cables that are wired to a device.
    pub(super) fn runs_of_device(&self, device: &str) -> Vec<Subject> {
        self.of_device.get(device).cloned().unwrap_or_default()
    }

    /// The setting steps of a device.
    pub(super) fn settings_of(&self, device: &str) -> impl Iterator<Item = StepKey> {
        let settings = self.checked.plan.devices.iter().find(|one| one.id.as_str() == device);
        let numbers = 1..=settings.map_or(0, |device| device.settings.len());
        numbers
            .map(move |number| StepKey::of(SubjectKind::Setting, format!("{device}-{number}"), Action::Set))
    }

    /// The feeders that end at a distribution point.
    pub(super) fn feeders_at(&self, point: &str) -> Vec<Subject> {
        let at =
            self.plan().feeders.iter().filter(|one| one.from.as_str() == point || one.to.as_str() == point);
        at.map(|feeder| Subject::new(SubjectKind::Feeder, &feeder.id)).collect()
    }

    /// The board that a device or distribution point is mounted on.
    pub(super) fn board_of(&self, part: &Subject) -> Option<&'a BoardId> {
        self.boards.get(part).copied()
    }

    /// The switch panels that switch anything.
    pub(super) fn panels(&self) -> impl Iterator<Item = &str> {
        self.positions.keys().copied()
    }

    /// Every step with this action.
    pub(super) fn all_of(&self, action: Action) -> impl Iterator<Item = StepKey> {
        let steps = self.checked.steps.in_phase(action.phase()).iter();
        steps.filter(move |step| step.key.action == action).map(|step| step.key.clone())
    }

    pub(super) fn step(&self, key: &StepKey) -> Option<&'a Step> {
        self.checked.steps.get(key)
    }
}

fn of_circuit(circuit: &Circuit) -> Subject {
    Subject::new(SubjectKind::Circuit, &circuit.id)
}
