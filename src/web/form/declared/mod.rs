//! Forms that declare each of their fields once.
//!
//! A [`Declared`] form lists its groups and inputs in the order of the page. An [`Input`] has the path of its value
//! in the job file, a label, and how it is typed. By that one list the form is filled with what is stored, read back
//! with every wrong field at once, and shown.
//!
//! ```
//! use driploop::job::value::{LengthM, Name};
//! use driploop::web::form::Form;
//! use driploop::web::form::declared::{Declared, Group, Input};
//! use driploop::web::length::LengthUnit;
//!
//! let declared = Declared::<()>::new().group(Group::new("Location").inputs([
//!     Input::text::<Name>("name", "Name").required(),
//!     Input::length::<LengthM>("rise_m", "Rise of the wires"),
//! ]));
//! let mut form = Form::default();
//! declared.fill(&serde_json::json!({"name": "Helm", "rise_m": 0.9144}), &mut form, LengthUnit::Foot);
//! assert_eq!((form.typed("name"), form.typed("rise_m")), ("Helm", "3"));
//! form.put("name", Some(""));
//! assert_eq!(declared.read(&mut form, LengthUnit::Foot), None);
//! assert_eq!(form.error("name"), Some("This is needed."));
//! ```

mod choice;
mod fill;
mod input;
mod path;
mod read;
mod rows;
mod show;
#[cfg(test)]
mod tests;

pub use choice::{Choice, listed, or_none};
pub use input::{Input, Typed, chosen, parsed};
pub use rows::{Layout, Rows};
pub use show::{Context, Shown};

use super::Form;

/// A form as it is declared.
///
/// `C` is what the choices of its lists come from, such as an opened job.
pub struct Declared<C> {
    blocks: Vec<Block<C>>,
    applies: fn(&Form, &str) -> bool,
}

/// Groups of inputs, folded away where they have a summary.
struct Block<C> {
    summary: Option<&'static str>,
    groups: Vec<Group<C>>,
}

/// A group of inputs under one legend.
pub struct Group<C> {
    legend: Legend,
    hint: Option<Hint<C>>,
    link: Option<Link<C>>,
    parts: Vec<Part<C>>,
}

enum Legend {
    Fixed(&'static str),
    Of(fn(&Form) -> &'static str),
}

enum Hint<C> {
    Fixed(&'static str),
    Of(fn(&C) -> String),
}

/// Another page where the same is seen or changed.
struct Link<C> {
    text: &'static str,
    href: fn(&C) -> String,
}

enum Part<C> {
    Input(Input<C>),
    Rows(Rows<C>),
}

impl<C> Default for Declared<C> {
    fn default() -> Self {
        Self { blocks: Vec::new(), applies: |_, _| true }
    }
}

impl<C> Declared<C> {
    /// A form without a field yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// The same form with one more group.
    pub fn group(mut self, group: Group<C>) -> Self {
        self.blocks.push(Block { summary: None, groups: vec![group] });
        self
    }

    /// The same form with more groups, folded away under a summary as long as none of them holds anything.
    pub fn fold(mut self, summary: &'static str, groups: impl IntoIterator<Item = Group<C>>) -> Self {
        self.blocks.push(Block { summary: Some(summary), groups: groups.into_iter().collect() });
        self
    }

    /// The same form with only those fields that a rule lets through. The rule gets what is typed and the path of
    /// a field, or of a list with `[]` behind it.
    pub fn only(self, applies: fn(&Form, &str) -> bool) -> Self {
        Self { applies, ..self }
    }

    /// The name of the input that shows what is wrong at a path of the job file; `None` where no input does.
    pub fn input_at(&self, path: &str) -> Option<String> {
        let names = |part: &Part<C>| match part {
            Part::Input(input) => input.answers(path).map(|rank| (rank, input.name.to_owned())),
            Part::Rows(rows) => rows.input_at(path),
        };
        self.parts().filter_map(names).min_by_key(|(rank, _)| *rank).map(|(_, name)| name)
    }

    /// The label of an input by its name: `Setting, row 2`; `None` where there is no such input.
    pub fn label_of(&self, name: &str) -> Option<String> {
        self.parts().find_map(|part| match part {
            Part::Input(input) => (input.name == name).then(|| input.label.to_owned()),
            Part::Rows(rows) => rows.label_of(name),
        })
    }

    /// Paths of all fields, those of rows with `[]` behind their list: what the form can say of a thing.
    pub fn paths(&self) -> Vec<String> {
        let paths = |part: &Part<C>| match part {
            Part::Input(input) => vec![input.path.to_owned()],
            Part::Rows(rows) => rows.paths(),
        };
        self.parts().flat_map(paths).collect()
    }

    fn parts(&self) -> impl Iterator<Item = &Part<C>> {
        self.blocks.iter().flat_map(|block| &block.groups).flat_map(|group| &group.parts)
    }

    /// The parts that apply to what is typed.
    fn applying<'a>(&'a self, form: &Form) -> Vec<&'a Part<C>> {
        self.parts().filter(|part| part.applies(form, self.applies)).collect()
    }
}

impl<C> Part<C> {
    fn applies(&self, form: &Form, rule: fn(&Form, &str) -> bool) -> bool {
        match self {
            Self::Input(input) => rule(form, input.path),
            Self::Rows(rows) => rule(form, &format!("{}[]", rows.list)),
        }
    }
}

impl<C> Group<C> {
    /// A group under a legend.
    pub fn new(legend: &'static str) -> Self {
        Self { legend: Legend::Fixed(legend), hint: None, link: None, parts: Vec::new() }
    }

    /// A group whose legend depends on what is typed.
    pub fn titled(legend: fn(&Form) -> &'static str) -> Self {
        Self { legend: Legend::Of(legend), ..Self::new("") }
    }

    /// The same group with a sentence under its legend.
    pub fn hint(self, hint: &'static str) -> Self {
        Self { hint: Some(Hint::Fixed(hint)), ..self }
    }

    /// The same group with a sentence that is not the same everywhere, such as one with lengths in it.
    pub fn hint_in(self, hint: fn(&C) -> String) -> Self {
        Self { hint: Some(Hint::Of(hint)), ..self }
    }

    /// The same group with a link under its legend, to where the same is seen or changed.
    pub fn link(self, text: &'static str, href: fn(&C) -> String) -> Self {
        Self { link: Some(Link { text, href }), ..self }
    }

    /// The same group with more inputs.
    pub fn inputs(mut self, inputs: impl IntoIterator<Item = Input<C>>) -> Self {
        self.parts.extend(inputs.into_iter().map(Part::Input));
        self
    }

    /// The same group with a list.
    pub fn rows(mut self, rows: Rows<C>) -> Self {
        self.parts.push(Part::Rows(rows));
        self
    }
}
