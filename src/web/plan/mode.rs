//! A mode: its form, with every circuit of the job and its share of the time.

use serde_json::{Value, json};

use super::edit::{Edit, Thing};
use super::inputs::id;
use super::next_id::next;
use crate::job::plan::{InUse, Mode};
use crate::job::value::{CircuitId, Hours, ModeId, Name, PointId, Rpm, Share};
use crate::web::kit::form::Form;
use crate::web::kit::form::declared::{Declared, FieldGroup, FieldRows, Input, RowLayout};
use crate::web::kit::form::rows::cell;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::Tab;

/// The list of circuits. A circuit without a share is off.
const ON: &str = "on";

impl Thing for Mode {
    const TAB: Tab = Tab::Modes;

    fn begin(form: &mut Form, job: &Opened) {
        form.put("id", Some(next("mode", 1, job.plan.modes.iter().map(|mode| &mode.id))));
        Self::declared().fill(&json!({ON: every_circuit(&[], job)}), form, LengthUnit::default());
    }

    fn declared() -> Declared<Edit> {
        let charger = Input::select::<PointId>("", "Charger", Edit::chargers);
        let circuit =
            [Input::hidden::<CircuitId>("circuit"), Input::number::<Share>("share", "Share", "of the time")];
        Declared::new()
            .group(
                FieldGroup::new("Mode").inputs([
                    id::<ModeId>(),
                    Input::text::<Name>("name", "Name")
                        .required()
                        .hint("Such as: Running, Drifting, Anchored overnight"),
                    Input::number::<Hours>("hours", "Hours of a day", "h")
                        .help("modes#use-pattern")
                        .required()
                        .also("modes"),
                ]),
            )
            .group(
                FieldGroup::new("Chargers and alternators that run")
                    .rows(FieldRows::new("charging", RowLayout::Single, [charger]).spare(1, "More chargers"))
                    .inputs([Input::number::<Rpm>("rpm", "Engine speed", "rpm").hint(
                        "The alternator\u{2019}s output is then that of its curve at this speed. Empty: its rating",
                    )]),
            )
            .group(
                FieldGroup::new("What is on, and for what share of the time")
                    .hint("1 is all the time, 0.25 a quarter of it. Empty: the circuit is off.")
                    .rows(
                        FieldRows::new(ON, RowLayout::Tight, circuit)
                            .called(name_of_circuit)
                            .empty("This job has no circuits yet."),
                    ),
            )
    }

    fn offered(&self, stored: &mut Value, job: &Opened) {
        stored[ON] = every_circuit(&self.on, job);
    }
}

/// One row for every circuit of the job, in its order, with its share if it is on.
fn every_circuit(on: &[InUse], job: &Opened) -> Value {
    let row = |id: &CircuitId| match on.iter().find(|used| used.circuit == *id) {
        Some(used) => json!({"circuit": id, "share": used.share}),
        None => json!({"circuit": id}),
    };
    job.plan.circuits.iter().map(|circuit| row(&circuit.id)).collect()
}

/// The circuit of a row, by id and name.
fn name_of_circuit(edit: &Edit, form: &Form, row: usize) -> String {
    let id = form.typed(&cell(ON, row, "circuit"));
    let known = edit.job.plan.circuits.iter().find(|circuit| circuit.id.as_str() == id);
    known.map_or_else(|| id.to_owned(), |circuit| format!("{id} {}", circuit.name))
}
