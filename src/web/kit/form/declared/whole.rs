//! A declared form as a whole.

use super::group::{FieldGroup, GroupPart};
use crate::web::kit::form::Form;

/// A form with all its groups.
///
/// `C` is the context that the choices of its lists come from, such as an opened job.
pub struct Declared<C> {
    pub(super) blocks: Vec<Block<C>>,
    pub(super) applies: fn(&Form, &str) -> bool,
}

/// Groups of inputs. A block with a summary is folded.
pub(super) struct Block<C> {
    pub(super) summary: Option<&'static str>,
    pub(super) groups: Vec<FieldGroup<C>>,
}

impl<C> Default for Declared<C> {
    fn default() -> Self {
        Self { blocks: Vec::new(), applies: |_, _| true }
    }
}

impl<C> Declared<C> {
    /// A form without fields.
    pub fn new() -> Self {
        Self::default()
    }

    /// The same form with one more group.
    pub fn group(mut self, group: FieldGroup<C>) -> Self {
        self.blocks.push(Block { summary: None, groups: vec![group] });
        self
    }

    /// The same form with more groups, folded under a summary while none of them has content.
    pub fn fold(mut self, summary: &'static str, groups: impl IntoIterator<Item = FieldGroup<C>>) -> Self {
        self.blocks.push(Block { summary: Some(summary), groups: groups.into_iter().collect() });
        self
    }

    /// The same form with only those fields that a rule accepts. The rule gets the form and the path of a field,
    /// or of a list with `[]` after it.
    pub fn only(self, applies: fn(&Form, &str) -> bool) -> Self {
        Self { applies, ..self }
    }

    /// The name of the input that shows an error at a path of the job file; `None` if no input does.
    pub fn input_at(&self, path: &str) -> Option<String> {
        let names = |part: &GroupPart<C>| match part {
            GroupPart::Input(input) => input.answers(path).map(|rank| (rank, input.name.to_owned())),
            GroupPart::Rows(rows) => rows.input_at(path),
        };
        self.parts().filter_map(names).min_by_key(|(rank, _)| *rank).map(|(_, name)| name)
    }

    /// The label of an input by its name, such as `Setting, row 2`; `None` if there is no such input.
    pub fn label_of(&self, name: &str) -> Option<String> {
        self.parts().find_map(|part| match part {
            GroupPart::Input(input) => (input.name == name).then(|| input.label.to_owned()),
            GroupPart::Rows(rows) => rows.label_of(name),
        })
    }

    /// Paths of all fields, those of rows with `[]` after their list: everything the form can set.
    pub fn paths(&self) -> Vec<String> {
        let paths = |part: &GroupPart<C>| match part {
            GroupPart::Input(input) => vec![input.path.to_owned()],
            GroupPart::Rows(rows) => rows.paths(),
        };
        self.parts().flat_map(paths).collect()
    }

    pub(super) fn parts(&self) -> impl Iterator<Item = &GroupPart<C>> {
        self.blocks.iter().flat_map(|block| &block.groups).flat_map(|group| &group.parts)
    }

    /// The parts that apply to the typed text.
    pub(super) fn applying<'a>(&'a self, form: &Form) -> Vec<&'a GroupPart<C>> {
        self.parts().filter(|part| part.applies(form, self.applies)).collect()
    }
}
