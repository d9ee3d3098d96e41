//! Pulls: which runs are pulled together, in what order, by which raceways, with how much string.

use super::linked::Linked;
use crate::job::plan::Plan;
use crate::job::routing::{Pull, RunReport};
use crate::job::run::PieceId;
use crate::job::value::{LocationId, RacewayId};
use crate::web::kit::figure::Figure;
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::kit::paging::{Paging, page_of};

/// How many runs the line of a pull names.
const NAMED: usize = 20;

/// A pull in one line, for the list of its phase.
pub struct PullPiece {
    /// Its two ends.
    pub title: String,
    /// The raceways on its route.
    pub by: String,
    /// Its first runs.
    pub what: Vec<Linked>,
    /// How many more it has.
    pub more: usize,
    /// Its string.
    pub string: Sentence,
    /// The address that highlights its first run on the plan.
    pub show: String,
}

impl PullPiece {
    /// The pulls of a job that its page shows, in order.
    pub fn shown(job: &Opened, frame: &Frame) -> (Vec<Self>, Paging) {
        let pulls = job.report.routes.pulls(&job.plan);
        let numbered: Vec<(&Pull<'_>, usize)> = pulls.iter().zip(1..).collect();
        let (shown, paging) = page_of(&numbered, frame);
        let piece = |(pull, number): &(&Pull<'_>, usize)| Self::new(job, pull, *number, frame.length_unit());
        (shown.iter().map(piece).collect(), paging)
    }

    fn new(job: &Opened, pull: &Pull<'_>, number: usize, unit: LengthUnit) -> Self {
        let run = |(id, run): &(&PieceId, &RunReport)| {
            let href = format!("{}/wires/{id}", job.href());
            if run.cable.is_some() {
                return Linked { href, ..Linked::to(job, &run.subject) };
            }
            let ids: Vec<&str> = run.conductors.iter().map(|id| id.as_str()).collect();
            Linked { id: ids.join(" and "), name: String::new(), href }
        };
        let lit = pull.runs.first().map(|(id, _)| format!("?run={id}#plan-title")).unwrap_or_default();
        Self {
            title: format!("{} to {}", location(job, pull.from), location(job, pull.to)),
            by: by(&job.plan, pull.raceways.iter().copied()),
            what: pull.runs.iter().take(NAMED).map(run).collect(),
            more: pull.runs.len().saturating_sub(NAMED),
            string: string(pull, number, unit),
            show: format!("{}/routes{lit}", job.href()),
        }
    }
}

/// Raceways in the order of a pull, each with its number on the plan: `3 tube-main, then 5 tray-bilge`.
pub fn by<'i>(plan: &Plan, raceways: impl IntoIterator<Item = &'i RacewayId>) -> String {
    let named = raceways.into_iter().map(|id| format!("{} {id}", number(plan, id)));
    named.collect::<Vec<_>>().join(", then ")
}

/// The number of a raceway on the plan: its position in the list, from 1.
pub fn number(plan: &Plan, id: &RacewayId) -> usize {
    1 + plan.raceways.position(id.as_str()).unwrap_or(plan.raceways.len())
}

/// The string of a pull in plain text; each length opens on its working.
pub fn string(pull: &Pull<'_>, number: usize, unit: LengthUnit) -> Sentence {
    let of = format!("Pull {number}");
    let length = |name, meters, working| Cell::by(&of, name, Figure::length(meters, unit), working);
    let Some(string) = &pull.string else {
        return match pull.path_m {
            None => "String: the length of the route is not known".into(),
            Some(_) => "Open raceway, no string".into(),
        };
    };
    let lead = match &string.feeding {
        Some(feeding) => Sentence::from("Feed ")
            .figure(length("string to feed in", string.feed_m, Some(feeding.clone())))
            .words(" of string first, and tie "),
        None => "A string is already there. Tie ".into(),
    };
    let beside = length("string to tie on", string.beside_m, Some(string.working.clone()));
    lead.figure(beside).words(" on beside it")
}

/// The name of a location.
pub fn location(job: &Opened, id: &LocationId) -> String {
    job.plan.location(id).map_or_else(|| id.to_string(), |location| location.name.to_string())
}
