//! A thing with its steps, and things grouped as people work: by location, by circuit, by device.

use std::collections::BTreeMap;

use crate::drawing::wire::DrawnWire;
use crate::job::conductor::Of;
use crate::job::phase::Phase;
use crate::job::plan::{Circuit, Plan};
use crate::job::run::Piece;
use crate::job::step::Action as Doing;
use crate::job::steps::Step;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::tie::Counts;
use crate::job::value::LocationId;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::Sentence;
use crate::web::kit::paging::{Paging, page_with};
use crate::web::parts::finding::sheet_of;
use crate::web::parts::fitting;
use crate::web::parts::wires;
use crate::web::parts::workings::WorkingPiece;

use super::mounting;
use super::step_measured::StepMeasured;
use crate::web::parts::bench::Bench;
use crate::web::parts::measured::TypedReading;
use crate::web::parts::open_item::FoundHere;
use crate::web::parts::place::step_page;
use crate::web::parts::step::StepPiece;

/// Things that are worked on together.
#[derive(Debug)]
pub struct Group {
    /// What they have in common.
    pub title: String,
    /// Its id on the page.
    pub anchor: String,
    /// Steps closed.
    pub closed: usize,
    /// Steps in all.
    pub of: usize,
    /// The things.
    pub things: Vec<ThingInHand>,
}

/// One thing to work on.
#[derive(Debug)]
pub struct ThingInHand {
    /// The drawing, if it is a wire.
    pub wire: Option<DrawnWire>,
    /// Its name.
    pub title: String,
    /// The address of its page.
    pub href: Option<String>,
    /// What a person needs for the work.
    pub notes: Vec<Sentence>,
    /// The workings of the figures in the notes.
    pub workings: Vec<WorkingPiece>,
    /// Its steps.
    pub steps: Vec<StepPiece>,
    /// The measurements of its steps.
    pub measured: Vec<StepMeasured>,
    /// What was found on it.
    pub found: FoundHere,
}

impl Group {
    /// Whether it has no open step.
    pub fn is_finished(&self) -> bool {
        self.closed == self.of
    }
}

/// The sort key of a group: by rank, then by title.
type Key = (usize, String);

/// The things of a phase that its page shows, grouped.
pub fn groups(bench: &Bench<'_>, phase: Phase, typed: &TypedReading) -> (Vec<Group>, Paging) {
    let mut sorted: BTreeMap<Key, Vec<&Step>> = BTreeMap::new();
    for step in bench.job.steps.in_phase(phase) {
        sorted.entry(key(bench.job, step)).or_default().push(step);
    }
    let same = |one: &&Step, other: &&Step| one.key.subject == other.key.subject;
    let things = sorted
        .values()
        .enumerate()
        .flat_map(|(group, steps)| steps.chunk_by(same).map(move |steps| (group, steps)));
    let things: Vec<(usize, &[&Step])> = things.collect();
    let has =
        |(_, steps): &(usize, &[&Step]), key: &str| steps.iter().any(|step| step.key.to_string() == key);
    let (shown, paging) = page_with(&things, bench.frame, has);
    let groups = sorted.iter().enumerate().map(|(index, ((_, title), steps))| {
        let things = shown.iter().filter(|(group, _)| *group == index).map(|(_, steps)| *steps);
        group(bench, (index, title), steps, things, typed)
    });
    (groups.filter(|group| !group.things.is_empty()).collect(), paging)
}

fn group<'s>(
    bench: &Bench<'_>,
    (index, title): (usize, &str),
    steps: &[&Step],
    things: impl Iterator<Item = &'s [&'s Step]>,
    typed: &TypedReading,
) -> Group {
    let (closed, of) = bench.closed(steps.iter().map(|step| &step.key));
    let things = things.filter_map(|steps| Some(thing(bench, steps.first()?, steps, typed))).collect();
    Group { title: title.to_owned(), anchor: format!("group-{}", index + 1), closed, of, things }
}

fn thing(bench: &Bench<'_>, first: &Step, steps: &[&Step], typed: &TypedReading) -> ThingInHand {
    let (job, subject) = (bench.job, &first.key.subject);
    ThingInHand {
        wire: wire(job, subject),
        title: title(job, first),
        href: href(job, subject),
        notes: notes(bench, first),
        workings: match first.phase() {
            Phase::Mounting => mounting::workings(job, subject),
            _ => Vec::new(),
        },
        steps: steps.iter().map(|step| bench.step(step)).collect(),
        measured: steps.iter().flat_map(|step| StepMeasured::all(bench, step, typed)).collect(),
        found: FoundHere::on(bench, subject, &step_page(&job.href(), &first.key)),
    }
}

