//! The result of the whole check, as one value for pages, printouts and the command line.

use std::collections::BTreeMap;

use foldhash::HashSet;
use serde::Serialize;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricCurrent;
use uom::si::ratio::percent;

use super::joint::report::JointReport;
use crate::job::energy::EnergyReport;
use crate::job::finding::Finding;
use crate::job::lights::LightsReport;
use crate::job::materials::Materials;
use crate::job::modes::ModesReport;
use crate::job::plan::{Feeder, Plan};
use crate::job::point::PointKind;
use crate::job::routing::RoutesReport;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{CircuitId, DeviceId, FeederId, PointId};
use crate::job::wiring::Conductors;
use crate::trade::ampacity::Ampacity;
use crate::trade::conductor::Size;
use crate::trade::drop::Drop;
use crate::trade::finding::{Code, Level};
use crate::trade::protection::Family;
use crate::trade::protection::opening::Opener;
use crate::trade::rules::RuleSet;
use crate::trade::sizing::Governor;
use crate::trade::units::Units;
use crate::trade::working::Working;

/// The check of a whole plan. A figure that could not be calculated is absent, and a finding says why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// The rules it was checked by.
    pub rules: RuleSet,
    /// Nominal voltage, the base of every percentage.
    pub nominal_v: f64,
    /// Each circuit by its id.
    pub circuits: BTreeMap<CircuitId, CircuitReport>,
    /// Each feeder by its id.
    pub feeders: BTreeMap<FeederId, FeederReport>,
    /// Each point by its id.
    pub points: BTreeMap<PointId, PointReport>,
    /// The route of each run, and the contents of each raceway.
    pub routes: RoutesReport,
    /// The boat in each of its modes; `None` if the network cannot be built.
    pub modes: Option<ModesReport>,
    /// The state of charge of each bank of batteries over several days.
    pub energy: EnergyReport,
    /// The navigation lights in every combination of their switches.
    pub lights: LightsReport,
    /// Feeders and branches sized together, after [`together`](super::together) ran.
    pub joint: Option<JointReport>,
    /// The materials besides wire.
    pub materials: Materials,
    /// All findings, the most serious first.
    pub findings: Vec<Finding>,
}

impl Report {
    /// A report with only the circuits of a plan so far.
    pub(super) fn of_circuits(plan: &Plan, circuits: BTreeMap<CircuitId, CircuitReport>) -> Self {
        Self {
            rules: plan.job.rules,
            nominal_v: plan.job.nominal_v.number(),
            circuits,
            feeders: BTreeMap::new(),
            points: BTreeMap::new(),
            routes: RoutesReport::default(),
            modes: None,
            energy: EnergyReport::default(),
            lights: LightsReport::default(),
            joint: None,
            materials: Materials::default(),
            findings: Vec::new(),
        }
    }

    /// Whether nothing needs correction: no finding has the level `stop` or `fix`.
    pub fn passes(&self) -> bool {
        self.findings.iter().all(|finding| finding.level == Level::Note)
    }

    /// The plan's conductors with the lengths of their routes.
    pub fn conductors(&self, plan: &Plan) -> Conductors {
        Conductors::along(plan, &self.routes.ways())
    }

    /// The planned rating of the fuse or breaker of a circuit or feeder, given or chosen, in A.
    pub fn planned_rating(&self, subject: &Subject) -> Option<f64> {
        self.of_wire(subject)?.protection.as_ref()?.rating_a
    }

    /// The figures of a circuit or feeder.
    pub fn of_wire(&self, wire: &Subject) -> Option<&ConductorReport> {
        let of_circuit = self.circuit(wire).map(|own| &own.conductor);
        of_circuit.or_else(|| self.feeder(wire).map(|own| &own.conductor))
    }

    /// The figures of a circuit.
    pub fn circuit(&self, circuit: &Subject) -> Option<&CircuitReport> {
        let is_one = circuit.kind == SubjectKind::Circuit;
        self.circuits.get(&circuit.id.parse().ok().filter(|_| is_one)?)
    }

    /// The figures of a feeder.
    pub fn feeder(&self, feeder: &Subject) -> Option<&FeederReport> {
        let is_one = feeder.kind == SubjectKind::Feeder;
        self.feeders.get(&feeder.id.parse().ok().filter(|_| is_one)?)
    }

    /// The findings about one thing.
    pub fn about<'a>(&'a self, subject: &'a Subject) -> impl Iterator<Item = &'a Finding> {
        self.findings.iter().filter(move |finding| finding.subject == *subject)
    }

