//! A conductor as a row of a table.

use uom::si::length::meter;

use super::bench::Bench;
use super::wires::{drawn, planned, way, words};
use crate::drawing::wire::Wire;
use crate::job::subject::{Kind, Subject};
use crate::job::wiring::Conductor;
use crate::web::kit::figure::Figure;
use crate::web::kit::opens::Cell;

/// A conductor as a row: the wire, its way, its length, how far its ends are.
#[derive(Debug)]
pub struct WireRow {
    /// Its id, which is its label.
    pub id: String,
    /// Its own page.
    pub href: String,
    /// The wire.
    pub wire: Wire,
    /// Its size and color.
    pub words: String,
    /// Where it runs.
    pub way: String,
    /// The part it plays.
    pub role: &'static str,
    /// Its length, where it is known, open on how that came about.
    pub length: Option<Cell>,
    /// Whether somebody measured it.
    pub measured: bool,
    /// How far it is pulled, labeled and terminated.
    pub state: String,
}

/// A conductor as a row of a table.
pub fn row(bench: &Bench<'_>, conductor: &Conductor) -> WireRow {
    let [near, far] = conductor.ends().map(|end| end.id);
    WireRow {
        id: conductor.id.to_string(),
        href: format!("{}/wires/{}", bench.job.href(), conductor.id),
        wire: drawn(bench.job, conductor, [&near, &far]),
        words: words(bench.job, conductor),
        way: way(&bench.job.plan, conductor),
        role: conductor.role.words(),
        length: conductor.length.map(|meters| {
            let value = Figure::length(meters.get::<meter>(), bench.frame.length_unit());
            Cell::by(conductor.id.as_str(), "length", value, planned(bench.job, conductor))
        }),
        measured: conductor.measured,
        state: state(bench, conductor),
    }
}

/// How far a conductor is, in words: what is open on it, or that nothing is.
fn state(bench: &Bench<'_>, conductor: &Conductor) -> String {
    let ends = conductor.ends().map(|end| Subject::new(Kind::End, end.id));
    let subjects = [Subject::new(Kind::Conductor, &conductor.id)].into_iter().chain(ends);
    let open: Vec<String> = subjects
        .flat_map(|subject| {
            let steps = bench.job.steps.of_subject(&subject).filter(|step| bench.is_open(&step.key));
            let end = (subject.kind == Kind::End).then(|| subject.id.clone());
            steps
                .map(|step| match &end {
                    Some(end) => format!("{end} {}", step.key.action.open()),
                    None => step.key.action.open().to_owned(),
                })
                .collect::<Vec<_>>()
        })
        .collect();
    if open.is_empty() { "pulled, labeled and terminated".to_owned() } else { open.join(", ") }
}
