//! The names of the items of a plan, for findings: `Forward bilge pump (C06)` instead of an id alone.

use foldhash::HashMap;

use super::conductor::Landing;
use super::finding::Finding;
use super::plan::Plan;
use super::run::cable::{self, DeviceCable};
use super::subject::{Subject, SubjectKind};
use super::value::{BoardId, CircuitId, DeviceId, FeederId, LocationId, PointId, RacewayId};
use crate::trade::say::{Named, Part, Statement};

/// The names in one plan, by kind and id.
#[derive(Debug)]
pub struct Names<'a> {
    known: HashMap<(SubjectKind, &'a str), String>,
}

impl<'a> Names<'a> {
    /// The names of everything in a plan.
    pub fn of(plan: &'a Plan) -> Self {
        let mut known = HashMap::default();
        let mut add = |kind: SubjectKind, id: &'a str, name: String| {
            known.insert((kind, id), name);
        };
        plan.locations
            .iter()
            .for_each(|one| add(SubjectKind::Location, one.id.as_str(), one.name.to_string()));
        plan.boards.iter().for_each(|one| add(SubjectKind::Board, one.id.as_str(), one.name.to_string()));
        plan.circuits.iter().for_each(|one| add(SubjectKind::Circuit, one.id.as_str(), one.name.to_string()));
        plan.modes.iter().for_each(|one| add(SubjectKind::Mode, one.id.as_str(), one.name.to_string()));
        plan.removed.iter().for_each(|one| add(SubjectKind::Removed, one.id.as_str(), one.name.to_string()));
        for raceway in &plan.raceways {
            add(SubjectKind::Raceway, raceway.id.as_str(), plan.raceway_name(raceway));
        }
        for device in &plan.devices {
            add(SubjectKind::Device, device.id.as_str(), device.name.to_string());
        }
        cable::all(plan).for_each(|own| add(SubjectKind::Cable, own.cable.id.as_str(), own.called()));
        for point in &plan.points {
            let name = point
                .name
                .as_ref()
                .map_or_else(|| point.body.kind().word().replace('-', " "), ToString::to_string);
            add(SubjectKind::Point, point.id.as_str(), name);
        }
        plan.feeders.iter().for_each(|one| {
            add(SubjectKind::Feeder, one.id.as_str(), format!("feeder {}", plan.feeder_name(one)))
        });
        Self { known }
    }

    /// The name of an item; `None` for the job itself and for an item that the plan does not have.
    pub fn name(&self, kind: SubjectKind, id: &str) -> Option<String> {
        match kind {
            SubjectKind::Job | SubjectKind::Setting => None,
            SubjectKind::Position => self.position(id),
            SubjectKind::Conductor => self.conductor(id),
            SubjectKind::End => self.end(id),
            _ => self.known.get(&(kind, id)).cloned(),
        }
    }

    /// Adds the names of their subjects, and of everything their sentences mention, to findings.
    pub fn give(&self, findings: &mut [Finding]) {
        for finding in findings {
            finding.name = self.name(finding.subject.kind, &finding.subject.id);
            self.put_into(&mut finding.text);
        }
    }

    /// Adds the names of everything that it mentions to a sentence.
    pub fn put_into(&self, sentence: &mut Statement) {
        sentence.name_things(&|kind, id| self.name(kind.parse().ok()?, id));
    }

    /// The name of a position: `position 3 of Console panel` for `console-3`.
    fn position(&self, id: &str) -> Option<String> {
        let (point, number) = id.rsplit_once('-')?;
        let panel = self.known.get(&(SubjectKind::Point, point))?;
        Some(format!("position {number} of {panel}"))
    }

    /// The name of the wire or cable that an end belongs to.
    fn end(&self, id: &str) -> Option<String> {
        let id = id.strip_suffix(['a', 'b'])?;
        let cable = || self.known.get(&(SubjectKind::Cable, id.strip_suffix('-')?)).cloned();
        self.conductor(id).or_else(cable)
    }

    /// The name of a wire comes from its circuit or feeder.
    fn conductor(&self, id: &str) -> Option<String> {
        let of = |kind, id| Some(format!("wire of {}", self.known.get(&(kind, id))?));
        let circuit = || of(SubjectKind::Circuit, id.rsplit_once('-')?.0);
        circuit().or_else(|| of(SubjectKind::Feeder, id))
    }
}

/// The name of a distribution point or device, for a statement that no [`Names`] are added to.
pub fn landed(plan: &Plan, at: &Landing) -> Part {
    let name = match at {
        Landing::Point { id, .. } => plan.point(id).and_then(|point| point.name.as_ref()),
        Landing::Device(id) => plan.device(id).map(|device| &device.name),
    };
    Part::Named(Named {
        kind: at.subject().kind.word(),
        id: at.id().to_owned(),
        name: name.map(ToString::to_string),
    })
}

/// The name of an end of a cable, for a statement that no [`Names`] are added to.
pub fn end_of_cable(own: DeviceCable<'_>, id: &str) -> Part {
    let name = Some(own.called());
    Part::Named(Named { kind: SubjectKind::End.word(), id: id.to_owned(), name })
}

impl From<&Subject> for Part {
    fn from(subject: &Subject) -> Self {
        Self::Named(Named { kind: subject.kind.word(), id: subject.id.clone(), name: None })
    }
}

impl From<Subject> for Part {
    fn from(subject: Subject) -> Self {
        Self::from(&subject)
    }
}

/// Makes an id a part of a sentence, with the name before the id.
macro_rules! named {
    ($($id:ident, $kind:ident;)+) => {$(
        impl From<&$id> for Part {
            fn from(id: &$id) -> Self {
                Self::from(Subject::new(SubjectKind::$kind, id))
            }
        }
    )+};
}

named! {
    BoardId, Board;
    CircuitId, Circuit;
    DeviceId, Device;
    FeederId, Feeder;
    LocationId, Location;
    PointId, Point;
    RacewayId, Raceway;
}
