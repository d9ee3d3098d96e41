//! What is wrong with ways, fill and factory cables.

use std::collections::HashSet;

use uom::si::f64::Length;
use uom::si::length::{meter, millimeter};

use super::cables::CableReport;
use super::report::{RacewayReport, RoutesReport, by_conductor};
use super::survey::Survey;
use crate::job::finding::Finding as Said;
use crate::job::plan::{Device, FactoryCable, Raceway};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::wiring::{Conductors, Of};
use crate::trade::finding::{Code, Finding, Level};
use crate::trade::route::settle::Settled;
use crate::trade::route::{Cut, RacewayRoom, fill};
use crate::trade::working::{figure, keeps_to};

/// Half a millimeter: less is rounding.
const TOLERANCE_M: f64 = 0.0005;

/// Every finding about ways, raceways and factory cables.
pub(super) fn all(
    survey: &Survey<'_>,
    settled: &Settled,
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
    settled: &'s Settled,
    report: &'s RoutesReport,
    conductors: &'s Conductors,
    said: Vec<Said>,
}

impl Judge<'_, '_> {
    fn say(&mut self, subject: Subject, finding: Finding) {
        self.said.push(Said::about(subject, finding));
    }

    fn runs(&mut self) {
        let survey = self.survey;
        if survey.plan.raceways.is_empty() {
            if !survey.runs().is_empty() {
                let text = "no raceway is given: ways, fill and bundles were not checked";
                self.say(Subject::new(SubjectKind::Job, "job"), Finding::new(Code::NotChecked, text));
            }
            return;
        }
        let mut told = HashSet::new();
        for (number, run) in survey.runs().iter().enumerate() {
            let Some(subject) = survey.subject(number) else { continue };
            match self.settled.routing.ways.get(number) {
                Some(Some(_)) => self.round(number, &subject),
                _ if told.insert((subject.clone(), run.between)) => self.no_way(number, subject),
                _ => {}
            }
        }
        if self.settled.cut_off {
            let text = "ways and sizes did not come to an agreement: give sizes or routes by hand";
            self.say(Subject::new(SubjectKind::Job, "job"), Finding::new(Code::RoutesDoNotSettle, text));
        }
    }

    /// A full raceway sent it another way, or its way and its size keep changing each other.
    fn round(&mut self, number: usize, subject: &Subject) {
        let called = self.survey.called(number);
        let closed = self.settled.routing.closed.get(number).into_iter().flatten();
        let full: Vec<&str> =
            closed.filter_map(|raceway| Some(self.survey.raceway(*raceway)?.id.as_str())).collect();
        if !full.is_empty() {
            let way = self.settled.routing.ways.get(number).and_then(Option::as_ref);
            let by = way.map(|way| self.survey.raceway_ids(way)).unwrap_or_default();
            let by: Vec<&str> = by.iter().map(|id| id.as_str()).collect();
            let text = format!("{} is full: {called} goes by {} instead", full.join(" and "), by.join(", "));
            self.say(subject.clone(), Finding::new(Code::GoesRound, text));
        }
        if self.settled.held.contains(&number) {
            let text = format!(
                "the size of {called} and its way keep changing each other: raceways are filled as if it were as \
                 thick as it ever was. Give it a size or a route"
            );
            self.say(subject.clone(), Finding::new(Code::RoutesDoNotSettle, text));
        }
    }

    /// Where its length is given, a missing way only means that nobody knows who it lies with.
    fn no_way(&mut self, number: usize, subject: Subject) {
        let Some(run) = self.survey.runs().get(number) else { return };
        let [near, far] = run.between;
        let name =
            |location: usize| self.survey.location(location).map_or("", |location| location.name.as_str());
        let text = format!(
            "no raceways lead from {} to {}: add one that joins {} to {}",
            name(near),
            name(far),
            self.side(near),
            self.side(far)
        );
        let pull = self.survey.pulls.get(number);
        let ids = pull.into_iter().flat_map(|pull| self.survey.wires(pull)).map(|wire| wire.id.as_str());
        let known = |id: &str| self.conductors.get(id).is_some_and(|wire| wire.length.is_some());
        let mut finding = Finding::new(Code::NoWayBetween, text);
        if pull.is_some() && ids.into_iter().all(known) {
            finding.level = Level::Note;
            finding.text.push_str(". Its length is given; fill and bundles do not count it");
        }
        self.say(subject, finding);
    }

    /// A location with those it is joined to, in words.
    fn side(&self, location: usize) -> String {
        let mut reached: Vec<usize> = self.survey.map().reached_from(location).into_iter().collect();
        reached.sort_unstable();
        let name =
            |location: &usize| self.survey.location(*location).map_or("", |location| location.name.as_str());
        match reached.as_slice() {
            [only] => name(only).to_owned(),
            several if several.len() <= 4 => {
                format!("one of {}", several.iter().map(name).collect::<Vec<_>>().join(", "))
            }
            several => format!("one of the {} locations around {}", several.len(), name(&location)),
        }
    }

