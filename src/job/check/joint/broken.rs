//! The limits that a checked plan breaks, each with the chosen wires and fuses that can help.

use std::collections::BTreeSet;

use foldhash::HashSet;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::ohm;
use uom::si::f64::ElectricCurrent;

use crate::job::check::circuit_size::device_largest;
use crate::job::check::context::CheckContext;
use crate::job::check::report::{By, Report};
use crate::job::check::total_drop::Arrival;
use crate::job::check::{inrush, sources, total_drop};
use crate::job::finding::Finding;
use crate::job::modes::{ModesReport, SolvedState};
use crate::job::network::CircuitModel;
use crate::job::plan::{Circuit, Feeder, Polarity};
use crate::job::point::PointKind;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{DeviceId, FeederId};
use crate::trade::finding::{Code, Level};
use crate::trade::protection::opening::{Opener, judge_inrush};

/// The part of what a wire adds that one step of a raise has to save, where the excess itself is not known.
const STEP: f64 = 0.1;
/// A rating has to exceed another one; standard ratings are farther apart.
const OVER: f64 = 1.001;

/// A limit that the plan breaks, and that other sizes or ratings may keep.
pub(in crate::job::check) struct Broken {
    pub(in crate::job::check) subject: Subject,
    pub(super) code: Code,
    /// The value that exceeds the limit.
    pub(super) value: f64,
    /// By how much what the wires add exceeds the limit.
    pub(super) excess: f64,
    /// The chosen wires, with what each adds.
    pub(super) adds: Vec<(Subject, f64)>,
    /// The chosen fuses and breakers, with the rating that each needs at least.
    pub(super) ratings: Vec<(Subject, f64)>,
}

/// The limits that a plan breaks with its present sizes, in the order of the findings.
pub(in crate::job::check) fn all(
    context: &CheckContext<'_>,
    report: &Report,
    wired: &CircuitModel<'_>,
    modes: &ModesReport,
) -> Vec<Broken> {
    let chosen = context.plan.feeders.iter().map(|feeder| &feeder.id);
    let chosen = chosen
        .filter(|id| report.feeders.get(*id).is_some_and(|own| own.conductor.size_by == Some(By::Chosen)));
    let survey = Survey { context, report, wired, modes, chosen_feeders: chosen.collect() };
    let counts = |finding: &&Finding| finding.level != Level::Note;
    // One network without a solution is said of everything in it.
    let mut solved = true;
    let first = |finding: &&Finding| finding.code != Code::NotSolved || std::mem::replace(&mut solved, false);
    context.findings.iter().filter(counts).filter(first).filter_map(|one| survey.broken(one)).collect()
}

struct Survey<'s, 'a> {
    context: &'s CheckContext<'a>,
    report: &'s Report,
    wired: &'s CircuitModel<'s>,
    modes: &'s ModesReport,
    chosen_feeders: HashSet<&'a FeederId>,
}

