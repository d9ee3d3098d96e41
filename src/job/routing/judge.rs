//! Findings about routes, conduit fill and cables.

use foldhash::HashSet;
use uom::si::f64::Length;
use uom::si::length::{meter, millimeter};

use super::cables::CableReport;
use super::report::{RacewayReport, RoutesReport, by_conductor};
use super::survey::Survey;
use crate::job::conductor::Of;
use crate::job::finding::Finding as Said;
use crate::job::plan::Raceway;
use crate::job::run::cable::DeviceCable;
use crate::job::run::{PieceId, Run};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::wiring::Conductors;
use crate::trade::finding::{Code, Level, RuleFinding};
use crate::trade::route::settle::SettledRoutes;
use crate::trade::route::{Cut, RacewayRoom, fill};
use crate::trade::say::{Part, say};
use crate::trade::units::{count, meters, mm, percent};
use crate::trade::working::keeps_to;

/// Half a millimeter: a smaller difference comes from rounding.
const TOLERANCE_M: f64 = 0.0005;

/// Every finding about routes, raceways and cables.
pub(super) fn all(
    survey: &Survey<'_>,
    settled: &SettledRoutes,
    report: &RoutesReport,
    conductors: &Conductors,
) -> Vec<Said> {
    let mut judge = Judge { survey, settled, report, conductors, said: Vec::new() };
    judge.runs();
    judge.broken();
    judge.within_one_location();
    judge.given_lengths();
    judge.raceways();
    judge.cables();
    judge.said
}

struct Judge<'s, 'a> {
    survey: &'s Survey<'a>,
    settled: &'s SettledRoutes,
    report: &'s RoutesReport,
    conductors: &'s Conductors,
    said: Vec<Said>,
}

impl Judge<'_, '_> {
    fn say(&mut self, subject: Subject, finding: RuleFinding) {
        self.said.push(Said::about(subject, finding));
    }

    fn runs(&mut self) {
        let survey = self.survey;
        if survey.plan.raceways.is_empty() {
            if !survey.runs().is_empty() {
                let text =
                    say!("No raceways are entered. Routes, fill and bundles are not checked. Add raceways.");
                self.say(Subject::new(SubjectKind::Job, "job"), RuleFinding::new(Code::NotChecked, text));
            }
            return;
        }
        let mut told = HashSet::default();
        for (number, run) in survey.runs().iter().enumerate() {
            let Some(subject) = survey.subject(number) else { continue };
            match self.settled.routing.ways.get(number) {
                Some(Some(_)) => self.round(number, &subject),
                _ if told.insert((subject.clone(), run.between)) => self.no_way(number, subject),
                _ => {}
            }
        }
        if self.settled.cut_off {
            let text = say!("Routes and sizes keep changing each other. Set sizes or routes by hand.");
            self.say(Subject::new(SubjectKind::Job, "job"), RuleFinding::new(Code::RoutesNotSettled, text));
        }
    }

    /// A finding that a full raceway changed the route, or that route and size keep changing each other.
    fn round(&mut self, number: usize, subject: &Subject) {
        let called = self.survey.thing(number).map_or_else(|| Part::from("this run"), Part::from);
        let closed = self.settled.routing.closed.get(number).into_iter().flatten();
        let full: Vec<Part> =
            closed.filter_map(|raceway| Some(Part::from(&self.survey.raceway(*raceway)?.id))).collect();
        if !full.is_empty() {
            let way = self.settled.routing.ways.get(number).and_then(Option::as_ref);
            let by = way.map(|way| self.survey.raceway_ids(way)).unwrap_or_default();
            let text = match full.len() {
                1 => say!(
                    "{} is full. {} runs through {} instead.",
                    Part::all(full),
                    called.clone(),
                    Part::all(&by)
                ),
                _ => say!(
                    "{} are full. {} runs through {} instead.",
                    Part::all(full),
                    called.clone(),
                    Part::all(&by)
                ),
            };
            self.say(subject.clone(), RuleFinding::new(Code::Rerouted, text));
        }
        if self.settled.held.contains(&number) {
            let text = say!(
                "The size of {} and its route keep changing each other. Fill is counted with its largest size. Give it \
                 a size or a route.",
                called
            );
            self.say(subject.clone(), RuleFinding::new(Code::RoutesNotSettled, text));
        }
    }

