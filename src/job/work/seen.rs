//! What the plan says about a step today, and whether it differs from what a person was shown.
//!
//! A label step depends on the text of the label. A pull depends on what the wire connects and on its size. An end
//! depends on what it lands on, its terminal and its size. A switch position depends on its circuits. A test
//! depends on the expected drop, and a fuse on its planned rating.

use crate::job::check::Sizes;
use crate::job::checked::Checked;
use crate::job::event::Seen;
use crate::job::plan::Circuit;
use crate::job::run::Piece;
use crate::job::step::{Action, StepKey};
use crate::job::termination::{self, EndPart};
use crate::job::value::{MeterV, Name, RatingA};
use crate::trade::conductor::Size;

/// A test is repeated if its expected drop changes by more than this, in V, and by more than
/// [`DROP_SHARE`]. Our own figure.
const DROP_V: f64 = 0.05;
/// The same as a share of the drop. Our own figure.
const DROP_SHARE: f64 = 0.10;

/// What the plan says about a step.
pub fn today(checked: &Checked, key: &StepKey) -> Seen {
    let none = Seen::default();
    match key.action {
        Action::Pull | Action::Label | Action::Terminate => of_piece(checked, key).unwrap_or(none),
        Action::Wire => Seen { circuits: circuits(checked, key).parse().ok(), ..none },
        Action::Fuse => Seen { rating_a: rating(checked, key), ..none },
        Action::Test => Seen { drop_v: drop(checked, key), ..none },
        _ => none,
    }
}

/// What changed in the plan since a person saw it, as a text; `None` if nothing did. Something that the person was
/// not shown is not compared.
pub fn changed(seen: &Seen, today: &Seen) -> Option<String> {
    let text = |what: &str, seen: Option<&str>, today: Option<&str>| {
        let seen = seen.filter(|seen| today != Some(seen))?;
        Some(format!("{what} is {} now, and was {seen}", today.unwrap_or("not known")))
    };
    let name = |what, seen: &Option<Name>, today: &Option<Name>| {
        text(what, seen.as_ref().map(|name| name.as_str()), today.as_ref().map(|name| name.as_str()))
    };
    let circuits = || {
        let [was, is] = [seen, today].map(|it| it.circuits.as_ref().map(|text| text.as_str()));
        text("the circuit", was, is)
    };
    let rating = || {
        let [was, is] = [seen, today].map(|it| it.rating_a.map(|rating| format!("{rating} A")));
        text("the planned rating", was.as_deref(), is.as_deref())
    };
    name("the label", &seen.label, &today.label)
        .or_else(|| name("the connection", &seen.landing, &today.landing))
        .or_else(|| name("the terminal", &seen.terminal, &today.terminal))
        .or_else(|| name("the size", &seen.size, &today.size))
        .or_else(circuits)
        .or_else(rating)
        .or_else(|| drop_changed(seen, today))
}

fn drop_changed(seen: &Seen, today: &Seen) -> Option<String> {
    let was = seen.drop_v?.number();
    let Some(is) = today.drop_v.map(|volts| volts.number()) else {
        return Some("the expected drop is not known now".to_owned());
    };
    let by = (is - was).abs();
    let moved = by > DROP_V && by > DROP_SHARE * was.abs().max(is.abs());
    moved.then(|| format!("the expected drop is {is:.2} V now, and was {was:.2} V"))
}

fn of_piece(checked: &Checked, key: &StepKey) -> Option<Seen> {
    let (piece, end) = checked.pieces().about(&key.subject)?;
    let size = size_of(checked, piece);
    let size_text = size.and_then(|size| size.to_string().parse().ok());
    let none = Seen::default();
    match key.action {
        Action::Label => Some(Seen { label: piece.label().parse().ok(), ..none }),
        Action::Pull => {
            let [from, to] = piece.ends().map(|end| end.at.id().to_owned());
            Some(Seen { landing: format!("{from} \u{2192} {to}").parse().ok(), size: size_text, ..none })
        }
        _ => {
            let at = piece.ends().into_iter().nth(end?)?.at;
            let terminal = terminal(checked, piece, end?, size);
            Some(Seen {
                landing: at.to_string().parse().ok(),
                terminal: terminal.and_then(|terminal| terminal.parse().ok()),
                size: size_text,
                ..none
            })
        }
    }
}

fn size_of(checked: &Checked, piece: Piece<'_>) -> Option<Size> {
    let Piece::Wire(wire) = piece else { return None };
    Sizes::of(&checked.report).get(wire)
}

fn terminal(checked: &Checked, piece: Piece<'_>, end: usize, size: Option<Size>) -> Option<String> {
    let end = piece.ends().into_iter().nth(end)?;
    match termination::fit(&checked.plan, piece, &end, size)?.ok()? {
        EndPart::Terminal(fitted) => {
            Some(format!("{}, {}", fitted.terminal.kind.words(), fitted.seat.words()))
        }
        EndPart::Connector(name) => Some(name.to_string()),
    }
}

/// The circuits on a position, by id.
fn circuits(checked: &Checked, key: &StepKey) -> String {
    let is_on = |circuit: &&Circuit| {
        circuit.switch.as_ref().is_some_and(|at| format!("{}-{}", at.panel, at.position) == key.subject.id)
    };
    let on = checked.plan.circuits.iter().filter(is_on).map(|circuit| circuit.id.as_str());
    on.collect::<Vec<_>>().join(" and ")
}

fn rating(checked: &Checked, key: &StepKey) -> Option<RatingA> {
    checked.report.planned_rating(&key.subject)?.try_into().ok()
}

/// The expected drop of a circuit from its source to its worst device.
fn drop(checked: &Checked, key: &StepKey) -> Option<MeterV> {
    let circuits = &checked.report.circuits;
    let (_, circuit) = circuits.iter().find(|(id, _)| id.as_str() == key.subject.id)?;
    circuit.conductor.solved_drop_v?.try_into().ok()
}
