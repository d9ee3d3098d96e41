//! A wire or cable as a row of a table.

use uom::si::length::meter;

use super::bench::Bench;
use super::wires::{drawn, href, planned, way, words};
use crate::drawing::wire::DrawnWire;
use crate::job::run::Piece;
use crate::job::subject::{Subject, SubjectKind};
use crate::web::kit::figure::Figure;
use crate::web::kit::opens::Cell;

/// A piece as a row: the wire, its route, its length, and the progress of its ends.
#[derive(Debug)]
pub struct WireRow {
    /// Its label.
    pub id: String,
    /// Its own page.
    pub href: String,
    /// The wire.
    pub wire: DrawnWire,
    /// Its size and color.
    pub words: String,
    /// The names of its ends.
    pub way: String,
    /// Its role.
    pub role: &'static str,
    /// Its length, if known, which opens on its working.
    pub length: Option<Cell>,
    /// Whether the length was measured.
    pub measured: bool,
    /// What is pulled, labeled and terminated.
    pub state: String,
}

/// A piece as a row of a table.
pub fn row<'a>(bench: &Bench<'_>, piece: impl Into<Piece<'a>>) -> WireRow {
    let (job, piece) = (bench.job, piece.into());
    let [near, far] = piece.ends().map(|end| end.label);
    let (length, workings) = match piece {
        Piece::Wire(wire) => (wire.length, planned(job, wire)),
        Piece::Cable(own) => (own.made_length(), Vec::new()),
    };
    WireRow {
        id: piece.label().to_owned(),
        href: href(job, piece),
        wire: drawn(job, piece, [&near, &far]),
        words: words(job, piece),
        way: way(&job.plan, piece),
        role: match piece {
            Piece::Wire(wire) => wire.role.words(),
            Piece::Cable(own) => own.part(),
        },
        length: length.map(|meters| {
            let value = Figure::length(meters.get::<meter>(), bench.frame.length_unit());
            Cell::by(piece.label(), "length", value, workings)
        }),
        measured: matches!(piece, Piece::Wire(wire) if wire.measured),
        state: state(bench, piece),
    }
}

/// The progress of a piece in plain text: its open steps, or that there are none.
fn state(bench: &Bench<'_>, piece: Piece<'_>) -> String {
    let ends = piece.ends().map(|end| (Subject::new(SubjectKind::End, &end.id), Some(end.label)));
    let mut open = Vec::new();
    for (subject, end) in [(piece.subject(), None)].into_iter().chain(ends) {
        let steps = bench.job.steps.of_subject(&subject).filter(|step| bench.is_open(&step.key));
        open.extend(steps.map(|step| match &end {
            Some(end) => format!("{end} {}", step.key.action.open()),
            None => step.key.action.open().to_owned(),
        }));
    }
    if !open.is_empty() {
        return open.join(", ");
    }
    let done = match piece {
        Piece::Wire(_) => "pulled, labeled and terminated",
        Piece::Cable(_) if piece.is_made_up() => "pulled, labeled and tied down",
        Piece::Cable(_) => "pulled, labeled, terminated and tied down",
    };
    done.to_owned()
}
