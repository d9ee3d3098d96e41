//! Connectors, and the room that the runs pulled before them leave.
//!
//! A cable is pulled first if its connector would no longer pass at its turn. Of several such cables, the one with
//! the widest connector goes first. If a connector still does not pass, the report says so. A run of unknown
//! diameter leaves no room to rely on, so a connector goes before it.

use foldhash::{HashMap, HashSet};
use uom::si::f64::Length;
use uom::si::length::millimeter;

use super::cables::Tight;
use super::report::RoutesReport;
use super::survey::Survey;
use crate::job::run::PieceId;
use crate::trade::conductor::Size;
use crate::trade::route::settle::{Girth, SettledRoutes};
use crate::trade::route::{Beside, RacewayRoom};

/// The work budget of the rounds: runs put in order, over all rounds.
const MOST_PULLED: usize = 200_000;
/// The rounds that every boat has.
const LEAST_ROUNDS: usize = 10;

/// Marks the cables that are pulled first, and those whose connector passes in none of the orders tried.
pub(super) fn connectors(
    survey: &Survey<'_>,
    settled: &SettledRoutes,
    sizes: &[Option<Size>],
    report: &mut RoutesReport,
) {
    let girths = survey.girths(sizes);
    let yard = Yard { survey, settled, girths: &girths, numbers: survey.numbers_by_id() };
    let mut stuck = yard.stuck(report);
    // Each round pulls at least one more cable first, so there are at most as many rounds as cables. What is still
    // stuck after the last round is reported as stuck.
    for _ in 0..(MOST_PULLED / survey.pulled.len().max(1)).max(LEAST_ROUNDS) {
        let next = yard.next_first(&stuck, report);
        if next.is_empty() {
            break;
        }
        for (id, tight) in next {
            if let Some(cable) = report.cable_mut(&id) {
                cable.first_because = Some(tight);
            }
        }
        stuck = yard.stuck(report);
    }
    for (id, tight) in stuck {
        if let Some(cable) = report.cable_mut(&id) {
            cable.stuck_beside = Some(tight);
        }
    }
}

struct Yard<'s, 'a> {
    survey: &'s Survey<'a>,
    settled: &'s SettledRoutes,
    girths: &'s [Girth],
    numbers: HashMap<PieceId, usize>,
}

impl Yard<'_, '_> {
    /// Of the stuck cables those that are pulled earlier next: the first of all, and each that shares no raceway
    /// with one before it. These cannot change each other's turn.
    fn next_first(&self, stuck: &[(PieceId, Tight)], report: &RoutesReport) -> Vec<(PieceId, Tight)> {
        let mut used: HashSet<usize> = HashSet::default();
        let mut apart = |id: &PieceId| {
            let number = self.numbers.get(id).and_then(|number| self.settled.routing.ways.get(*number));
            let Some(Some(way)) = number else { return false };
            let alone = way.raceways.iter().all(|raceway| !used.contains(raceway));
            used.extend(&way.raceways);
            alone
        };
        let waits = |id: &PieceId| report.cable(id).is_some_and(|cable| cable.first_because.is_none());
        stuck.iter().filter(|(id, _)| waits(id) && apart(id)).cloned().collect()
    }

    /// Every cable whose connector does not pass beside what is pulled before it, though the bore is wide enough.
    fn stuck(&self, report: &RoutesReport) -> Vec<(PieceId, Tight)> {
        let mut lying = HashSet::default();
        let mut stuck = Vec::new();
        for pull in report.pulls(self.survey.plan) {
            let runs = pull.runs.iter().filter_map(|(id, run)| Some((*id, *run, *self.numbers.get(*id)?)));
            let runs: Vec<_> = runs.collect();
            for (id, _, number) in runs.iter().filter(|(_, run, _)| run.cable.is_some()) {
                stuck.extend(self.tight(*number, &lying).map(|tight| ((*id).clone(), tight)));
            }
            lying.extend(runs.iter().map(|(_, _, number)| *number));
        }
        stuck
    }

    /// The narrowest raceway in which the runs already there block a cable's connector.
    fn tight(&self, cable: usize, lying: &HashSet<usize>) -> Option<Tight> {
        let width = self.survey.runs().get(cable)?.widest?;
        let way = self.settled.routing.ways.get(cable)?.as_ref()?;
        let tight = way.raceways.iter().filter_map(|raceway| self.tight_in(*raceway, width, lying));
        tight.min_by(|one, other| one.left_mm.total_cmp(&other.left_mm))
    }

    fn tight_in(&self, raceway: usize, width: Length, lying: &HashSet<usize>) -> Option<Tight> {
        let RacewayRoom::Bore(bore) = self.survey.map().raceways().get(raceway)?.room else { return None };
        let here: Vec<usize> =
            self.settled.routing.sharing(raceway).filter(|run| lying.contains(run)).collect();
        let girths = here.iter().map(|run| self.girths.get(*run).and_then(Option::as_ref));
        let known: Option<Vec<&Vec<Length>>> = girths.collect();
        let diameters: Vec<Length> = known.iter().flatten().copied().flatten().copied().collect();
        let beside = Beside::of(bore, &diameters);
        if width > bore || (known.is_some() && beside.passes(width)) {
            return None;
        }
        Some(Tight {
            raceway: self.survey.raceway(raceway)?.id.clone(),
            left_mm: beside.left.get::<millimeter>(),
            beside: here.iter().map(|run| self.survey.called(*run)).collect(),
            all_known: known.is_some(),
            working: beside.working,
        })
    }
}
