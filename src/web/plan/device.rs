//! A device: its form.

use serde::Deserialize;
use serde_json::{Value, json};

use super::edit::{Edit, Thing};
use super::footprint;
use super::inputs::id;
use super::next_id::next;
use crate::job::plan::{CableTo, Device, Join, Purpose};
use crate::job::value::{
    CableId, CurrentA, DeviceId, DropPct, Label, LeastV, LengthM, LoadOhm, LocationId, Name, PowerW, RatingA,
    Seconds, SizeMm, TabMm,
};
use crate::trade::lights::LightKind;
use crate::trade::route::CableKind;
use crate::trade::terminal::Stud;
use crate::web::kit::form::Form;
use crate::web::kit::form::declared::{
    Declared, FieldGroup, FieldRows, Input, RowLayout, TypedText, chosen, parsed,
};
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::Tab;

const NEEDED: &str = "Required.";
const BESIDE: &str = "Required beside the other.";

impl Thing for Device {
    const TAB: Tab = Tab::Devices;

    fn begin(form: &mut Form, job: &Opened) {
        let ids = job.plan.devices.iter().map(|device| device.id.to_string());
        let ids = ids.chain(job.plan.points.iter().map(|point| point.id.to_string()));
        form.put("id", Some(next("D", 2, ids)));
        form.put("load.kind", Some("constant-current"));
    }

    fn declared() -> Declared<Edit> {
        let declared = Declared::new()
            .group(
                FieldGroup::new("Device").inputs([
                    id::<DeviceId>(),
                    Input::text::<Name>("name", "Name")
                        .required()
                        .hint("Such as: Bilge pump, Chart plotter, Sidelights"),
                    Input::select::<LocationId>("location", "Where it is mounted", Edit::locations)
                        .required(),
                    Input::select::<LightKind>("light", "Navigation light", Edit::lights)
                        .help("devices#navigation-light"),
                    Input::select::<Purpose>("purpose", "Purpose", Edit::purposes).help("devices#purpose"),
                    Input::answer("ignition_protected", "Ignition protected").help("locations#vapor"),
                    Input::check("needs_no_wire", "Needs no wire"),
                    Input::check("kept", "Kept from the boat, not new"),
                    Input::check("through_hull", "Fitted through the hull below the waterline"),
                ]),
            )
            .group(load())
            .fold("Cables", [FieldGroup::new("Its signal cables, harnesses and leads").rows(cables())])
            .group(
                FieldGroup::new("What its conductors land on")
                    .hint(
                        "One of the three. It decides the terminal of each end: without it, none is chosen.",
                    )
                    .inputs([
                        Input::select::<Stud>("stud", "Stud or screw", Edit::studs),
                        Input::number::<TabMm>("tab_mm", "or tab", "mm")
                            .unmarked()
                            .hint("Its width: 2.8, 4.8, 6.3 or 9.5"),
                        Input::select::<Join>("join", "or its own leads", Edit::joins),
                    ]),
            )
            .group(FieldGroup::new("Settings to make once it runs").rows(settings()));
        footprint::part(declared)
    }
}

fn load() -> FieldGroup<Edit> {
    FieldGroup::new("What it draws").inputs([
        Input::select::<Counts>("load.kind", "Its figure is in", Edit::loads)
            .needed("Choose what the figure is: amperes, watts or ohms.")
            .hint("Pumps and electronics: as the manufacturer gives it"),
        Input::number::<CurrentA>("load", "Figure", "A, W or \u{2126}")
            .named("load.figure")
            .write_by(write_figure)
            .read_by(read_figure)
            .needed(NEEDED),
        Input::number::<u16>("inputs", "Separate supplies", "")
            .hint("Each with its own negative. Empty: one"),
        Input::number::<DropPct>("drop_limit_pct", "Maximum voltage drop", "%")
            .help("devices#maximum-voltage-drop")
            .hint("3 for lights, blowers and electronics; otherwise 10"),
        Input::number::<LeastV>("least_v", "Least voltage it needs", "V")
            .help("devices#least-voltage")
            .hint("By the manufacturer"),
        Input::number::<RatingA>("max_fuse_a", "Largest fuse the manufacturer allows", "A"),
        Input::number::<CurrentA>("inrush.a", "Current while it starts", "A")
            .help("devices#starting-current")
            .needed(BESIDE)
            .hint("For motors"),
        Input::number::<Seconds>("inrush.s", "For how long", "s").needed(BESIDE),
    ])
}