/// The group of a step.
fn key(job: &Opened, step: &Step) -> Key {
    let plan = &job.plan;
    let subject = &step.key.subject;
    match (subject.kind, &step.location) {
        (SubjectKind::Job, _) if step.phase() == Phase::Setup => (usize::MAX, "The whole boat".to_owned()),
        (SubjectKind::Job, _) => (0, "Before anything else".to_owned()),
        (SubjectKind::Location, _) if step.key.action == Doing::Close => (usize::MAX, "Old holes".to_owned()),
        (SubjectKind::Location, _) => (1, "Locations".to_owned()),
        (SubjectKind::Raceway, _) => (2, "Raceways".to_owned()),
        (SubjectKind::Conductor, _) => conductor_key(job, &subject.id),
        (SubjectKind::Cable, _) => (usize::MAX, "Cables".to_owned()),
        (SubjectKind::Circuit, _) => (0, "Circuits".to_owned()),
        (SubjectKind::Feeder, _) => (1, "Feeders".to_owned()),
        (SubjectKind::Setting, _) => setting_key(plan, &subject.id),
        (SubjectKind::Device, _) if step.phase() == Phase::Setup => device_key(plan, &subject.id),
        (SubjectKind::Position, _) => panel_key(plan, &subject.id),
        (_, Some(location)) => plan.locations.position(location.as_str()).map_or_else(
            || (usize::MAX, location.to_string()),
            |rank| (rank, plan.locations[rank].name.to_string()),
        ),
        (_, None) => (usize::MAX, "Elsewhere".to_owned()),
    }
}

fn conductor_key(job: &Opened, id: &str) -> Key {
    let circuits = &job.plan.circuits;
    match job.conductors.get(id).map(|conductor| &conductor.of) {
        Some(Of::Circuit(id)) => circuits
            .position(id.as_str())
            .map_or_else(|| (0, id.to_string()), |rank| (rank + 1, format!("{id} {}", circuits[rank].name))),
        _ => (0, "Feeders".to_owned()),
    }
}

fn setting_key(plan: &Plan, setting: &str) -> Key {
    device_key(plan, setting.rsplit_once('-').map_or(setting, |(device, _)| device))
}

fn device_key(plan: &Plan, id: &str) -> Key {
    let rank = plan.devices.position(id);
    rank.map_or_else(|| (usize::MAX, id.to_owned()), |rank| (rank, plan.devices[rank].name.to_string()))
}

fn panel_key(plan: &Plan, position: &str) -> Key {
    let id = position.rsplit_once('-').map_or(position, |(panel, _)| panel);
    let rank = plan.points.position(id);
    rank.map_or_else(|| (usize::MAX, id.to_owned()), |rank| (rank, plan.points[rank].called().to_owned()))
}

fn title(job: &Opened, step: &Step) -> String {
    if step.key.subject.kind == SubjectKind::Job {
        return "The whole boat".to_owned();
    }
    let Some((piece, end)) = job.pieces().about(&step.key.subject) else { return step.about.clone() };
    match end.and_then(|end| piece.ends().into_iter().nth(end)) {
        Some(end) => format!("{} at {}", end.label, wires::landing(&job.plan, &end.at)),
        None => format!("{}: {}", piece.label(), wires::way(&job.plan, piece)),
    }
}

fn href(job: &Opened, subject: &Subject) -> Option<String> {
    let path = if subject.kind == SubjectKind::Job { None } else { sheet_of(subject) };
    path.map(|path| format!("{}{path}", job.href()))
}

fn wire(job: &Opened, subject: &Subject) -> Option<DrawnWire> {
    let (piece, end) = job.pieces().about(subject)?;
    let ends = piece.ends();
    Some(match end.and_then(|end| ends.get(end)) {
        Some(end) => wires::drawn(job, piece, [&end.label, ""]),
        None => wires::drawn(job, piece, [&ends[0].label, &ends[1].label]),
    })
}

