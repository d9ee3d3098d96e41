//! A distribution point: its form, which depends on the kind chosen before.

use super::choices::title;
use super::edit::{Edit, KindChoice, Thing};
use super::footprint;
use super::inputs::id;
use super::next_id::next;
use crate::job::point::{BatterySwitchKind, Engraved, Point, PointKind, SwitchKind};
use crate::job::value::{
    CapacityAh, CurrentA, FloorPct, InternalMohm, Label, LocationId, Name, NominalV, Peukert, PointId,
    RatingA, Rpm, SourceV, TabMm,
};
use crate::trade::energy::battery::Chemistry;
use crate::trade::terminal::Stud;
use crate::web::kit::form::Form;
use crate::web::kit::form::declared::{Declared, FieldGroup, FieldRows, Input, RowLayout};
use crate::web::kit::opened::Opened;
use crate::web::kit::page::Tab;

impl Thing for Point {
    const TAB: Tab = Tab::Points;

    fn begin(form: &mut Form, job: &Opened) {
        let Some(kind) = kind(form) else { return };
        let ids = job.plan.points.iter().map(|point| point.id.to_string());
        let ids = ids.chain(job.plan.devices.iter().map(|device| device.id.to_string()));
        form.put("id", Some(next(prefix(kind), 1, ids)));
        if kind.is_source() {
            let at_rest = match kind {
                PointKind::Battery => 12.7,
                PointKind::Converter => 12.6,
                _ => 14.2,
            };
            form.put(
                "open_circuit_v",
                Some(format!("{:.1}", at_rest * job.plan.job.nominal_v.number() / 12.0)),
            );
        }
    }

    fn declared() -> Declared<Edit> {
        let declared = Declared::new()
            .only(applies)
            .group(own())
            .group(
                FieldGroup::new("What conductors land on")
                    .hint("It decides the terminal of each end: without it, none is chosen.")
                    .inputs([
                        Input::select::<Stud>("stud", "Stud", Edit::studs)
                            .hint("For feeders, and for circuits where nothing else is given"),
                        Input::select::<Stud>("screw", "Screw for circuits", Edit::studs),
                        Input::number::<TabMm>("tab_mm", "or tab for circuits", "mm")
                            .unmarked()
                            .hint("Its width: 2.8, 4.8, 6.3 or 9.5"),
                    ]),
            )
            .group(
                FieldGroup::new("Alternator output by engine speed")
                    .hint(
                        "From the manufacturer\u{2019}s curve, at the speed of the engine, not of the alternator. \
                         Empty: its rating at any speed.",
                    )
                    .rows(curve()),
            )
            .group(
                FieldGroup::new("Positions, in order")
                    .hint(
                        "The label is what is engraved or printed beside the switch. A position that a circuit is \
                         on cannot be removed.",
                    )
                    .rows(positions()),
            );
        footprint::part(declared)
    }

    fn kinds(form: &Form) -> Vec<KindChoice> {
        let choice =
            |kind: PointKind| KindChoice { word: kind.word(), title: title(kind), purpose: purpose(kind) };
        if kind(form).is_some() { Vec::new() } else { PointKind::ALL.map(choice).into() }
    }
}

/// The chosen kind.
fn kind(form: &Form) -> Option<PointKind> {
    PointKind::ALL.into_iter().find(|kind| kind.word() == form.typed("kind"))
}

/// Whether a field, or a list with `[]`, belongs to the chosen kind.
fn applies(form: &Form, path: &str) -> bool {
    let Some(kind) = kind(form) else { return path == "kind" };
    let is_panel = kind == PointKind::SwitchPanel;
    match path {
        "positions" => !is_panel && kind.fields().contains(&path),
        "positions[]" => is_panel,
        "curve[]" => kind.fields().contains(&"curve"),
        path => {
            let is_of_a_kind = PointKind::ALL.iter().any(|kind| kind.fields().contains(&path));
            !is_of_a_kind || kind.fields().contains(&path)
        }
    }
}

