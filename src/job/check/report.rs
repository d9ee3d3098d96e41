//! What the whole check has to say, as one value that pages, paper and the command line render.

use std::collections::{BTreeMap, HashSet};

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
use crate::job::subject::Subject;
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

/// The check of a whole plan. A figure that could not be computed is absent, and a finding says why.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Report {
    /// The rules it was checked by.
    pub rules: RuleSet,
    /// Nominal voltage, to which every percentage refers.
    pub nominal_v: f64,
    /// Each circuit by its id.
    pub circuits: BTreeMap<CircuitId, CircuitReport>,
    /// Each feeder by its id.
    pub feeders: BTreeMap<FeederId, FeederReport>,
    /// Each point by its id.
    pub points: BTreeMap<PointId, PointReport>,
    /// The way each run takes, what lies in each raceway, and the factory cables.
    pub routes: RoutesReport,
    /// The boat in each of its modes; none where the network cannot be laid out.
    pub modes: Option<ModesReport>,
    /// How each bank of batteries fares through the days.
    pub energy: EnergyReport,
    /// The navigation lights in every combination of their switches.
    pub lights: LightsReport,
    /// Feeders and branches sized together, once [`together`](super::together) was asked.
    pub joint: Option<JointReport>,
    /// What it takes besides wire.
    pub materials: Materials,
    /// All findings, the gravest first.
    pub findings: Vec<Finding>,
}

impl Report {
    /// Whether nothing has to be put right: no finding says `stop` or `fix`.
    pub fn passes(&self) -> bool {
        self.findings.iter().all(|finding| finding.level == Level::Note)
    }

    /// The plan's conductors with the lengths of their ways.
    pub fn conductors(&self, plan: &Plan) -> Conductors {
        Conductors::along(plan, &self.routes.ways())
    }

    /// The findings about one thing.
    pub fn about<'a>(&'a self, subject: &'a Subject) -> impl Iterator<Item = &'a Finding> {
        self.findings.iter().filter(move |finding| finding.subject == *subject)
    }

    /// What tells when the protection of a feeder opens, with the rating that it has or gets.
    pub(super) fn opener(&self, feeder: &Feeder) -> Option<Opener> {
        let rating = self.feeders.get(&feeder.id)?.conductor.protection.as_ref()?.rating_a?;
        Some(feeder.protection.as_ref()?.opener(ElectricCurrent::new::<ampere>(rating)))
    }

    /// Adds findings that do not repeat one about the same thing.
    pub(super) fn add_unsaid(&mut self, findings: Vec<Finding>) {
        // Of what is missing each thing is its own; of what is wrong, two ways of saying it are one.
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

/// Who settled a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum By {
    /// It is given in the plan.
    Given,
    /// It was left out, and is chosen here.
    Chosen,
}

/// The figures that a circuit and a feeder both have, of the conductors that they are made of.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct ConductorReport {
    /// Ids from the source to the far end: points, feeders, conductors, device; of a returning feeder from its near
    /// end to the source.
    pub route: Vec<String>,
    /// Length one way: of a circuit from its source point to the farthest device.
    pub one_way_m: Option<f64>,
    /// Length there and back; of a feeder twice its own, with a return like it.
    pub round_trip_m: Option<f64>,
    /// The sum of the loads at nominal voltage: of a circuit its own, of a feeder those of all circuits that may draw
    /// through it, or what a charger gives.
    pub design_current_a: Option<f64>,
    /// Its size, unless a conductor of it says otherwise.
    pub size: Option<Size>,
    /// Who settled the size.
    pub size_by: Option<By>,
    /// What decided a chosen size.
    pub governed_by: Vec<Governor>,
    /// The ampacity of its thinnest conductor by the table.
    pub ampacity_a: Option<f64>,
    /// What is left of that where it lies.
    pub derated_ampacity_a: Option<f64>,
    /// The drop by the handbook formula: of a circuit at the device nearest its limit or farthest over it, of a feeder
    /// there and back.
    pub handbook_drop_v: Option<f64>,
    /// The same in percent of nominal voltage.
    pub handbook_drop_pct: Option<f64>,
    /// The drop in the solved network with every circuit on: of a circuit from its source point to the worst device, of
    /// a feeder along this one conductor.
    pub solved_drop_v: Option<f64>,
    /// The same in percent of nominal voltage.
    pub solved_drop_pct: Option<f64>,
    /// Its current in the solved network; below nothing where it flows against a feeder's direction.
    pub solved_current_a: Option<f64>,
    /// Its fuse or breaker.
    pub protection: Option<ProtectionReport>,
    /// The feeder whose protection also protects this conductor, where it has none of its own.
    pub protected_by: Option<FeederId>,
    /// The least that flows when its far end is shorted: of a circuit at the farthest device, of a feeder to where its
    /// circuits come back, or to the source's negative post.
    pub fault_current_a: Option<f64>,
    /// The most that flows when it is shorted just behind its protection: to where it comes back, or to a negative
    /// post or bar in the same location.
    pub fault_at_protection_a: Option<f64>,
    /// How the figures came about.
    pub workings: Vec<Working>,
}

