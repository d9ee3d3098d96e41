//! Which way each run takes through the boat, how long it is cut, who shares a raceway with whom.
//!
//! A run is what is pulled together between two locations: a circuit's positive and return to one device, a jumper
//! or feeder between locations, a cable of a device. [`survey`] finds the runs of a plan, [`crate::trade::route`] settles
//! their ways, and what comes of it goes two ways: into [`Conductors`] as lengths, company and engine spaces, from
//! which the rest of the check works, and into the [`RoutesReport`] with its findings.
//!
//! What is set by hand wins: a circuit's or feeder's `length_m`, its `route`, its `bundle`. A wire with both ends
//! at one location has no way, and no length from here.

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
use super::wiring::{Conductors, Ways};
use crate::trade::conductor::Size;
use crate::trade::route;
use crate::trade::route::settle::Settled;

use survey::Survey;

/// The ways of a plan, settled with its sizes.
pub(super) struct Routes<'a> {
    survey: Survey<'a>,
    settled: Settled,
    sizes: Vec<Option<Size>>,
}

impl<'a> Routes<'a> {
    /// Settles the ways of a plan. `size` works out the size of every conductor, in their order.
    pub(super) fn settle(plan: &'a Plan, mut size: impl FnMut(&Conductors) -> Vec<Option<Size>>) -> Self {
        let survey = Survey::of(plan);
        let mut sizes = Vec::new();
        let settled = route::settle(survey.map(), survey.runs(), |routing| {
            sizes = size(&Conductors::along(plan, &survey.ways(routing)));
            survey.girths(&sizes)
        });
        Self { survey, settled, sizes }
    }

    /// What the ways say of each conductor.
    pub(super) fn ways(&self) -> Ways {
        self.survey.ways(&self.settled.routing)
    }

    /// The runs, raceways and cables with their figures, and what is wrong with them.
    pub(super) fn report(&self, conductors: &Conductors) -> (RoutesReport, Vec<Finding>) {
        let mut report = report::draw_up(&self.survey, &self.settled, &self.sizes);
        order::connectors(&self.survey, &self.settled, &self.sizes, &mut report);
        let findings = judge::all(&self.survey, &self.settled, &report, conductors);
        (report, findings)
    }
}
