//! Finding a wire or factory cable by what is typed with thumbs: its label with or without the dash, or words about it.

use super::cable::{self, Cable};
use super::color;
use super::plan::Plan;
use super::value::LocationId;
use super::wiring::{Conductor, Conductors, Landing, Of};

/// What somebody may hold: a wire, or a cable that came with its ends made up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Found<'a> {
    /// A wire.
    Conductor(&'a Conductor),
    /// A factory cable.
    Cable(Cable<'a>),
}

impl Found<'_> {
    /// The ids of both ends.
    pub fn ends(&self) -> [String; 2] {
        match self {
            Self::Conductor(conductor) => conductor.ends().map(|end| end.id),
            Self::Cable(cable) => cable.ends().map(|end| end.id),
        }
    }
}

/// A wire or factory cable that was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit<'a> {
    /// What it is.
    pub found: Found<'a>,
    /// Which of its ends the label names: of a wire 0 the one nearer the source, of a cable 0 the one at its
    /// device; 1 the other.
    pub end: Option<usize>,
    /// How well what was typed fits it.
    pub fit: Fit,
}

/// How well what was typed fits a wire, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fit {
    /// It is the label.
    Label,
    /// It is the label without the zeros in front of its numbers.
    WithoutZeros,
    /// The label begins with it.
    Begins,
    /// Every word is said of the wire: its circuit, what it joins and where, its color.
    Words,
}

/// The wires and factory cables that fit what was typed, the best first; none for nothing.
///
/// Capitals, dashes and blanks do not count, and a letter that a thumb takes for a digit is read as it.
pub fn wires<'a>(plan: &'a Plan, conductors: &'a Conductors, typed: &str) -> Vec<Hit<'a>> {
    if plain(typed).is_empty() {
        return Vec::new();
    }
    let wires = conductors.all().iter().filter_map(|conductor| hit(plan, conductor, typed));
    let mut hits: Vec<Hit<'a>> =
        wires.chain(cable::all(plan).filter_map(|cable| cable_hit(plan, cable, typed))).collect();
    hits.sort_by_key(|hit| hit.fit);
    hits
}

/// The one wire that was meant, where the label leaves no doubt.
pub fn meant<'a>(hits: &[Hit<'a>]) -> Option<Hit<'a>> {
    let sure = |hit: &&Hit<'_>| hit.fit <= Fit::WithoutZeros;
    let best = hits.first().filter(sure)?;
    let rivals = hits.iter().filter(|hit| hit.fit == best.fit).count();
    (rivals == 1).then_some(*best)
}

fn hit<'a>(plan: &Plan, conductor: &'a Conductor, typed: &str) -> Option<Hit<'a>> {
    let ends = conductor.ends();
    let labels = [(None, conductor.id.as_str()), (Some(0), &ends[0].id), (Some(1), &ends[1].id)];
    let by_label = labels.into_iter().filter_map(|(end, label)| Some((label_fit(label, typed)?, end)));
    // The conductor before its ends, where what was typed is the beginning of all three.
    let best = by_label.min_by_key(|(fit, _)| *fit);
    let (fit, end) = best.or_else(|| is_said(&said(plan, conductor), typed).then_some((Fit::Words, None)))?;
    Some(Hit { found: Found::Conductor(conductor), end, fit })
}

/// Its device's name alone may as well mean the device's wires: only an end's label leaves no doubt.
fn cable_hit<'a>(plan: &Plan, cable: Cable<'a>, typed: &str) -> Option<Hit<'a>> {
    let ends = cable.ends();
    let labels = ends.iter().enumerate();
    let by_label = labels.filter_map(|(end, label)| Some((label_fit(&label.id, typed)?, end)));
    let (fit, end) = match by_label.min_by_key(|(fit, _)| *fit) {
        Some((Fit::Begins, _)) => (Fit::Begins, None),
        Some((fit, end)) => (fit, Some(end)),
        None => is_said(&said_of_cable(plan, cable), typed).then_some((Fit::Words, None))?,
    };
    Some(Hit { found: Found::Cable(cable), end, fit })
}

fn label_fit(label: &str, typed: &str) -> Option<Fit> {
    let (whole, asked) = (plain(label), plain(typed));
    if whole == asked {
        Some(Fit::Label)
    } else if without_zeros(label) == without_zeros(typed) {
        Some(Fit::WithoutZeros)
    } else {
        whole.starts_with(&asked).then_some(Fit::Begins)
    }
}

/// A label as it is compared: letters and digits alone, small, with O and I read as digits.
fn plain(text: &str) -> String {
    read_as(text).filter(|c| c.is_alphanumeric()).collect()
}

/// The same without zeros in front of any of its numbers: `C01-1a` is `c11a`.
fn without_zeros(text: &str) -> String {
    let mut kept = String::new();
    let mut in_number = false;
    for c in read_as(text) {
        if c == '0' && !in_number {
            continue;
        }
        in_number = c.is_ascii_digit();
        kept.extend(c.is_alphanumeric().then_some(c));
    }
    kept
}

fn read_as(text: &str) -> impl Iterator<Item = char> {
    text.chars().flat_map(char::to_lowercase).map(|c| match c {
        'o' => '0',
        'i' | 'l' => '1',
        other => other,
    })
}

/// Whether every word typed begins a word of what is said; a single letter says too little.
fn is_said(said: &str, typed: &str) -> bool {
    let said = said.to_lowercase();
    let words: Vec<&str> =
        said.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let typed = typed.to_lowercase();
    let mut asked = typed.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).peekable();
    typed.trim().len() > 1
        && asked.peek().is_some()
        && asked.all(|asked| words.iter().any(|word| word.starts_with(asked)))
}

fn said(plan: &Plan, conductor: &Conductor) -> String {
    let of = match &conductor.of {
        Of::Circuit(id) => plan.circuit(id).map_or(String::new(), |circuit| format!("{id} {}", circuit.name)),
        Of::Feeder(id) => format!("{id} feeder"),
    };
    let ends = [&conductor.from, &conductor.to].map(|landing| landed(plan, landing));
    [of, ends.join(" "), color::of(plan, conductor).to_owned(), conductor.role.words().to_owned()].join(" ")
}

fn said_of_cable(plan: &Plan, cable: Cable<'_>) -> String {
    let location = |id: &LocationId| plan.location(id).map_or("", |location| location.name.as_str());
    let [from, to] = cable.ends().map(|end| format!("{} {}", end.location, location(end.location)));
    [cable.id(), &cable.called(), &from, &to, "factory cable"].join(" ")
}

/// What a wire lands on and where that is, by id and name.
fn landed(plan: &Plan, landing: &Landing) -> String {
    let name = match landing {
        Landing::Point { id, .. } => plan.point(id).map(|point| point.called()),
        Landing::Device(id) => plan.device(id).map(|device| device.name.as_str()),
    };
    let location =
        landing.location(plan).and_then(|id| plan.location(id)).map(|location| location.name.as_str());
    [landing.id(), name.unwrap_or_default(), location.unwrap_or_default()].join(" ")
}
