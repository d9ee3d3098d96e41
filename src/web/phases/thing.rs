//! The thing in hand, with its steps, and things grouped as one works: by location, by circuit, by device.

use std::collections::BTreeMap;

use crate::drawing::wire::Wire;
use crate::job::cable;
use crate::job::phase::Phase;
use crate::job::plan::Plan;
use crate::job::step::Action as Doing;
use crate::job::steps::Step;
use crate::job::subject::{Kind, Subject};
use crate::job::tie::Counts;
use crate::job::value::LocationId;
use crate::job::wiring::Of;
use crate::web::kit::opened::Opened;
use crate::web::kit::opens::Sentence;
use crate::web::parts::finding::sheet_of;
use crate::web::parts::wires;
use crate::web::parts::workings::WorkingPiece;
use crate::web::parts::{factory, fitting};

use super::anyway::PassAnyway;
use super::mounting;
use crate::shop::role::Action;
use crate::web::parts::bench::Bench;
use crate::web::parts::bench::released;
use crate::web::parts::step::StepPiece;
use crate::web::parts::step::anchor;

/// Things that are done together.
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

/// One thing in hand.
#[derive(Debug)]
pub struct ThingInHand {
    /// The wire itself, where it is one.
    pub wire: Option<Wire>,
    /// What it is.
    pub title: String,
    /// Where to read more of it.
    pub href: Option<String>,
    /// What the hand needs to know.
    pub notes: Vec<Sentence>,
    /// How the figures of that came about.
    pub workings: Vec<WorkingPiece>,
    /// What is done to it.
    pub steps: Vec<StepPiece>,
    /// The form that lets it be tied before all that run in it are proven, or who did.
    pub anyway: Option<PassAnyway>,
}

impl Group {
    /// Whether nothing of it is left.
    pub fn is_finished(&self) -> bool {
        self.closed == self.of
    }
}

/// A group as it is sorted: by rank, then by title.
type Key = (usize, String);

/// The things of a phase, grouped.
pub fn groups(bench: &Bench<'_>, phase: Phase) -> Vec<Group> {
    let mut sorted: BTreeMap<Key, Vec<&Step>> = BTreeMap::new();
    for step in bench.job.steps.in_phase(phase) {
        sorted.entry(key(bench.job, step)).or_default().push(step);
    }
    sorted
        .into_iter()
        .enumerate()
        .map(|(index, ((_, title), steps))| group(bench, index, title, &steps))
        .collect()
}

fn group(bench: &Bench<'_>, index: usize, title: String, steps: &[&Step]) -> Group {
    let (closed, of) = bench.closed(steps.iter().map(|step| &step.key));
    let things = steps
        .chunk_by(|one, other| one.key.subject == other.key.subject)
        .filter_map(|steps| Some(thing(bench, steps.first()?, steps)))
        .collect();
    Group { title, anchor: format!("group-{}", index + 1), closed, of, things }
}

fn thing(bench: &Bench<'_>, first: &Step, steps: &[&Step]) -> ThingInHand {
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
        anyway: tied_anyway(bench, first),
    }
}