    fn broken(&mut self) {
        for broken in &self.survey.broken {
            let text = format!(
                "the route set by hand does not lead there, because {}: the shortest way is taken instead",
                broken.why
            );
            self.said.push(Said::about(broken.subject.clone(), Finding::new(Code::RouteBroken, text)));
        }
    }

    /// Wires whose length nothing tells, because both ends are at one location.
    fn within_one_location(&mut self) {
        for wire in self.conductors.all().iter().filter(|wire| wire.length.is_none()) {
            let locations = [&wire.from, &wire.to].map(|landing| landing.location(self.survey.plan));
            let [Some(one), Some(other)] = locations else { continue };
            if one == other {
                let name =
                    self.survey.plan.location(one).map_or(one.as_str(), |location| location.name.as_str());
                let subject = match &wire.of {
                    Of::Circuit(_) => Subject::new(SubjectKind::Conductor, &wire.id),
                    Of::Feeder(id) => Subject::new(SubjectKind::Feeder, id),
                };
                let text = format!(
                    "both its ends are at {name}: no raceway tells how long it is, so give its length"
                );
                self.say(subject, Finding::new(Code::WithinOneLocation, text));
            }
        }
    }

    /// Lengths that are given and do not get through the raceways, or leave too little at the ends.
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
            let longest = (0..circuit.devices.len()).map(out).fold(Asked::NOTHING, Asked::longer);
            short.extend(under(subject, given, longest));
        }
        self.said.extend(short);
    }

    fn raceways(&mut self) {
        for (number, raceway) in self.survey.plan.raceways.iter().enumerate() {
            let Some(report) = self.report.raceways.get(&raceway.id) else { continue };
            if report.runs.is_empty() && report.cables.is_empty() {
                continue;
            }
            for finding in self.of_raceway(number, raceway, report) {
                self.say(Subject::new(SubjectKind::Raceway, &raceway.id), finding);
            }
        }
    }

    fn of_raceway(&self, number: usize, raceway: &Raceway, report: &RacewayReport) -> Vec<Finding> {
        let mut said = Vec::new();
        let room = self.survey.map().raceways().get(number).map(|raceway| raceway.room);
        if report.length_m.is_none() && self.needs_length(report) {
            said.push(Finding::missing("length", "length of what runs through it"));
        }
        if room == Some(RacewayRoom::Unknown) {
            said.push(Finding::missing("inner diameter", "fill of the raceway"));
        }
        if matches!(room, Some(RacewayRoom::Bore(_))) && !report.unknown.is_empty() {
            let runs = report.unknown.iter().map(|id| id.as_str()).collect::<Vec<_>>().join(", ");
            said.push(Finding::missing(
                &format!("size of {runs}"),
                "fill of the raceway with all that is in it",
            ));
        }
        if let (Some(share), Some(limit)) = (report.fill_pct, report.limit_pct)
            && !keeps_to(share, limit)
        {
            said.push(self.over_full(number, raceway, report, share, limit));
        }
        said
    }

    /// Whether some run in a raceway has no length but that of its way.
    fn needs_length(&self, report: &RacewayReport) -> bool {
        let given = |id| self.report.runs.get(id).is_some_and(|run| run.length_given);
        !report.cables.is_empty() || report.runs.iter().any(|id| !given(id))
    }

    fn over_full(
        &self,
        number: usize,
        raceway: &Raceway,
        report: &RacewayReport,
        share: f64,
        limit: f64,
    ) -> Finding {
        let bore = report.least_bore_mm.map_or(0.0, f64::ceil);
        let [one, other] = raceway.between.each_ref().map(|id| self.survey.plan.location(id));
        let name = |location: Option<&crate::job::plan::Location>| {
            location.map_or_else(String::new, |location| location.name.to_string())
        };
        let (second, runs) = self.second_bore(number);
        let text = format!(
            "filled to {} % of the {} % that may be, and nothing in it has another way with room. It takes a bore \
             of {bore} mm, or a second raceway of {second} mm between {} and {} for {runs}",
            figure(share.round()),
            figure(limit.round()),
            name(one),
            name(other)
        );
        let finding = Finding::new(Code::RacewayOverFull, text).against(share, limit, "%");
        match &report.working {
            Some(working) => finding.working(working.clone()),
            None => finding,
        }
    }

    /// The bore that takes what is too much, and what that is: the thinnest runs that leave room for the rest.
    fn second_bore(&self, number: usize) -> (f64, String) {
        let Some(RacewayRoom::Bore(bore)) =
            self.survey.map().raceways().get(number).map(|raceway| raceway.room)
        else {
            return (0.0, String::new());
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
        let names = leaving.iter().map(|(run, _)| self.survey.called(*run)).collect::<Vec<_>>().join(", ");
        (fill::least_bore(&all(&leaving)).get::<millimeter>().ceil(), names)
    }

    fn cables(&mut self) {
        for (device, cable) in &self.survey.cables {
            let Some(report) = self.report.cables.get(&device.id) else { continue };
            for finding in of_cable(device, cable, report) {
                self.say(Subject::new(SubjectKind::Device, &device.id), finding);
            }
        }
    }
}