    /// The data for when the protection of a feeder trips or blows, at its given or chosen rating.
    pub(super) fn opener(&self, feeder: &Feeder) -> Option<Opener> {
        let rating = self.feeders.get(&feeder.id)?.conductor.protection.as_ref()?.rating_a?;
        Some(feeder.protection.as_ref()?.opener(ElectricCurrent::new::<ampere>(rating)))
    }

    /// Adds findings, except those that repeat one about the same subject.
    pub(super) fn add_unsaid(&mut self, findings: Vec<Finding>) {
        // Each missing input is a finding of its own. Two findings about the same error count as one.
        let lacks = |finding: &Finding| matches!(finding.code, Code::InputMissing | Code::NotChecked);
        let words = |finding: &Finding| lacks(finding).then(|| finding.text.text(Units::Metric));
        let key = |finding: &Finding| (finding.code, finding.subject.clone(), words(finding));
        let mut said: HashSet<_> = self.findings.iter().map(key).collect();
        self.findings.extend(findings.into_iter().filter(|finding| said.insert(key(finding))));
    }

    /// How many findings there are of a level.
    pub fn count(&self, level: Level) -> usize {
        self.findings.iter().filter(|finding| finding.level == level).count()
    }
}

/// Who decided a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum By {
    /// The plan gives it.
    Given,
    /// The plan leaves it out, and the check chose it.
    Chosen,
}

/// The figures that circuits and feeders have in common, about their conductors.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct ConductorReport {
    /// Ids from the source to the far end: points, feeders, conductors, device. For a return feeder they
    /// run from its near end to the source.
    pub route: Vec<String>,
    /// Length one way: of a circuit from its source point to the farthest device.
    pub one_way_m: Option<f64>,
    /// Length out and back. For a feeder it is twice its own length, as if its return were equally long.
    pub round_trip_m: Option<f64>,
    /// The sum of the loads at nominal voltage. For a circuit these are its own loads. For a feeder they
    /// are those of all circuits that may draw through it, or its charging current.
    pub design_current_a: Option<f64>,
    /// Its size, unless a conductor of it has another one.
    pub size: Option<Size>,
    /// Who decided the size.
    pub size_by: Option<By>,
    /// Which requirements decided a chosen size.
    pub governed_by: Vec<Governor>,
    /// The ampacity of its thinnest conductor from the table.
    pub ampacity_a: Option<f64>,
    /// That ampacity after derating for where the conductor lies.
    pub derated_ampacity_a: Option<f64>,
    /// The calculated drop, by the handbook formula. For a circuit it is at the device that `drop_at` names.
    /// For a feeder it is out and back, at its design load.
    pub handbook_drop_v: Option<f64>,
    /// The same in percent of nominal voltage.
    pub handbook_drop_pct: Option<f64>,
    /// The drop in the solved network with every circuit on and warm conductors. For a circuit it is from its
    /// source point to the device that `drop_at` names. For a feeder it is along this one conductor.
    pub solved_drop_v: Option<f64>,
    /// The same in percent of nominal voltage.
    pub solved_drop_pct: Option<f64>,
    /// Its current in the solved network; negative if it flows against the direction of the feeder.
    pub solved_current_a: Option<f64>,
    /// Its fuse or breaker.
    pub protection: Option<ProtectionReport>,
    /// The feeder whose protection also protects this conductor, if the conductor has none of its own or a
    /// larger one.
    pub protected_by: Option<FeederId>,
    /// The minimum fault current when its far end is shorted, with warm conductors. For a circuit it is at the
    /// device that `fault_at` names. For a feeder it is to the point where its circuits return, or to the
    /// source's negative post.
    pub fault_current_a: Option<f64>,
    /// The maximum fault current when it is shorted directly after its protection, with cold conductors. The
    /// short is to its return point, or to a negative post or bar in the same location.
    pub fault_at_protection_a: Option<f64>,
    /// How the figures were calculated.
    pub workings: Vec<Working>,
}

impl ConductorReport {
    /// The figures for a size that was given, or that these governors chose.
    pub(super) fn sized(
        size: Option<Size>,
        given: bool,
        governed_by: Vec<Governor>,
        ampacity: Option<&Ampacity>,
        drop: Option<&Drop>,
    ) -> Self {
        Self {
            size,
            size_by: size.map(|_| if given { By::Given } else { By::Chosen }),
            governed_by,
            ampacity_a: ampacity.map(|ampacity| ampacity.table.get::<ampere>()),
            derated_ampacity_a: ampacity.map(|ampacity| ampacity.derated.get::<ampere>()),
            handbook_drop_v: drop.map(|drop| drop.volts.get::<volt>()),
            handbook_drop_pct: drop.map(|drop| drop.share.get::<percent>()),
            ..Self::default()
        }
    }
}

