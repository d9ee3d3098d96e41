//! A circuit or feeder on the sizing page: what is planned, what is chosen, and how they differ in words.

use crate::job::check::{ConductorReport, Report};
use crate::job::choice::{self, Choice, SizeAndRating};
use crate::job::plan::{Plan, Polarity};
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::quantity::Quantity;
use crate::trade::working::figure;
use crate::web::kit::figure::{Figure, or_dash, rounded};
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::{Cell, Sentence};
use crate::web::parts::linked::Linked;
use crate::web::parts::settled::SettledSize;
use crate::web::parts::workings::{AMPACITY, CURRENT, SOLVED};

/// A circuit or feeder with its sizes.
pub(super) struct Row {
    /// Its key in the form.
    pub(super) key: String,
    pub(super) wire: Linked,
    pub(super) current: Cell,
    pub(super) planned: Sentence,
    /// `None`: there is no choice, and why.
    pub(super) chosen: Option<Sentence>,
    pub(super) no_choice: &'static str,
    pub(super) difference: String,
    pub(super) drops: [Cell; 2],
    pub(super) margin: Sentence,
    /// Whether it can be ticked, and is.
    pub(super) may_take: bool,
    pub(super) is_ticked: bool,
}

impl Row {
    /// The row of a wire, with the choice to show for it.
    pub(super) fn of(job: &Opened, subject: &Subject, choice: &Choice, is_ticked: bool) -> Option<Self> {
        let id = subject.id.as_str();
        let figures = job.report.of_wire(subject)?;
        let entered = entered(&job.plan, subject);
        let planned = choice::settled(figures);
        let chosen = choice.get(subject);
        Some(Self {
            key: subject.to_string(),
            wire: Linked::to(job, subject),
            current: Cell::new(id, "carries", amperes(figures.design_current_a), &figures.workings, CURRENT),
            planned: planned_said(id, job, subject, figures),
            chosen: chosen.map(|_| said(&format!("{id} as chosen"), &choice.report, subject)),
            no_choice: why_none(&job.plan, subject),
            difference: chosen.map_or_else(String::new, |chosen| difference(entered, planned, chosen)),
            drops: [("drop as planned", &job.report), ("drop as chosen", &choice.report)]
                .map(|(name, report)| lost(id, name, report, subject)),
            margin: margin(id, choice.report.of_wire(subject)),
            may_take: chosen.is_some_and(|chosen| chosen != entered),
            is_ticked,
        })
    }
}

/// What the plan itself gives.
fn entered(plan: &Plan, wire: &Subject) -> SizeAndRating {
    let feeder = plan.feeders.with(&wire.id).filter(|_| wire.kind == SubjectKind::Feeder);
    let circuit = plan.circuits.with(&wire.id).filter(|_| wire.kind == SubjectKind::Circuit);
    let size = feeder.map_or_else(|| circuit.and_then(|one| one.size), |one| one.size);
    let protection = feeder.map_or_else(
        || circuit.and_then(|one| one.protection.as_ref()),
        |one| one.protection.as_ref().filter(|_| one.polarity == Polarity::Positive),
    );
    SizeAndRating { size, rating_a: protection.and_then(|own| own.rating_a).map(|own| own.number()) }
}

/// Whether the plan leaves the size or rating of a wire open.
pub(super) fn is_open(job: &Opened, wire: &Subject) -> bool {
    job.report.of_wire(wire).is_some_and(choice::is_open)
}

/// Whether the choice replaces something that was entered.
pub(super) fn replaces(job: &Opened, wire: &Subject, choice: &Choice) -> bool {
    let Some(chosen) = choice.get(wire) else { return false };
    let entered = entered(&job.plan, wire);
    let size = entered.size.is_some() && entered.size != chosen.size;
    size || (entered.rating_a.is_some() && entered.rating_a != chosen.rating_a)
}

