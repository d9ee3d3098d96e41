//! Devices and distribution points made from kinds, and kinds kept from devices.

use std::collections::BTreeMap;

use strum::VariantArray;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;

use super::{
    CableNeed, Cited, Connection, Figure, FiguresAt, Ignition, Kind, KindSetting, LoadRange, Space,
    SupplyVolts,
};
use crate::job::board::Footprint;
use crate::job::plan::{Cable, Device, Setting};
use crate::job::point::{Bar, Battery, BatterySwitch, Body, Charger, Converter, Panel, Point, PointKind};
use crate::job::value::{DeviceId, KindId, LocationId, Name, NominalV, PointId, SizeMm, SourceV};
use crate::trade::source::SHOP_KIND;

impl Kind {
    /// A device of this kind on a side of this nominal voltage. Its figures are those of the usual device. Nothing is
    /// marked as read from the part, and its cables are left to the plan.
    pub fn device(&self, id: DeviceId, name: Name, location: LocationId, nominal: NominalV) -> Device {
        let figures = self.figures(nominal);
        let settings =
            self.settings.iter().map(|setting| Setting { name: setting.name.clone(), value: None });
        Device {
            purpose: self.purpose,
            inputs: self.inputs,
            load: figures.load.map(|load| load.typical),
            inrush: figures.start,
            max_fuse_a: figures.max_fuse_a,
            least_v: figures.least_v,
            drop_limit_pct: self.drop_limit_pct,
            light: self.light,
            settings: settings.collect(),
            stud: self.connection.and_then(Connection::stud),
            tab_mm: self.connection.and_then(Connection::tab),
            join: self.connection.and_then(Connection::join),
            through_hull: self.through_hull,
            footprint: self.space.as_ref().map(Space::footprint),
            ..Device::new(id, name, location)
        }
    }

    /// A distribution point of this kind on a side of this nominal voltage; `None` if it is none.
    pub fn point(&self, id: PointId, name: Name, location: LocationId, nominal: NominalV) -> Option<Point> {
        let body = self.body(nominal)?;
        let footprint = self.space.as_ref().map(Space::footprint);
        let stud = self.connection.and_then(Connection::stud);
        let name = Some(name);
        Some(Point {
            id,
            name,
            location,
            stud,
            screw: None,
            tab_mm: None,
            body,
            ignition_protected: None,
            footprint,
            mounting: None,
        })
    }

    fn body(&self, nominal: NominalV) -> Option<Body> {
        let own = self.point.as_ref()?;
        let bar = Bar { rating_a: own.rating_a, positions: own.positions, position_a: own.position_a };
        Some(match own.kind {
            PointKind::Battery => Body::Battery(Battery {
                nominal_v: Some(nominal),
                open_circuit_v: at_side(own.source_v?, nominal),
                internal_mohm: None,
                capacity_ah: own.capacity_ah,
                chemistry: own.chemistry,
                cranking_a: None,
                peukert: None,
                floor_pct: None,
                low_v: None,
            }),
            PointKind::Charger => Body::Charger(Charger {
                nominal_v: Some(nominal),
                open_circuit_v: at_side(own.source_v?, nominal),
                internal_mohm: None,
                rating_a: own.rating_a,
                starter_a: None,
                curve: Vec::new(),
            }),
            PointKind::Converter => Body::Converter(Converter {
                nominal_v: own.output_v,
                open_circuit_v: own.source_v?,
                internal_mohm: None,
                rating_a: own.rating_a,
            }),
            PointKind::BatterySwitch => Body::BatterySwitch(BatterySwitch { bar, kind: own.switch_kind }),
            PointKind::PositiveBus => Body::PositiveBus(bar),
            PointKind::NegativeBus => Body::NegativeBus(bar),
            PointKind::FuseBlock => Body::FuseBlock(bar),
            PointKind::SwitchPanel => {
                Body::SwitchPanel(Panel { rating_a: own.rating_a, positions: Vec::new() })
            }
            PointKind::JunctionBar => Body::JunctionBar(bar),
        })
    }

