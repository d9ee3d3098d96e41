//! Voltage along a circuit, from the battery's post to its farthest device and back: drawn, and as figures that
//! open on their workings.

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::length::meter;

use super::stops::{self, PathPiece, StopRow};
use crate::drawing::svg::Caption;
use crate::drawing::voltage_path::{Stop, StopKind, VoltagePath};
use crate::job::check::{CircuitReport, Sizes, WarmCopper};
use crate::job::conductor::ConductorId;
use crate::job::length;
use crate::job::network::Solved;
use crate::job::plan::Circuit;
use crate::job::point::{self, Body};
use crate::job::value::{DeviceId, PointId};
use crate::trade::protection::Family;
use crate::trade::working::{Working, figure};
use crate::web::kit::length::LengthUnit;
use crate::web::kit::opened::Opened;

/// The path of a circuit's current, as a drawing and as a table.
#[derive(Debug)]
pub struct CurrentPath {
    /// The drawing.
    pub drawn: VoltagePath,
    /// Each stop of the drawing as figures.
    pub rows: Vec<StopRow>,
}

/// The path of a circuit's current with all circuits on, in the order a meter would follow it; `None` if
/// the network has no solution for it.
pub fn of(job: &Opened, circuit: &Circuit, report: &CircuitReport, unit: LengthUnit) -> Option<CurrentPath> {
    let copper = WarmCopper::of(&job.plan, &job.report);
    let wired = copper.wire(&job.conductors, &Sizes::of(&job.report)).ok()?;
    let solved = wired.solve(|_| true).ok()?;
    let farthest = report.farthest.as_ref()?;
    // Each of several batteries has its own negative post to measure from.
    let source = report.conductor.route.first()?.parse::<PointId>().ok()?;
    let ground = solved.at_negative_post(&source)?.get::<volt>();
    let mut walk = Walk {
        job,
        solved: &solved,
        farthest,
        ground,
        stops: Vec::new(),
        pieces: Vec::new(),
        volts: 0.0,
        meters: 0.0,
        piece: None,
    };
    walk.out(circuit, report)?;
    walk.back(circuit, report)?;
    let rows = stops::rows(&walk.stops, &walk.pieces, posts(job, &solved, &source), unit);
    let stops = walk.stops;
    let limit = report.drop_limit_pct.map(|limit| limit / 100.0 * job.report.nominal_v);
    let caption = caption(circuit, report, limit);
    Some(CurrentPath { drawn: VoltagePath { caption, stops, limit, units: job.units }, rows })
}

/// The working of the volts at the posts of a source.
fn posts(job: &Opened, solved: &Solved<'_>, source: &PointId) -> Option<Working> {
    let amperes = solved.of_source(source)?.get::<ampere>();
    let volts = solved.at_point(source)?.get::<volt>();
    let at_rest = match &job.plan.point(source)?.body {
        Body::Battery(battery) => battery.open_circuit_v,
        Body::Charger(charger) => charger.open_circuit_v,
        Body::Converter(converter) => converter.open_circuit_v,
        _ => return None,
    };
    Some(stops::posts(at_rest.number(), volts, amperes))
}

fn caption(circuit: &Circuit, report: &CircuitReport, limit: Option<f64>) -> Caption {
    let lost = report.solved_drop_from_battery_v.map_or_else(String::new, |lost| {
        format!("The drop between the battery\u{2019}s posts and the farthest device is {lost:.2} V. ")
    });
    let limit = limit.map_or_else(String::new, |limit| format!("The limit is {} V.", figure(limit)));
    Caption { title: format!("Voltage along {}", circuit.name_and_label()), words: format!("{lost}{limit}") }
}

/// A walk along the current's path.
struct Walk<'a> {
    job: &'a Opened,
    solved: &'a Solved<'a>,
    farthest: &'a DeviceId,
    /// The negative post of the circuit's source, in the network's volts.
    ground: f64,
    stops: Vec<Stop>,
    /// The piece before each stop.
    pieces: Vec<Option<PathPiece>>,
    volts: f64,
    meters: f64,
    piece: Option<PathPiece>,
}

