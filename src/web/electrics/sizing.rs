//! Feeders and branches sized together, beside each sized by itself and the planned sizes.

use askama::Template;
use axum::extract::{Path, State};
use axum::response::Html;

use crate::job::check::{LeftOut, TreeOutcome, TreeReport, WireSize, together};
use crate::job::length;
use crate::job::subject::SubjectKind;
use crate::store::JobId;
use crate::trade::quantity::Quantity;
use crate::trade::source::LEAST_COPPER;
use crate::trade::working::{Working, figure};
use crate::web::kit::figure::Figure;
use crate::web::kit::figure::{or_dash, rounded, unit};
use crate::web::kit::frame::Frame;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::Cell;
use crate::web::kit::page::{Tab, TitleBlock, html};
use crate::web::kit::{AppState, Error};
use crate::web::parts::linked::{Linked, called};
use crate::web::parts::settled::SettledSize;
use crate::web::parts::workings::WorkingPiece;
use crate::web::parts::workings::{CURRENT, ONE_WAY};

#[derive(Template)]
#[template(path = "electrics/sizing.html")]
struct Page {
    title_block: TitleBlock,
    trees: Vec<Tree>,
    left_out: Vec<(Linked, String)>,
}

/// Everything that one battery feeds.
struct Tree {
    number: usize,
    name: String,
    facts: Vec<(&'static str, String)>,
    unmet: Vec<String>,
    rows: Vec<Row>,
    workings: Vec<WorkingPiece>,
}

/// A wire with its sizes.
struct Row {
    wire: Linked,
    length: Cell,
    current: Cell,
    planned: Cell,
    given: bool,
    alone: Cell,
    anew: Cell,
    lost: Cell,
}

/// The sizes of a job's wires, sized together.
pub async fn show(
    frame: Frame,
    State(app): State<AppState>,
    Path(job): Path<JobId>,
) -> Result<Html<String>, Error> {
    let job = Opened::load(&app, job).await?;
    let joint = together(&job.plan, &job.report);
    let lengths = frame.length_unit();
    let left_out = |left: &LeftOut| (Linked::to(&job, &left.subject), left.why.clone());
    let page = Page {
        trees: joint.trees.iter().zip(1..).map(|(tree, number)| shown(&job, tree, number, lengths)).collect(),
        left_out: joint.left_out.iter().map(left_out).collect(),
        title_block: job.title_block(frame, Tab::Sizing),
    };
    html(&page)
}

fn shown(job: &Opened, tree: &TreeReport, number: usize, lengths: LengthUnit) -> Tree {
    let wires = tree.planned.as_ref().or(tree.anew.as_ref()).map(|outcome| outcome.wires.as_slice());
    let outcomes = [&tree.planned, &tree.anew];
    Tree {
        number,
        name: called(job, &tree.source),
        facts: facts(tree),
        unmet: tree.planned.iter().chain(&tree.anew).flat_map(|outcome| unmet(job, outcome)).collect(),
        rows: wires.unwrap_or_default().iter().map(|wire| row(job, tree, wire, lengths)).collect(),
        workings: outcomes
            .into_iter()
            .flatten()
            .flat_map(|outcome| std::iter::once(outcome.working.clone()).chain(saving(outcome)))
            .map(|working| WorkingPiece::new(&working, job.units))
            .collect(),
    }
}

fn kilograms(kg: f64) -> String {
    rounded(kg, 2, "kg")
}

fn facts(tree: &TreeReport) -> Vec<(&'static str, String)> {
    let mut facts = Vec::new();
    if let Some(planned) = &tree.planned {
        facts.push(("Given sizes kept, the rest sized together", kilograms(planned.copper_kg)));
        facts.push(("The rest sized one by one", alone(planned)));
        facts.push(("Saving", saved(planned)));
    }
    if let Some(anew) = &tree.anew {
        facts.push(("All sized together", kilograms(anew.copper_kg)));
        facts.push(("All sized one by one", alone(anew)));
        facts.push(("Saving", saved(anew)));
        facts.push(("Lower bound", kilograms(anew.lower_bound_kg)));
    }
    facts
}

fn alone(outcome: &TreeOutcome) -> String {
    outcome.alone_kg.map_or_else(|| "no sizes found".to_owned(), kilograms)
}

fn saved(outcome: &TreeOutcome) -> String {
    match (outcome.saved_kg, outcome.alone_kg) {
        (Some(saved), Some(alone)) if alone > 0.0 => {
            format!("{} ({})", kilograms(saved), rounded(100.0 * saved / alone, 0, "%"))
        }
        _ => or_dash(None),
    }
}

/// The copper saved by sizing together.
fn saving(outcome: &TreeOutcome) -> Option<Working> {
    let (alone, saved) = (outcome.alone_kg?, outcome.saved_kg?);
    Some(Working {
        what: Quantity::SavedTogether,
        formula: "copper with each wire sized by itself - copper with all sized together",
        numbers: format!("{} kg - {} kg", figure(alone), figure(outcome.copper_kg)).into(),
        result: format!(
            "{} kg; lower bound, calculated separately: {} kg",
            figure(saved),
            figure(outcome.lower_bound_kg)
        )
        .into(),
        source: &LEAST_COPPER,
    })
}

/// Each limit that cannot be met, in plain text.
fn unmet<'o>(job: &'o Opened, outcome: &'o TreeOutcome) -> impl Iterator<Item = String> + 'o {
    let kept = outcome.wires.iter().any(|wire| wire.given);
    outcome.unmet.iter().map(move |unmet| {
        let name = job.plan.circuit(&unmet.circuit).map_or("", |circuit| circuit.name.as_str());
        let sizes = if kept { "with the given sizes" } else { "with any size" };
        format!(
            "{} {name}: the drop limit from the battery is {}; the least possible is {} {sizes}",
            unmet.circuit,
            unit(unmet.limit_v, "V"),
            unit(unmet.least_v, "V")
        )
    })
}

fn row(job: &Opened, tree: &TreeReport, wire: &WireSize, lengths: LengthUnit) -> Row {
    let of = |outcome: &Option<TreeOutcome>| {
        let wires = outcome.as_ref().map(|outcome| outcome.wires.clone()).unwrap_or_default();
        wires.into_iter().find(|other| other.subject == wire.subject)
    };
    let (planned, anew) = (of(&tree.planned), of(&tree.anew));
    let id = wire.subject.id.as_str();
    let shown = planned.as_ref().unwrap_or(wire);
    let lost = match wire.limit_v {
        Some(limit) => format!("{:.2} of {}", shown.lost_v, rounded(limit, 2, "V")),
        None => rounded(shown.lost_v, 2, "V"),
    };
    let size = |wire: Option<&WireSize>| Figure::new(or_dash(wire.map(|wire| wire.size.to_string())), "");
    let alone = anew.as_ref().and_then(|anew| anew.alone);
    let alone_how = anew.as_ref().and_then(|anew| anew.alone_working.clone());
    let (length, current) = how_long_and_strong(job, wire);
    let anew_loss = anew.as_ref().map(|anew| anew.working.clone());
    Row {
        wire: Linked::to(job, &wire.subject),
        length: Cell::by(id, "conductor", Figure::length(wire.copper_m, lengths), length),
        current: Cell::by(id, "carries", Figure::rounded(wire.current_a, 1, "A"), current),
        given: planned.as_ref().is_some_and(|planned| planned.given),
        planned: Cell::by(id, "size as planned", size(planned.as_ref()), why(job, planned.as_ref())),
        alone: Cell::by(
            id,
            "size by itself",
            Figure::new(or_dash(alone.map(|size| size.to_string())), "").lengths_in(job.units),
            alone_how,
        ),
        anew: Cell::by(id, "recalculated size", size(anew.as_ref()), anew_loss),
        lost: Cell::by(id, "drop as planned", Figure::new(lost, ""), [shown.working.clone()]),
    }
}

/// The workings of a wire's length and current.
fn how_long_and_strong(job: &Opened, wire: &WireSize) -> (Vec<Working>, Vec<Working>) {
    let id = wire.subject.id.as_str();
    let called = |workings: &[Working], what: &[Quantity]| -> Vec<Working> {
        workings.iter().filter(|working| what.contains(&working.what)).cloned().collect()
    };
    let (circuits, feeders) = (&job.report.circuits, &job.report.feeders);
    if let Some((_, feeder)) = feeders.iter().find(|(own, _)| own.as_str() == id) {
        return (called(&feeder.conductor.workings, ONE_WAY), wire.current_working.iter().cloned().collect());
    }
    let Some((id, circuit)) = circuits.iter().find(|(own, _)| own.as_str() == id) else {
        return (Vec::new(), Vec::new());
    };
    let length = length::of_circuit(&job.conductors, id);
    (length.into_iter().collect(), called(&circuit.conductor.workings, CURRENT))
}

/// Why the plan has this size, if it is the size of each wire sized by itself.
fn why(job: &Opened, planned: Option<&WireSize>) -> Vec<Working> {
    let Some(planned) = planned else { return Vec::new() };
    let id = planned.subject.id.as_str();
    let (circuits, feeders) = (&job.report.circuits, &job.report.feeders);
    let settled = match planned.subject.kind {
        SubjectKind::Feeder => {
            feeders.iter().find(|(own, _)| own.as_str() == id).map(|(_, own)| SettledSize::feeder(id, own))
        }
        _ => {
            circuits.iter().find(|(own, _)| own.as_str() == id).map(|(_, own)| SettledSize::circuit(id, own))
        }
    };
    settled.filter(|own| own.is(planned.size)).map(|own| own.why_size()).unwrap_or_default()
}
