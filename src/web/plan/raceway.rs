//! A raceway: its form.

use askama::Template;

use super::edit::{Edit, Thing};
use super::next_id::next;
use crate::job::plan::Raceway;
use crate::job::subject::SubjectKind;
use crate::web::kit::form::{Form, word};
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock};

/// The form of a raceway.
#[derive(Template)]
#[template(path = "plan/raceway.html")]
pub struct Page {
    title_block: TitleBlock,
    form: Form,
    edit: Edit,
}

impl Thing for Raceway {
    type Page = Page;

    const TAB: Tab = Tab::Locations;

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("way", 1, job.plan.raceways.iter().map(|raceway| &raceway.id))));
    }

    fn fill(&self, form: &mut Form, _: &Opened, unit: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("kind", word(self.kind));
        form.put("between[0]", self.between.first());
        form.put("between[1]", self.between.last());
        form.put("name", self.name.as_ref());
        form.put("length_m", self.length_m.map(|length| unit.text(length.number())));
        form.put("bore_mm", self.bore_mm);
        form.put("engine_space", self.engine_space.then_some("yes"));
        form.put("wet", self.wet.then_some("yes"));
        form.put("condition", self.condition.and_then(word));
        form.put("pull_string", self.pull_string.and_then(word));
    }

    fn read(form: &mut Form, unit: LengthUnit) -> Option<Self> {
        let id = form.required("id");
        let kind = form.required_choice("kind");
        let one = form.required_choice("between[0]");
        let other = form.required_choice("between[1]");
        let name = form.optional("name");
        let length_m = form.length("length_m", unit);
        let bore_mm = form.optional("bore_mm");
        let (engine_space, wet) = (form.flag("engine_space"), form.flag("wet"));
        let condition = form.choice("condition");
        let pull_string = form.choice("pull_string");
        form.sound()?;
        Some(Self {
            id: id?,
            kind: kind?,
            between: [one?, other?],
            name,
            length_m,
            bore_mm,
            engine_space,
            wet,
            condition,
            pull_string,
        })
    }

    fn field_at(path: &str) -> &str {
        if path == "between" { "between[1]" } else { path }
    }

    fn page(title_block: TitleBlock, form: Form, edit: Edit) -> Page {
        Page { title_block, form, edit }
    }
}