    /// A finding that a run has no route. If its length is entered, only the other runs in its raceways are
    /// unknown.
    fn no_way(&mut self, number: usize, subject: Subject) {
        let Some(run) = self.survey.runs().get(number) else { return };
        let [near, far] = run.between;
        let text = say!(
            "No raceways lead from {} to {}. Add one that joins {} to {}.",
            self.location(near),
            self.location(far),
            self.side(near),
            self.side(far)
        );
        let wires = self.survey.pulled.get(number).filter(|run| run.cable().is_none());
        let ids = wires.into_iter().flat_map(|run| self.survey.wires(run)).map(|wire| wire.id.as_str());
        let known = |id: &str| self.conductors.get(id).is_some_and(|wire| wire.length.is_some());
        let mut finding = RuleFinding::new(Code::NoRacewayBetween, text);
        if wires.is_some() && ids.into_iter().all(known) {
            finding.level = Level::Note;
            finding.text =
                finding.text.then(say!("Its length is entered; fill and bundles do not count it."));
        }
        self.say(subject, finding);
    }

    fn location(&self, location: usize) -> Part {
        self.survey
            .location(location)
            .map_or_else(|| Part::from("its end"), |location| Part::from(&location.id))
    }

    /// A location with the locations that raceways connect to it.
    fn side(&self, location: usize) -> Part {
        let mut reached: Vec<usize> = self.survey.map().reached_from(location).into_iter().collect();
        reached.sort_unstable();
        match reached.as_slice() {
            [only] => self.location(*only),
            several if several.len() <= 4 => Part::any(several.iter().map(|one| self.location(*one))),
            several => {
                let (count, here) = (count(several.len()), self.location(location));
                say!("one of the {} locations around {}", count, here).into()
            }
        }
    }

    fn broken(&mut self) {
        for broken in &self.survey.broken {
            let text = say!(
                "The route set by hand does not lead there. {} The shortest route is used instead. Correct the route.",
                broken.why.clone()
            );
            self.said.push(Said::about(broken.subject.clone(), RuleFinding::new(Code::RouteInvalid, text)));
        }
    }

    /// Wires of unknown length, because both ends are at one location.
    fn within_one_location(&mut self) {
        for wire in self.conductors.all().iter().filter(|wire| wire.length.is_none()) {
            let locations = [&wire.from, &wire.to].map(|landing| landing.location(self.survey.plan));
            let [Some(one), Some(other)] = locations else { continue };
            if one == other {
                let subject = match &wire.of {
                    Of::Circuit(_) => Subject::new(SubjectKind::Conductor, &wire.id),
                    Of::Feeder(id) => Subject::new(SubjectKind::Feeder, id),
                };
                let text =
                    say!("Both its ends are at {}, so no raceway gives its length. Enter its length.", one);
                self.say(subject, RuleFinding::new(Code::LengthWithinLocation, text));
            }
        }
    }

    /// Entered lengths that are shorter than the raceways, or leave too little at the ends.
    fn given_lengths(&mut self) {
        let ways = by_conductor(self.report);
        let asked = |id| ways.get(id).and_then(|run| Some(Asked::of(run.cut.as_ref()?)));
        let mut short = Vec::new();
        for wire in self.conductors.all().iter().filter(|wire| wire.measured) {
            let subject = match &wire.of {
                Of::Circuit(_) => Subject::new(SubjectKind::Conductor, &wire.id),
                Of::Feeder(id) => Subject::new(SubjectKind::Feeder, id),
            };
            let given = wire.length.map(|length| length.get::<meter>());
            short.extend(given.zip(asked(&wire.id)).and_then(|(given, asked)| under(subject, given, asked)));
        }
        for circuit in &self.survey.plan.circuits {
            let Some(given) = circuit.length_m.map(|length| length.number()) else { continue };
            let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
            let out = |device: usize| {
                let out = self.conductors.path(circuit, device).out;
                out.into_iter().filter_map(|wire| asked(&wire.id)).fold(Asked::NOTHING, Asked::and)
            };
            let longest = (0..circuit.legs.len()).map(out).fold(Asked::NOTHING, Asked::longer);
            short.extend(under(subject, given, longest));
        }
        self.said.extend(short);
    }

    fn raceways(&mut self) {
        for (number, raceway) in self.survey.plan.raceways.iter().enumerate() {
            let Some(report) = self.report.raceways.get(&raceway.id) else { continue };
            if report.runs.is_empty() {
                continue;
            }
            for finding in self.of_raceway(number, raceway, report) {
                self.say(Subject::new(SubjectKind::Raceway, &raceway.id), finding);
            }
        }
    }

