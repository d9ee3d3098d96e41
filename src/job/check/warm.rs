//! The temperature of the copper under load.
//!
//! A conductor at its ampacity is as warm as its insulation allows. Below that, its rise over its surroundings
//! goes with the square of the current. A conductor whose current or ampacity is not known counts as warm as
//! its insulation allows. A starter cable without another load counts as cold: it cranks for seconds.

use foldhash::HashMap;
use uom::si::f64::ThermodynamicTemperature;
use uom::si::thermodynamic_temperature::degree_celsius;

use super::report::{ConductorReport, Report};
use super::sizes::Sizes;
use crate::job::conductor::{Conductor, Of};
use crate::job::network::{CircuitModel, surroundings};
use crate::job::plan::Plan;
use crate::job::value::{CircuitId, FeederId};
use crate::job::wiring::Conductors;
use crate::trade::dc_network::Unusable;
use crate::trade::quantity::Quantity;
use crate::trade::source::WARM_CONDUCTOR;
use crate::trade::working::{Working, figure};

/// The temperature of the copper for the greatest fault current, in C, unless it is colder around it.
const COLD_C: f64 = 20.0;

/// How warm the load makes each conductor.
#[derive(Debug)]
pub struct WarmCopper<'a> {
    plan: &'a Plan,
    circuits: HashMap<&'a CircuitId, Warming>,
    feeders: HashMap<&'a FeederId, Warming>,
}

/// The share of the permitted rise that the load causes, and the highest temperature.
#[derive(Debug, Clone, Copy)]
struct Warming {
    share: f64,
    rated_c: f64,
    design_a: Option<f64>,
    ampacity_a: Option<f64>,
}

impl Warming {
    fn of(figures: Option<&ConductorReport>, rated_c: f64, is_starter_cable: bool) -> Self {
        let design_a = figures.and_then(|own| own.design_current_a);
        let ampacity_a = figures.and_then(|own| own.derated_ampacity_a);
        let share = match design_a.zip(ampacity_a) {
            Some((design, ampacity)) if ampacity > 0.0 => (design / ampacity).powi(2).min(1.0),
            _ if is_starter_cable => 0.0,
            _ => 1.0,
        };
        Self { share, rated_c, design_a, ampacity_a }
    }

    fn celsius(self, around: f64) -> f64 {
        around + (self.rated_c - around).max(0.0) * self.share
    }

    fn working(self, around: f64) -> Working {
        let numbers = match self.design_a.zip(self.ampacity_a) {
            Some((design, ampacity)) => format!(
                "{} C + ({} C - {} C) x ({} A / {} A)^2",
                figure(around),
                figure(self.rated_c),
                figure(around),
                figure(design),
                figure(ampacity)
            ),
            None if self.share > 0.0 => {
                "its current is not known: as warm as its insulation allows".to_owned()
            }
            None => "cranks for seconds only".to_owned(),
        };
        Working {
            what: Quantity::WarmConductor,
            formula: "surroundings + permitted rise x (current / ampacity)^2",
            numbers: numbers.into(),
            result: format!("{} C", figure(self.celsius(around))).into(),
            source: &WARM_CONDUCTOR,
        }
    }
}

impl<'a> WarmCopper<'a> {
    /// How warm the design currents of a report make the conductors of its plan.
    pub fn of(plan: &'a Plan, report: &Report) -> Self {
        let circuits = plan.circuits.iter().map(|circuit| {
            let figures = report.circuits.get(&circuit.id).map(|own| &own.conductor);
            (&circuit.id, Warming::of(figures, circuit.insulation_c.number(), false))
        });
        let feeders = plan.feeders.iter().map(|feeder| {
            let figures = report.feeders.get(&feeder.id).map(|own| &own.conductor);
            (&feeder.id, Warming::of(figures, feeder.insulation_c.number(), feeder.cranking))
        });
        Self { plan, circuits: circuits.collect(), feeders: feeders.collect() }
    }

    /// The temperature of a conductor's copper under load.
    pub fn temperature(&self, conductor: &Conductor) -> ThermodynamicTemperature {
        let around = surroundings(self.plan, conductor);
        let celsius = self.warming(conductor).map(|warming| warming.celsius(around.get::<degree_celsius>()));
        celsius.map_or(around, ThermodynamicTemperature::new::<degree_celsius>)
    }

    /// How that temperature was calculated.
    pub(super) fn working(&self, conductor: &Conductor) -> Option<Working> {
        let around = surroundings(self.plan, conductor).get::<degree_celsius>();
        Some(self.warming(conductor)?.working(around))
    }

    fn warming(&self, conductor: &Conductor) -> Option<Warming> {
        match &conductor.of {
            Of::Circuit(id) => self.circuits.get(id).copied(),
            Of::Feeder(id) => self.feeders.get(id).copied(),
        }
    }

    /// The network of the plan with conductors as warm as their load makes them.
    ///
    /// # Errors
    ///
    /// [`Unusable`] for a value that no network can be solved with.
    pub fn wire(&self, conductors: &'a Conductors, sizes: &Sizes) -> Result<CircuitModel<'a>, Unusable> {
        let size = |conductor: &Conductor| sizes.get(conductor);
        CircuitModel::at(self.plan, conductors, size, |conductor| self.temperature(conductor))
    }
}

/// The network of the plan with cold conductors, for the greatest fault current.
pub(super) fn cold<'a>(
    plan: &'a Plan,
    conductors: &'a Conductors,
    sizes: &Sizes,
) -> Result<CircuitModel<'a>, Unusable> {
    let copper = ThermodynamicTemperature::new::<degree_celsius>(coldest(plan));
    CircuitModel::at(plan, conductors, |conductor| sizes.get(conductor), |_| copper)
}

/// The temperature of the conductors for the greatest fault current, in C.
pub(super) fn coldest(plan: &Plan) -> f64 {
    plan.job.ambient_c.number().min(COLD_C)
}
