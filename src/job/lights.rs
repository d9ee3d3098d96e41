//! The navigation lights of a plan, judged for every combination of their switches.

use foldhash::HashMap;
use serde::Serialize;
use uom::si::f64::{Length, Velocity};
use uom::si::length::meter;
use uom::si::velocity::knot;

use super::finding::Finding;
use super::plan::{Boat, Circuit, Device, Engine, Plan, SwitchAt};
use super::point::{Body, Panel, Point};
use super::subject::{Subject, SubjectKind};
use super::value::{DeviceId, Label};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::lights::{self, Combination, Drive, FittedLight, LightKind, Vessel};
use crate::trade::say::say;
use crate::trade::working::Working;

/// The lights of a plan, and the result for each combination of their switches.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct LightsReport {
    /// The fitted lights.
    pub lights: Vec<LightReport>,
    /// The switches for them.
    pub switches: Vec<String>,
    /// Every combination of the switches, all off first.
    pub combinations: Vec<Combination>,
    /// The requirements of the rules for this boat.
    pub asked: Vec<Working>,
}

/// One navigation light.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LightReport {
    /// The device.
    pub device: DeviceId,
    /// Its name.
    pub name: String,
    /// Its kind.
    pub kind: LightKind,
    /// The switches that turn it on, each by itself; with none it is on whenever the boat has power.
    pub switches: Vec<String>,
    /// Whether any circuit feeds it.
    pub is_fed: bool,
    /// The required minimum range of visibility.
    pub least_range: Working,
}

/// Checks every combination of the switches.
pub(super) fn check(plan: &Plan) -> (LightsReport, Vec<Finding>) {
    let board = Switchboard::of(plan);
    let lights: Vec<LightReport> = plan.devices.iter().filter_map(|device| board.light(device)).collect();
    let mut findings: Vec<Finding> = lights.iter().filter(|light| !light.is_fed).map(unfed).collect();
    let fed = lights.iter().filter(|light| light.is_fed);
    let fitted: Vec<FittedLight> = fed
        .map(|light| FittedLight {
            name: light.name.clone(),
            kind: light.kind,
            switches: light.switches.clone(),
        })
        .collect();
    if lights.is_empty() {
        let said = RuleFinding::not_checked("the navigation lights", "what the boat shows at night");
        findings.push(Finding::about(Subject::new(SubjectKind::Job, "job"), said));
        return (LightsReport::without_combinations(plan, lights), findings);
    }
    let (vessel, about_job) = (vessel(plan), Subject::new(SubjectKind::Job, "job"));
    match lights::review(&vessel, &fitted, &board.apart()) {
        Ok(review) => {
            findings.extend(review.findings.into_iter().map(|said| Finding::about(about_job.clone(), said)));
            let lights::Review { switches, combinations, asked, .. } = review;
            (LightsReport { lights, switches, combinations, asked }, findings)
        }
        Err(too_many) => {
            let said = RuleFinding::new(
                Code::LightsNotChecked,
                say!(
                    "{}. Use fewer switches for them, or check the combinations by hand.",
                    too_many.to_string()
                ),
            );
            findings.push(Finding::about(about_job, said));
            (LightsReport::without_combinations(plan, lights), findings)
        }
    }
}

impl LightsReport {
    fn without_combinations(plan: &Plan, lights: Vec<LightReport>) -> Self {
        let asked = lights::asked(&vessel(plan));
        Self { lights, switches: Vec::new(), combinations: Vec::new(), asked }
    }
}

fn vessel(plan: &Plan) -> Vessel {
    Vessel {
        length: length(plan),
        top_speed: plan.boat.top_speed_kn.map(|speed| Velocity::new::<knot>(speed.number())),
        drive: drive(&plan.boat),
    }
}

/// What can drive the boat. If the plan does not state the engine, the boat is assumed to have one.
fn drive(boat: &Boat) -> Drive {
    match (boat.engine, boat.sails) {
        (Some(Engine::None), false) => Drive::Oars,
        (Some(Engine::None), true) => Drive::Sail,
        (_, false) => Drive::Engine,
        (_, true) => Drive::EngineOrSail,
    }
}

