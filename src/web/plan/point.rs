//! A point: its form, which differs by the kind of point that was chosen before.

use askama::Template;

use super::choices::title;
use super::edit::{Edit, Thing};
use super::footprint::{self, HOLE_KEYS, HOLES};
use super::next_id::next;
use crate::job::point::{AtSpeed, Bar, Battery, Body, Charger, Panel, Point, PointKind, Position};
use crate::web::kit::form::{Form, word};
use crate::web::kit::form::rows::cell;
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;
use crate::web::kit::page::{Tab, TitleBlock};

/// The form of a point.
#[derive(Template)]
#[template(path = "plan/point.html")]
pub struct Page {
    title_block: TitleBlock,
    form: Form,
    edit: Edit,
    kind: Option<PointKind>,
}

impl Page {
    fn takes(&self, field: &str) -> bool {
        self.kind.is_some_and(|kind| kind.fields().contains(&field))
    }

    fn is_panel(&self) -> bool {
        self.kind == Some(PointKind::SwitchPanel)
    }

    fn kinds(&self) -> [(&'static str, &'static str, &'static str); 8] {
        PointKind::ALL.map(|kind| (kind.word(), title(kind), purpose(kind)))
    }

    fn engravings(&self) -> [(&'static str, &'static str); 3] {
        [("", "not known"), ("fixed", "engraved, stays"), ("free", "plate, can be changed")]
    }

    fn switches(&self) -> [(&'static str, &'static str); 5] {
        [
            ("", "not known"),
            ("on-off", "on, off"),
            ("momentary", "momentary"),
            ("on-off-on", "on, off, on"),
            ("breaker", "breaker"),
        ]
    }

    fn lamps(&self) -> [(&'static str, &'static str); 3] {
        [("", "not known"), ("yes", "has a lamp"), ("no", "no lamp")]
    }

    fn kind_title(&self) -> &'static str {
        self.kind.map_or("Point", title)
    }
}

/// The list of a switch panel's positions in the form.
const POSITIONS: &str = "positions";
/// The fields of one position.
const POSITION: &[&str] = &["label", "rating_a", "engraved", "switch", "indicator", "throw_1", "throw_2"];
/// The list of the points of an alternator's curve in the form, and the fields of one.
const CURVE: &str = "curve";
const SPEED: &[&str] = &["rpm", "a"];
/// What is written beside the throws of one.
const THROWS: [&str; 2] = ["throw_1", "throw_2"];

impl Thing for Point {
    type Page = Page;

