//! One end of a wire or cable on its page: its terminal or connector, its tick, what was found there, and
//! its sample crimps.

use askama::Template;
use askama::filters::HtmlSafe;
use uuid::Uuid;

use crate::drawing::wire::DrawnWire;
use crate::job::conductor::Conductor;
use crate::job::event::CrimpPull;
use crate::job::label::Labels;
use crate::job::run::cable::DeviceCable;
use crate::job::run::{Piece, PieceEnd};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::Name;
use crate::shop::role::Permission;
use crate::web::kit::form::Form;
use crate::web::parts::bench::Bench;
use crate::web::parts::fitting;
use crate::web::parts::open_item::FoundHere;
use crate::web::parts::step::StepPiece;
use crate::web::parts::undo_button::UndoButton;
use crate::web::parts::wires;
use crate::web::parts::workings::WorkingPiece;

/// One end of a wire or cable.
#[derive(Debug, Template)]
#[template(path = "hand/end.html")]
pub struct EndCard {
    label: String,
    side: char,
    here: bool,
    at: String,
    wire: DrawnWire,
    facts: Vec<(&'static str, String)>,
    workings: Vec<WorkingPiece>,
    steps: Vec<StepPiece>,
    /// The failed sample that leaves it unproven.
    unproven: Option<String>,
    records: Vec<Record>,
    action: String,
    back: String,
    event: Uuid,
    found: FoundHere,
    may: bool,
    /// Whether sample crimps are recorded there: only the crimp of a terminal on a wire has a required force.
    samples: bool,
    form: Form,
}

impl HtmlSafe for EndCard {}

/// A record made at an end.
#[derive(Debug)]
struct Record {
    words: String,
    fails: bool,
    by: String,
    at: String,
    undo: Option<UndoButton>,
}

/// A refused form, and the end it is for.
#[derive(Debug, Default)]
pub struct TypedEnd {
    /// The label of the end.
    pub end: String,
    /// The form.
    pub form: Form,
}

impl EndCard {
    /// An end of a wire or cable; `here` if the address names this end. A cable of a made length is supplied with its
    /// ends: nothing is fitted there, and nothing is recorded there.
    pub fn new(
        bench: &Bench<'_>,
        labels: &Labels,
        piece: Piece<'_>,
        end: PieceEnd,
        here: bool,
        typed: &TypedEnd,
        back: &str,
    ) -> Self {
        let job = bench.job;
        let subject = Subject::new(SubjectKind::End, &end.id);
        let (_, side) = end.id.split_at(end.id.len().saturating_sub(1));
        let back = format!("{back}#{side}");
        let mut facts = fitting::facts(job, piece, &end.id);
        facts.splice(..0, piece.cable().into_iter().flat_map(|own| of_cable(own, labels, &end)));
        Self {
            here,
            at: wires::landed(&job.plan, &end.at),
            wire: wires::drawn(job, piece, [&end.label, ""]),
            facts,
            workings: fitting::workings(job, piece, &end.id),
            steps: job.steps.of_subject(&subject).map(|step| bench.step(step)).collect(),
            unproven: unproven(bench, &end.id),
            records: records(bench, piece, &end.id, &back),
            action: format!("{}/{side}", wires::href(job, piece)),
            found: FoundHere::on(bench, &subject, &back),
            back,
            event: Uuid::now_v7(),
            may: bench.frame.may(Permission::Tick) && !piece.is_made_up(),
            samples: piece.cable().is_none(),
            form: if typed.end == end.id { typed.form.clone() } else { Form::default() },
            side: if side == "a" { 'a' } else { 'b' },
            label: end.label,
        }
    }

    fn error(&self, field: &str) -> Option<&str> {
        self.form.error(field)
    }

    fn open(&self, field: &str) -> bool {
        self.form.error(field).is_some()
    }
}

/// The facts of a cable's end: its label, and the connector that it is supplied with.
fn of_cable(own: DeviceCable<'_>, labels: &Labels, end: &PieceEnd) -> Vec<(&'static str, String)> {
    let label = labels.get(&end.id).map(|label| ("Labeled", label.text.clone()));
    let supplied = own.made_length().and_then(|_| own.connector(usize::from(end.id.ends_with('b'))));
    label.into_iter().chain(supplied.map(|name| ("Connector", name.to_string()))).collect()
}

/// Why an end that is already crimped is unproven: the sample crimp of its sort failed.
fn unproven(bench: &Bench<'_>, end: &str) -> Option<String> {
    let failed =
        bench.job.failed_crimps().iter().find(|failed| failed.unproven.iter().any(|id| id == end))?;
    Some(format!("Not passed. {}", failed.sentence().text(bench.job.units)))
}

/// The records of an end, the latest first.
fn records(bench: &Bench<'_>, piece: Piece<'_>, end: &str, back: &str) -> Vec<Record> {
    let history = &bench.job.history;
    let is_here = |named: &Name| named.as_str() == end;
    let pulls = history.crimp_pulls.iter().filter(|pull| is_here(&pull.end));
    let pulls = pulls.filter_map(|pull| match piece {
        Piece::Wire(wire) => Some((pull.at, pulled(bench, wire, pull, back))),
        Piece::Cable(_) => None,
    });
    let mut records: Vec<_> = pulls.collect();
    records.sort_by_key(|(at, _)| std::cmp::Reverse(*at));
    records.into_iter().map(|(_, record)| record).collect()
}

fn pulled(bench: &Bench<'_>, wire: &Conductor, pull: &CrimpPull, back: &str) -> Record {
    let held = fitting::held(bench.job, wire, pull.force_n);
    let verdict = match held {
        Some(true) => "held: the required force is reached",
        Some(false) => "failed: below the required force",
        None => "not judged: the required force is not known",
    };
    let note = pull.note.as_ref().map_or_else(String::new, |note| format!(" \u{201c}{note}\u{201d}"));
    let words = format!("Sample crimp pulled with {} N, {verdict}.{note}", pull.force_n);
    record(bench, pull.id, words, held == Some(false), (&pull.by, pull.at), back)
}

fn record(
    bench: &Bench<'_>,
    id: Uuid,
    words: String,
    fails: bool,
    (by, at): (&Name, jiff::Timestamp),
    back: &str,
) -> Record {
    Record {
        fails,
        by: by.to_string(),
        at: bench.frame.moment(at),
        undo: UndoButton::new(bench.frame, bench.job, (id, by.as_str()), back, &words),
        words,
    }
}
