//! The rows of a list of wishes: what each line was read as, with what was chosen in its row.

use std::collections::HashMap;

use crate::job::kind::{Catalog, Kind};
use crate::job::plan::Plan;
use crate::job::value::{KindId, LocationId, NominalV};
use crate::job::wish::{MOST_LETTERS, MOST_LINES, Wanted, Wish, WishLocation, WishReader};
use crate::web::kit::form::Form;

/// The field of the list, one wish a line.
pub(super) const WISHES: &str = "wishes";

/// One line of the list, with what was chosen in its row.
pub(super) struct Wished {
    /// The line as it was read.
    pub(super) wish: Wish,
    /// Whether the form already showed a row for this line.
    pub(super) was_shown: bool,
    /// The kind it stands for; `None` if that is not known.
    pub(super) kind: Option<&'static Kind>,
    /// Where it is mounted, if that is known.
    pub(super) location: Option<LocationId>,
    /// Whether the equipment aboard is kept.
    pub(super) kept: bool,
}

impl Wished {
    /// The name of a field of its row.
    pub(super) fn field(&self, name: &str) -> String {
        field(name, self.wish.line)
    }

    /// The kinds to add for each one that is wanted: those of a set, or the kind itself.
    pub(super) fn added(&self) -> Vec<&'static Kind> {
        let Some(kind) = self.kind else { return Vec::new() };
        let needed = || kind.needs.iter().filter_map(|id| Catalog::built_in().kind(id));
        let all = if kind.is_set() { needed().collect() } else { vec![kind] };
        all.into_iter().filter(|kind| kind.is_device() || kind.point.is_some()).collect()
    }

    /// How many devices and how many distribution points its line adds.
    pub(super) fn counts(&self) -> [usize; 2] {
        let added = self.added();
        let devices = added.iter().filter(|kind| kind.is_device()).count();
        [devices, added.len() - devices].map(|each| each * usize::from(self.wish.count))
    }

    /// The kinds that may be meant.
    pub(super) fn may_be(&self) -> &[KindId] {
        if let Wanted::DidYouMean(kinds) = &self.wish.wanted { kinds } else { &[] }
    }
}

/// The rows of a list, and its form with every field of the rows filled in.
pub(super) struct Reading {
    /// The form.
    pub(super) form: Form,
    /// The rows.
    pub(super) rows: Vec<Wished>,
}

impl Reading {
    /// Reads the list of a form. What was chosen for a line stays while the text of the line stays.
    pub(super) fn of(sent: &Form, plan: &Plan) -> Self {
        let text = sent.typed(WISHES);
        let mut form = Form::filled([(WISHES, text)]);
        let wishes = match WishReader::new(Catalog::built_in(), &plan.locations).read(text) {
            Ok(wishes) => wishes,
            Err(too_many) => {
                form.refuse(WISHES, format!("Not read: {too_many}. Read and add them in parts."));
                return Self { form, rows: Vec::new() };
            }
        };
        let shown = shown_lines(sent);
        let rows = wishes.into_iter().map(|wish| {
            let same_line = sent.typed(&field("line", wish.line)) == wish.text;
            let before = if same_line { Some(wish.line) } else { shown.get(wish.text.as_str()).copied() };
            row(sent, &mut form, plan, wish, before)
        });
        let rows = rows.collect();
        Self { form, rows }
    }
}

fn field(name: &str, line: usize) -> String {
    format!("{name}[{line}]")
}

/// The lines that the form showed rows for, by their text.
fn shown_lines(sent: &Form) -> HashMap<&str, usize> {
    let lines = (1..=MOST_LINES).map(|line| (sent.typed(&field("line", line)), line));
    lines.filter(|(text, _)| !text.is_empty()).collect()
}

/// A row. `before` is the line that the form showed it for.
fn row(sent: &Form, form: &mut Form, plan: &Plan, wish: Wish, before: Option<usize>) -> Wished {
    let chosen = |name: &str| before.map_or("", |line| sent.typed(&field(name, line)));
    let asked = before.is_some_and(|line| sent.every(&field("location", line)).next().is_some());
    let kept = if asked { !chosen("kept").is_empty() } else { wish.kept };
    let mut wished = Wished { wish, was_shown: before.is_some(), kind: None, location: None, kept };
    form.put(&wished.field("line"), Some(&wished.wish.text));
    form.put(&wished.field("kept"), kept.then_some("yes"));
    wished.kind = kind(&wished, chosen("kind"), form);
    wished.location =
        if asked { location(&wished, chosen("location"), plan, form) } else { only(&wished.wish) };
    form.put(&wished.field("location"), wished.location.as_ref());
    wished
}

