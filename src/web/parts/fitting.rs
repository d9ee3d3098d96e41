//! The terminal and heat shrink of an end, or its connector, in plain text.

use uom::si::force::newton;
use uom::si::length::millimeter;

use super::wires;
use super::workings::{WorkingPiece, pieces};
use crate::job::conductor::Conductor;
use crate::job::crimp;
use crate::job::run::Piece;
use crate::job::termination::{self, EndPart, Fitted};
use crate::job::value::PullN;
use crate::trade::conductor::Size;
use crate::trade::finding::RuleFinding;
use crate::trade::say::capital;
use crate::trade::terminal::Barrel;
use crate::web::kit::opened::Opened;

/// What is fitted to an end, as pairs of name and text. What could not be chosen says why.
pub fn facts(job: &Opened, piece: Piece<'_>, end: &str) -> Vec<(&'static str, String)> {
    let size = size(job, piece);
    let facts = match fit(job, piece, end) {
        None => Vec::new(),
        Some(Ok(EndPart::Terminal(fitted))) => chosen(&fitted, size),
        Some(Ok(EndPart::Connector(name))) => vec![("Connector", name.to_string())],
        Some(Err(said)) => {
            let name = if piece.cable().is_some() { "Connector" } else { "Terminal" };
            let barrel = size.map(|size| ("Barrel", Barrel::of(size).words().to_owned()));
            std::iter::once((name, format!("Not chosen. {}", said.text.text(job.units))))
                .chain(barrel)
                .collect()
        }
    };
    facts.into_iter().chain(size.and_then(least).map(|least| ("Crimp holds at least", least))).collect()
}

/// How the terminal and its heat shrink were chosen.
pub fn workings(job: &Opened, piece: Piece<'_>, end: &str) -> Vec<WorkingPiece> {
    match fit(job, piece, end) {
        Some(Ok(EndPart::Terminal(fitted))) => pieces(&fitted.terminal.workings, job.units),
        _ => Vec::new(),
    }
}

/// What is fitted to the end with this id; `None` if the piece is supplied with its ends.
fn fit(job: &Opened, piece: Piece<'_>, end: &str) -> Option<Result<EndPart, Box<RuleFinding>>> {
    let end = piece.ends().into_iter().find(|own| own.id == end)?;
    termination::fit(&job.plan, piece, &end, size(job, piece))
}

/// The size of a wire.
fn size(job: &Opened, piece: Piece<'_>) -> Option<Size> {
    match piece {
        Piece::Wire(wire) => wires::size_of(job, wire),
        Piece::Cable(_) => None,
    }
}

fn chosen(fitted: &Fitted, size: Option<Size>) -> Vec<(&'static str, String)> {
    let terminal = &fitted.terminal;
    let barrel = match (terminal.barrel, size) {
        (Barrel::Lug, Some(size)) => format!("{} for {size}", terminal.barrel.words()),
        (barrel, _) => barrel.words().to_owned(),
    };
    let tube = fitted.tube.map_or_else(
        || "none: the join stays uncovered".to_owned(),
        |tube| {
            let (diameter, length) = (tube.diameter.get::<millimeter>(), tube.length.get::<millimeter>());
            format!("{diameter} mm before it shrinks, {length:.0} mm long")
        },
    );
    vec![
        ("Terminal", format!("{}, {barrel}", capital(terminal.kind.words()))),
        ("Sits on", fitted.seat.words()),
        ("Heat shrink", tube),
    ]
}

/// The pull force that a crimp must hold, by the first source that has one.
fn least(size: Size) -> Option<String> {
    let pull = crimp::least(size)?;
    Some(format!("{:.0} N ({})", pull.least.get::<newton>(), pull.source.title))
}

/// Whether a pulled crimp held the required force; `None` if that force is not known.
pub fn held(job: &Opened, conductor: &Conductor, force: PullN) -> Option<bool> {
    let pull = crimp::least(wires::size_of(job, conductor)?)?;
    Some(force.quantity() >= pull.least)
}