fn length(plan: &Plan) -> Length {
    Length::new::<meter>(plan.boat.length_m.number())
}

/// The switches of a plan by their names, and the circuits of each device.
struct Switchboard<'a> {
    plan: &'a Plan,
    /// How many switches have each label.
    labels: HashMap<&'a str, usize>,
    feeding: HashMap<&'a DeviceId, Vec<&'a Circuit>>,
}

impl<'a> Switchboard<'a> {
    fn of(plan: &'a Plan) -> Self {
        let mut labels: HashMap<&str, usize> = HashMap::default();
        for position in panels(plan).flat_map(|(_, panel)| &panel.positions) {
            *labels.entry(position.label.as_str()).or_default() += 1;
        }
        let mut feeding: HashMap<&DeviceId, Vec<&Circuit>> = HashMap::default();
        for circuit in &plan.circuits {
            circuit.devices().for_each(|device| feeding.entry(device).or_default().push(circuit));
        }
        Self { plan, labels, feeding }
    }

    fn light(&self, device: &Device) -> Option<LightReport> {
        let kind = device.light?;
        let circuits = self.feeding.get(&device.id).map(Vec::as_slice).unwrap_or_default();
        Some(LightReport {
            device: device.id.clone(),
            name: device.name.to_string(),
            kind,
            switches: self.switches(circuits),
            is_fed: !circuits.is_empty(),
            least_range: lights::least_range(kind, length(self.plan)).working,
        })
    }

    /// The switches that turn a light on, each by itself. If one of its circuits has no switch, the others have
    /// no effect.
    fn switches(&self, circuits: &[&Circuit]) -> Vec<String> {
        let of_one = |circuit: &&Circuit| circuit.switch.as_ref().map(|at| self.ways(at));
        let switches: Option<Vec<Vec<String>>> = circuits.iter().map(of_one).collect();
        switches.unwrap_or_default().concat()
    }

    /// The settings of a switch that turn a circuit on: the switch itself, or each throw in which the circuit
    /// is on.
    fn ways(&self, at: &SwitchAt) -> Vec<String> {
        let throws = self.plan.position(at).map_or(&[][..], |position| &position.throws);
        if throws.is_empty() {
            return vec![self.named(at)];
        }
        let on = (1u16..).zip(throws).filter(|(number, _)| at.throws.contains(number));
        on.map(|(_, throw)| self.thrown(at, throw)).collect()
    }

    /// The name of a throw: its switch and its own label.
    fn thrown(&self, at: &SwitchAt, throw: &Label) -> String {
        format!("{}: {throw}", self.named(at))
    }

    /// The throws that cannot be on together, switch by switch.
    fn apart(&self) -> Vec<Vec<String>> {
        let switches = panels(self.plan).flat_map(|(point, panel)| {
            (1u16..).zip(&panel.positions).filter(|(_, of)| of.throws.len() > 1).map(|(position, of)| {
                let at = SwitchAt { panel: point.id.clone(), position, throws: Vec::new() };
                of.throws.iter().map(|throw| self.thrown(&at, throw)).collect()
            })
        });
        switches.collect()
    }

    /// The name of a switch: its label, plus its panel and number if another switch has the same label.
    fn named(&self, at: &SwitchAt) -> String {
        match self.plan.position(at).map(|position| position.label.as_str()) {
            Some(label) if self.labels.get(label) == Some(&1) => label.to_owned(),
            Some(label) => format!("{label} ({} {})", at.panel, at.position),
            None => format!("{} {}", at.panel, at.position),
        }
    }
}

fn panels(plan: &Plan) -> impl Iterator<Item = (&Point, &Panel)> {
    plan.points.iter().filter_map(|point| match &point.body {
        Body::SwitchPanel(panel) => Some((point, panel)),
        _ => None,
    })
}

fn unfed(light: &LightReport) -> Finding {
    let said =
        RuleFinding::missing("a circuit for this navigation light", "what it adds to the lights shown");
    Finding::about(Subject::new(SubjectKind::Device, &light.device), said)
}