    const TAB: Tab = Tab::Points;
    const ROWS: &'static [(&'static str, &'static [&'static str])] =
        &[(POSITIONS, POSITION), (CURVE, SPEED), (HOLES, HOLE_KEYS)];

    fn begin(form: &mut Form, job: &Opened) {
        let Some(kind) = form.choice::<PointKind>("kind") else { return };
        let ids = job.plan.points.iter().map(|point| point.id.to_string());
        let ids = ids.chain(job.plan.devices.iter().map(|device| device.id.to_string()));
        form.put("id", Some(next(prefix(kind), 1, ids)));
        footprint::fill(None, None, form);
        if matches!(kind, PointKind::Battery | PointKind::Charger) {
            let at_rest = if kind == PointKind::Battery { 12.7 } else { 14.2 };
            form.put(
                "open_circuit_v",
                Some(format!("{:.1}", at_rest * job.plan.job.nominal_v.number() / 12.0)),
            );
        }
    }

    fn fill(&self, form: &mut Form, _: &Opened, _: LengthUnit) {
        form.put("id", Some(&self.id));
        form.put("kind", Some(self.body.kind().word()));
        form.put("name", self.name.as_ref());
        form.put("location", Some(&self.location));
        form.put("rating_a", self.body.rating());
        form.put("stud", self.stud);
        form.put("screw", self.screw);
        form.put("tab_mm", self.tab_mm);
        footprint::fill(self.footprint.as_ref(), self.mounting.as_ref(), form);
        match &self.body {
            Body::Battery(battery) => {
                form.put("open_circuit_v", Some(battery.open_circuit_v));
                form.put("internal_mohm", battery.internal_mohm);
                form.put("capacity_ah", battery.capacity_ah);
                form.put("chemistry", battery.chemistry.and_then(word));
                form.put("cranking_a", battery.cranking_a);
                form.put("peukert", battery.peukert);
                form.put("floor_pct", battery.floor_pct);
                form.put("low_v", battery.low_v);
            }
            Body::Charger(charger) => {
                form.put("open_circuit_v", Some(charger.open_circuit_v));
                form.put("internal_mohm", charger.internal_mohm);
                form.put("starter_a", charger.starter_a);
                for (row, point) in charger.curve.iter().enumerate() {
                    form.put(&cell(CURVE, row, "rpm"), Some(point.rpm));
                    form.put(&cell(CURVE, row, "a"), Some(point.a));
                }
            }
            Body::SwitchPanel(panel) => fill_positions(&panel.positions, form),
            other => form.put("positions", other.position_count()),
        }
    }

    fn read(form: &mut Form, _: LengthUnit) -> Option<Self> {
        let kind = form.required_choice("kind");
        let id = form.required("id");
        let name = form.optional("name");
        let location = form.required_choice("location");
        let stud = form.choice("stud");
        let screw = form.choice("screw");
        let tab_mm = form.optional("tab_mm");
        let body = body(form, kind?);
        let (footprint, mounting) = (footprint::read(form), footprint::read_mounting(form));
        form.sound()?;
        Some(Self {
            id: id?,
            name,
            location: location?,
            stud,
            screw,
            tab_mm,
            body: body?,
            footprint,
            mounting,
        })
    }

    fn page(title_block: TitleBlock, form: Form, edit: Edit) -> Page {
        let kind = PointKind::ALL.into_iter().find(|kind| kind.word() == form.typed("kind"));
        Page { title_block, form, edit, kind }
    }
}

fn fill_positions(positions: &[Position], form: &mut Form) {
    for (row, position) in positions.iter().enumerate() {
        form.put(&cell(POSITIONS, row, "label"), Some(&position.label));
        form.put(&cell(POSITIONS, row, "rating_a"), position.rating_a);
        form.put(&cell(POSITIONS, row, "engraved"), position.engraved.and_then(word));
        form.put(&cell(POSITIONS, row, "switch"), position.switch.and_then(word));
        form.put(
            &cell(POSITIONS, row, "indicator"),
            position.indicator.map(|lamp| if lamp { "yes" } else { "no" }),
        );
        for (throw, key) in position.throws.iter().zip(THROWS) {
            form.put(&cell(POSITIONS, row, key), Some(throw));
        }
    }
}

fn body(form: &mut Form, kind: PointKind) -> Option<Body> {
    Some(match kind {
        PointKind::Battery => Body::Battery(battery(form)?),
        PointKind::Charger => Body::Charger(charger(form)?),
        PointKind::BatterySwitch => Body::BatterySwitch(bar(form)),
        PointKind::PositiveBus => Body::PositiveBus(bar(form)),
        PointKind::NegativeBus => Body::NegativeBus(bar(form)),
        PointKind::FuseBlock => Body::FuseBlock(bar(form)),
        PointKind::SwitchPanel => Body::SwitchPanel(panel(form)),
        PointKind::JunctionBar => Body::JunctionBar(bar(form)),
    })
}

fn battery(form: &mut Form) -> Option<Battery> {
    let open_circuit_v = form.required("open_circuit_v");
    let internal_mohm = form.optional("internal_mohm");
    let capacity_ah = form.optional("capacity_ah");
    let chemistry = form.choice("chemistry");
    let cranking_a = form.optional("cranking_a");
    let (peukert, floor_pct, low_v) =
        (form.optional("peukert"), form.optional("floor_pct"), form.optional("low_v"));
    Some(Battery {
        open_circuit_v: open_circuit_v?,
        internal_mohm,
        capacity_ah,
        chemistry,
        cranking_a,
        peukert,
        floor_pct,
        low_v,
    })
}