/// Where a step is done together with which others.
fn key(job: &Opened, step: &Step) -> Key {
    let plan = &job.plan;
    let subject = &step.key.subject;
    match (subject.kind, &step.location) {
        (Kind::Job, _) => (0, "Before anything else".to_owned()),
        (Kind::Location, _) if step.key.action == Doing::Close => (usize::MAX, "Old holes".to_owned()),
        (Kind::Location, _) => (1, "Locations".to_owned()),
        (Kind::Raceway, _) => (2, "Raceways".to_owned()),
        (Kind::Conductor, _) => conductor_key(job, &subject.id),
        (Kind::Cable, _) => (usize::MAX, "Factory cables".to_owned()),
        (Kind::Circuit, _) => (0, "Circuits".to_owned()),
        (Kind::Feeder, _) => (1, "Feeders".to_owned()),
        (Kind::Setting, _) => device_key(plan, &subject.id),
        (Kind::Position, _) => panel_key(plan, &subject.id),
        (_, Some(location)) => plan.locations.iter().position(|known| known.id == *location).map_or_else(
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
            .iter()
            .position(|circuit| circuit.id == *id)
            .map_or_else(|| (0, id.to_string()), |rank| (rank + 1, format!("{id} {}", circuits[rank].name))),
        _ => (0, "Feeders".to_owned()),
    }
}

fn device_key(plan: &Plan, setting: &str) -> Key {
    let id = setting.rsplit_once('-').map_or(setting, |(device, _)| device);
    let rank = plan.devices.iter().position(|device| device.id.as_str() == id);
    rank.map_or_else(|| (usize::MAX, id.to_owned()), |rank| (rank, plan.devices[rank].name.to_string()))
}

fn panel_key(plan: &Plan, position: &str) -> Key {
    let id = position.rsplit_once('-').map_or(position, |(panel, _)| panel);
    let rank = plan.points.iter().position(|point| point.id.as_str() == id);
    rank.map_or_else(|| (usize::MAX, id.to_owned()), |rank| (rank, plan.points[rank].called().to_owned()))
}

fn title(job: &Opened, step: &Step) -> String {
    let id = step.key.subject.id.as_str();
    let named = match step.key.subject.kind {
        Kind::Job => Some("The whole boat".to_owned()),
        Kind::Conductor => {
            job.conductors.get(id).map(|conductor| format!("{id}: {}", wires::way(&job.plan, conductor)))
        }
        Kind::Cable => {
            cable::get(&job.plan, id).map(|cable| format!("{id}: {}", factory::way(&job.plan, cable)))
        }
        Kind::End => {
            job.conductors.end(id).map(|(_, end)| format!("{id} at {}", wires::landing(&job.plan, &end.at)))
        }
        _ => None,
    };
    named.unwrap_or_else(|| step.about.clone())
}

fn href(job: &Opened, subject: &Subject) -> Option<String> {
    let path = if subject.kind == Kind::Job { None } else { sheet_of(subject) };
    path.map(|path| format!("{}{path}", job.href()))
}

fn wire(job: &Opened, subject: &Subject) -> Option<Wire> {
    match subject.kind {
        Kind::Conductor => {
            let conductor = job.conductors.get(&subject.id)?;
            let [near, far] = conductor.ends().map(|end| end.id);
            Some(wires::drawn(job, conductor, [&near, &far]))
        }
        Kind::End => {
            let (conductor, end) = job.conductors.end(&subject.id)?;
            Some(wires::drawn(job, conductor, [&end.id, ""]))
        }
        Kind::Cable => {
            let cable = cable::get(&job.plan, &subject.id)?;
            let [near, far] = cable.ends().map(|end| end.id);
            Some(factory::drawn(cable, [&near, &far]))
        }
        _ => None,
    }
}

fn notes(bench: &Bench<'_>, step: &Step) -> Vec<Sentence> {
    let (job, id) = (bench.job, step.key.subject.id.as_str());
    let said = match step.key.subject.kind {
        Kind::Conductor => return run_notes(bench, id),
        Kind::End => end_notes(job, id),
        Kind::Position => step.circuits.iter().filter_map(|id| switched(job, id)).collect(),
        Kind::Circuit | Kind::Feeder => tying(bench, step),
        Kind::Cable => cable_notes(bench, step),
        Kind::Device | Kind::Point if step.phase() == Phase::Mounting => {
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

/// What a cable is and whether it reaches; once it is tied down, what that takes.
fn cable_notes(bench: &Bench<'_>, step: &Step) -> Vec<String> {
    let (job, unit) = (bench.job, bench.frame.length_unit());
    let Some(cable) = cable::get(&job.plan, &step.key.subject.id) else { return Vec::new() };
    let said = factory::words(cable, unit);
    if step.phase() == Phase::TieDown {
        let counts = Counts::of(&job.plan, &job.report.routes, &step.key.subject);
        return std::iter::once(said).chain(takes(job, &counts)).collect();
    }
    let report = job.report.routes.cables.get(&cable.device.id);
    let reach = report.map(|report| report.told(&job.plan, |meters| unit.said(meters)));
    std::iter::once(said).chain(reach).collect()
}

/// The wire, what goes on its end, what was found there and which sample leaves it unproven.
fn end_notes(job: &Opened, id: &str) -> Vec<String> {
    let Some((conductor, end)) = job.conductors.end(id) else { return Vec::new() };
    let facts = fitting::facts(job, conductor, &end);
    let said = facts.iter().map(|(name, said)| format!("{}: {said}", name.to_lowercase()));
    let found = job.history.end_notes.iter().filter(|note| note.end.as_str() == id);
    let found = found.map(|note| format!("{} found: {}", note.by, note.found));
    let fitted = said.collect::<Vec<_>>().join("; ");
    let failed = job.failed_crimps.iter().filter(|failed| failed.unproven.iter().any(|end| end == id));
    let unproven = failed.map(|failed| format!("Not proven: {}", failed.words()));
    [wires::words(job, conductor), fitted].into_iter().chain(found).chain(unproven).collect()
}

fn switched(job: &Opened, id: &crate::job::value::CircuitId) -> Option<String> {
    let circuit = job.plan.circuit(id)?;
    Some(format!("{} {}", circuit.id, circuit.name))
}

/// What a run waits for before it may be tied, and what tying it takes.
fn tying(bench: &Bench<'_>, step: &Step) -> Vec<String> {
    let waits: Vec<String> = bench.progress.shut_by(step).iter().map(ToString::to_string).collect();
    let proven = match waits.len() {
        0 => "Proven".to_owned(),
        1..=6 => format!("Not proven yet: {}", waits.join(", ")),
        many => format!("Not proven yet: {} and {} more", waits[..5].join(", "), many - 5),
    };
    let job = bench.job;
    let counts = Counts::of(&job.plan, &job.report.routes, &step.key.subject);
    std::iter::once(proven).chain(takes(job, &counts)).collect()
}

/// Counts in words, each with what it is for.
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

/// The release of a run that is not proven yet.
fn tied_anyway(bench: &Bench<'_>, step: &Step) -> Option<PassAnyway> {
    let waits = bench.progress.shut_by(step);
    if waits.is_empty() || bench.shut_gate(Phase::TieDown).is_some() {
        return None;
    }
    let key = &step.key.of_the_tie().unwrap_or_else(|| step.key.clone());
    let release = released(&bench.job.history, Phase::TieDown, &key.to_string());
    let back = format!("{}/phases/{}#{}", bench.job.href(), Phase::TieDown, anchor(key));
    let why = "What is tied has to be cut open to be mended.".to_owned();
    Some(PassAnyway::new(bench, key, (why, Action::Release), release, back))
}
