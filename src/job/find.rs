//! Finds a wire or cable from typed text: its label, with or without the dash, or terms that describe it.

use foldhash::HashSet;

use super::color;
use super::conductor::Landing;
use super::plan::Plan;
use super::run::{At, Piece, Pieces};
use super::wiring::Conductors;

/// A wire or cable that was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hit<'a> {
    /// The wire or cable.
    pub piece: Piece<'a>,
    /// The end that the label names, 0 or 1.
    pub end: Option<usize>,
    /// How well it fits the typed text.
    pub fit: Fit,
}

/// How well a wire or cable fits the typed text, the best first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fit {
    /// The text is the label.
    Label,
    /// The text is the label without leading zeros.
    WithoutZeros,
    /// The label begins with the text.
    Begins,
    /// Every typed term describes it: its circuit, what it joins and where, its color.
    Words,
}

/// The wires and cables that fit the typed text, the best first; none for an empty text.
///
/// Capitals, dashes and spaces do not count. Letters that are easily confused with digits are read as
/// digits.
pub fn pieces<'a>(plan: &'a Plan, conductors: &'a Conductors, typed: &str) -> Vec<Hit<'a>> {
    if plain(typed).is_empty() {
        return Vec::new();
    }
    let devices: HashSet<&str> = plan.devices.iter().map(|device| device.id.as_str()).collect();
    let pieces = Pieces::of(plan, conductors).all();
    let mut hits: Vec<Hit<'a>> = pieces.filter_map(|piece| hit(plan, &devices, piece, typed)).collect();
    hits.sort_by_key(|hit| hit.fit);
    hits
}

/// The one wire or cable that the label identifies without doubt.
pub fn meant<'a>(hits: &[Hit<'a>]) -> Option<Hit<'a>> {
    let sure = |hit: &&Hit<'_>| hit.fit <= Fit::WithoutZeros;
    let best = hits.first().filter(sure)?;
    let rivals = hits.iter().filter(|hit| hit.fit == best.fit).count();
    (rivals == 1).then_some(*best)
}

/// A label that is also a device's name may mean any of its wires. Then only the label of an end is
/// certain.
fn hit<'a>(plan: &Plan, devices: &HashSet<&str>, piece: Piece<'a>, typed: &str) -> Option<Hit<'a>> {
    let ends = piece.ends();
    let whole = Some((None, piece.label())).filter(|(_, label)| !devices.contains(label));
    let labels = [(Some(0), ends[0].label.as_str()), (Some(1), ends[1].label.as_str())];
    let by_label = whole.into_iter().chain(labels);
    let by_label = by_label.filter_map(|(end, label)| Some((label_fit(label, typed)?, end)));
    let (fit, end) = match by_label.min_by_key(|(fit, _)| *fit) {
        Some((Fit::Begins, _)) => (Fit::Begins, None),
        Some(by_label) => by_label,
        None => is_said(&said(plan, piece), typed).then_some((Fit::Words, None))?,
    };
    Some(Hit { piece, end, fit })
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

/// A label for comparison: only letters and digits, in lowercase, with O and I read as digits.
fn plain(text: &str) -> String {
    read_as(text).filter(|c| c.is_alphanumeric()).collect()
}

/// The same without leading zeros in any of its numbers: `C01-1a` becomes `c11a`.
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

/// Whether every typed term begins a term of the description; a single letter is not enough.
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

/// The description of a wire or cable: what it is part of, what it joins and where, and its appearance.
fn said(plan: &Plan, piece: Piece<'_>) -> String {
    let ends = piece.ends().map(|end| landed(plan, &end.at)).join(" ");
    match piece {
        Piece::Wire(wire) => {
            let circuit = piece.circuit().and_then(|id| plan.circuit(id));
            let of = match circuit {
                Some(circuit) => format!("{} {}", circuit.label_text(), circuit.name),
                None => format!("{} feeder", piece.label()),
            };
            [&of, &ends, color::of(plan, wire), wire.role.words()].join(" ")
        }
        Piece::Cable(own) => [piece.label(), &own.called(), &ends, own.part()].join(" "),
    }
}

/// What an end lands on and where that is, by id and name.
fn landed(plan: &Plan, at: &At) -> String {
    let name = match at {
        At::Landing(Landing::Point { id, .. }) => plan.point(id).map(|point| point.called()),
        At::Landing(Landing::Device(id)) => plan.device(id).map(|device| device.name.as_str()),
        At::Location(_) => None,
    };
    [at.id(), name.unwrap_or_default(), at.location_name(plan).unwrap_or_default()].join(" ")
}
