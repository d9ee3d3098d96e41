//! A device: its form.

use askama::Template;

use super::edit::{Edit, Thing};
use super::footprint::{self, HOLE_KEYS, HOLES};
use super::next_id::next;
use crate::job::load::Load;
use crate::job::plan::{Cable, CableTo, Connector, Device, Inrush, Setting};
use crate::job::subject::SubjectKind;
use crate::job::value::DeviceId;
use crate::web::kit::form::{Form, word};
use crate::web::kit::form::rows::cell;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock};

/// The form of a device.
#[derive(Template)]
#[template(path = "plan/device.html")]
pub struct Page {
    title_block: TitleBlock,
    form: Form,
    edit: Edit,
}

/// The list of a device's settings in the form.
const SETTINGS: &str = "settings";

impl Thing for Device {
    type Page = Page;

    const TAB: Tab = Tab::Devices;
    const ROWS: &'static [(&'static str, &'static [&'static str])] =
        &[(SETTINGS, &["name", "value"]), (HOLES, HOLE_KEYS)];

    fn begin(form: &mut Form, job: &Opened) {
        let ids = job.plan.devices.iter().map(|device| device.id.to_string());
        let ids = ids.chain(job.plan.points.iter().map(|point| point.id.to_string()));
        form.put("id", Some(next("D", 2, ids)));
        form.put("load.kind", Some("constant-current"));
        footprint::fill(None, None, form);
    }

    fn fill(&self, form: &mut Form, _: &Opened, unit: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("name", Some(&self.name));
        form.put("location", Some(&self.location));
        fill_load(self.load, form);
        form.put("drop_limit_pct", self.drop_limit_pct);
        form.put("max_fuse_a", self.max_fuse_a);
        form.put("inrush.a", self.inrush.map(|inrush| inrush.a));
        form.put("inrush.s", self.inrush.map(|inrush| inrush.s));
        form.put("light", self.light.and_then(word));
        form.put("stud", self.stud);
        form.put("tab_mm", self.tab_mm);
        form.put("join", self.join.and_then(word));
        form.put("kept", self.kept.then_some("yes"));
        form.put("through_hull", self.through_hull.then_some("yes"));
        fill_cable(self.cables.first(), form, unit);
        for (row, setting) in self.settings.iter().enumerate() {
            form.put(&cell(SETTINGS, row, "name"), Some(&setting.name));
            form.put(&cell(SETTINGS, row, "value"), setting.value.as_ref());
        }
        footprint::fill(self.footprint.as_ref(), self.mounting.as_ref(), form);
    }

    fn read(form: &mut Form, unit: LengthUnit) -> Option<Self> {
        let id = form.required("id");
        let name = form.required("name");
        let location = form.required_choice("location");
        let load = load(form);
        let drop_limit_pct = form.optional("drop_limit_pct");
        let max_fuse_a = form.optional("max_fuse_a");
        let inrush = inrush(form);
        let light = form.choice("light");
        let stud = form.choice("stud");
        let tab_mm = form.optional("tab_mm");
        let join = form.choice("join");
        let (kept, through_hull) = (form.flag("kept"), form.flag("through_hull"));
        let cable = id.as_ref().map(DeviceId::as_str).and_then(|id| cable(id, form, unit));
        let settings = settings(form);
        let (footprint, mounting) = (footprint::read(form), footprint::read_mounting(form));
        form.sound()?;
        Some(Self {
            id: id?,
            name: name?,
            location: location?,
            load,
            drop_limit_pct,
            max_fuse_a,
            inrush,
            light,
            settings,
            stud,
            tab_mm,
            join,
            kept,
            through_hull,
            cables: cable.into_iter().collect(),
            footprint,
            mounting,
        })
    }

    /// The form shows one cable: its id stays, and so do the other cables.
    fn keep(mut self, held: &Self) -> Self {
        if let (Some(cable), Some(first)) = (self.cables.first_mut(), held.cables.first()) {
            cable.id = first.id.clone();
            cable.connector = first.connector.clone();
            if let (Some(far), Some(kept)) = (&mut cable.far_connector, &first.far_connector) {
                far.name = kept.name.clone();
            }
        }
        self.cables.extend(held.cables.iter().skip(1).cloned());
        self
    }

    fn field_at(path: &str) -> &str {
        match path {
            "load" => "load.kind",
            "inrush" => "inrush.a",
            "cables[0].id" => "cable.kind",
            "cables[0].to.location" | "cables[0].to.device" => "cable.to",
            "cables[0].least_length_m" => "cable.least_length_m",
            other => other,
        }
    }

    fn page(title_block: TitleBlock, form: Form, edit: Edit) -> Page {
        Page { title_block, form, edit }
    }
}

