//! A fieldset of a declared form: its legend, its inputs and its lists.

use super::input::Input;
use super::rows::FieldRows;
use crate::web::kit::form::Form;

/// A group of inputs under one legend.
pub struct FieldGroup<C> {
    pub(super) legend: Legend,
    pub(super) hint: Option<Hint<C>>,
    pub(super) link: Option<GroupLink<C>>,
    pub(super) parts: Vec<GroupPart<C>>,
}

pub(super) enum Legend {
    Fixed(&'static str),
    Of(fn(&Form) -> &'static str),
}

pub(super) enum Hint<C> {
    Fixed(&'static str),
    Of(fn(&C) -> String),
}

/// A link to another page that shows or changes the same data.
pub(super) struct GroupLink<C> {
    pub(super) text: &'static str,
    pub(super) href: fn(&C) -> String,
}

pub(super) enum GroupPart<C> {
    Input(Input<C>),
    Rows(FieldRows<C>),
}

impl<C> GroupPart<C> {
    pub(super) fn applies(&self, form: &Form, rule: fn(&Form, &str) -> bool) -> bool {
        match self {
            Self::Input(input) => rule(form, input.path),
            Self::Rows(rows) => rule(form, &format!("{}[]", rows.list)),
        }
    }
}

impl<C> FieldGroup<C> {
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

    /// The same group with a sentence that depends on the context, such as one with lengths in it.
    pub fn hint_in(self, hint: fn(&C) -> String) -> Self {
        Self { hint: Some(Hint::Of(hint)), ..self }
    }

    /// The same group with a link under its legend to another page that shows or changes the same data.
    pub fn link(self, text: &'static str, href: fn(&C) -> String) -> Self {
        Self { link: Some(GroupLink { text, href }), ..self }
    }

    /// The same group with more inputs.
    pub fn inputs(mut self, inputs: impl IntoIterator<Item = Input<C>>) -> Self {
        self.parts.extend(inputs.into_iter().map(GroupPart::Input));
        self
    }

    /// The same group with a list.
    pub fn rows(mut self, rows: FieldRows<C>) -> Self {
        self.parts.push(GroupPart::Rows(rows));
        self
    }
}
