//! A thing of the plan by its name, with a link to its page.

use std::fmt::{self, Display, Formatter};

use crate::job::run::{Piece, cable};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::PointId;
use crate::web::kit::opened::Opened;

/// The name of a distribution point.
pub fn called(job: &Opened, point: &PointId) -> String {
    job.plan.point(point).map_or_else(|| point.to_string(), |point| point.called().to_owned())
}

/// A thing of the plan with a link to its page. Its text is its name before its id: `Bilge pump (C06)`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Linked {
    /// Its address.
    pub href: String,
    /// Its id; for a circuit, feeder or cable its label.
    pub id: String,
    /// Its name.
    pub name: String,
}

impl Display for Linked {
    fn fmt(&self, f: &mut Formatter<'_>) -> fmt::Result {
        match self.name.as_str() {
            "" => f.write_str(&self.id),
            name => write!(f, "{name} ({})", self.id),
        }
    }
}

impl Linked {
    /// A circuit, feeder, cable, distribution point, device or raceway of a job.
    pub fn to(job: &Opened, subject: &Subject) -> Self {
        let id = &subject.id;
        let plan = &job.plan;
        let mut label = id.as_str();
        let (path, name) = match subject.kind {
            SubjectKind::Circuit => {
                let circuit = plan.circuits.with(id);
                label = circuit.map_or(label, |circuit| circuit.label_text());
                (format!("circuits/{id}"), circuit.map(|circuit| circuit.name.to_string()))
            }
            SubjectKind::Feeder => {
                let feeder = plan.feeders.with(id);
                label = feeder.map_or(label, |feeder| feeder.label_text());
                (format!("feeders/{id}"), feeder.map(|feeder| plan.feeder_name(feeder)))
            }
            SubjectKind::Cable => {
                let own = cable::all(plan).find(|own| own.cable.id.as_str() == id);
                label = own.map_or(label, |own| Piece::Cable(own).label());
                (format!("wires/{id}"), own.map(|own| own.called()))
            }
            SubjectKind::Device => {
                let device = plan.devices.with(id);
                (format!("plan/devices#{id}"), device.map(|device| device.name.to_string()))
            }
            SubjectKind::Point => {
                let point = plan.points.with(id);
                (format!("plan/points#{id}"), point.map(|point| point.called().to_owned()))
            }
            SubjectKind::Raceway => {
                let raceway = plan.raceways.with(id);
                (format!("plan/locations#{id}"), raceway.map(|raceway| plan.raceway_name(raceway)))
            }
            _ => (String::new(), None),
        };
        Self { href: format!("{}/{path}", job.href()), id: label.to_owned(), name: name.unwrap_or_default() }
    }
}
