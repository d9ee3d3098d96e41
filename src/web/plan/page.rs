//! The page of any kind of thing: its declared form, with what the checks say of it.

use askama::Template;

use super::edit::{Edit, Thing};
use crate::web::form::Form;
use crate::web::form::declared::{Context, Shown};
use crate::web::length::LengthUnit;
use crate::web::page::TitleBlock;

/// The page of a thing of the plan.
#[derive(Template)]
#[template(path = "plan/edit.html")]
pub struct Page {
    title_block: TitleBlock,
    form: Form,
    edit: Edit,
    kinds: Vec<KindChoice>,
    fields: Shown,
}

/// A kind that is chosen before the form of a thing is shown, because its form depends on it.
pub struct KindChoice {
    /// As the address has it.
    pub word: &'static str,
    /// What it is.
    pub title: &'static str,
    /// What it is for.
    pub purpose: &'static str,
}

impl Page {
    /// The page of a kind of thing with what is typed into its form.
    pub fn of<T: Thing>(title_block: TitleBlock, mut form: Form, edit: Edit) -> Self {
        let declared = T::declared();
        form.label_errors(|name| declared.label_of(name));
        let fields = declared.shown(&form, &edit);
        Self { title_block, kinds: T::kinds(&form), fields, form, edit }
    }
}

impl Context for Edit {
    fn unit(&self) -> LengthUnit {
        self.unit
    }

    fn is_new(&self) -> bool {
        self.old.is_none()
    }
}