fn fill_load(load: Option<Load>, form: &mut Form) {
    let (kind, figure) = match load {
        None => return,
        Some(Load::ConstantCurrent(current)) => ("constant-current", current.number()),
        Some(Load::ConstantPower(power)) => ("constant-power", power.number()),
        Some(Load::Resistance(resistance)) => ("resistance", resistance.number()),
    };
    form.put("load.kind", Some(kind));
    form.put("load.figure", Some(figure));
}

fn load(form: &mut Form) -> Option<Load> {
    match form.typed("load.kind") {
        "" => {
            if !form.typed("load.figure").trim().is_empty() {
                form.refuse("load.kind", "Choose what the figure is: amperes, watts or ohms.");
            }
            None
        }
        "constant-current" => form.required("load.figure").map(Load::ConstantCurrent),
        "constant-power" => form.required("load.figure").map(Load::ConstantPower),
        "resistance" => form.required("load.figure").map(Load::Resistance),
        _ => {
            form.refuse("load.kind", "Choose one of the list.");
            None
        }
    }
}

/// Current and time of a start belong together.
fn inrush(form: &mut Form) -> Option<Inrush> {
    let a = form.optional("inrush.a");
    let s = form.optional("inrush.s");
    for (given, other) in [("inrush.a", "inrush.s"), ("inrush.s", "inrush.a")] {
        if form.flag(given) && !form.flag(other) {
            form.refuse(other, "This is needed beside the other.");
        }
    }
    Some(Inrush { a: a?, s: s? })
}

fn fill_cable(cable: Option<&Cable>, form: &mut Form, unit: LengthUnit) {
    let Some(cable) = cable else { return };
    form.put("cable.kind", word(cable.kind));
    form.put("cable.length_m", cable.length_m.map(|length| unit.text(length.number())));
    match &cable.to {
        CableTo::Location(location) => form.put("cable.to", Some(location)),
        CableTo::Device(device) => form.put("cable.to", Some(format!("{TO_DEVICE}{device}"))),
    }
    form.put("cable.connector_mm", cable.hauled_mm());
    form.put("cable.outside_mm", cable.outside_mm);
    form.put("cable.least_length_m", cable.least_length_m.map(|least| unit.text(least.number())));
    form.put("cable.sealed_join", cable.sealed_join.then_some("yes"));
}

/// What stands before the id of a device where a location is not meant.
pub const TO_DEVICE: &str = "device/";

/// Where the other end of the cable goes.
fn cable_to(form: &mut Form) -> Option<CableTo> {
    let typed = form.typed("cable.to").to_owned();
    match typed.strip_prefix(TO_DEVICE).map(str::parse) {
        Some(Ok(device)) => Some(CableTo::Device(device)),
        _ => form.required_choice("cable.to").map(CableTo::Location),
    }
}

/// The cable; where its kind is left open there is none, and then nothing else of it.
fn cable(device: &str, form: &mut Form, unit: LengthUnit) -> Option<Cable> {
    if form.typed("cable.kind").is_empty() {
        let others =
            ["cable.length_m", "cable.connector_mm", "cable.outside_mm", "cable.least_length_m", "cable.to"];
        if others.into_iter().any(|field| !form.typed(field).trim().is_empty()) {
            form.refuse("cable.kind", "Choose what the cable is for.");
        }
        return None;
    }
    let kind = form.required_choice("cable.kind");
    let length_m = form.length("cable.length_m", unit);
    let to = cable_to(form);
    let width_mm = form.optional("cable.connector_mm");
    let outside_mm = form.optional("cable.outside_mm");
    let least_length_m = form.length("cable.least_length_m", unit);
    let sealed_join = form.flag("cable.sealed_join");
    Some(Cable {
        id: device.parse().ok()?,
        kind: kind?,
        to: to?,
        length_m,
        connector: None,
        far_connector: width_mm.map(|width| Connector { width_mm: Some(width), name: None }),
        outside_mm,
        least_length_m,
        sealed_join,
    })
}

fn settings(form: &mut Form) -> Vec<Setting> {
    let count = form.settle(SETTINGS, &["name", "value"]);
    let settings = (0..count).filter_map(|row| {
        let name = form.required(&cell(SETTINGS, row, "name"));
        let value = form.optional(&cell(SETTINGS, row, "value"));
        Some(Setting { name: name?, value })
    });
    settings.collect()
}
