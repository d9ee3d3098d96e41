//! Runs, raceways and cables with their figures.

use std::collections::{BTreeMap, HashMap};

use serde::Serialize;
use uom::si::area::square_millimeter;
use uom::si::f64::Length;
use uom::si::length::{meter, millimeter};
use uom::si::ratio::percent;

use super::cables::{self, CableReport};
use super::survey::Survey;
use crate::job::conductor::{ConductorId, Of};
use crate::job::layout::{drawn_length, raceway_length};
use crate::job::run::Run;
use crate::job::subject::Subject;
use crate::job::value::{CableId, LocationId, RacewayId};
use crate::job::wiring::{Along, Ways};
use crate::trade::conductor::Size;
use crate::trade::quantity::Quantity;
use crate::trade::route::settle::{Girth, Settled};
use crate::trade::route::{Cut, RacewayRoom, Way, fill};
use crate::trade::source::CUT_ALLOWANCES;
use crate::trade::working::{self, Numbers, Working};

/// The routes of a job: every run, raceway and cable.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct RoutesReport {
    /// Each run by its first conductor.
    pub runs: BTreeMap<ConductorId, RunReport>,
    /// Each raceway by its id.
    pub raceways: BTreeMap<RacewayId, RacewayReport>,
    /// Each cable of a device by its id.
    pub cables: BTreeMap<CableId, CableReport>,
    /// How often the sizes were calculated until routes, fill and sizes agreed.
    pub rounds: usize,
}

impl RoutesReport {
    /// What each conductor gets from its route.
    pub fn ways(&self) -> Ways {
        let along = |run: &RunReport| Along {
            length: run.cut.as_ref().map(|cut| Length::new::<meter>(cut.total_m)),
            engine_space: run.engine_space,
            company: run.company,
        };
        let runs = self.runs.values().filter(|run| run.by.is_some());
        runs.flat_map(|run| run.conductors.iter().map(move |id| (id.clone(), along(run)))).collect()
    }

    /// The run that a conductor is pulled in.
    pub fn run_of(&self, conductor: &ConductorId) -> Option<&RunReport> {
        self.runs.values().find(|run| run.conductors.contains(conductor))
    }

    /// The runs that a circuit or feeder is pulled in.
    pub fn of<'a>(&'a self, subject: &'a Subject) -> impl Iterator<Item = (&'a ConductorId, &'a RunReport)> {
        self.runs.iter().filter(move |(_, run)| run.subject == *subject)
    }
}

/// Why a run has this route.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum RouteBy {
    /// The plan gives it.
    Given,
    /// It is the shortest route.
    Shortest,
    /// A raceway of the shortest route is full, and this is the next best.
    NextBest,
}

/// Conductors that are pulled together from one location to another.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunReport {
    /// The circuit or feeder.
    #[serde(flatten)]
    pub subject: Subject,
    /// Its conductors.
    pub conductors: Vec<ConductorId>,
    /// Their sizes, given or chosen.
    pub sizes: Vec<Option<Size>>,
    /// Whether they are one cable.
    pub jacketed: bool,
    /// The location where it begins, nearer the source, and the one where it ends.
    pub between: [LocationId; 2],
    /// The raceways on its route, in order from its beginning.
    pub raceways: Vec<RacewayId>,
    /// Why it has this route; `None` if no route exists.
    pub by: Option<RouteBy>,
    /// The same as a text.
    pub why: String,
    /// Raceways that had no room for it.
    pub full: Vec<RacewayId>,
    /// How much longer its route is than the shortest.
    pub detour_m: Option<f64>,
    /// The length to cut, with its parts; `None` if a raceway on its route is of unknown length.
    pub cut: Option<Cut>,
    /// Whether the length in the plan takes precedence over this one.
    pub length_given: bool,
    /// How many current-carrying conductors are in its fullest raceway.
    pub company: usize,
    /// Whether it passes an engine space.
    pub engine_space: bool,
    /// How the length of its route is calculated; `None` if a raceway on it is of unknown length.
    pub path: Option<Working>,
    /// Its outside diameters: `2 x 3.5 mm`.
    pub outside: Option<String>,
}

