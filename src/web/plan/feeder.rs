//! A feeder: its form.

use askama::Template;

use super::edit::{Edit, Thing};
use super::next_id::next;
use super::protection;
use super::routed::{ROUTE, USUAL_INSULATION_C, fill_route, route};
use crate::job::plan::Feeder;
use crate::job::subject::SubjectKind;
use crate::web::kit::form::Form;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock};

/// The form of a feeder.
#[derive(Template)]
#[template(path = "plan/feeder.html")]
pub struct Page {
    title_block: TitleBlock,
    form: Form,
    edit: Edit,
}

impl Thing for Feeder {
    type Page = Page;

    const TAB: Tab = Tab::Feeders;
    const ROWS: &'static [(&'static str, &'static [&'static str])] = &[(ROUTE, &[""])];

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("F", 1, job.plan.feeders.iter().map(|feeder| &feeder.id))));
        let insulation =
            job.plan.feeders.last().map_or(USUAL_INSULATION_C, |last| last.insulation_c.number());
        form.put("insulation_c", Some(insulation));
    }

    fn fill(&self, form: &mut Form, _: &Opened, unit: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("from", Some(&self.from));
        form.put("to", Some(&self.to));
        form.put("polarity", Some(self.polarity.word()));
        protection::fill(self.protection.as_ref(), form, unit);
        form.put("size", self.size.map(|size| size.text()));
        form.put("insulation_c", Some(self.insulation_c));
        form.put("length_m", self.length_m.map(|length| unit.text(length.number())));
        fill_route(&self.route, form);
        form.put("jacketed", self.jacketed.then_some("yes"));
        form.put("bundle", self.bundle);
        form.put("cranking", self.cranking.then_some("yes"));
        form.put("color", self.color.as_ref());
    }

    fn read(form: &mut Form, unit: LengthUnit) -> Option<Self> {
        let id = form.required("id");
        let polarity = form.required_choice("polarity");
        let from = form.required_choice("from");
        let to = form.required_choice("to");
        let protection = protection::read(form, unit);
        let size = form.choice("size");
        let insulation_c = form.required("insulation_c");
        let length_m = form.length("length_m", unit);
        let route = route(form);
        let (jacketed, cranking) = (form.flag("jacketed"), form.flag("cranking"));
        let (bundle, color) = (form.optional("bundle"), form.optional("color"));
        form.sound()?;
        Some(Self {
            id: id?,
            label: None,
            from: from?,
            to: to?,
            polarity: polarity?,
            size,
            insulation_c: insulation_c?,
            length_m,
            route,
            jacketed,
            bundle,
            cranking,
            color,
            protection,
        })
    }

    /// The form does not show the label: it is kept.
    fn keep(self, held: &Self) -> Self {
        Self { label: held.label.clone(), ..self }
    }

    fn page(title_block: TitleBlock, form: Form, edit: Edit) -> Page {
        Page { title_block, form, edit }
    }
}
