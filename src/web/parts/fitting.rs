//! The terminal and heat shrink of an end, in plain text.

use uom::si::force::newton;
use uom::si::length::millimeter;

use super::wires;
use super::workings::{WorkingPiece, pieces};
use crate::job::conductor::Conductor;
use crate::job::crimp;
use crate::job::termination::{self, Fitted};
use crate::job::value::PullN;
use crate::trade::conductor::Size;
use crate::trade::finding::Finding;
use crate::trade::terminal::Barrel;
use crate::web::kit::form::capital;
use crate::web::kit::opened::Opened;

/// The terminal and heat shrink of an end, as pairs of name and text. What could not be chosen says why.
pub fn facts(job: &Opened, conductor: &Conductor, end: &str) -> Vec<(&'static str, String)> {
    let size = wires::size_of(job, conductor);
    let chosen = match fit(job, conductor, end) {
        None => Vec::new(),
        Some(Ok(fitted)) => chosen(&fitted, size),
        Some(Err(said)) => {
            let barrel = size.map(|size| ("Barrel", Barrel::of(size).words().to_owned()));
            std::iter::once(("Terminal", format!("Not chosen. {}", said.text.text(job.units))))
                .chain(barrel)
                .collect()
        }
    };
    chosen.into_iter().chain(size.and_then(least).map(|least| ("Crimp holds at least", least))).collect()
}

/// How the terminal and its heat shrink were chosen.
pub fn workings(job: &Opened, conductor: &Conductor, end: &str) -> Vec<WorkingPiece> {
    let fitted = fit(job, conductor, end).and_then(Result::ok);
    let workings = fitted.map(|fitted| fitted.terminal.workings).unwrap_or_default();
    pieces(&workings, job.units)
}

/// The terminal for the end of a conductor with this id.
fn fit(job: &Opened, conductor: &Conductor, end: &str) -> Option<Result<Fitted, Box<Finding>>> {
    let end = conductor.ends().into_iter().find(|own| own.id == end)?;
    Some(termination::fit(&job.plan, conductor, &end, wires::size_of(job, conductor)))
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