impl<'a> Survey<'_, 'a> {
    fn broken(&self, finding: &Finding) -> Option<Broken> {
        let subject = &finding.subject;
        let (value, limit) = (finding.value.unwrap_or(0.0), finding.limit.unwrap_or(0.0));
        let (excess, adds, ratings) = match finding.code {
            Code::DropOverLimit | Code::SolvedDropOverLimit => {
                (value - limit, self.itself(subject, value), Vec::new())
            }
            Code::TotalDrop => (value - limit, self.along(subject, |arrival| arrival.strain())?, Vec::new()),
            Code::UnderLeastVolts => {
                let lacking = 100.0 * (limit - value) / self.nominal(subject)?;
                (lacking, self.along(subject, |arrival| -arrival.volts)?, Vec::new())
            }
            Code::FaultTooLow => by_a_step(self.in_fault_path(subject)),
            // Without a limit it has no protection at all, and no size helps.
            Code::Unprotected if finding.limit.is_none() => return None,
            Code::CurrentOverAmpacity | Code::Unprotected | Code::FarEndUnprotected | Code::FuseOverWire => {
                by_a_step(self.itself(subject, 1.0))
            }
            Code::FuseUnderLoad => (0.0, Vec::new(), self.for_solved_current(subject)),
            Code::FeederTripsFirst => (0.0, Vec::new(), self.before(subject)),
            Code::InrushBlowsFuse => (0.0, Vec::new(), self.for_inrush(subject)),
            Code::NotSolved => by_a_step(self.every_wire()),
            _ => return None,
        };
        if adds.is_empty() && ratings.is_empty() {
            return None;
        }
        Some(Broken { subject: subject.clone(), code: finding.code, value, excess, adds, ratings })
    }

    /// The wire that the finding is about, if the program chose its size.
    fn itself(&self, subject: &Subject, adds: f64) -> Vec<(Subject, f64)> {
        let chosen = is_chosen(self.report, subject) && !self.is_bare_to_a_battery(subject);
        chosen.then(|| (subject.clone(), adds)).into_iter().collect()
    }

    /// Whether a battery reaches a feeder without any fuse. No size helps there.
    fn is_bare_to_a_battery(&self, subject: &Subject) -> bool {
        let Some(feeder) = self.feeder(subject).filter(|one| one.polarity == Polarity::Positive) else {
            return false;
        };
        let bare = |other: &Feeder| {
            other.polarity == Polarity::Positive && other.id != feeder.id && other.protection.is_none()
        };
        let is_battery = |end| self.context.kind(end) == Some(PointKind::Battery);
        let far = self.context.joined(&feeder.to, bare);
        let near = self.context.joined(&feeder.from, bare);
        far.ids().any(is_battery) || (feeder.protection.is_none() && near.ids().any(is_battery))
    }

    /// The percent of nominal voltage that each chosen wire between the battery and a circuit's worst device
    /// takes, in the state where the strain is largest.
    fn along(&self, subject: &Subject, strain: fn(&Arrival<'_>) -> f64) -> Option<Vec<(Subject, f64)>> {
        let circuit = self.circuit(subject)?;
        let arrivals = total_drop::arrivals(self.context, circuit, self.modes);
        let worst = arrivals.iter().max_by(|one, other| strain(one).total_cmp(&strain(other)))?;
        let nominal = self.nominal(subject)?;
        let wires = self.on_the_way(circuit, Some(worst.device));
        let percent = |(wire, conductors): (Subject, Vec<&str>)| {
            let volts: f64 = conductors.iter().filter_map(|id| self.volts(worst.state, id)).sum();
            (wire, 100.0 * volts / nominal)
        };
        Some(wires.into_iter().map(percent).filter(|(_, percent)| *percent > 0.0).collect())
    }

    /// The chosen wires between the source of a circuit and a device, with their conductors.
    fn on_the_way(&self, circuit: &'a Circuit, device: Option<&DeviceId>) -> Vec<(Subject, Vec<&'a str>)> {
        let conductors = self.context.conductors;
        let feeders = self.context.ways_of(circuit).iter().flat_map(|ways| ways.feeders.iter().copied());
        let feeders = feeders.filter_map(|feeder| {
            let conductor = conductors.of_feeder(&feeder.id)?;
            Some((Subject::new(SubjectKind::Feeder, &feeder.id), vec![conductor.id.as_str()]))
        });
        let at = circuit.devices().position(|id| device.is_none_or(|device| device == id)).unwrap_or(0);
        let path = conductors.path(circuit, at);
        let own = path.conductors().filter(|one| one.size.is_none()).map(|one| one.id.as_str()).collect();
        let own = std::iter::once((Subject::new(SubjectKind::Circuit, &circuit.id), own));
        feeders.chain(own).filter(|(wire, _)| is_chosen(self.report, wire)).collect()
    }

    fn nominal(&self, circuit: &Subject) -> Option<f64> {
        Some(self.context.sides().of_circuit(self.circuit(circuit)?).get::<volt>())
    }

    fn volts(&self, state: &SolvedState, conductor: &str) -> Option<f64> {
        let conductor = self.context.conductors.get(conductor)?;
        let amperes = state.conductors.get(&conductor.id)?.abs();
        Some(amperes * self.wired.resistance_of(&conductor.id)?.get::<ohm>())
    }

    /// The ohms of each chosen wire in the path of a short circuit at the far end.
    fn in_fault_path(&self, subject: &Subject) -> Vec<(Subject, f64)> {
        let ohms = |ids: &[&str]| -> f64 {
            let of = |id: &&str| self.context.conductors.get(id).map(|one| &one.id);
            let resistances = ids.iter().filter_map(of).filter_map(|id| self.wired.resistance_of(id));
            resistances.map(|resistance| resistance.get::<ohm>()).sum()
        };
        if let Some(circuit) = self.circuit(subject) {
            let farthest = self.report.circuits.get(&circuit.id).and_then(|own| own.farthest.as_ref());
            let wires = self.on_the_way(circuit, farthest).into_iter();
            return wires.map(|(wire, ids)| (wire, ohms(&ids))).collect();
        }
        let Some(feeder) = self.feeder(subject) else { return Vec::new() };
        let before =
            self.context.ways_to(&feeder.from).map(|ways| ways.feeders.as_slice()).unwrap_or_default();
        let circuits =
            self.report.feeders.get(&feeder.id).map(|own| own.circuits.as_slice()).unwrap_or_default();
        let circuits = circuits.iter().filter_map(|id| self.context.plan.circuit(id));
        let back =
            circuits.flat_map(|circuit| self.context.ways_of(circuit).last()).flat_map(|ways| &ways.feeders);
        let wires = std::iter::once(feeder).chain(before.iter().chain(back).copied());
        let wires = wires.map(|one| &one.id).filter(|id| self.chosen_feeders.contains(*id));
        let wires: BTreeSet<&FeederId> = wires.collect();
        wires.into_iter().map(|id| (Subject::new(SubjectKind::Feeder, id), ohms(&[id.as_str()]))).collect()
    }

    /// The calculated drop of every chosen wire, where the network has no solution.
    fn every_wire(&self) -> Vec<(Subject, f64)> {
        let plan = self.context.plan;
        let circuits = plan.circuits.iter().map(|one| Subject::new(SubjectKind::Circuit, &one.id));
        let feeders = plan.feeders.iter().map(|one| Subject::new(SubjectKind::Feeder, &one.id));
        let chosen = circuits.chain(feeders).filter(|wire| is_chosen(self.report, wire));
        chosen.filter_map(|wire| Some((wire.clone(), self.report.of_wire(&wire)?.handbook_drop_v?))).collect()
    }

    fn for_solved_current(&self, subject: &Subject) -> Vec<(Subject, f64)> {
        let amperes = self.report.of_wire(subject).and_then(|own| own.solved_current_a).map(f64::abs);
        amperes.and_then(|amperes| self.larger(subject, amperes)).into_iter().collect()
    }

    /// The feeders whose fuse has to exceed that of this branch.
    fn before(&self, branch: &Subject) -> Vec<(Subject, f64)> {
        let from = match branch.kind {
            SubjectKind::Circuit => self.circuit(branch).map(|circuit| &circuit.from),
            _ => self.feeder(branch).map(|feeder| &feeder.from),
        };
        let rating = self.report.of_wire(branch).and_then(|own| own.protection.as_ref()?.rating_a);
        let (Some(from), Some(rating)) = (from, rating) else { return Vec::new() };
        let before = sources::next_before(self.context, self.report, from).unwrap_or_default();
        let feeders = before.into_keys().map(|id| Subject::new(SubjectKind::Feeder, id));
        feeders.filter_map(|feeder| self.larger(&feeder, rating * OVER)).collect()
    }

    /// The fuses that a starting motor of this circuit blows.
    fn for_inrush(&self, subject: &Subject) -> Vec<(Subject, f64)> {
        let Some(circuit) = self.circuit(subject) else { return Vec::new() };
        let surges = inrush::surges(self.context, circuit);
        let blows = |opener: &Opener| {
            let judged = surges.iter().filter_map(|surge| judge_inrush(opener, surge));
            judged.into_iter().any(|said| said.code == Code::InrushBlowsFuse)
        };
        let own = self.report.of_wire(subject).and_then(|own| own.protection.as_ref()?.rating_a);
        let own = own.zip(circuit.protection.as_ref()).map(|(rating, protection)| {
            (subject.clone(), protection.opener(ElectricCurrent::new::<ampere>(rating)))
        });
        let out =
            self.context.ways_of(circuit).first().map(|ways| ways.feeders.as_slice()).unwrap_or_default();
        let before = out.iter().filter_map(|feeder| {
            Some((Subject::new(SubjectKind::Feeder, &feeder.id), self.report.opener(feeder)?))
        });
        let blown = own.into_iter().chain(before).filter(|(_, opener)| blows(opener));
        blown.filter_map(|(wire, fuse)| self.larger(&wire, fuse.rating.get::<ampere>() * OVER)).collect()
    }

    /// A chosen fuse with the rating that it needs, if its kind is made so large and its device allows it.
    fn larger(&self, wire: &Subject, rating: f64) -> Option<(Subject, f64)> {
        let fuse = self.report.of_wire(wire)?.protection.as_ref()?;
        let made = fuse.kind.made().iter().copied().find(|made| *made >= rating)?;
        let device = self.circuit(wire).and_then(|circuit| device_largest(self.context, circuit));
        let allowed = device.is_none_or(|most| made <= most.get::<ampere>());
        let risen = self.context.needed.rating(wire).is_none_or(|held| held.get::<ampere>() < made);
        (fuse.rating_by == Some(By::Chosen) && allowed && risen).then(|| (wire.clone(), made))
    }

    fn circuit(&self, subject: &Subject) -> Option<&'a Circuit> {
        let id = (subject.kind == SubjectKind::Circuit).then(|| subject.id.parse().ok()).flatten()?;
        self.context.plan.circuit(&id)
    }

    fn feeder(&self, subject: &Subject) -> Option<&'a Feeder> {
        let is_it = |feeder: &&Feeder| feeder.id.as_str() == subject.id;
        self.context.plan.feeders.iter().filter(|_| subject.kind == SubjectKind::Feeder).find(is_it)
    }
}

/// The excess, what each chosen wire adds, and the rating that each chosen fuse needs.
type Raises = (f64, Vec<(Subject, f64)>, Vec<(Subject, f64)>);

/// A raise by a step of the wire that helps the most.
fn by_a_step(adds: Vec<(Subject, f64)>) -> Raises {
    let sum: f64 = adds.iter().map(|(_, adds)| adds).sum();
    (STEP * sum, adds, Vec::new())
}

/// Whether the program chose the size of a circuit or feeder.
fn is_chosen(report: &Report, wire: &Subject) -> bool {
    report.of_wire(wire).is_some_and(|own| own.size_by == Some(By::Chosen))
}
