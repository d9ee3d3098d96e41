//! The order in which runs are pulled.
//!
//! Runs with the same route and the same end location are pulled together, from the device back towards the
//! source. A cable of a device is pulled alone, connector first.
//!
//! A cable whose connector would not pass beside the others comes first; of several, the widest connector goes
//! first. Then comes the longest pull: it sets where the string lies, and the short runs are laid beside it.
//! Within a pull the thickest run goes first. Each pull leaves a string for the next. Common practice, no source.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use foldhash::HashSet;
use uom::si::f64::Length;
use uom::si::length::meter;

use super::cables::CableReport;
use super::report::{RoutesReport, RunReport};
use crate::job::plan::{Plan, PullString};
use crate::job::run::PieceId;
use crate::job::value::{LocationId, RacewayId};
use crate::trade::quantity::Quantity;
use crate::trade::route::StringNeeded;
use crate::trade::route::string::StringLeg;
use crate::trade::source::CUT_ALLOWANCES;
use crate::trade::working::{self, Numbers, Working};

/// What is pulled together.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull<'r> {
    /// The location where the pull begins: the devices' end.
    pub from: &'r LocationId,
    /// The location where it ends: nearer the source.
    pub to: &'r LocationId,
    /// The raceways in the order of the pull.
    pub raceways: Vec<&'r RacewayId>,
    /// The length of the pull; `None` if a raceway is of unknown length.
    pub path_m: Option<f64>,
    /// The runs, the thickest first; or one cable.
    pub runs: Vec<(&'r PieceId, &'r RunReport)>,
    /// The string that it needs; `None` if the raceways are open or of unknown length.
    pub string: Option<StringNeeded>,
}

impl<'r> Pull<'r> {
    /// The cable, if the pull is one.
    pub fn cable(&self) -> Option<(&'r PieceId, &'r CableReport)> {
        self.runs.iter().find_map(|(id, run)| Some((*id, run.cable.as_ref()?)))
    }

    /// The width of a connector that must go before all others; 0 if the pull can wait.
    fn urgent_mm(&self) -> f64 {
        let first = self.cable().filter(|(_, cable)| cable.first_because.is_some());
        first.and_then(|(_, cable)| cable.connector_mm).unwrap_or(0.0)
    }
}

impl RoutesReport {
    /// The pulls of a job, in order. Runs without a raceway are in none.
    pub fn pulls(&self, plan: &Plan) -> Vec<Pull<'_>> {
        let mut pulls = self.together();
        let length = |pull: &Pull<'_>| pull.path_m.unwrap_or(f64::INFINITY);
        pulls.sort_by(|one, other| {
            let urgent = other.urgent_mm().total_cmp(&one.urgent_mm());
            urgent.then(length(other).total_cmp(&length(one)))
        });
        let mut strung = HashSet::default();
        for pull in &mut pulls {
            pull.string = self.string(plan, pull, &strung);
            strung.extend(pull.raceways.iter().copied());
        }
        pulls
    }

    /// Wires that share their ends and their route, and each cable alone.
    fn together(&self) -> Vec<Pull<'_>> {
        let mut together: BTreeMap<_, Vec<_>> = BTreeMap::new();
        for (id, run) in self.runs.iter().filter(|(_, run)| !run.raceways.is_empty()) {
            let alone = run.cable.as_ref().map(|_| id);
            together.entry((alone, &run.between, &run.raceways)).or_default().push((id, run));
        }
        together.into_values().filter_map(one_pull).collect()
    }

    /// The string of a pull, if earlier pulls left strings in the raceways `strung`.
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

    /// The sum of the cut lengths of all wires in meters, with a pair counted once; `None` if a run has no length.
    pub fn total_m(&self) -> Option<f64> {
        self.of_wires().map(|(_, run)| run.cut.as_ref().map(|cut| cut.total_m)).sum()
    }

    /// How that sum is calculated.
    pub fn total_working(&self) -> Option<Working> {
        let whole = self.total_m()?;
        let cuts = self.of_wires().filter_map(|(id, run)| Some((id, run.cut.as_ref()?.total_m)));
        let terms = cuts.map(|(id, cut)| {
            Numbers::filled("{} ({})", [working::length(to_the_millimeter(cut)), id.to_string().into()])
        });
        Some(Working {
            what: Quantity::TotalToCut,
            formula: "sum of the lengths to cut of all runs",
            numbers: Numbers::joined(terms, " + "),
            result: working::length(to_the_millimeter(whole)),
            source: &CUT_ALLOWANCES,
        })
    }
}

fn to_the_millimeter(meters: f64) -> f64 {
    (meters * 1000.0).round() / 1000.0
}

/// Runs that are pulled together, the thickest first. A pull begins at the devices: there a cable begins, and wires
/// end.
fn one_pull<'r>(mut runs: Vec<(&'r PieceId, &'r RunReport)>) -> Option<Pull<'r>> {
    runs.sort_by_key(|(_, run)| Reverse(run.sizes.iter().flatten().max().copied()));
    let (_, first) = *runs.first()?;
    let [near, far] = &first.between;
    let (from, to) = if first.cable.is_some() { (near, far) } else { (far, near) };
    let mut raceways: Vec<&RacewayId> = first.raceways.iter().collect();
    if first.cable.is_none() {
        raceways.reverse();
    }
    Some(Pull { from, to, raceways, path_m: first.path_m, runs, string: None })
}