    /// A device on a side of this nominal voltage, kept as a kind of the shop. `like` is the nearest kind of the
    /// catalog: what a device does not have, such as its group and its test, is taken from there.
    pub fn of_device(device: &Device, nominal: NominalV, id: KindId, like: &Self) -> Self {
        let depth = like.space.as_ref().map(|space| space.mm[2]);
        let figures = FiguresAt {
            load: device.load.map(LoadRange::exactly),
            start: device.inrush,
            max_fuse_a: device.max_fuse_a,
            least_v: device.least_v,
        };
        let FiguresAt { load, start, max_fuse_a, least_v } = figures.as_of_12_v(nominal);
        Self {
            id,
            name: device.name.clone(),
            names: Vec::new(),
            supply: SupplyVolts::EachVoltage,
            load,
            start,
            max_fuse_a,
            least_v,
            drop_limit_pct: device.drop_limit_pct,
            inputs: device.inputs,
            cables: device.cables.iter().map(|cable| kept_cable(cable, like)).collect(),
            connection: connection(device).or(like.connection),
            purpose: device.purpose,
            light: device.light,
            ignition: ignition(device, like),
            through_hull: device.through_hull,
            settings: device.settings.iter().map(|setting| kept_setting(setting, like)).collect(),
            space: device.footprint.as_ref().map(|footprint| space(footprint, depth)),
            marks: shop_marks(),
            ..like.clone()
        }
    }
}

/// The voltage of a source on a side of this nominal voltage: twice that of 12 V on one of 24 V.
fn at_side(at_12: SourceV, nominal: NominalV) -> SourceV {
    let twelve = ElectricPotential::new::<volt>(12.0);
    let scaled = at_12.number() * (nominal.quantity() / twelve).value.round().max(1.0);
    scaled.try_into().unwrap_or(at_12)
}

fn connection(device: &Device) -> Option<Connection> {
    let on_stud = device.stud.map(Connection::Stud);
    let on_tab = device.tab_mm.map(Connection::Tab);
    on_stud.or(on_tab).or(device.join.map(|_| Connection::Leads))
}

fn ignition(device: &Device, like: &Kind) -> Ignition {
    match (like.ignition, device.ignition_protected) {
        (Ignition::Needed, _) => Ignition::Needed,
        (_, Some(true)) => Ignition::UsuallyMarked,
        (_, Some(false)) => Ignition::SeldomMarked,
        (usual, None) => usual,
    }
}

/// A setting, with the unit and the help of the setting of that name on the nearest kind.
fn kept_setting(setting: &Setting, like: &Kind) -> KindSetting {
    let same = like.settings.iter().find(|other| other.name == setting.name).cloned();
    same.unwrap_or_else(|| KindSetting { name: setting.name.clone(), unit: None, help: None })
}

/// A cable, with the ends of the nearest kind's cable of that kind.
fn kept_cable(cable: &Cable, like: &Kind) -> CableNeed {
    let same = like.cables.iter().find(|other| other.kind == cable.kind);
    CableNeed {
        name: same.map_or_else(
            || cable.kind.words().parse().unwrap_or_else(|_| like.name.clone()),
            |same| same.name.clone(),
        ),
        kind: cable.kind,
        to: same.map(|same| same.to.clone()).unwrap_or_default(),
        or_at: same.and_then(|same| same.or_at),
        length_m: cable.length_m,
        pulled_mm: cable.hauled_mm(),
    }
}

fn space(footprint: &Footprint, depth: Option<SizeMm>) -> Space {
    Space {
        mm: [footprint.width_mm, footprint.height_mm, depth.unwrap_or(footprint.height_mm)],
        clear_mm: footprint.clearance_mm,
        bend_mm: footprint.wire_bend_mm,
        screw_mm: footprint.screw_mm,
        flush: false,
        upright: footprint.upright,
        hot: footprint.hot,
        splash_ok: footprint.splash_ok,
        compass: footprint.compass,
        compass_safe_mm: footprint.compass_safe_mm,
        magnetic: footprint.magnetic,
    }
}

/// Every figure of a kept device has the shop as its source.
fn shop_marks() -> BTreeMap<Figure, Cited> {
    Figure::VARIANTS.iter().map(|figure| (*figure, Cited(&SHOP_KIND))).collect()
}