    fn of_raceway(&self, number: usize, raceway: &Raceway, report: &RacewayReport) -> Vec<RuleFinding> {
        let mut said = Vec::new();
        let room = self.survey.map().raceways().get(number).map(|raceway| raceway.room);
        if report.length_m.is_none() && self.needs_length(report) {
            said.push(RuleFinding::missing(
                "the length of this raceway",
                "the length of what runs through it",
            ));
        }
        if room == Some(RacewayRoom::Unknown) {
            said.push(RuleFinding::missing("the inner diameter", "the fill of the raceway"));
        }
        if matches!(room, Some(RacewayRoom::Bore(_))) && !report.unknown.is_empty() {
            // The diameter of a cable is always known, so these are wires.
            let runs = Part::all(report.unknown.iter().map(|id| Subject::new(SubjectKind::Conductor, id)));
            said.push(RuleFinding::missing(
                say!("the size of {}", runs),
                "the fill of the raceway with all that is in it",
            ));
        }
        if let (Some(share), Some(limit)) = (report.fill_pct, report.limit_pct)
            && !keeps_to(share, limit)
        {
            said.push(self.over_full(number, raceway, report, share, limit));
        }
        said
    }

    /// Whether a raceway has a run with no length except that of its route.
    fn needs_length(&self, report: &RacewayReport) -> bool {
        let given = |id: &PieceId| self.report.runs.get(id).is_some_and(|run| run.length_given);
        report.runs.iter().any(|id| !given(id))
    }

    fn over_full(
        &self,
        number: usize,
        raceway: &Raceway,
        report: &RacewayReport,
        share: f64,
        limit: f64,
    ) -> RuleFinding {
        let bore = report.least_bore_mm.map_or(0.0, f64::ceil);
        let [one, other] = &raceway.between;
        let (second, runs) = self.second_bore(number);
        let text = say!(
            "It is filled to {}; the limit is {}. Nothing in it has another route with room. Use a bore of {}, or a \
             second raceway of {} between {} and {} for {}.",
            percent(share).beside(limit),
            percent(limit),
            mm(bore),
            mm(second),
            one,
            other,
            Part::all(runs)
        );
        let finding = RuleFinding::new(Code::RacewayOverfilled, text).against(share, limit, "%");
        match &report.working {
            Some(working) => finding.working(working.clone()),
            None => finding,
        }
    }

    /// The bore for the runs that do not fit, and these runs: the thinnest ones whose removal leaves enough room.
    fn second_bore(&self, number: usize) -> (f64, Vec<Subject>) {
        let Some(RacewayRoom::Bore(bore)) =
            self.survey.map().raceways().get(number).map(|raceway| raceway.room)
        else {
            return (0.0, Vec::new());
        };
        let girth = |run: usize| self.settled.girths.get(run).cloned().flatten().unwrap_or_default();
        let mut staying: Vec<(usize, Vec<Length>)> =
            self.settled.routing.sharing(number).map(|run| (run, girth(run))).collect();
        let area = |girth: &[Length]| girth.iter().map(|d| d.get::<millimeter>().powi(2)).sum::<f64>();
        staying.sort_by(|(_, one), (_, other)| area(other).total_cmp(&area(one)));
        let mut leaving = Vec::new();
        let all = |runs: &[(usize, Vec<Length>)]| -> Vec<Length> {
            runs.iter().flat_map(|(_, girth)| girth.iter().copied()).collect()
        };
        while !staying.is_empty() && !fill::fits(bore, &all(&staying)) {
            leaving.extend(staying.pop());
        }
        let runs = leaving.iter().filter_map(|(run, _)| self.survey.thing(*run)).collect();
        (fill::least_bore(&all(&leaving)).get::<millimeter>().ceil(), runs)
    }

    fn cables(&mut self) {
        for own in self.survey.pulled.iter().filter_map(Run::cable) {
            let Some(report) = self.report.cable(&PieceId::from(&own.cable.id)) else { continue };
            for finding in of_cable(own, report) {
                self.say(Subject::new(SubjectKind::Device, &own.device.id), finding);
            }
        }
    }
}

/// The minimum of an entered length for a route, in meters.
#[derive(Clone, Copy)]
struct Asked {
    /// The length of the raceways alone.
    path_m: f64,
    /// The same with rises, service loops and drip loops at both ends. A measured length needs no allowance for
    /// waste.
    whole_m: f64,
}

impl Asked {
    const NOTHING: Self = Self { path_m: 0.0, whole_m: 0.0 };

