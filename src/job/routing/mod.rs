//! The route of each run through the boat, the length to cut, and which runs share a raceway.
//!
//! A run is what is pulled together between two locations. It is the positive and negative of a circuit to one
//! device, a jumper or feeder between locations, or a cable of a device. [`survey`] finds the runs of a plan, and
//! [`crate::trade::route`] settles their routes.
//!
//! The result has two uses. [`Conductors`] get lengths, the number of conductors in the same raceway, and engine
//! spaces; the rest of the check uses these. The [`RoutesReport`] gets the figures and findings.
//!
//! What is entered in the plan takes precedence: a circuit's or feeder's `length_m`, its `route`, its `bundle`. A
//! wire with both ends at one location has no route, and gets no length from this module.

mod cables;
mod judge;
mod order;
mod pulling;
mod report;
mod survey;

pub use cables::{CableReport, Tight};
pub use pulling::Pull;
pub use report::{RacewayReport, RouteBy, RoutesReport, RunReport};

use super::finding::Finding;
use super::plan::Plan;
use super::wiring::{ConductorRoutes, Conductors};
use crate::trade::conductor::Size;
use crate::trade::route;
use crate::trade::route::settle::SettledRoutes;

use survey::Survey;

/// The routes of a plan, settled together with its wire sizes.
pub(super) struct Routes<'a> {
    survey: Survey<'a>,
    settled: SettledRoutes,
    sizes: Vec<Option<Size>>,
}

impl<'a> Routes<'a> {
    /// Settles the routes of a plan. `size` calculates the size of every conductor, in their order.
    pub(super) fn settle(plan: &'a Plan, mut size: impl FnMut(&Conductors) -> Vec<Option<Size>>) -> Self {
        let survey = Survey::of(plan);
        let mut sizes = Vec::new();
        let settled = route::settle(survey.map(), survey.runs(), |routing| {
            sizes = size(&Conductors::along(plan, &survey.ways(routing)));
            survey.girths(&sizes)
        });
        Self { survey, settled, sizes }
    }

    /// What each conductor gets from its route.
    pub(super) fn ways(&self) -> ConductorRoutes {
        self.survey.ways(&self.settled.routing)
    }

    /// The runs and raceways with their figures, and the findings about them.
    pub(super) fn report(&self, conductors: &Conductors) -> (RoutesReport, Vec<Finding>) {
        let mut report = report::draw_up(&self.survey, &self.settled, &self.sizes);
        order::connectors(&self.survey, &self.settled, &self.sizes, &mut report);
        let findings = judge::all(&self.survey, &self.settled, &report, conductors);
        (report, findings)
    }
}
