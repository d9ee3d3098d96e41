//! In what order runs are pulled.
//!
//! Runs that end at the same location by the same way are pulled together, from the device back towards the source;
//! a cable of a device is pulled for itself, its connector in front. A cable whose connector would not pass beside
//! the others comes first, the widest connector before the next. Then the longest pull: it fixes how the
//! string lies, and the short ones are laid beside it. Within a pull the thickest goes first. Each leaves a
//! string for the next. Common practice, no source.

use std::cmp::Reverse;
use std::collections::{BTreeMap, HashSet};

use uom::si::f64::Length;
use uom::si::length::meter;

use super::cables::CableReport;
use super::report::{RoutesReport, RunReport};
use crate::job::plan::{Plan, PullString};
use crate::job::value::{CableId, LocationId, RacewayId};
use crate::job::wiring::ConductorId;
use crate::trade::quantity::Quantity;
use crate::trade::route::StringNeeded;
use crate::trade::route::string::StringLeg;
use crate::trade::source::CUT_ALLOWANCES;
use crate::trade::working::{Working, figure};

/// What is pulled together.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull<'r> {
    /// Where the pull begins: the devices' end.
    pub from: &'r LocationId,
    /// Where it comes out: the end nearer the source.
    pub to: &'r LocationId,
    /// The raceways in the order of the pull.
    pub raceways: Vec<&'r RacewayId>,
    /// How far it is; none where a raceway is of unknown length.
    pub path_m: Option<f64>,
    /// The runs, the thickest first.
    pub runs: Vec<(&'r ConductorId, &'r RunReport)>,
    /// The cable of a device that is pulled, where it is one.
    pub cable: Option<(&'r CableId, &'r CableReport)>,
    /// The string it takes; none where the way is open, or of unknown length.
    pub string: Option<StringNeeded>,
}

impl Pull<'_> {
    /// The width of a connector that has to go before all others; nothing for whatever can wait.
    fn urgent_mm(&self) -> f64 {
        let first = self.cable.filter(|(_, cable)| cable.first_because.is_some());
        first.and_then(|(_, cable)| cable.connector_mm).unwrap_or(0.0)
    }
}

impl RoutesReport {
    /// The pulls of a job, in order. Runs and cables without a way are in none.
    pub fn pulls(&self, plan: &Plan) -> Vec<Pull<'_>> {
        let mut pulls = self.together();
        pulls.extend(self.cables.iter().filter_map(|(id, cable)| self.of_cable(id, cable)));
        let length = |pull: &Pull<'_>| pull.path_m.unwrap_or(f64::INFINITY);
        pulls.sort_by(|one, other| {
            let urgent = other.urgent_mm().total_cmp(&one.urgent_mm());
            urgent.then(length(other).total_cmp(&length(one)))
        });
        let mut strung = HashSet::new();
        for pull in &mut pulls {
            pull.string = self.string(plan, pull, &strung);
            strung.extend(pull.raceways.iter().copied());
        }
        pulls
    }

    /// Runs that share their ends and their way.
    fn together(&self) -> Vec<Pull<'_>> {
        let mut together: BTreeMap<_, Vec<_>> = BTreeMap::new();
        for (id, run) in self.runs.iter().filter(|(_, run)| run.by.is_some()) {
            together.entry((&run.between, &run.raceways)).or_default().push((id, run));
        }
        together.into_iter().map(|((between, raceways), runs)| one_pull(between, raceways, runs)).collect()
    }

    fn of_cable<'r>(&'r self, id: &'r CableId, cable: &'r CableReport) -> Option<Pull<'r>> {
        let [from, to] = &cable.between;
        if cable.raceways.is_empty() {
            return None;
        }
        let raceways: Vec<&RacewayId> = cable.raceways.iter().collect();
        let path_m = raceways.iter().map(|id| self.raceways.get(*id)?.length_m).sum();
        Some(Pull { from, to, raceways, path_m, runs: Vec::new(), cable: Some((id, cable)), string: None })
    }

    /// The string of a pull, where these raceways have one from the pulls before.
    fn string(&self, plan: &Plan, pull: &Pull<'_>, strung: &HashSet<&RacewayId>) -> Option<StringNeeded> {
        let legs = pull.raceways.iter().map(|id| {
            let given = plan.raceway(id)?.pull_string;
            Some(StringLeg {
                length: Length::new::<meter>(self.raceways.get(*id)?.length_m?),
                takes: given != Some(PullString::NotNeeded),
                there: given == Some(PullString::Yes) || strung.contains(*id),
            })
        });
        StringNeeded::of(&legs.collect::<Option<Vec<_>>>()?)
    }

    /// Meters of each cut length together, a pair counted once; none where a run has no length.
    pub fn total_m(&self) -> Option<f64> {
        self.runs.values().map(|run| run.cut.as_ref().map(|cut| cut.total_m)).sum()
    }

    /// How that came about.
    pub fn total_working(&self) -> Option<Working> {
        let whole = self.total_m()?;
        let cuts = self.runs.iter().filter_map(|(id, run)| Some((id, run.cut.as_ref()?.total_m)));
        let terms: Vec<String> =
            cuts.map(|(id, cut)| format!("{} m ({id})", to_the_millimeter(cut))).collect();
        Some(Working {
            what: Quantity::TotalToCut,
            formula: "sum of the lengths to cut of all runs",
            numbers: terms.join(" + "),
            result: format!("{} m", to_the_millimeter(whole)),
            source: &CUT_ALLOWANCES,
        })
    }
}

fn to_the_millimeter(meters: f64) -> String {
    figure((meters * 1000.0).round() / 1000.0)
}

/// Runs that are pulled together, the thickest first.
fn one_pull<'r>(
    [to, from]: &'r [LocationId; 2],
    raceways: &'r [RacewayId],
    mut runs: Vec<(&'r ConductorId, &'r RunReport)>,
) -> Pull<'r> {
    runs.sort_by_key(|(_, run)| Reverse(run.sizes.iter().flatten().max().copied()));
    let path_m = runs.first().and_then(|(_, run)| Some(run.cut.as_ref()?.path_m));
    Pull { from, to, raceways: raceways.iter().rev().collect(), path_m, runs, cable: None, string: None }
}
