//! Figures and links as these pages write them.

use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::PointId;
use crate::trade::working::{Working, figure};
use crate::web::job::Opened;
use crate::web::piece::WorkingPiece;

/// A figure with its unit, to the digits that a meter shows.
pub(in crate::web) fn unit(value: f64, unit: &str) -> String {
    format!("{} {unit}", figure((value * 1000.0).round() / 1000.0))
}

/// A figure rounded to so many decimals, with its unit.
pub(in crate::web) fn rounded(value: f64, decimals: usize, unit: &str) -> String {
    // A nought with a minus sign is rounding.
    let text = format!("{value:.decimals$}");
    let text = if text.trim_start_matches(['-', '0', '.']).is_empty() { text.replace('-', "") } else { text };
    format!("{text} {unit}")
}

/// The same, or a dash where it is not known.
pub(in crate::web) fn or_dash(value: Option<String>) -> String {
    value.unwrap_or_else(|| "\u{2013}".to_owned())
}

/// Workings, each folded away behind its result.
pub(in crate::web) fn pieces(workings: &[Working]) -> Vec<WorkingPiece> {
    workings.iter().cloned().map(WorkingPiece).collect()
}

/// What people call a point.
pub(in crate::web) fn called(job: &Opened, point: &PointId) -> String {
    job.plan.point(point).map_or_else(|| point.to_string(), |point| point.called().to_owned())
}

/// Something of the plan with a way to its own page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::web) struct Linked {
    /// Where it leads.
    pub(in crate::web) href: String,
    /// Its id.
    pub(in crate::web) id: String,
    /// What people call it.
    pub(in crate::web) name: String,
}

impl Linked {
    /// A circuit, feeder, point, device or mode of a job.
    pub(in crate::web) fn to(job: &Opened, subject: &Subject) -> Self {
        let id = &subject.id;
        let plan = &job.plan;
        let (path, name) = match subject.kind {
            SubjectKind::Circuit => {
                let circuit = plan.circuits.iter().find(|circuit| circuit.id.as_str() == id);
                (format!("circuits/{id}"), circuit.map(|circuit| circuit.name.to_string()))
            }
            SubjectKind::Feeder => {
                let feeder = plan.feeders.iter().find(|feeder| feeder.id.as_str() == id);
                let way = feeder.map(|feeder| format!("{} \u{2192} {}", feeder.from, feeder.to));
                (format!("feeders/{id}"), way)
            }
            SubjectKind::Device => {
                let device = plan.devices.iter().find(|device| device.id.as_str() == id);
                (format!("plan/devices#{id}"), device.map(|device| device.name.to_string()))
            }
            SubjectKind::Point => {
                let point = plan.points.iter().find(|point| point.id.as_str() == id);
                (format!("plan/points#{id}"), point.map(|point| point.called().to_owned()))
            }
            SubjectKind::Raceway => {
                let raceway = plan.raceways.iter().find(|raceway| raceway.id.as_str() == id);
                let name = raceway.and_then(|raceway| raceway.name.as_ref()).map(ToString::to_string);
                (format!("plan/locations#{id}"), name)
            }
            _ => (String::new(), None),
        };
        Self { href: format!("{}/{path}", job.href()), id: id.clone(), name: name.unwrap_or_default() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_as_fine_as_a_meter_and_never_less_than_nothing() {
        assert_eq!(unit(12.345_678, "V"), "12.35 V");
        assert_eq!(rounded(-0.004, 1, "A"), "0.0 A");
        assert_eq!(rounded(-0.4, 1, "A"), "-0.4 A");
        assert_eq!(or_dash(None), "\u{2013}");
    }
}
