//! A declared form as a page shows it: groups, folds, rows, and each field with its text.

use askama::Template;
use askama::filters::HtmlSafe;

use super::choice::Choice;
use super::group::{FieldGroup, GroupPart, Hint, Legend};
use super::input::{Control, Input, Need, UnitOf};
use super::rows::{FieldRows, RowLayout};
use super::whole::{Block, Declared};
use crate::web::kit::field::Field;
use crate::web::kit::form::Form;
use crate::web::kit::form::rows::{MOST_ROWS, cell, left};
use crate::web::kit::length::LengthUnit;

/// What the form needs to know to show its inputs.
pub trait FormContext {
    /// The unit for lengths.
    fn unit(&self) -> LengthUnit;

    /// Whether the form creates a new thing.
    fn is_new(&self) -> bool;
}

/// A form ready to be written into a page.
#[derive(Debug, Clone, Template)]
#[template(path = "partials/declared.html")]
pub struct ShownForm {
    blocks: Vec<ShownBlock>,
}

impl HtmlSafe for ShownForm {}

#[derive(Debug, Clone)]
struct ShownBlock {
    fold: Option<Fold>,
    groups: Vec<ShownGroup>,
}

#[derive(Debug, Clone)]
struct Fold {
    summary: &'static str,
    open: bool,
}

#[derive(Debug, Clone)]
struct ShownGroup {
    legend: &'static str,
    hint: Option<String>,
    link: Option<(&'static str, String)>,
    pieces: Vec<ShownPiece>,
}

/// The parts of a group, one below the other.
#[derive(Debug, Clone)]
enum ShownPiece {
    /// Fields side by side.
    Fields(Vec<Field>),
    /// Checkboxes side by side.
    Checks(Vec<Field>),
    /// One field over the whole width.
    Wide(Box<Field>),
    /// A list.
    Rows(ShownRows),
}

#[derive(Debug, Clone)]
struct ShownRows {
    list: &'static str,
    title: Option<&'static str>,
    hint: Option<&'static str>,
    layout: RowLayout,
    empty: Option<&'static str>,
    more: Option<&'static str>,
    rows: Vec<ShownRow>,
    /// Long lists of choices, once for all rows, each with its id.
    offered: Vec<(String, Vec<Choice>)>,
    /// The list is too long for a form: the field that says so, and how many rows it has.
    left: Option<(String, usize)>,
}

/// So many choices are written into each row. More are written once, and each row refers to them.
const MOST_CHOICES: usize = 200;

/// The id of the choices of an input, for all rows of its list.
fn offered_as<C>(list: &str, input: &Input<C>) -> String {
    format!("{list}.{}-offered", input.name)
}

#[derive(Debug, Clone)]
struct ShownRow {
    number: usize,
    called: Option<String>,
    fields: Vec<Field>,
}

impl<C: FormContext> Declared<C> {
    /// The form with its typed text, ready to be written into a page.
    pub fn shown(&self, form: &Form, context: &C) -> ShownForm {
        let showing = Showing { form, context, applies: self.applies };
        ShownForm { blocks: self.blocks.iter().filter_map(|block| showing.block(block)).collect() }
    }
}

struct Showing<'a, C> {
    form: &'a Form,
    context: &'a C,
    applies: fn(&Form, &str) -> bool,
}

