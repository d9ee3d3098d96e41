//! Runs and raceways with their figures.

use std::collections::BTreeMap;

use foldhash::HashMap;
use serde::Serialize;
use uom::si::area::square_millimeter;
use uom::si::f64::Length;
use uom::si::length::{meter, millimeter};
use uom::si::ratio::percent;

use super::cables::{self, CableReport, Shared};
use super::survey::{Survey, company};
use crate::job::conductor::{ConductorId, Of};
use crate::job::layout::{drawn_length, raceway_length};
use crate::job::run::{Piece, PieceId, Run};
use crate::job::subject::Subject;
use crate::job::value::{LocationId, RacewayId};
use crate::job::wiring::{ConductorRoute, ConductorRoutes};
use crate::trade::conductor::Size;
use crate::trade::quantity::Quantity;
use crate::trade::route::settle::{Girth, SettledRoutes};
use crate::trade::route::{Cut, RacewayRoom, Way, fill};
use crate::trade::source::CUT_ALLOWANCES;
use crate::trade::working::{self, Numbers, Working};

/// The routes of a job: every run and raceway.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct RoutesReport {
    /// Each run by the id of its first wire, or of its cable.
    pub runs: BTreeMap<PieceId, RunReport>,
    /// Each raceway by its id.
    pub raceways: BTreeMap<RacewayId, RacewayReport>,
    /// How often the sizes were calculated until routes, fill and sizes agreed.
    pub rounds: usize,
}

impl RoutesReport {
    /// What each conductor gets from its route.
    pub fn ways(&self) -> ConductorRoutes {
        let along = |run: &RunReport| ConductorRoute {
            length: run.cut.as_ref().map(|cut| Length::new::<meter>(cut.total_m)),
            engine_space: run.engine_space,
            company: run.company,
        };
        let runs = self.runs.values().filter(|run| run.by.is_some());
        runs.flat_map(|run| run.conductors.iter().map(move |id| (id.clone(), along(run)))).collect()
    }

    /// The run that a wire or cable is pulled in.
    pub fn run_of<'a>(&self, piece: impl Into<Piece<'a>>) -> Option<&RunReport> {
        match piece.into() {
            Piece::Wire(wire) => self.runs.values().find(|run| run.conductors.contains(&wire.id)),
            Piece::Cable(own) => self.runs.get(own.cable.id.as_str()),
        }
    }

    /// The runs that a circuit, feeder or cable is pulled in.
    pub fn of<'a>(&'a self, subject: &'a Subject) -> impl Iterator<Item = (&'a PieceId, &'a RunReport)> {
        self.runs.iter().filter(move |(_, run)| run.subject == *subject)
    }

    /// What only a cable has, by the id of the cable.
    pub fn cable(&self, id: &PieceId) -> Option<&CableReport> {
        self.runs.get(id)?.cable.as_ref()
    }

    pub(super) fn cable_mut(&mut self, id: &PieceId) -> Option<&mut CableReport> {
        self.runs.get_mut(id)?.cable.as_mut()
    }

    /// The runs of wires.
    pub fn of_wires(&self) -> impl Iterator<Item = (&PieceId, &RunReport)> {
        self.runs.iter().filter(|(_, run)| run.cable.is_none())
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

/// What is pulled together from one location to another: wires of a circuit or feeder, or one cable.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunReport {
    /// The circuit or feeder, or the cable.
    #[serde(flatten)]
    pub subject: Subject,
    /// Its wires; none for a cable.
    pub conductors: Vec<ConductorId>,
    /// Their sizes, given or chosen.
    pub sizes: Vec<Option<Size>>,
    /// Whether they are in one jacket.
    pub jacketed: bool,
    /// The location where it begins, and the one where it ends. Wires begin nearer the source, a cable at its
    /// device.
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
    /// The length of its route; `None` if a raceway on it is of unknown length.
    pub path_m: Option<f64>,
    /// The length to cut, with its parts; `None` if that of its route is not known, or for a cable of a made length.
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
    /// What only a cable has.
    pub cable: Option<CableReport>,
}