    fn of(cut: &Cut) -> Self {
        Self { path_m: cut.path_m, whole_m: cut.total_m - cut.waste_m }
    }

    fn and(self, other: Self) -> Self {
        Self { path_m: self.path_m + other.path_m, whole_m: self.whole_m + other.whole_m }
    }

    fn longer(self, other: Self) -> Self {
        if other.whole_m > self.whole_m { other } else { self }
    }
}

/// Compares an entered length with its route. A length below that of the raceways is a mistake. Rises and loops
/// are estimates, so a length below their sum only needs a check before the wire is cut.
fn under(subject: Subject, given: f64, asked: Asked) -> Option<Said> {
    let (code, text, limit) = if given + TOLERANCE_M < asked.path_m {
        let text = say!(
            "{} entered; the route through the raceways needs {}. Add {} or measure again, or set its route.",
            meters(given).beside(asked.path_m),
            meters(asked.path_m),
            meters(asked.path_m - given)
        );
        (Code::LengthUnderRoute, text, asked.path_m)
    } else if given + TOLERANCE_M < asked.whole_m {
        let text = say!(
            "{} entered; the route needs {} with rises and loops at its ends. Add {} or measure again before you cut.",
            meters(given).beside(asked.whole_m),
            meters(asked.whole_m),
            meters(asked.whole_m - given)
        );
        (Code::LengthWithoutSlack, text, asked.whole_m)
    } else {
        return None;
    };
    Some(Said::about(subject, RuleFinding::new(code, text).against(given, limit, "m")))
}

fn of_cable(DeviceCable { cable, .. }: DeviceCable<'_>, report: &CableReport) -> Vec<RuleFinding> {
    let mut said = Vec::new();
    let short = report.reach.as_ref().filter(|reach| !reach.reaches());
    if let Some((reach, length)) = short.zip(cable.length_m) {
        let text = say!(
            "The {} is {} long; the route needs {}. {}",
            cable.kind.words(),
            meters(length.number()).beside(reach.needed_m),
            meters(reach.needed_m),
            report.verdict.clone()
        );
        let against = (length.number(), reach.needed_m);
        let finding = RuleFinding::new(Code::CableTooShort, text).against(against.0, against.1, "m");
        said.push(finding.working(reach.working.clone()));
        let wet = reach.join.as_ref().is_some_and(|join| !join.dry);
        if wet && !cable.sealed_join {
            let text = say!(
                "The join in the {} would lie in a wet location and is not marked sealed. Seal it with adhesive-lined \
                 heat shrink, or get a longer cable.",
                cable.kind.words()
            );
            said.push(RuleFinding::new(Code::JoinInWetLocation, text));
        }
    }
    if let (Some(width), false) = (cable.hauled_mm(), report.connector_stops_at.is_empty()) {
        let at = Part::all(&report.connector_stops_at);
        let text = say!(
            "The connector is {} wide and does not pass {}. Remove it for the pull, if its manufacturer allows it, or \
             use another route.",
            mm(width.number()),
            at
        );
        said.push(RuleFinding::new(Code::ConnectorTooWide, text));
    }
    said.extend(in_order(report));
    said
}

/// The finding about the order of pulling, if the connector requires one.
fn in_order(report: &CableReport) -> Option<RuleFinding> {
    let (width, first) = (report.connector_mm?, report.first_because.as_ref()?);
    let tight = report.stuck_beside.as_ref().unwrap_or(first);
    let room = match tight.all_known {
        true => say!("leaves {}", mm(tight.left_mm.max(0.0))),
        false => say!("is of partly unknown thickness"),
    };
    let (width_mm, beside) = (mm(width), Part::all(tight.beside.iter().cloned()));
    let finding = match &report.stuck_beside {
        None => {
            let text = say!(
                "Pull this cable first. Its connector is {} wide; what would lie in {} before it ({}) {}.",
                width_mm,
                &tight.raceway,
                beside,
                room
            );
            RuleFinding::new(Code::PullFirst, text)
        }
        Some(_) => {
            let text = say!(
                "The connector is {} wide and passes {} alone, but not beside what is pulled first. That ({}) {}. \
                 Remove one of the connectors, if its manufacturer allows it, or use another route.",
                width_mm,
                &tight.raceway,
                beside,
                room
            );
            RuleFinding::new(Code::ConnectorTooWide, text).against(width, tight.left_mm, "mm")
        }
    };
    Some(finding.working(tight.working.clone()))
}