impl<C: FormContext> Showing<'_, C> {
    fn block(&self, block: &Block<C>) -> Option<ShownBlock> {
        let fold = block.summary.map(|summary| Fold { summary, open: self.is_in_use(block) });
        let groups: Vec<ShownGroup> =
            block.groups.iter().filter_map(|group| self.group(group, fold.is_some())).collect();
        (!groups.is_empty()).then_some(ShownBlock { fold, groups })
    }

    /// Whether a block has a value, an error, or a difference from what another person saved.
    fn is_in_use(&self, block: &Block<C>) -> bool {
        let mut parts = block.groups.iter().flat_map(|group| &group.parts);
        parts.any(|part| match part {
            GroupPart::Input(input) => self.is_used(input, input.name),
            GroupPart::Rows(rows) => (0..self.form.rows(rows.list)).any(|row| {
                rows.row.iter().any(|input| self.is_used(input, &cell(rows.list, row, input.name)))
            }),
        })
    }

    fn is_used(&self, input: &Input<C>, name: &str) -> bool {
        let form = self.form;
        (input.counts() && !form.typed(name).trim().is_empty())
            || form.error(name).is_some()
            || form.difference(name).is_some()
    }

    /// A group with the parts that apply; `None` if no part applies.
    fn group(&self, group: &FieldGroup<C>, folded: bool) -> Option<ShownGroup> {
        let mut pieces = Vec::new();
        for part in group.parts.iter().filter(|part| part.applies(self.form, self.applies)) {
            match part {
                GroupPart::Input(input) => add(&mut pieces, input, self.field(input, input.name, !folded)),
                GroupPart::Rows(rows) => pieces.extend(self.rows(rows).map(ShownPiece::Rows)),
            }
        }
        if pieces.is_empty() {
            return None;
        }
        let legend = match group.legend {
            Legend::Fixed(legend) => legend,
            Legend::Of(legend) => legend(self.form),
        };
        let hint = group.hint.as_ref().map(|hint| match hint {
            Hint::Fixed(hint) => (*hint).to_owned(),
            Hint::Of(hint) => hint(self.context),
        });
        let link = group.link.as_ref().map(|link| (link.text, (link.href)(self.context)));
        Some(ShownGroup { legend, hint, link, pieces })
    }

    /// A list; `None` if it has no row and no text for that case.
    fn rows(&self, rows: &FieldRows<C>) -> Option<ShownRows> {
        let FieldRows { list, title, hint, layout, empty, more, .. } = *rows;
        let whole =
            ShownRows { list, title, hint, layout, empty, more, rows: vec![], offered: vec![], left: None };
        if let Some(count) = self.form.left_stored(list) {
            return Some(ShownRows { left: Some((left(list), count)), more: None, ..whole });
        }
        let choices: Vec<Vec<Choice>> = rows.row.iter().map(|input| self.choices(input)).collect();
        let shown: Vec<ShownRow> =
            (0..rows.shown(self.form)).map(|row| self.row(rows, row, &choices)).collect();
        let long = rows.row.iter().zip(choices).filter(|(_, choices)| choices.len() > MOST_CHOICES);
        let offered = long.map(|(input, choices)| (offered_as(list, input), choices)).collect();
        let is_shown = !shown.is_empty() || empty.is_some();
        is_shown.then_some(ShownRows { rows: shown, offered, ..whole })
    }

    fn row(&self, rows: &FieldRows<C>, row: usize, choices: &[Vec<Choice>]) -> ShownRow {
        let called = rows.called.map(|called| called(self.context, self.form, row));
        let fields = rows.row.iter().zip(choices).map(|(input, choices)| {
            let label = called.as_deref().filter(|_| rows.layout == RowLayout::Tight);
            let name = cell(rows.list, row, input.name);
            let field = match choices.len() {
                ..=MOST_CHOICES => self.with_choices(input, &name, label.unwrap_or(input.label), choices),
                _ => self.form.text(&name, input.label).offered(offered_as(rows.list, input)),
            };
            field.unmarked()
        });
        ShownRow { number: row + 1, fields: fields.collect(), called }
    }

    fn field(&self, input: &Input<C>, name: &str, may_mark: bool) -> Field {
        let field = self.with_choices(input, name, input.label, &self.choices(input));
        let field = if input.hint_in_feet.is_none() { field.example() } else { field };
        if may_mark && input.marked { field } else { field.unmarked() }
    }

    fn choices(&self, input: &Input<C>) -> Vec<Choice> {
        match input.control {
            Control::Select { choices } => choices(self.context),
            _ => Vec::new(),
        }
    }

    fn with_choices(&self, input: &Input<C>, name: &str, label: &str, choices: &[Choice]) -> Field {
        let (form, context) = (self.form, self.context);
        let field = match &input.control {
            Control::Text { suggested: None } => form.text(name, label),
            Control::Text { suggested: Some(values) } => form.text(name, label).suggest(&values()),
            Control::Number { unit: UnitOf::Fixed(unit) } => form.number(name, label, unit),
            Control::Number { unit: UnitOf::Of(unit) } => form.number(name, label, &unit(context)),
            Control::Length => form.length_field(name, label, context.unit()),
            Control::Date => form.date(name, label),
            Control::Area => form.area(name, label),
            Control::Check => form.check(name, label),
            Control::Select { .. } => form.select(name, label, choices),
            Control::Fixed if context.is_new() => form.text(name, label),
            Control::Fixed => return Field::fixed(form, name, label),
            Control::Hidden => return Field::hidden(form, name),
        };
        let hint = match context.unit() {
            LengthUnit::Foot => input.hint_in_feet.or(input.hint),
            LengthUnit::Meter => input.hint,
        };
        let field = hint.map_or(field.clone(), |hint| field.hint(hint));
        let field = input.help.map_or(field.clone(), |topic| field.help(topic));
        if matches!(input.need, Need::Always(_)) { field.required() } else { field }
    }
}

/// Adds a field to the piece of its sort.
fn add<C>(pieces: &mut Vec<ShownPiece>, input: &Input<C>, field: Field) {
    match (&input.control, pieces.last_mut()) {
        (Control::Area, _) => pieces.push(ShownPiece::Wide(Box::new(field))),
        (Control::Check, Some(ShownPiece::Checks(checks))) => checks.push(field),
        (Control::Check, _) => pieces.push(ShownPiece::Checks(vec![field])),
        (_, Some(ShownPiece::Fields(fields))) => fields.push(field),
        (_, _) => pieces.push(ShownPiece::Fields(vec![field])),
    }
}