/// The kind of a line: as it was read, or as it was chosen among those that may be meant.
fn kind(wished: &Wished, chosen: &str, form: &mut Form) -> Option<&'static Kind> {
    let read = wished.wish.kind();
    let may_be = wished.may_be().iter().find(|kind| kind.as_str() == chosen);
    if read.is_none() && may_be.is_none() && !chosen.is_empty() {
        form.refuse(
            &wished.field("kind"),
            format!("Expected one of the list, not \u{2018}{chosen}\u{2019}."),
        );
    }
    form.put(&wished.field("kind"), may_be);
    Catalog::built_in().kind(read.or(may_be)?)
}

/// The chosen location.
fn location(wished: &Wished, chosen: &str, plan: &Plan, form: &mut Form) -> Option<LocationId> {
    let known = plan.locations.iter().map(|location| &location.id).find(|id| id.as_str() == chosen);
    if known.is_none() && !chosen.is_empty() {
        let text = format!("Expected a location of this boat, not \u{2018}{chosen}\u{2019}.");
        form.refuse(&wished.field("location"), text);
    }
    known.cloned()
}

/// The location that a line names, if it names one only.
fn only(wish: &Wish) -> Option<LocationId> {
    match &wish.location {
        WishLocation::At { locations, .. } => match locations.as_slice() {
            [only] => Some(only.clone()),
            _ => None,
        },
        _ => None,
    }
}

/// What a person should know about a row, in sentences.
pub(super) fn notes(wished: &Wished, nominal: NominalV) -> Vec<String> {
    let wish = &wished.wish;
    let mut notes: Vec<String> = unread(wish).into_iter().collect();
    if let Some(kind) = wished.kind {
        if wished.added().is_empty() {
            notes.push("Not added: it belongs to a wire. Enter it with its circuit or feeder.".to_owned());
        }
        if kind.is_device() && kind.point.is_some() {
            notes.push("Added as a device. Add its output under Distribution.".to_owned());
        }
        if kind.needs_12_v(nominal) {
            notes.push(format!("Made for 12 V. This boat has {nominal} V: plan a converter."));
        }
        if !kind.is_set() && !kind.needs.is_empty() {
            notes.push(format!("Does not work without: {}.", names(&kind.needs)));
        }
        if wished.location.is_none() {
            notes.extend(at(&wish.location));
        }
    }
    if !wish.also.is_empty() {
        notes.push(format!("Also named: {}. Write each on a line of its own.", names(&wish.also)));
    }
    if !wish.rest.is_empty() && wished.kind.is_some() {
        notes.push(format!("Not used: \u{2018}{}\u{2019}.", wish.rest));
    }
    notes
}

/// Why nothing is added for a line.
fn unread(wish: &Wish) -> Option<String> {
    Some(match &wish.wanted {
        Wanted::Kind(_) | Wanted::DidYouMean(_) => return None,
        Wanted::NotUnderstood => "Not understood. The line stays in the list.".to_owned(),
        Wanted::TooLong => {
            format!("Longer than {} characters. The line stays in the list.", MOST_LETTERS)
        }
        Wanted::NotWanted(Some(kind)) => {
            format!("Not wanted: {}. The line stays in the list.", names(std::slice::from_ref(kind)))
        }
        Wanted::NotWanted(None) => "Not wanted. The line stays in the list.".to_owned(),
    })
}

/// Why the location of a line is not certain.
fn at(location: &WishLocation) -> Option<String> {
    match location {
        WishLocation::NotSaid => None,
        WishLocation::At { phrase, locations, .. } if locations.is_empty() => Some(format!(
            "This boat has no location \u{2018}{phrase}\u{2019}. Choose another, or add it first."
        )),
        WishLocation::At { phrase, locations, .. } => {
            Some(format!("\u{2018}{phrase}\u{2019} can be {} locations. Choose one.", locations.len()))
        }
        WishLocation::Unclear { phrase, did_you_mean } if did_you_mean.is_empty() => {
            Some(format!("No location is named \u{2018}{phrase}\u{2019}."))
        }
        WishLocation::Unclear { phrase, did_you_mean } => Some(format!(
            "No location is named \u{2018}{phrase}\u{2019}. Did you mean: {}?",
            did_you_mean.join(", ")
        )),
    }
}

/// The names of kinds.
fn names(kinds: &[KindId]) -> String {
    let names = kinds.iter().filter_map(|id| Catalog::built_in().kind(id)).map(|kind| kind.name.as_str());
    names.collect::<Vec<_>>().join(", ")
}