/// A circuit's figures. Drops are those of its own conductors, unless stated otherwise.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CircuitReport {
    /// Its name.
    pub name: String,
    /// The figures of its conductors. Route and lengths are those of the farthest device. The drops are
    /// those of the device in `drop_at`, and the fault current is that of the device in `fault_at`.
    #[serde(flatten)]
    pub conductor: ConductorReport,
    /// Ids from the farthest device back to the source.
    pub return_route: Vec<String>,
    /// The device with the longest path, which route and lengths speak of.
    pub farthest: Option<DeviceId>,
    /// The device nearest its limit by the calculated drop, or farthest over it. Drops and limit speak of it.
    pub drop_at: Option<DeviceId>,
    /// The drop limit of that device.
    pub drop_limit_pct: Option<f64>,
    /// The total drop from the battery's posts to that device, including feeders and their returns.
    pub solved_drop_from_battery_v: Option<f64>,
    /// The same in percent of nominal voltage.
    pub solved_drop_from_battery_pct: Option<f64>,
    /// The device with the least fault current.
    pub fault_at: Option<DeviceId>,
    /// Every device with its own figures.
    pub devices: BTreeMap<DeviceId, DeviceReport>,
}

impl CircuitReport {
    /// The lowest voltage at any of its devices.
    pub fn lowest_v(&self) -> Option<f64> {
        self.devices.values().filter_map(|device| device.voltage_v).reduce(f64::min)
    }
}

/// The figures of one device on one circuit.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct DeviceReport {
    /// Length one way, from the circuit's source point.
    pub one_way_m: Option<f64>,
    /// Length out and back.
    pub round_trip_m: Option<f64>,
    /// Its drop limit, in percent of nominal voltage.
    pub drop_limit_pct: f64,
    /// The calculated drop of the circuit's own conductors, by the handbook formula.
    pub handbook_drop_v: Option<f64>,
    /// The same in percent of nominal voltage.
    pub handbook_drop_pct: Option<f64>,
    /// Voltage at its terminals in the solved network with every circuit on.
    pub voltage_v: Option<f64>,
    /// The solved drop from the circuit's source point.
    pub solved_drop_v: Option<f64>,
    /// The same in percent of nominal voltage.
    pub solved_drop_pct: Option<f64>,
    /// The total drop from the battery's posts, including feeders and their returns.
    pub solved_drop_from_battery_v: Option<f64>,
    /// The same in percent of nominal voltage.
    pub solved_drop_from_battery_pct: Option<f64>,
    /// The least fault current when its terminals touch.
    pub fault_current_a: Option<f64>,
}

/// A feeder's figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FeederReport {
    /// The figures of its conductor.
    #[serde(flatten)]
    pub conductor: ConductorReport,
    /// The current at which its drop is judged: continuous loads and a part of the short-time loads.
    pub design_load_a: Option<f64>,
    /// The circuits that may draw through it.
    pub circuits: Vec<CircuitId>,
    /// Rating of the upstream protection, if it has none of its own: the conductor must withstand that
    /// current. For a return it is the largest rating in the path of a short circuit whose current flows
    /// back through it.
    pub let_through_a: Option<f64>,
}

/// A fuse or breaker with its rating and the ratings that are allowed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProtectionReport {
    /// Its family.
    pub kind: Family,
    /// Its rating, given or chosen.
    pub rating_a: Option<f64>,
    /// Who decided the rating.
    pub rating_by: Option<By>,
    /// The smallest standard rating that carries the load.
    pub lowest_a: Option<f64>,
    /// The largest standard rating that still protects the conductor.
    pub highest_a: Option<f64>,
    /// The recommended rating.
    pub recommended_a: Option<f64>,
}

/// A distribution point's figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PointReport {
    /// What it is.
    pub kind: PointKind,
    /// Voltage in the solved network. A source is measured between its own posts, any other point against
    /// the negative post of the first source.
    pub voltage_v: Option<f64>,
    /// Current through it in the solved network; for a source, the current it delivers.
    pub current_a: Option<f64>,
    /// The sum of the design currents of all circuits that may pass it.
    pub design_current_a: Option<f64>,
    /// Its current rating.
    pub rating_a: Option<f64>,
    /// How many positions it has.
    pub positions: Option<usize>,
    /// How many positions are used.
    pub positions_used: usize,
    /// How many positions are free.
    pub positions_free: Option<usize>,
    /// The short-circuit current when it touches the negative post of its source.
    pub short_circuit_a: Option<f64>,
    /// How the current and the short-circuit current were calculated.
    pub workings: Vec<Working>,
}