fn notes(bench: &Bench<'_>, step: &Step) -> Vec<Sentence> {
    let (job, id) = (bench.job, step.key.subject.id.as_str());
    let said = match step.key.subject.kind {
        SubjectKind::Conductor => return run_notes(bench, id),
        SubjectKind::End => end_notes(job, id),
        SubjectKind::Position => step.circuits.iter().filter_map(|id| switched(job, id)).collect(),
        SubjectKind::Circuit | SubjectKind::Feeder => tying(bench, step),
        SubjectKind::Cable => cable_notes(bench, step),
        SubjectKind::Device | SubjectKind::Point if step.phase() == Phase::Mounting => {
            mounting::notes(job, &step.key.subject)
        }
        _ => Vec::new(),
    };
    said.into_iter().map(Sentence::from).collect()
}

fn run_notes(bench: &Bench<'_>, id: &str) -> Vec<Sentence> {
    let (job, unit) = (bench.job, bench.frame.length_unit());
    let Some(conductor) = job.conductors.get(id) else { return Vec::new() };
    let what = format!(
        "{} ({}), {}",
        conductor.role.words(),
        conductor.polarity.word(),
        wires::words(job, conductor)
    );
    vec![what.into(), wires::cut(job, unit, conductor)]
}

/// The kind of a cable and whether it reaches; in the tie-down phase also its supplies.
fn cable_notes(bench: &Bench<'_>, step: &Step) -> Vec<String> {
    let (job, unit) = (bench.job, bench.frame.length_unit());
    let Some((piece @ Piece::Cable(own), _)) = job.pieces().about(&step.key.subject) else {
        return Vec::new();
    };
    let said = format!("{}, {}", wires::words(job, piece), wires::made_length(own, unit));
    if step.phase() == Phase::TieDown {
        let counts = Counts::of(&job.plan, &job.report.routes, &step.key.subject);
        return std::iter::once(said).chain(takes(job, &counts)).collect();
    }
    let report = job.report.routes.run_of(own).and_then(|run| run.cable.as_ref());
    let reach = report.map(|report| report.verdict.text(job.units));
    std::iter::once(said).chain(reach).collect()
}

/// The wire or cable, what is fitted to its end, and the failed sample that leaves it unproven.
fn end_notes(job: &Opened, id: &str) -> Vec<String> {
    let Some((piece, _)) = job.pieces().about(&Subject::new(SubjectKind::End, id)) else { return Vec::new() };
    let facts = fitting::facts(job, piece, id);
    let said = facts.iter().map(|(name, said)| format!("{}: {said}", name.to_lowercase()));
    let fitted = said.collect::<Vec<_>>().join("; ");
    let failed = job.failed_crimps().iter().filter(|failed| failed.unproven.iter().any(|end| end == id));
    let unproven = failed.map(|failed| format!("Not passed. {}", failed.sentence().text(job.units)));
    [wires::words(job, piece), fitted].into_iter().chain(unproven).collect()
}

fn switched(job: &Opened, id: &crate::job::value::CircuitId) -> Option<String> {
    job.plan.circuit(id).map(Circuit::name_and_label)
}

/// Whether a run passed its test, and the supplies for tying it down.
fn tying(bench: &Bench<'_>, step: &Step) -> Vec<String> {
    let proven = if bench.work.is_proven(&step.key.subject) { "Passed" } else { "Not passed yet" };
    let job = bench.job;
    let counts = Counts::of(&job.plan, &job.report.routes, &step.key.subject);
    std::iter::once(proven.to_owned()).chain(takes(job, &counts)).collect()
}

/// Counts in plain text, each with its purpose.
pub fn takes(job: &Opened, counts: &Counts) -> Vec<String> {
    let name = |id: &LocationId| {
        job.plan.location(id).map_or_else(|| id.to_string(), |location| location.name.to_string())
    };
    let loops: Vec<String> = counts.drip_loops.iter().map(name).collect();
    let open: Vec<&str> = counts.unmeasured.iter().map(|id| id.as_str()).collect();
    let said = |count: usize, text: &str| (count > 0).then(|| format!("{count} {text}"));
    let parts = [
        said(counts.supports, "supports along the gunwale"),
        said(counts.guards, "edges guarded from chafe"),
        said(counts.reliefs, "strain reliefs"),
        (!loops.is_empty()).then(|| format!("drip loop at {}", loops.join(", "))),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let sum = (!parts.is_empty()).then(|| parts.join("; "));
    let unknown =
        (!open.is_empty()).then(|| format!("length not known, supports not counted: {}", open.join(", ")));
    sum.into_iter().chain(unknown).collect()
}
