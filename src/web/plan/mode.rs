//! A mode: its form, with every circuit of the job and the share of the time it is on.

use askama::Template;

use super::edit::{Edit, Thing};
use super::next_id::next;
use crate::job::plan::{InUse, Mode};
use crate::job::subject::SubjectKind;
use crate::web::kit::form::Form;
use crate::web::kit::form::rows::cell;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock};

/// The form of a mode.
#[derive(Template)]
#[template(path = "plan/mode.html")]
pub struct Page {
    title_block: TitleBlock,
    form: Form,
    edit: Edit,
}

impl Page {
    /// The circuit of a row as its field names it.
    fn circuit(&self, row: &usize) -> String {
        let id = self.form.typed(&cell(ON, *row, "circuit"));
        let known = self.edit.job.plan.circuits.iter().find(|circuit| circuit.id.as_str() == id);
        known.map_or_else(|| id.to_owned(), |circuit| format!("{id} {}", circuit.name))
    }
}

/// The list of circuits in the form; those without a share are off.
const ON: &str = "on";
/// The list of the chargers that run, in the form.
const CHARGING: &str = "charging";

impl Thing for Mode {
    type Page = Page;

    const TAB: Tab = Tab::Modes;
    const ROWS: &'static [(&'static str, &'static [&'static str])] = &[(ON, &["share"]), (CHARGING, &[""])];

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("mode", 1, job.plan.modes.iter().map(|mode| &mode.id))));
        fill_circuits(&[], form, job);
    }

    fn fill(&self, form: &mut Form, job: &Opened, _: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("name", Some(&self.name));
        form.put("hours", Some(self.hours));
        form.put("rpm", self.rpm);
        fill_circuits(&self.on, form, job);
        for (row, charger) in self.charging.iter().enumerate() {
            form.put(&cell(CHARGING, row, ""), Some(charger));
        }
    }

    fn read(form: &mut Form, _: LengthUnit) -> Option<Self> {
        let id = form.required("id");
        let name = form.required("name");
        let hours = form.required("hours");
        let on = on(form);
        let chargers = form.settle(CHARGING, &[""]);
        let charging = (0..chargers).filter_map(|row| form.choice(&cell(CHARGING, row, ""))).collect();
        let rpm = form.optional("rpm");
        form.sound()?;
        Some(Self { id: id?, name: name?, hours: hours?, on, charging, rpm })
    }

    fn field_at(path: &str) -> &str {
        if path == "modes" { "hours" } else { path }
    }

    fn page(title_block: TitleBlock, form: Form, edit: Edit) -> Page {
        Page { title_block, form, edit }
    }
}

/// One row for every circuit of the job, in its order.
fn fill_circuits(on: &[InUse], form: &mut Form, job: &Opened) {
    for (row, circuit) in job.plan.circuits.iter().enumerate() {
        form.put(&cell(ON, row, "circuit"), Some(&circuit.id));
        let share = on.iter().find(|used| used.circuit == circuit.id).map(|used| used.share);
        form.put(&cell(ON, row, "share"), share);
    }
}

fn on(form: &mut Form) -> Vec<InUse> {
    let count = form.settle(ON, &["share"]);
    let used = (0..count).filter_map(|row| {
        let circuit = form.required(&cell(ON, row, "circuit"));
        let share = form.optional(&cell(ON, row, "share"));
        Some(InUse { circuit: circuit?, share: share? })
    });
    used.collect()
}