/// The contents of a raceway.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RacewayReport {
    /// Its length, measured or from the drawing.
    pub length_m: Option<f64>,
    /// How the length is calculated, if it comes from the drawing.
    pub drawn: Option<Working>,
    /// The runs in it.
    pub runs: Vec<ConductorId>,
    /// The cables of devices in it.
    pub cables: Vec<CableId>,
    /// Number of conductors and cables that count for fill.
    pub count: usize,
    /// Number of current-carrying conductors.
    pub carrying: usize,
    /// Its fill, if it has a bore.
    pub fill_pct: Option<f64>,
    /// The maximum fill.
    pub limit_pct: Option<f64>,
    /// The cross section that the contents take.
    pub taken_mm2: f64,
    /// The smallest bore that has room for all of it.
    pub least_bore_mm: Option<f64>,
    /// Runs in it whose size is not known. Because of these the final fill is larger than shown.
    pub unknown: Vec<ConductorId>,
    /// How the fill is calculated.
    pub working: Option<Working>,
}

/// Makes the report of the settled routes.
pub(super) fn draw_up(survey: &Survey<'_>, settled: &Settled, sizes: &[Option<Size>]) -> RoutesReport {
    let girths = survey.girths(sizes);
    let runs = survey.pulled.iter().enumerate().filter_map(|(number, pulled)| {
        let first = survey.wires(pulled).next()?.id.clone();
        Some((first, run(survey, settled, sizes, &girths, number, pulled)?))
    });
    let raceways = survey.plan.raceways.iter().enumerate();
    RoutesReport {
        runs: runs.collect(),
        raceways: raceways
            .map(|(number, given)| (given.id.clone(), raceway(survey, settled, &girths, number)))
            .collect(),
        cables: cables::all(survey, settled),
        rounds: settled.rounds,
    }
}

fn run(
    survey: &Survey<'_>,
    settled: &Settled,
    sizes: &[Option<Size>],
    girths: &[Girth],
    number: usize,
    pulled: &Run<'_>,
) -> Option<RunReport> {
    let wanted = survey.runs().get(number)?;
    let [near, far] =
        wanted.between.map(|location| survey.location(location).map(|location| location.id.clone()));
    let way = settled.routing.ways.get(number).and_then(Option::as_ref);
    let alone = settled.alone.get(number).and_then(Option::as_ref);
    let own: Vec<_> = pulled.wires().iter().map(|at| sizes.get(*at).copied().flatten()).collect();
    let full: Vec<RacewayId> = settled
        .routing
        .closed
        .get(number)
        .into_iter()
        .flatten()
        .filter_map(|raceway| Some(survey.raceway(*raceway)?.id.clone()))
        .collect();
    let detour_m = detour(way, alone);
    let by = way.map(|_| match (&wanted.given, full.is_empty()) {
        (Some(_), _) => RouteBy::Given,
        (None, true) => RouteBy::Shortest,
        (None, false) => RouteBy::NextBest,
    });
    let (given, jacketed) = match pulled {
        Run::Wires { of: Of::Circuit(id), jacketed, .. } => {
            (survey.plan.circuit(id).is_some_and(|circuit| circuit.length_m.is_some()), *jacketed)
        }
        Run::Wires { jacketed, .. } => (false, *jacketed),
        Run::Cable(_) => (false, false),
    };
    Some(RunReport {
        subject: survey.subject(number)?,
        conductors: survey.wires(pulled).map(|wire| wire.id.clone()).collect(),
        sizes: own,
        jacketed,
        between: [near?, far?],
        raceways: way.map(|way| survey.raceway_ids(way)).unwrap_or_default(),
        why: why(by, &full, detour_m),
        by,
        full,
        detour_m,
        cut: way.and_then(|way| survey.cut(number, way)),
        length_given: given || survey.wires(pulled).all(|wire| wire.measured),
        company: way.map_or(0, |way| survey.company(&settled.routing, way)),
        engine_space: way.is_some_and(|way| survey.is_hot(number, way)),
        path: way.and_then(|way| path(survey, way)),
        outside: girths.get(number).and_then(Option::as_ref).map(|girth| Survey::girth_words(girth)),
    })
}