impl ConductorReport {
    /// The figures of a size that was given, or chosen by these.
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

/// A circuit's figures. Drops are those of its own conductors unless they say otherwise.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CircuitReport {
    /// Its name.
    pub name: String,
    /// Those of its conductors.
    #[serde(flatten)]
    pub conductor: ConductorReport,
    /// Ids from the farthest device back to the source.
    pub return_route: Vec<String>,
    /// The device with the longest way.
    pub farthest: Option<DeviceId>,
    /// The drop limit of the device that the handbook drop is of.
    pub drop_limit_pct: Option<f64>,
    /// The drop from the posts of the battery to the worst device, feeders and their returns among it.
    pub solved_drop_from_battery_v: Option<f64>,
    /// The same in percent of nominal voltage.
    pub solved_drop_from_battery_pct: Option<f64>,
    /// Volts at each device in the solved network.
    pub voltage_at: BTreeMap<DeviceId, f64>,
}

/// A feeder's figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FeederReport {
    /// Those of its conductor.
    #[serde(flatten)]
    pub conductor: ConductorReport,
    /// The circuits that may draw through it.
    pub circuits: Vec<CircuitId>,
    /// What the protection before it lets through, where it has none of its own: the conductor has to withstand that.
    /// Of a return, the largest past which a short circuit comes back through it.
    pub let_through_a: Option<f64>,
}

/// A fuse or breaker beside the ratings it may have.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProtectionReport {
    /// Its family.
    pub kind: Family,
    /// Its rating, given or chosen.
    pub rating_a: Option<f64>,
    /// Who settled the rating.
    pub rating_by: Option<By>,
    /// The smallest made rating that carries the load.
    pub lowest_a: Option<f64>,
    /// The largest made rating that still protects.
    pub highest_a: Option<f64>,
    /// The one to fit.
    pub recommended_a: Option<f64>,
}

/// A point's figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PointReport {
    /// What it is.
    pub kind: PointKind,
    /// Volts in the solved network: of a source over its own posts, of anything else over the negative
    /// post of the first source.
    pub voltage_v: Option<f64>,
    /// Current that passes it in the solved network; what a source gives.
    pub current_a: Option<f64>,
    /// The sum of the design currents of all circuits that may pass it.
    pub design_current_a: Option<f64>,
    /// What it may carry.
    pub rating_a: Option<f64>,
    /// How many positions it has.
    pub positions: Option<usize>,
    /// How many of them are taken.
    pub positions_used: usize,
    /// How many are free.
    pub positions_free: Option<usize>,
    /// What flows when it touches the negative post of its source.
    pub short_circuit_a: Option<f64>,
    /// How current and short-circuit current came about.
    pub workings: Vec<Working>,
}
