//! A circuit: its form.

use askama::Template;

use super::edit::{Edit, Thing};
use super::next_id::next;
use super::protection;
use super::routed::{ROUTE, USUAL_INSULATION_C, fill_route, route};
use crate::job::plan::{Circuit, ConductorOverride, SwitchAt};
use crate::job::point::PointKind;
use crate::job::subject::SubjectKind;
use crate::job::wiring::Conductor;
use crate::web::kit::form::rows::cell;
use crate::web::kit::form::{Form, word};
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock};
use crate::web::parts::switches;

/// The form of a circuit.
#[derive(Template)]
#[template(path = "plan/circuit.html")]
pub struct Page {
    title_block: TitleBlock,
    form: Form,
    edit: Edit,
}

impl Page {
    /// A conductor of the form by its ends, for the line above its fields.
    fn way(&self, row: &usize) -> String {
        let end = |key| self.form.typed(&cell(CONDUCTORS, *row, key));
        format!("{} \u{2192} {}", end("from"), end("to"))
    }
}

/// The list of the legs in the form, in order along the wire.
const LEGS: &str = "legs";
/// The list of the conductors in the form: all that the circuit has, filled in where they differ.
const CONDUCTORS: &str = "conductors";

impl Thing for Circuit {
    type Page = Page;

    const TAB: Tab = Tab::Circuits;
    const ROWS: &'static [(&'static str, &'static [&'static str])] =
        &[(LEGS, &["device"]), (ROUTE, &[""]), (CONDUCTORS, &["length_m", "size"])];

    /// Most circuits are fed and returned like the one before.
    fn begin(form: &mut Form, job: &Opened) {
        let plan = &job.plan;
        form.put("id", Some(next("C", 2, plan.circuits.iter().map(|circuit| &circuit.id))));
        let last = plan.circuits.last();
        let first_of =
            |kind| plan.points.iter().find(|point| point.body.kind() == kind).map(|point| &point.id);
        form.put("from", last.map(|last| &last.from).or_else(|| first_of(PointKind::FuseBlock)));
        form.put("return", last.map(|last| &last.r#return).or_else(|| first_of(PointKind::NegativeBus)));
        let kind = last.and_then(|last| word(last.protection.as_ref()?.kind));
        form.put("protection.kind", Some(kind.as_deref().unwrap_or("blade-fuse")));
        let insulation = last.map_or(USUAL_INSULATION_C, |last| last.insulation_c.number());
        form.put("insulation_c", Some(insulation));
    }

    fn fill(&self, form: &mut Form, job: &Opened, unit: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("name", Some(&self.name));
        for (row, device) in self.devices().enumerate() {
            form.put(&cell(LEGS, row, "device"), Some(device));
        }
        form.put("wiring", word(self.wiring));
        form.put("from", Some(&self.from));
        protection::fill(self.protection.as_ref(), form, unit);
        form.put("switch", self.switch.as_ref().map(switches::write));
        form.put("junction", self.junction.as_ref());
        form.put("return", Some(&self.r#return));
        form.put("size", self.size.map(|size| size.text()));
        form.put("insulation_c", Some(self.insulation_c));
        form.put("length_m", self.length_m.map(|length| unit.text(length.number())));
        fill_route(&self.route, form);
        form.put("jacketed", self.jacketed.then_some("yes"));
        form.put("bundle", self.bundle);
        form.put("color", self.color.as_ref());
        form.put("return_color", self.return_color.as_ref());
        for (row, conductor) in job.conductors.of_circuit(&self.id).iter().enumerate() {
            fill_conductor(self, conductor, row, form, unit);
        }
    }

    fn read(form: &mut Form, unit: LengthUnit) -> Option<Self> {
        let id = form.required("id");
        let name = form.required("name");
        let devices = devices(form);
        let wiring = form.required_choice("wiring");
        let from = form.required_choice("from");
        let switch = switch(form);
        let junction = form.choice("junction");
        let r#return = form.required_choice("return");
        let protection = protection::read(form, unit);
        let size = form.choice("size");
        let insulation_c = form.required("insulation_c");
        let length_m = form.length("length_m", unit);
        let route = route(form);
        let jacketed = form.flag("jacketed");
        let bundle = form.optional("bundle");
        let (color, return_color) = (form.optional("color"), form.optional("return_color"));
        let conductors = conductors(form, unit);
        form.sound()?;
        let mut circuit = Self {
            id: id?,
            label: None,
            name: name?,
            legs: Vec::new(),
            legs_given: 0,
            from: from?,
            protection,
            switch,
            junction,
            r#return: r#return?,
            wiring: wiring?,
            size,
            insulation_c: insulation_c?,
            length_m,
            route,
            jacketed,
            bundle,
            color,
            return_color,
            conductors,
        };
        circuit.feed(devices);
        Some(circuit)
    }

    /// The form does not show the numbers of the legs, nor the label: they are kept.
    fn keep(self, held: &Self) -> Self {
        let mut kept = Self { label: held.label.clone(), legs: held.legs.clone(), ..self.clone() };
        kept.legs_given = held.legs_given;
        kept.feed(self.devices().cloned());
        kept
    }

    fn field_at(path: &str) -> &str {
        match path {
            "legs" => "legs[0].device",
            "switch.panel" | "switch.position" | "switch.throws[0]" | "switch.throws[1]" => "switch",
            other => other,
        }
    }

    fn page(title_block: TitleBlock, form: Form, edit: Edit) -> Page {
        Page { title_block, form, edit }
    }
}

fn fill_conductor(circuit: &Circuit, conductor: &Conductor, row: usize, form: &mut Form, unit: LengthUnit) {
    let (from, to) = (conductor.from.id(), conductor.to.id());
    form.put(&cell(CONDUCTORS, row, "from"), Some(from));
    form.put(&cell(CONDUCTORS, row, "to"), Some(to));
    let mut given = circuit.conductors.iter();
    let Some(given) = given.find(|given| given.from.as_str() == from && given.to.as_str() == to) else {
        return;
    };
    let length = given.length_m.map(|length| unit.text(length.number()));
    form.put(&cell(CONDUCTORS, row, "length_m"), length);
    form.put(&cell(CONDUCTORS, row, "size"), given.size.map(|size| size.text()));
}

fn devices<T: serde::de::DeserializeOwned>(form: &mut Form) -> Vec<T> {
    let count = form.settle(LEGS, &["device"]);
    if count == 0 {
        form.refuse("legs[0].device", "A circuit feeds one device at least. Choose it.");
    }
    (0..count).filter_map(|row| form.choice(&cell(LEGS, row, "device"))).collect()
}

/// The switch position that was chosen.
fn switch(form: &mut Form) -> Option<SwitchAt> {
    let typed = form.typed("switch");
    if typed.is_empty() {
        return None;
    }
    let read = switches::read(typed);
    if read.is_none() {
        form.refuse("switch", "Choose one of the list.");
    }
    read
}

/// The conductors that differ; those with nothing filled in are as their circuit.
fn conductors(form: &mut Form, unit: LengthUnit) -> Vec<ConductorOverride> {
    let count = form.settle(CONDUCTORS, &["length_m", "size"]);
    let conductors = (0..count).filter_map(|row| {
        let from = form.required(&cell(CONDUCTORS, row, "from"));
        let to = form.required(&cell(CONDUCTORS, row, "to"));
        let length_m = form.length(&cell(CONDUCTORS, row, "length_m"), unit);
        let size = form.choice(&cell(CONDUCTORS, row, "size"));
        Some(ConductorOverride { from: from?, to: to?, length_m, size })
    });
    conductors.collect()
}
