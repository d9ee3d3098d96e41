//! The sizes and fuse ratings that the program chooses, to be taken over into the plan.
//!
//! A choice is made by the check itself. The sizes and ratings of some wires are left open, everything else stays
//! as planned, and the check chooses what is open. So a choice that is taken is judged by the same check that made
//! it. Starter cables are left to the manufacturer, and a single conductor with a size of its own keeps it.

use std::collections::BTreeSet;

use super::check::{By, ConductorReport, Report, check};
use super::plan::{Circuit, Feeder, Plan, Polarity, Protection};
use super::subject::{Subject, SubjectKind};
use super::value::RatingA;
use crate::trade::conductor::Size;

/// A size and a rating. For a wire without protection, or without anything known, they are absent.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct SizeAndRating {
    /// The size.
    pub size: Option<Size>,
    /// The rating of its fuse or breaker, in A.
    pub rating_a: Option<f64>,
}

/// The choices for some wires of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// The wires whose sizes and ratings were chosen.
    pub wires: BTreeSet<Subject>,
    /// The plan with these sizes and ratings left open.
    pub open: Plan,
    /// Its check, with everything chosen.
    pub report: Report,
}

/// Every wire that the program can choose for: circuits, and feeders other than starter cables.
pub fn choosable(plan: &Plan) -> BTreeSet<Subject> {
    let feeders = plan.feeders.iter().filter(|feeder| !feeder.cranking);
    let feeders = feeders.map(|feeder| Subject::new(SubjectKind::Feeder, &feeder.id));
    feeders
        .chain(plan.circuits.iter().map(|circuit| Subject::new(SubjectKind::Circuit, &circuit.id)))
        .collect()
}

impl Choice {
    /// Chooses for these wires, with all others as planned. A wire for which there is no choice stays as planned.
    pub fn of(plan: &Plan, wires: &BTreeSet<Subject>) -> Self {
        let first = Self::made(plan, wires.intersection(&choosable(plan)).cloned().collect());
        let (able, unable): (BTreeSet<_>, BTreeSet<_>) =
            first.wires.iter().cloned().partition(|wire| first.get(wire).is_some());
        if unable.is_empty() { first } else { Self::made(plan, able) }
    }

    fn made(plan: &Plan, wires: BTreeSet<Subject>) -> Self {
        let open = opened(plan, &wires);
        let report = check(&open);
        Self { wires, open, report }
    }

    /// What was chosen for a wire; `None` if there is no choice.
    pub fn get(&self, wire: &Subject) -> Option<SizeAndRating> {
        let figures = self.report.of_wire(wire).filter(|_| self.wires.contains(wire))?;
        let chosen = settled(figures);
        let has_rating = figures.protection.is_none() || chosen.rating_a.is_some();
        (chosen.size.is_some() && has_rating).then_some(chosen)
    }

    /// The feeder with its choice, if it has one.
    pub fn take_feeder(&self, feeder: Feeder) -> Feeder {
        let Some(chosen) = self.get(&Subject::new(SubjectKind::Feeder, &feeder.id)) else { return feeder };
        let protection = match feeder.polarity {
            Polarity::Positive => rated(feeder.protection, chosen),
            Polarity::Negative => feeder.protection,
        };
        Feeder { size: chosen.size, protection, ..feeder }
    }

    /// The circuit with its choice, if it has one.
    pub fn take_circuit(&self, circuit: Circuit) -> Circuit {
        let Some(chosen) = self.get(&Subject::new(SubjectKind::Circuit, &circuit.id)) else { return circuit };
        Circuit { size: chosen.size, protection: rated(circuit.protection, chosen), ..circuit }
    }
}

fn rated(protection: Option<Protection>, chosen: SizeAndRating) -> Option<Protection> {
    let rating_a = chosen.rating_a.and_then(|amperes| RatingA::try_from(amperes).ok());
    protection.map(|own| Protection { rating_a: rating_a.or(own.rating_a), ..own })
}

/// The plan with sizes and ratings of these wires left open.
fn opened(plan: &Plan, wires: &BTreeSet<Subject>) -> Plan {
    let mut open = plan.clone();
    let without_rating = |protection: &mut Option<Protection>| {
        if let Some(own) = protection {
            own.rating_a = None;
        }
    };
    for feeder in &mut open.feeders {
        if wires.contains(&Subject::new(SubjectKind::Feeder, &feeder.id)) {
            feeder.size = None;
            if feeder.polarity == Polarity::Positive {
                without_rating(&mut feeder.protection);
            }
        }
    }
    for circuit in &mut open.circuits {
        if wires.contains(&Subject::new(SubjectKind::Circuit, &circuit.id)) {
            circuit.size = None;
            without_rating(&mut circuit.protection);
        }
    }
    open
}

/// The size and rating that a check settled for a wire.
pub fn settled(figures: &ConductorReport) -> SizeAndRating {
    let rating_a = figures.protection.as_ref().and_then(|own| own.rating_a);
    SizeAndRating { size: figures.size, rating_a }
}

/// Whether the plan leaves the size or the rating of a wire open, and the check chose it.
pub fn is_open(figures: &ConductorReport) -> bool {
    let rating_by = figures.protection.as_ref().and_then(|own| own.rating_by);
    figures.size_by == Some(By::Chosen) || rating_by == Some(By::Chosen)
}

/// The feeder with what the check chose where the plan leaves it open.
pub fn filled_feeder(feeder: Feeder, report: &Report) -> Feeder {
    let Some(figures) = report.feeders.get(&feeder.id) else { return feeder };
    let chosen = settled(&figures.conductor);
    let protection = match feeder.polarity {
        Polarity::Positive => filled(feeder.protection, chosen),
        Polarity::Negative => feeder.protection,
    };
    Feeder { size: feeder.size.or(chosen.size), protection, ..feeder }
}

/// The circuit with what the check chose where the plan leaves it open.
pub fn filled_circuit(circuit: Circuit, report: &Report) -> Circuit {
    let Some(figures) = report.circuits.get(&circuit.id) else { return circuit };
    let chosen = settled(&figures.conductor);
    let protection = filled(circuit.protection, chosen);
    Circuit { size: circuit.size.or(chosen.size), protection, ..circuit }
}

fn filled(protection: Option<Protection>, chosen: SizeAndRating) -> Option<Protection> {
    let is_open = protection.as_ref().is_some_and(|own| own.rating_a.is_none());
    if is_open { rated(protection, chosen) } else { protection }
}