/// The fields that only this kind has.
fn own() -> FieldGroup<Edit> {
    FieldGroup::titled(|form| kind(form).map_or("Distribution point", title)).inputs([
        Input::hidden::<String>("kind"),
        id::<PointId>(),
        Input::text::<Name>("name", "Name").hint("Such as: House battery, Helm fuse block"),
        Input::select::<LocationId>("location", "Where it is mounted", Edit::locations).required(),
        Input::number::<NominalV>("nominal_v", "Nominal voltage of its side", "V")
            .help("distribution#two-voltages")
            .hint("Empty: that of the job"),
        Input::number::<SourceV>("open_circuit_v", "Voltage at rest", "V")
            .required()
            .hint("Of a charger or converter: the voltage it regulates to"),
        Input::number::<InternalMohm>("internal_mohm", "Internal resistance", "m\u{2126}")
            .help("distribution#battery")
            .hint("Of all batteries in series together. Empty: supposed from the figures below"),
        Input::number::<CapacityAh>("capacity_ah", "Capacity", "Ah").hint("At the 20-hour rate"),
        Input::select::<Chemistry>("chemistry", "Chemistry", Edit::chemistries),
        Input::number::<CurrentA>("cranking_a", "Cold cranking current", "A"),
        Input::number::<Peukert>("peukert", "Peukert exponent", "")
            .help("energy#usual-figures")
            .hint("As the manufacturer states it. Empty: usual for its chemistry"),
        Input::number::<FloorPct>("floor_pct", "Minimum state of charge", "%")
            .hint("Empty: usual for its chemistry"),
        Input::number::<SourceV>("low_v", "Empty at", "V")
            .hint("Under load. Empty field: 1.75 V per cell of a lead-acid battery"),
        Input::number::<CurrentA>("starter_a", "Starter draws", "A")
            .hint("While it cranks, where this is an engine"),
        Input::number::<RatingA>("rating_a", "Rating", "A").hint("Maximum total current"),
        Input::select::<BatterySwitchKind>(
            "switch_kind",
            "Kind of battery switch",
            Edit::battery_switch_kinds,
        )
        .help("distribution#battery-switch-bus-bars-fuse-block")
        .hint("Which batteries it can join"),
        Input::number::<u16>("positions", "Positions", "").hint("How many conductors or circuits it takes"),
        Input::number::<RatingA>("position_a", "Rating of each position", "A"),
        Input::answer("ignition_protected", "Ignition protected").help("locations#vapor"),
    ])
}

fn curve() -> FieldRows<Edit> {
    let speed = [
        Input::number::<Rpm>("rpm", "Engine speed", "rpm").required(),
        Input::number::<CurrentA>("a", "Output", "A").required(),
    ];
    FieldRows::new("curve", RowLayout::Columns, speed)
        .spare(3, "More speeds")
        .distinct("rpm", "This speed is in the curve already.")
}

fn positions() -> FieldRows<Edit> {
    let position = [
        Input::text::<Label>("label", "Label").required(),
        Input::number::<RatingA>("rating_a", "Switch rating", "A"),
        Input::select::<Engraved>("engraved", "Label is", Edit::engravings),
        Input::select::<SwitchKind>("switch", "Switch", Edit::switch_kinds),
        Input::answer("indicator", "Indicator lamp"),
        Input::number::<u16>("poles", "Poles", ""),
        Input::text::<Label>("throws[0]", "One side reads").named("throw_1"),
        Input::text::<Label>("throws[1]", "Other side reads").named("throw_2"),
    ];
    FieldRows::new("positions", RowLayout::Wide, position)
        .hint("Poles: how many separate circuits the switch works. For a switch that is on in both positions, type what is written on each side, such as RUN and ANCHOR.")
        .spare(6, "More positions")
}

fn purpose(kind: PointKind) -> &'static str {
    match kind {
        PointKind::Battery => "Stores energy; two posts",
        PointKind::Charger => "A source that runs part of the time",
        PointKind::Converter => "The source of a second voltage",
        PointKind::BatterySwitch => "Disconnects the battery from the boat",
        PointKind::PositiveBus => "Distributes the protected positive",
        PointKind::NegativeBus => "Where the negatives come together",
        PointKind::FuseBlock => "One fuse for each circuit",
        PointKind::SwitchPanel => "Labeled switches, one for each circuit",
        PointKind::JunctionBar => "Isolated positions, one for each circuit",
    }
}

/// The start of the ids of the kind.
pub(super) fn prefix(kind: PointKind) -> &'static str {
    match kind {
        PointKind::Battery => "bat",
        PointKind::Charger => "chg",
        PointKind::Converter => "conv",
        PointKind::BatterySwitch => "bs",
        PointKind::PositiveBus => "pos",
        PointKind::NegativeBus => "neg",
        PointKind::FuseBlock => "fb",
        PointKind::SwitchPanel => "panel",
        PointKind::JunctionBar => "jb",
    }
}
