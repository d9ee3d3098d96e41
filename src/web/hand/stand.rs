//! The user's location on the boat, which the addresses carry from page to page.

use crate::job::next;
use crate::job::run::Piece;
use crate::job::step::StepKey;
use crate::job::steps::Step;
use crate::job::subject::Subject;
use crate::job::value::LocationId;
use crate::web::kit::opened::Opened;
use crate::web::parts::bench::Bench;
use crate::web::parts::finding::sheet_of;
use crate::web::parts::wires;

/// A person at a location of the boat.
#[derive(Debug)]
pub struct Stand<'a> {
    job: &'a Opened,
    /// The location, if one was chosen.
    pub at: Option<LocationId>,
}

/// A link to the next wire.
#[derive(Debug)]
pub struct Onward {
    /// Its address.
    pub href: String,
    /// The task there.
    pub words: String,
}

/// A location to choose.
#[derive(Debug)]
pub struct LocationWork {
    /// Its name.
    pub name: String,
    /// The page of the work there.
    pub href: String,
    /// Steps on wires still open there.
    pub open: usize,
    /// Whether the user is there.
    pub here: bool,
}

impl<'a> Stand<'a> {
    /// At the location in an address; without a location if the boat has none with this id.
    pub fn at(job: &'a Opened, location: &str) -> Self {
        let known = job.plan.locations.iter().find(|known| known.id.as_str() == location);
        Self { job, at: known.map(|location| location.id.clone()) }
    }

    /// The same, or at this location if none was chosen.
    pub fn or(self, location: Option<&LocationId>) -> Self {
        Self { at: self.at.or_else(|| location.cloned()), ..self }
    }

    /// The open steps on wires, in the order of work from this location.
    pub fn order(&self, bench: &Bench<'a>) -> Vec<&'a Step> {
        next::on_pieces(&self.job.plan, &self.job.conductors, &bench.work, self.at.as_ref())
    }

    /// The page of wires, from this location.
    pub fn list(&self) -> String {
        self.with_location(&format!("{}/wires", self.job.href()), None)
    }

    /// The same, with the step done just before.
    pub fn list_after(&self, done: &StepKey) -> String {
        self.with_location(&format!("{}/wires", self.job.href()), Some(done))
    }

    /// The page of a wire or cable, or of one of its ends.
    pub fn page_of_piece(&self, piece: Piece<'_>, end: Option<usize>) -> String {
        let side = match end {
            None => "",
            Some(0) => "/a",
            Some(_) => "/b",
        };
        self.with_location(&format!("{}{side}", wires::href(self.job, piece)), None)
    }

    /// The page of the wire, end or cable of a step, with the step done just before.
    pub fn page_of(&self, step: &StepKey, done: Option<&StepKey>) -> String {
        self.with_location(&self.path_of(&step.subject), done)
    }

    /// A link to the first step of an order that may be done now.
    pub fn onward<'s>(
        &self,
        bench: &Bench<'_>,
        mut order: impl Iterator<Item = &'s Step>,
        done: Option<&StepKey>,
    ) -> Option<Onward> {
        let step = order.find(|step| bench.shut(step).is_none())?;
        Some(Onward { href: self.page_of(&step.key, done), words: self.words(step) })
    }

    /// A step in plain text: the task, the wire, and the location.
    pub fn words(&self, step: &Step) -> String {
        let plan = &self.job.plan;
        let Some((piece, end)) = self.job.pieces().about(&step.key.subject) else {
            return step.about.clone();
        };
        let ends = piece.ends();
        match (end.and_then(|end| ends.get(end)), piece) {
            (Some(end), _) => format!("{} at {}", end.label, wires::landed(plan, &end.at)),
            (None, Piece::Wire(wire)) => format!("{}: {}", wire.label, wires::way(plan, piece)),
            (None, Piece::Cable(own)) => {
                format!("{}, {}: {}", piece.label(), own.cable.kind.words(), wires::way(plan, piece))
            }
        }
    }

    /// The boat's locations with the number of open steps on wires in each.
    pub fn spots(&self, order: &[&Step]) -> Vec<LocationWork> {
        let spot = |location: &crate::job::plan::Location| LocationWork {
            name: location.name.to_string(),
            href: format!("{}/wires?at={}", self.job.href(), location.id),
            open: order.iter().filter(|step| self.is_at(step, &location.id)).count(),
            here: self.at.as_ref() == Some(&location.id),
        };
        self.job.plan.locations.iter().map(spot).collect()
    }

    /// Whether a step is done at a location: at an end there, or along a wire that starts or ends there.
    pub fn is_at(&self, step: &Step, location: &LocationId) -> bool {
        match self.job.pieces().about(&step.key.subject) {
            Some((piece, None)) => {
                piece.ends().iter().any(|end| end.at.location(&self.job.plan) == Some(location))
            }
            _ => step.location.as_ref() == Some(location),
        }
    }

    fn path_of(&self, subject: &Subject) -> String {
        format!("{}{}", self.job.href(), sheet_of(subject).unwrap_or_default())
    }

    fn with_location(&self, path: &str, done: Option<&StepKey>) -> String {
        let location = self.at.as_ref().map(|location| ("at", location.to_string()));
        let pairs: Vec<_> = location.into_iter().chain(done.map(|step| ("done", step.to_string()))).collect();
        match serde_urlencoded::to_string(pairs) {
            Ok(query) if !query.is_empty() => format!("{path}?{query}"),
            _ => path.to_owned(),
        }
    }
}