/// What a way asks of a length that somebody gives, in meters.
#[derive(Clone, Copy)]
struct Asked {
    /// Through the raceways alone.
    path_m: f64,
    /// The same with rises, service loops and drip loops at both ends; nothing is wasted of what is measured.
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

/// A given length beside what its way asks for. Less than the raceways is a mistake; rises and loops are
/// estimates, so that less than those is a thing to look at before the wire is cut.
fn under(subject: Subject, given: f64, asked: Asked) -> Option<Said> {
    let meters = |length: f64| figure((length * 1000.0).round() / 1000.0);
    let (code, text, limit) = if given + TOLERANCE_M < asked.path_m {
        let text = format!(
            "{} m is given, and its way along the raceways is {} m already, {} m more: measure again, or set its \
             route",
            figure(given),
            meters(asked.path_m),
            meters(asked.path_m - given)
        );
        (Code::LengthUnderRoute, text, asked.path_m)
    } else if given + TOLERANCE_M < asked.whole_m {
        let text = format!(
            "{} m is given, and its way asks for {} m with rises and loops at its ends: {} m are missing. Measure \
             again before it is cut",
            figure(given),
            meters(asked.whole_m),
            meters(asked.whole_m - given)
        );
        (Code::LengthWithoutSlack, text, asked.whole_m)
    } else {
        return None;
    };
    Some(Said::about(subject, Finding::new(code, text).against(given, limit, "m")))
}

fn of_cable(device: &Device, cable: &FactoryCable, report: &CableReport) -> Vec<Finding> {
    let mut said = Vec::new();
    if let Some(reach) = report.reach.as_ref().filter(|reach| !reach.reaches()) {
        let text =
            format!("the {} of {} does not reach. {}", cable.kind.words(), device.name, report.verdict);
        let against = (cable.length_m.number(), reach.needed_m);
        let finding = Finding::new(Code::CableTooShort, text).against(against.0, against.1, "m");
        said.push(finding.working(reach.working.clone()));
        let wet = reach.join.as_ref().is_some_and(|join| !join.dry);
        if wet && !cable.sealed_join {
            let text = format!(
                "the join in the {} of {} would lie at a wet location, and nothing says that it is sealed: seal it with \
                 adhesive-lined heat shrink, or get a longer cable",
                cable.kind.words(),
                device.name
            );
            said.push(Finding::new(Code::JoinInBilge, text));
        }
    }
    if let (Some(width), false) = (cable.connector_mm, report.connector_stops_at.is_empty()) {
        let at = report.connector_stops_at.iter().map(|id| id.as_str()).collect::<Vec<_>>().join(", ");
        let text = format!(
            "the connector is {} mm wide and does not pass {at}: take it off and put it on again after the pull, if \
             its manufacturer allows it, or pull the cable another way",
            figure(width.number())
        );
        said.push(Finding::new(Code::ConnectorOverBore, text));
    }
    said.extend(in_order(device, report));
    said
}

/// What its connector asks of the order of pulling.
fn in_order(device: &Device, report: &CableReport) -> Option<Finding> {
    let (width, first) = (report.connector_mm?, report.first_because.as_ref()?);
    let tight = report.stuck_beside.as_ref().unwrap_or(first);
    let room = match tight.all_known {
        true => format!("leaves {} mm", figure((tight.left_mm.max(0.0) * 10.0).round() / 10.0)),
        false => "is of unknown thickness in part".to_owned(),
    };
    let (width_mm, beside) = (figure(width), tight.beside.join(", "));
    let finding = match &report.stuck_beside {
        None => {
            let text = format!(
                "pull the cable of {} first: its connector is {width_mm} mm wide, and what would lie in {} before it \
                 ({beside}) {room}",
                device.name, tight.raceway
            );
            Finding::new(Code::PullFirst, text)
        }
        Some(_) => {
            let text = format!(
                "the connector is {width_mm} mm wide and passes {} alone, but not beside what is pulled first as well \
                 ({beside}), which {room}: take one of the connectors off, if its manufacturer allows it, or pull one of \
                 the cables another way",
                tight.raceway
            );
            Finding::new(Code::ConnectorOverBore, text).against(width, tight.left_mm, "mm")
        }
    };
    Some(finding.working(tight.working.clone()))
}