fn charger(form: &mut Form) -> Option<Charger> {
    let open_circuit_v = form.required("open_circuit_v");
    let internal_mohm = form.optional("internal_mohm");
    let rating_a = form.optional("rating_a");
    let starter_a = form.optional("starter_a");
    let curve = curve(form);
    Some(Charger { open_circuit_v: open_circuit_v?, internal_mohm, rating_a, starter_a, curve })
}

/// An alternator's curve, the slowest speed first; a speed that is there twice is refused.
fn curve(form: &mut Form) -> Vec<AtSpeed> {
    let rows = form.settle(CURVE, SPEED);
    let mut curve: Vec<AtSpeed> = Vec::new();
    for row in 0..rows {
        let (rpm, a) = (form.required(&cell(CURVE, row, "rpm")), form.required(&cell(CURVE, row, "a")));
        let (Some(rpm), Some(a)) = (rpm, a) else { continue };
        if curve.iter().any(|point| point.rpm == rpm) {
            form.refuse(&cell(CURVE, row, "rpm"), "This speed is in the curve already.");
        }
        curve.push(AtSpeed { rpm, a });
    }
    curve.sort_by(|one, other| one.rpm.number().total_cmp(&other.rpm.number()));
    curve
}

fn bar(form: &mut Form) -> Bar {
    Bar { rating_a: form.optional("rating_a"), positions: form.optional("positions") }
}

/// A panel keeps its positions in the order of the rows; a rating without a label is refused.
fn panel(form: &mut Form) -> Panel {
    let rating_a = form.optional("rating_a");
    let count = form.settle(POSITIONS, POSITION);
    let positions = (0..count).filter_map(|row| {
        let label = form.required(&cell(POSITIONS, row, "label"));
        let rating_a = form.optional(&cell(POSITIONS, row, "rating_a"));
        let engraved = form.choice(&cell(POSITIONS, row, "engraved"));
        let switch = form.choice(&cell(POSITIONS, row, "switch"));
        let indicator: Option<Lamp> = form.choice(&cell(POSITIONS, row, "indicator"));
        let throws = THROWS.into_iter().filter_map(|key| form.optional(&cell(POSITIONS, row, key))).collect();
        Some(Position {
            engraved,
            switch,
            indicator: indicator.map(|lamp| lamp == Lamp::Yes),
            rating_a,
            throws,
            ..Position::labeled(label?)
        })
    });
    Panel { rating_a, positions: positions.collect() }
}

/// Whether a position has a lamp, as the form asks it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Lamp {
    Yes,
    No,
}

fn purpose(kind: PointKind) -> &'static str {
    match kind {
        PointKind::Battery => "Two posts with a source between them",
        PointKind::Charger => "A source that runs at times",
        PointKind::BatterySwitch => "Cuts the battery from the boat",
        PointKind::PositiveBus => "Shares out the protected side",
        PointKind::NegativeBus => "Where the returns land",
        PointKind::FuseBlock => "One fuse a circuit",
        PointKind::SwitchPanel => "Labeled switches, one a circuit",
        PointKind::JunctionBar => "Isolated positions, one a circuit",
    }
}

/// How ids of the kind begin.
fn prefix(kind: PointKind) -> &'static str {
    match kind {
        PointKind::Battery => "bat",
        PointKind::Charger => "chg",
        PointKind::BatterySwitch => "bs",
        PointKind::PositiveBus => "pos",
        PointKind::NegativeBus => "neg",
        PointKind::FuseBlock => "fb",
        PointKind::SwitchPanel => "panel",
        PointKind::JunctionBar => "jb",
    }
}