/// Why there is no choice for a wire.
fn why_none(plan: &Plan, wire: &Subject) -> &'static str {
    let cranks = plan.feeders.with(&wire.id).is_some_and(|feeder| feeder.cranking);
    if wire.kind == SubjectKind::Feeder && cranks {
        "Starter cable: as its manufacturer says"
    } else {
        "No choice: see its findings"
    }
}

/// The size and the fuse of the plan, with a note if they are not entered.
fn planned_said(id: &str, job: &Opened, wire: &Subject, figures: &ConductorReport) -> Sentence {
    let planned = said(&format!("{id} as planned"), &job.report, wire);
    if choice::is_open(figures) { planned.words(", not all entered") } else { planned }
}

/// The size and the fuse that a check settled.
fn said(of: &str, report: &Report, wire: &Subject) -> Sentence {
    let settled = match wire.kind {
        SubjectKind::Feeder => report.feeder(wire).map(|own| SettledSize::feeder(of, own)),
        _ => report.circuit(wire).map(|own| SettledSize::circuit(of, own)),
    };
    let Some(settled) = settled else { return "Not known".into() };
    let size =
        settled.size().map_or_else(|| "Size not known".into(), |size| Sentence::default().figure(size));
    match settled.rating() {
        Some(rating) => size.words(" \u{b7} ").join(rating),
        None => size,
    }
}

/// What differs, in words.
fn difference(entered: SizeAndRating, planned: SizeAndRating, chosen: SizeAndRating) -> String {
    let size = match (entered.size, chosen.size) {
        (None, Some(size)) => Some(format!("Size not entered: {size}")),
        (Some(own), Some(size)) if own != size => {
            Some(format!("{}: {own} to {size}", if size > own { "Thicker" } else { "Thinner" }))
        }
        _ => None,
    };
    let fuse = match (entered.rating_a, chosen.rating_a) {
        (None, Some(rating)) => Some(format!("Fuse not entered: {} A", figure(rating))),
        (Some(own), Some(rating)) if own < rating => {
            Some(format!("Larger fuse: {} A to {} A", figure(own), figure(rating)))
        }
        (Some(own), Some(rating)) if own > rating => {
            Some(format!("Smaller fuse: {} A to {} A", figure(own), figure(rating)))
        }
        _ => None,
    };
    let also = (planned != chosen && entered.size.is_none() && entered.rating_a.is_none())
        .then(|| "Other than chosen with the entered ones".to_owned());
    let words: Vec<String> = [size, fuse, also].into_iter().flatten().collect();
    if words.is_empty() { "Same".to_owned() } else { words.join(". ") }
}

fn amperes(amperes: Option<f64>) -> Figure {
    amperes.map_or_else(|| Figure::new(or_dash(None), ""), |a| Figure::rounded(a, 1, "A"))
}

/// The solved drop: of a circuit from the battery to its device, of a feeder along itself.
fn lost(id: &str, name: &str, report: &Report, wire: &Subject) -> Cell {
    let figures = report.of_wire(wire);
    let (volts, what): (_, &[Quantity]) = match report.circuit(wire) {
        Some(circuit) => (circuit.solved_drop_from_battery_v, &[Quantity::SolvedDropFromBattery]),
        None => (figures.and_then(|own| own.solved_drop_v), SOLVED),
    };
    let volts = volts.map_or_else(|| Figure::new("not known", ""), |volts| Figure::rounded(volts, 2, "V"));
    Cell::new(id, name, volts, figures.map(|own| own.workings.as_slice()).unwrap_or_default(), what)
}

/// What the ampacity leaves beyond the design current.
fn margin(id: &str, figures: Option<&ConductorReport>) -> Sentence {
    let known = figures.and_then(|own| Some((own, own.derated_ampacity_a?, own.design_current_a?)));
    let Some((figures, ampacity, current)) = known else { return "Not known".into() };
    let spare = rounded(ampacity - current, 1, "A");
    let of = Cell::new(id, "ampacity", Figure::rounded(ampacity, 1, "A"), &figures.workings, AMPACITY);
    Sentence::from(format!("{spare} of ")).figure(of)
}
