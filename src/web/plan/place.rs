//! A place: its form.

use askama::Template;

use super::edit::{Edit, Thing};
use super::next_id::next;
use crate::job::plan::Place;
use crate::job::subject::Kind;
use crate::web::form::Form;
use crate::web::job::Opened;
use crate::web::length::LengthUnit;
use crate::web::page::{Sheet, Tab};

/// The form of a place.
#[derive(Template)]
#[template(path = "plan/place.html")]
pub struct Page {
    sheet: Sheet,
    form: Form,
    edit: Edit,
}

impl Thing for Place {
    type Page = Page;

    const KIND: Kind = Kind::Place;
    const TAB: Tab = Tab::Places;
    const LIST: &'static str = "places";

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("place", 1, job.plan.places.iter().map(|place| &place.id))));
    }

    fn fill(&self, form: &mut Form, _: &Opened, _: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("name", Some(&self.name));
        form.put("engine_space", self.engine_space.then_some("yes"));
        form.put("wet", self.wet.then_some("yes"));
    }

    fn read(form: &mut Form, _: LengthUnit) -> Option<Self> {
        let id = form.required("id");
        let name = form.required("name");
        let (engine_space, wet) = (form.flag("engine_space"), form.flag("wet"));
        form.sound()?;
        Some(Self { id: id?, name: name?, engine_space, wet })
    }

    fn page(sheet: Sheet, form: Form, edit: Edit) -> Page {
        Page { sheet, form, edit }
    }
}