impl Walk<'_> {
    fn out(&mut self, circuit: &Circuit, report: &CircuitReport) -> Option<()> {
        let at_source = report.conductor.route.iter().position(|id| id == circuit.from.as_str())?;
        for id in &report.conductor.route[..=at_source] {
            self.along_feeders(id, StopKind::PositivePost)?;
        }
        self.through_protection(circuit);
        for id in &report.conductor.route[at_source + 1..] {
            self.along_conductors(id);
        }
        Some(())
    }

    fn back(&mut self, circuit: &Circuit, report: &CircuitReport) -> Option<()> {
        self.volts -= self.solved.at_device(&circuit.id, self.farthest)?.get::<volt>();
        self.stop(format!("{} return", self.name(self.farthest.as_str())), StopKind::DeviceReturn);
        let landing = report.return_route.iter().position(|id| id == circuit.r#return.as_str())?;
        for id in &report.return_route[1..landing] {
            self.along_conductors(id);
        }
        for id in &report.return_route[landing..] {
            self.along_feeders(id, StopKind::NegativePost)?;
        }
        Some(())
    }

    /// A distribution point or feeder between the source and the circuit: the network has the volts of each such point.
    fn along_feeders(&mut self, id: &str, post: StopKind) -> Option<()> {
        let plan = &self.job.plan;
        if let Some(feeder) = plan.feeders.iter().find(|feeder| feeder.id.as_str() == id) {
            let length = self.job.conductors.of_feeder(&feeder.id).and_then(|conductor| conductor.length);
            self.meters += length.map_or(0.0, |length| length.get::<meter>());
            self.piece =
                self.job.conductors.of_feeder(&feeder.id).and_then(|conductor| self.wire(&conductor.id));
            return Some(());
        }
        let point = plan.points.iter().find(|point| point.id.as_str() == id)?;
        let is_source = point.body.kind().is_source();
        self.volts = match (is_source, post) {
            (true, StopKind::NegativePost) => 0.0,
            (true, _) => self.at(&point.id)?,
            (false, _) => self.at(&point.id)? - self.ground,
        };
        let kind = match (is_source, point.body.kind()) {
            (true, _) => post,
            (_, point::PointKind::BatterySwitch) => StopKind::Switch,
            _ => StopKind::Shared,
        };
        self.stop(self.name(id), kind);
        Some(())
    }

    fn through_protection(&mut self, circuit: &Circuit) {
        let Some(protection) = &circuit.protection else { return };
        let amperes = self.solved.of_circuit(&circuit.id).map_or(0.0, |current| current.get::<ampere>());
        let ohms = protection.resistance_mohm.map_or(0.0, |resistance| resistance.number() / 1000.0);
        self.volts -= amperes * ohms;
        let rating = protection.rating_a.map_or_else(String::new, |rating| format!(" {rating} A"));
        let (word, kind) = match protection.kind {
            Family::Breaker => ("Breaker", StopKind::Breaker),
            _ => ("Fuse", StopKind::Fuse),
        };
        self.piece = Some(PathPiece { called: word.to_lowercase(), amperes, length: Vec::new() });
        self.stop(format!("{word}{rating}"), kind);
    }

    /// A conductor of the circuit, or the part it lands on.
    fn along_conductors(&mut self, id: &str) {
        if let Some(conductor) = self.job.conductors.get(id) {
            self.volts -= self.solved.lost_along(&conductor.id).map_or(0.0, |lost| lost.get::<volt>().abs());
            self.meters += conductor.length.map_or(0.0, |length| length.get::<meter>());
            self.piece = self.wire(&conductor.id);
            return;
        }
        let point = self.job.plan.points.iter().find(|point| point.id.as_str() == id);
        let kind = match point.map(|point| point.body.kind()) {
            Some(point::PointKind::SwitchPanel) => StopKind::Switch,
            Some(point::PointKind::JunctionBar) => StopKind::Terminal,
            Some(_) => StopKind::Shared,
            None if id == self.farthest.as_str() => StopKind::Device,
            None => StopKind::Terminal,
        };
        self.stop(self.name(id), kind);
    }

    fn at(&self, point: &PointId) -> Option<f64> {
        self.solved.at_point(point).map(|volts| volts.get::<volt>())
    }

    fn stop(&mut self, name: String, kind: StopKind) {
        self.stops.push(Stop { name, kind, volts: self.volts, meters: self.meters });
        self.pieces.push(self.piece.take());
        self.meters = 0.0;
    }

    /// A conductor with the current through it, in either direction.
    fn wire(&self, id: &ConductorId) -> Option<PathPiece> {
        let amperes = self.solved.of_conductor(id)?.get::<ampere>().abs();
        let job = self.job;
        let wire = job.conductors.get(id.as_str())?;
        let length = length::of_wire(&job.plan, &job.conductors, &job.report.routes, wire);
        Some(PathPiece { called: id.to_string(), amperes, length })
    }

    fn name(&self, id: &str) -> String {
        let plan = &self.job.plan;
        let point =
            plan.points.iter().find(|point| point.id.as_str() == id).map(|point| point.called().to_owned());
        let device = || {
            plan.devices.iter().find(|device| device.id.as_str() == id).map(|device| device.name.to_string())
        };
        point.or_else(device).unwrap_or_else(|| id.to_owned())
    }
}