/// The contents of a raceway.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RacewayReport {
    /// Its length, measured or from the drawing.
    pub length_m: Option<f64>,
    /// How the length is calculated, if it comes from the drawing.
    pub drawn: Option<Working>,
    /// The runs in it.
    pub runs: Vec<PieceId>,
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
    pub unknown: Vec<PieceId>,
    /// How the fill is calculated.
    pub working: Option<Working>,
}

/// What lies in the raceways: the outside diameters of each run, and the current-carrying conductors in each.
struct Lying {
    girths: Vec<Girth>,
    carrying: Vec<usize>,
}

/// Makes the report of the settled routes.
pub(super) fn draw_up(survey: &Survey<'_>, settled: &SettledRoutes, sizes: &[Option<Size>]) -> RoutesReport {
    let lying = Lying { girths: survey.girths(sizes), carrying: survey.carrying_each(&settled.routing) };
    let runs = survey.pulled.iter().enumerate().filter_map(|(number, pulled)| {
        Some((survey.id(number)?, run(survey, settled, sizes, &lying, number, pulled)?))
    });
    let raceways = survey.plan.raceways.iter().enumerate();
    RoutesReport {
        runs: runs.collect(),
        raceways: raceways
            .map(|(number, given)| (given.id.clone(), raceway(survey, settled, &lying, number)))
            .collect(),
        rounds: settled.rounds,
    }
}

fn run(
    survey: &Survey<'_>,
    settled: &SettledRoutes,
    sizes: &[Option<Size>],
    lying: &Lying,
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
    let is_measured = !pulled.wires().is_empty() && survey.wires(pulled).all(|wire| wire.measured);
    let is_made = pulled.cable().is_some_and(|own| own.made_length().is_some());
    let report = RunReport {
        subject: survey.part_of(number)?,
        conductors: survey.wires(pulled).map(|wire| wire.id.clone()).collect(),
        sizes: own,
        jacketed,
        between: [near?, far?],
        raceways: way.map(|way| survey.raceway_ids(way)).unwrap_or_default(),
        why: why(by, &full, detour_m),
        by,
        full,
        detour_m,
        path_m: way.and_then(|way| way.length).map(|length| length.get::<meter>()),
        cut: way.filter(|_| !is_made).and_then(|way| survey.cut(number, way)),
        length_given: given || is_measured,
        company: way.map_or(0, |way| company(&lying.carrying, way)),
        engine_space: way.is_some_and(|way| survey.is_hot(number, way)),
        path: way.and_then(|way| path(survey, way)),
        outside: lying.girths.get(number).and_then(Option::as_ref).map(|girth| Survey::girth_words(girth)),
        cable: None,
    };
    let shared =
        Shared { between: wanted.between, way, raceways: &report.raceways, cut: report.cut.as_ref() };
    let cable = pulled.cable().map(|own| cables::report(survey, own.cable, shared));
    Some(RunReport { cable, ..report })
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

fn raceway(survey: &Survey<'_>, settled: &SettledRoutes, lying: &Lying, number: usize) -> RacewayReport {
    let sharing: Vec<usize> = settled.routing.sharing(number).collect();
    let girth = |run: &usize| lying.girths.get(*run).and_then(Option::as_ref);
    let diameters: Vec<Length> = sharing.iter().filter_map(girth).flatten().copied().collect();
    let id = |run: &usize| survey.id(*run);
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
        runs: sharing.iter().filter_map(id).collect(),
        count: diameters.len(),
        carrying: lying.carrying.get(number).copied().unwrap_or_default(),
        fill_pct: filled.as_ref().map(|filled| filled.share.get::<percent>()),
        limit_pct: filled.as_ref().map(|filled| filled.limit.get::<percent>()),
        taken_mm2: filled.as_ref().map_or_else(
            || circles.sum::<f64>() * std::f64::consts::FRAC_PI_4,
            |f| f.taken.get::<square_millimeter>(),
        ),
        least_bore_mm: (!diameters.is_empty()).then(|| fill::least_bore(&diameters).get::<millimeter>()),
        unknown: sharing.iter().filter(|run| girth(run).is_none()).filter_map(id).collect(),
        working: filled.map(|filled| filled.working),
    }
}

/// Finds the run of each conductor.
pub(super) fn by_conductor(report: &RoutesReport) -> HashMap<&ConductorId, &RunReport> {
    report.runs.values().flat_map(|run| run.conductors.iter().map(move |id| (id, run))).collect()
}
