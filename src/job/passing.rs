//! The results of a solved network at the distribution points: the voltage at each, and the current through it.

use std::sync::Arc;

use foldhash::HashMap;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricCurrent;

use super::extent::Extent;
use super::network::Solved;
use super::value::PointId;
use super::wiring::Conductors;
use crate::trade::quantity::Quantity;
use crate::trade::source::CIRCUIT_LAWS;
use crate::trade::working::{Working, figure};

/// The meter reading at each distribution point that has a voltage, and the current through it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Passing {
    /// Volts: for a source between its own posts, for anything else against the negative post of the first source.
    pub volts: HashMap<PointId, f64>,
    /// Amperes: the current that a source supplies, or that passes any other point. None where a current there is
    /// not known.
    pub amperes: HashMap<PointId, f64>,
    /// The currents at each distribution point.
    meeting: HashMap<PointId, Vec<Meeting>>,
}

/// One current at a distribution point.
#[derive(Debug, Clone, PartialEq)]
struct Meeting {
    /// The feeder or circuit.
    of: Arc<str>,
    /// `None` if it is not known: the load, the size or the length is not entered.
    amperes: Option<f64>,
    /// Whether it ends at the point and so counts half, or passes straight through.
    ends: bool,
}

impl Meeting {
    fn passes(&self) -> Option<f64> {
        self.amperes.map(|amperes| if self.ends { amperes / 2.0 } else { amperes })
    }
}

impl Passing {
    /// The current through a bar is half the sum of all currents in and out. An isolated position carries the
    /// current of its circuit.
    pub fn of(extent: &Extent<'_>, conductors: &Conductors, solved: &Solved<'_>) -> Self {
        let mut meeting = meeting(extent, conductors, solved);
        // The current of a source is a single value and not a sum.
        meeting.retain(|id, _| solved.of_source(id).is_none());
        let points = || extent.points.iter().map(|point| &point.id);
        let volts = |id: &PointId| Some((id.clone(), solved.at_point(id)?.get::<volt>()));
        let is_complete = extent.circuits.iter().all(|circuit| extent.knows(solved, circuit));
        let passes = |id: &PointId| match solved.of_source(id) {
            Some(given) => is_complete.then(|| given.get::<ampere>()),
            None => meeting.get(id)?.iter().map(Meeting::passes).sum(),
        };
        Self {
            volts: points().filter_map(volts).collect(),
            amperes: points().filter_map(|id| Some((id.clone(), passes(id)?))).collect(),
            meeting,
        }
    }

    /// The current through a point, with the currents that it consists of.
    pub fn through(&self, point: &PointId) -> Option<ThroughPoint> {
        let amperes = *self.amperes.get(point)?;
        Some(ThroughPoint { amperes, met: self.meeting.get(point).cloned() })
    }

    /// The sum that gives the current of a point that is not a source.
    pub fn working(&self, point: &PointId) -> Option<Working> {
        self.through(point)?.working()
    }
}

/// The current through a distribution point.
#[derive(Debug, Clone, PartialEq)]
pub struct ThroughPoint {
    /// Amperes: the current that a source supplies, or that passes any other point.
    pub amperes: f64,
    /// The currents that end there or pass; `None` for a source.
    met: Option<Vec<Meeting>>,
}

impl ThroughPoint {
    /// The sum that gives the current of a point that is not a source.
    pub fn working(&self) -> Option<Working> {
        let met = self.met.as_ref()?.iter();
        let flowing = met.filter_map(|met| Some((met, met.amperes.filter(|amperes| *amperes > 0.0)?)));
        let terms: Vec<String> = flowing
            .map(|(met, amperes)| {
                let half = if met.ends { "1/2 x " } else { "" };
                format!("{half}{} A ({})", figure(amperes), met.of)
            })
            .collect();
        Some(Working {
            what: Quantity::ThroughPoint,
            formula: "half of all that enters and leaves it, and what goes right through",
            numbers: if terms.is_empty() { "nothing on".into() } else { terms.join(" + ").into() },
            result: format!("{} A", figure(self.amperes)).into(),
            source: &CIRCUIT_LAWS,
        })
    }
}

fn meeting(
    extent: &Extent<'_>,
    conductors: &Conductors,
    solved: &Solved<'_>,
) -> HashMap<PointId, Vec<Meeting>> {
    let mut meeting: HashMap<PointId, Vec<Meeting>> = HashMap::default();
    let mut meet = |point: &PointId, of: Arc<str>, current: Option<ElectricCurrent>, ends| {
        let amperes = current.map(|current| current.get::<ampere>().abs());
        meeting.entry(point.clone()).or_default().push(Meeting { of, amperes, ends });
    };
    for feeder in &extent.feeders {
        let current = conductors.of_feeder(&feeder.id).and_then(|wire| solved.of_conductor(&wire.id));
        meet(&feeder.from, feeder.id.shared(), current, true);
        meet(&feeder.to, feeder.id.shared(), current, true);
    }
    for circuit in &extent.circuits {
        let current = solved.of_circuit(&circuit.id).filter(|_| extent.knows(solved, circuit));
        meet(&circuit.from, circuit.id.shared(), current, true);
        meet(&circuit.r#return, circuit.id.shared(), current, true);
        let passed = circuit.switch.iter().map(|at| &at.panel).chain(&circuit.junction);
        for point in passed.filter(|point| **point != circuit.from) {
            meet(point, circuit.id.shared(), current, false);
        }
    }
    meeting
}