/// The length of a route as the sum of its raceways.
fn path(survey: &Survey<'_>, way: &Way) -> Option<Working> {
    let raceways = way.raceways.iter().map(|number| {
        let raceway = survey.raceway(*number)?;
        let (meters, known) = raceway_length(survey.plan, raceway)?;
        let length = working::length((meters * 1000.0).round() / 1000.0);
        Some(Numbers::filled("{} {} {}", [raceway.id.to_string().into(), length, known.words().into()]))
    });
    let raceways: Vec<Numbers> = raceways.collect::<Option<_>>()?;
    let whole = way.length?.get::<millimeter>().round() / 1000.0;
    Some(Working {
        what: Quantity::RouteLength,
        formula: "sum of the lengths of its raceways",
        numbers: Numbers::joined(raceways, " + "),
        result: working::length(whole),
        source: &CUT_ALLOWANCES,
    })
}

fn detour(way: Option<&Way>, alone: Option<&Way>) -> Option<f64> {
    let meters = |way: Option<&Way>| way?.length.map(|length| length.get::<meter>());
    Some(meters(way)? - meters(alone)?)
}

fn why(by: Option<RouteBy>, full: &[RacewayId], detour_m: Option<f64>) -> String {
    match by {
        None => "no raceways lead there".to_owned(),
        Some(RouteBy::Given) => "set by hand".to_owned(),
        Some(RouteBy::Shortest) => "the shortest route".to_owned(),
        Some(RouteBy::NextBest) => {
            let full = full.iter().map(RacewayId::as_str).collect::<Vec<_>>().join(" and ");
            let longer = match detour_m {
                Some(meters) if meters >= 0.05 => format!(", {meters:.1} m longer"),
                Some(_) => ", as long".to_owned(),
                None => String::new(),
            };
            format!("the next shortest route{longer}: {full} is full")
        }
    }
}

fn raceway(survey: &Survey<'_>, settled: &Settled, girths: &[Girth], number: usize) -> RacewayReport {
    let sharing: Vec<usize> = settled.routing.sharing(number).collect();
    let girth = |run: &usize| girths.get(*run).and_then(Option::as_ref);
    let diameters: Vec<Length> = sharing.iter().filter_map(girth).flatten().copied().collect();
    let first = |run: &usize| Some(survey.wires(survey.pulled.get(*run)?).next()?.id.clone());
    let bore = match survey.map().raceways().get(number).map(|raceway| raceway.room) {
        Some(RacewayRoom::Bore(bore)) => Some(bore),
        _ => None,
    };
    let filled = bore.map(|bore| fill::of(bore, &diameters)).filter(|_| !sharing.is_empty());
    let circles = diameters.iter().map(|diameter| diameter.get::<millimeter>().powi(2));
    let own = survey.raceway(number);
    RacewayReport {
        length_m: own.and_then(|own| raceway_length(survey.plan, own)).map(|(length, _)| length),
        drawn: own.and_then(|own| drawn_length(survey.plan, own)),
        runs: sharing.iter().filter_map(first).collect(),
        cables: sharing
            .iter()
            .filter_map(|run| survey.pulled.get(*run)?.cable())
            .map(|own| own.cable.id.clone())
            .collect(),
        count: diameters.len(),
        carrying: survey.carrying(&settled.routing, number),
        fill_pct: filled.as_ref().map(|filled| filled.share.get::<percent>()),
        limit_pct: filled.as_ref().map(|filled| filled.limit.get::<percent>()),
        taken_mm2: filled.as_ref().map_or_else(
            || circles.sum::<f64>() * std::f64::consts::FRAC_PI_4,
            |f| f.taken.get::<square_millimeter>(),
        ),
        least_bore_mm: (!diameters.is_empty()).then(|| fill::least_bore(&diameters).get::<millimeter>()),
        unknown: sharing.iter().filter(|run| girth(run).is_none()).filter_map(first).collect(),
        working: filled.map(|filled| filled.working),
    }
}

/// Finds the run of each conductor.
pub(super) fn by_conductor(report: &RoutesReport) -> HashMap<&ConductorId, &RunReport> {
    report.runs.values().flat_map(|run| run.conductors.iter().map(move |id| (id, run))).collect()
}