/// The kind of a load's figure, as the job file has it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Counts {
    ConstantCurrent,
    ConstantPower,
    Resistance,
}

impl Counts {
    /// The job file's key of the figure.
    fn key(self) -> &'static str {
        match self {
            Self::ConstantCurrent => "a",
            Self::ConstantPower => "w",
            Self::Resistance => "ohm",
        }
    }
}

/// The one figure of a load, whatever its kind.
fn write_figure(load: &Value, _: LengthUnit) -> Option<String> {
    let counts = Counts::deserialize(load.get("kind")?).ok()?;
    load.get(counts.key())?.as_f64().map(|figure| figure.to_string())
}

/// A load with its figure, of the kind that was read before; null if the kind had an error.
fn read_figure(typed: &TypedText<'_>) -> Result<Value, String> {
    let kind = typed.so_far.and_then(|load| load.get("kind"));
    let Some((kind, Ok(counts))) = kind.map(|kind| (kind, Counts::deserialize(kind))) else {
        return Ok(Value::Null);
    };
    let figure = match counts {
        Counts::ConstantCurrent => parsed::<CurrentA>(typed),
        Counts::ConstantPower => parsed::<PowerW>(typed),
        Counts::Resistance => parsed::<LoadOhm>(typed),
    }?;
    Ok(json!({"kind": kind, counts.key(): figure}))
}

fn cables() -> FieldRows<Edit> {
    let cable = [
        Input::text::<CableId>("id", "Id").required(),
        Input::text::<Label>("label", "Label on it"),
        Input::select::<CableKind>("kind", "What it is for", Edit::cables)
            .needed("Choose what the cable is for."),
        Input::select::<CableTo>("to", "Where its other end goes", Edit::cable_ends)
            .write_by(write_end)
            .read_by(read_end)
            .required(),
        Input::length::<LengthM>("length_m", "Length it is made in"),
        Input::text::<Name>("connector.name", "Connector at the device"),
        Input::number::<SizeMm>("connector.width_mm", "Width of the connector", "mm"),
        Input::text::<Name>("far_connector.name", "Connector at the other end"),
        Input::number::<SizeMm>("far_connector.width_mm", "Width of the connector", "mm"),
        Input::number::<SizeMm>("outside_mm", "Outside diameter", "mm"),
        Input::length::<LengthM>("least_length_m", "May be shortened to"),
        Input::check("sealed_join", "A join in it is sealed against water"),
    ];
    FieldRows::new("cables", RowLayout::Wide, cable)
        .hint(
            "Label empty: its id. Length empty: it is cut to length, and both ends are made in the boat. Enter the \
             connectors for these ends. The connector at the other end is pulled in front. Outside diameter empty: usual for its kind. Shortened as the manufacturer allows, for coax; \
             empty: it is not cut.",
        )
        .spare(1, "More cables")
}

/// The start of the key of a choice that is a device and not a location.
pub const TO_DEVICE: &str = "device/";

fn write_end(to: &Value, _: LengthUnit) -> Option<String> {
    let device = || to.get("device")?.as_str().map(|device| format!("{TO_DEVICE}{device}"));
    to.get("location").and_then(Value::as_str).map(str::to_owned).or_else(device)
}

fn read_end(typed: &TypedText<'_>) -> Result<Value, String> {
    match typed.text.strip_prefix(TO_DEVICE) {
        Some(device) => {
            chosen::<DeviceId>(&TypedText { text: device, ..*typed }).map(|id| json!({"device": id}))
        }
        None => chosen::<LocationId>(typed).map(|id| json!({"location": id})),
    }
}

fn settings() -> FieldRows<Edit> {
    let setting = [Input::text::<Name>("name", "What is set").required(), Input::text::<Name>("value", "To")];
    FieldRows::new("settings", RowLayout::Columns, setting).spare(2, "More settings")
}
