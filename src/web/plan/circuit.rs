//! A circuit: its form.

use serde_json::{Value, json};

use super::edit::{Edit, Thing};
use super::inputs::{bundle, id, insulation, protection, route, size, wire_color};
use super::next_id::next;
use super::routed::USUAL_INSULATION_C;
use crate::job::plan::{Circuit, SwitchAt, Wiring};
use crate::job::point::PointKind;
use crate::job::value::{CircuitId, DeviceId, Label, LengthM, Name, PointId};
use crate::trade::conductor::Size;
use crate::web::kit::form::declared::{Declared, FieldGroup, FieldRows, Input, RowLayout, TypedText};
use crate::web::kit::form::rows::cell;
use crate::web::kit::form::{Form, word};
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::Tab;
use crate::web::parts::switches;

/// The list of all conductors of the circuit, with values where they differ from it.
const CONDUCTORS: &str = "conductors";

impl Thing for Circuit {
    const TAB: Tab = Tab::Circuits;

    /// Most circuits have the same source and the same negative as the one before.
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

    fn declared() -> Declared<Edit> {
        Declared::new()
            .group(FieldGroup::new("Circuit").inputs([
                id::<CircuitId>(),
                Input::text::<Name>("name", "Name").required().hint("Such as: Navigation lights"),
                Input::text::<Label>("label", "Label on its wires").hint("Empty: its id"),
            ]))
            .group(
                FieldGroup::new("Devices, in order along the wire").rows(devices()).inputs([
                    Input::select::<Wiring>("wiring", "With several devices", Edit::wirings)
                        .required()
                        .usual("chain"),
                ]),
            )
            .group(FieldGroup::new("Connections").inputs([
                Input::select::<PointId>("from", "Fed from", Edit::positive_points).required(),
                Input::select::<SwitchAt>("switch", "Switch", Edit::switches)
                    .write_by(write_switch)
                    .read_by(read_switch),
                Input::check("float_switch", "A float switch works it too, from the same fuse")
                    .help("circuits#float-switch"),
                Input::select::<PointId>("junction", "Junction bar", Edit::junctions),
                Input::select::<PointId>("return", "Negative returns to", Edit::negative_points).required(),
            ]))
            .group(protection())
            .group(FieldGroup::new("Wire").inputs([
                size(),
                Input::length::<LengthM>("length_m", "Length one way").help("circuits#length")
                    .hint("From the feed to the farthest device. Empty: along its route"),
                insulation(),
                wire_color("color", "Color of the positive")
                    .hint("From the table of the trade, or in your own words: yellow with red stripe"),
                wire_color("return_color", "Color of the negative").hint("Empty: black"),
                bundle(),
                Input::check("jacketed", "In a jacket, such as duplex cable"),
            ]))
            .group(route(
                "Empty: the shortest route with room. To set it by hand, choose the raceways in order from the \
                 source to the last device.",
            ))
            .group(
                FieldGroup::new("Single conductors that differ")
                    .hint("Empty: the conductor is as its circuit, with the same size and its share of the length.")
                    .rows(conductors()),
            )
    }

    /// Numbers of legs come from the stored circuit, never from the form.
    fn completed(mut self, held: Option<&Self>) -> Self {
        let devices: Vec<DeviceId> = self.devices().cloned().collect();
        self.legs = held.map_or_else(Vec::new, |held| held.legs.clone());
        self.legs_given = held.map_or(0, |held| held.legs_given);
        self.feed(devices);
        self
    }

    fn offered(&self, stored: &mut Value, job: &Opened) {
        let conductors = job.conductors.of_circuit(&self.id);
        let row = |from: &str, to: &str| {
            let mut given = self.conductors.iter();
            let given = given.find(|given| given.from.as_str() == from && given.to.as_str() == to);
            given.map_or_else(|| json!({"from": from, "to": to}), |given| json!(given))
        };
        let rows = conductors.iter().map(|conductor| row(conductor.from.id(), conductor.to.id()));
        stored[CONDUCTORS] = rows.collect();
    }
}

fn devices() -> FieldRows<Edit> {
    let leg = [
        Input::hidden::<u16>("number").blank(|| Value::from(0)),
        Input::select::<DeviceId>("device", "Device", Edit::devices),
    ];
    FieldRows::new("legs", RowLayout::Single, leg)
        .spare(2, "More devices")
        .least_one("A circuit feeds one device at least. Choose it.")
}

fn conductors() -> FieldRows<Edit> {
    let conductor = [
        Input::hidden::<Name>("from"),
        Input::hidden::<Name>("to"),
        Input::length::<LengthM>("length_m", "Length"),
        Input::select::<Size>("size", "Size", |edit: &Edit| edit.sizes("As the circuit")),
    ];
    FieldRows::new(CONDUCTORS, RowLayout::Named, conductor).called(ends)
}

/// A conductor of the form by its ends.
fn ends(_: &Edit, form: &Form, row: usize) -> String {
    let end = |key| form.typed(&cell(CONDUCTORS, row, key));
    format!("{} \u{2192} {}", end("from"), end("to"))
}

fn write_switch(at: &Value, _: LengthUnit) -> Option<String> {
    serde_json::from_value(at.clone()).ok().as_ref().map(switches::write)
}

fn read_switch(typed: &TypedText<'_>) -> Result<Value, String> {
    let at = switches::read(typed.text).ok_or("Choose one of the list.")?;
    serde_json::to_value(at).map_err(|error| error.to_string())
}
