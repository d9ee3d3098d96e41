//! Values of the plan that were supposed and that nobody has measured or confirmed: the list of values to measure.
//!
//! A value leaves the list when its field gets another value, or when somebody confirms it. What is left of it
//! decides sizes and fuses, so the check says it.

use std::collections::BTreeMap;

use serde_json::Value;

use super::finding::Finding;
use super::plan::item::{Item, ItemVisitor, visit};
use super::plan::{Plan, Proposed, Supposed};
use super::subject::{Subject, SubjectKind};
use super::value::LocationId;
use crate::trade::finding::{Code, Level, RuleFinding};
use crate::trade::say::say;
use crate::trade::units::count;

/// What a supposed value is, which decides its unit and whether sizes and fuses depend on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Measure {
    /// A length of a raceway or wire.
    Length,
    /// The bore of a raceway.
    Bore,
    /// The current of a device by its nameplate.
    Load,
    /// The largest fuse that a manufacturer allows.
    LargestFuse,
    /// A figure of a battery.
    Battery,
    /// What a charger gives or a starter draws.
    Charging,
    /// The current that a fuse or breaker carries while a motor starts, or opens at.
    Carries,
}

impl Measure {
    /// What a field is.
    pub fn of(field: &str) -> Option<Self> {
        Some(match field {
            "length_m" => Self::Length,
            "bore_mm" => Self::Bore,
            "load/a" | "load/w" | "load/ohm" => Self::Load,
            "max_fuse_a" => Self::LargestFuse,
            "capacity_ah" | "cranking_a" | "internal_mohm" => Self::Battery,
            "starter_a" | "rating_a" => Self::Charging,
            "protection/curve/carries/a" | "protection/curve/opens/a" => Self::Carries,
            _ => return None,
        })
    }

    /// What it is called in a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::Length => "lengths of raceways and wires",
            Self::Bore => "bores of raceways",
            Self::Load => "currents of devices",
            Self::LargestFuse => "largest fuses of devices",
            Self::Battery => "figures of batteries",
            Self::Charging => "currents of engines and chargers",
            Self::Carries => "currents that fuses and breakers carry or open at",
        }
    }

    /// Whether sizes or fuses depend on it.
    pub fn decides_sizes(self) -> bool {
        self != Self::Bore
    }
}

/// A value to measure: one number, for one thing or for several that are alike.
#[derive(Debug, Clone, PartialEq)]
pub struct ToMeasure<'a> {
    /// What was proposed of the first of the things.
    pub proposed: &'a Proposed,
    /// The supposed value.
    pub supposed: &'a Supposed,
    /// What it is.
    pub measure: Measure,
    /// The things that have it, the first one first.
    pub things: Vec<&'a Subject>,
    /// Where it is measured, if at one location.
    pub location: Option<LocationId>,
}

/// Every value that is still to be measured, in the order of the plan.
pub fn to_measure(plan: &Plan) -> Vec<ToMeasure<'_>> {
    let open = Open::of(plan);
    let mut rows: Vec<ToMeasure<'_>> = Vec::new();
    for proposed in &plan.proposed {
        let Some((json, location)) = open.things.get(&proposed.thing) else { continue };
        for supposed in proposed.supposed.iter().filter(|supposed| is_open(json, supposed)) {
            let Some(measure) = Measure::of(supposed.field.as_str()) else { continue };
            let is_same = |row: &&mut ToMeasure<'_>| {
                supposed.as_one.is_some()
                    && row.supposed.as_one == supposed.as_one
                    && row.supposed.field == supposed.field
                    && row.supposed.value.to_bits() == supposed.value.to_bits()
            };
            match rows.iter_mut().find(is_same) {
                Some(row) => row.things.push(&proposed.thing),
                None => rows.push(ToMeasure {
                    proposed,
                    supposed,
                    measure,
                    things: vec![&proposed.thing],
                    location: location.clone(),
                }),
            }
        }
    }
    rows
}

/// Whether a field still has the value that was supposed.
fn is_open(json: &Value, supposed: &Supposed) -> bool {
    number(json, supposed.field.as_str()).is_some_and(|now| now.to_bits() == supposed.value.to_bits())
}

/// The number at a field of a thing: `load/a`.
pub fn number(json: &Value, field: &str) -> Option<f64> {
    json.pointer(&format!("/{field}"))?.as_f64()
}

/// A mark of a thing, which is another one after every change of the thing.
pub fn mark(json: &Value) -> String {
    // FNV-1a: short, and the same on every machine.
    let bytes = json.to_string().into_bytes();
    let hash = bytes.iter().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    });
    format!("{hash:016x}")
}

/// The things that something was supposed of, as JSON and with their location.
struct Open<'a> {
    plan: &'a Plan,
    things: BTreeMap<Subject, (Value, Option<LocationId>)>,
}

impl<'a> Open<'a> {
    fn of(plan: &'a Plan) -> Self {
        let mut open = Self { plan, things: BTreeMap::new() };
        if plan.proposed.iter().any(|proposed| !proposed.supposed.is_empty()) {
            visit(&mut open);
        }
        open
    }

    /// Where a thing is measured: a raceway at its far end, a wire where it begins.
    fn location(&self, subject: &Subject, json: &Value) -> Option<LocationId> {
        let text = |field: &str| json.pointer(field).and_then(Value::as_str);
        let point = |field: &str| self.plan.points.with(text(field)?).map(|point| point.location.clone());
        match subject.kind {
            SubjectKind::Raceway => text("/between/1")?.parse().ok(),
            SubjectKind::Feeder | SubjectKind::Circuit => point("/from"),
            _ => text("/location")?.parse().ok(),
        }
    }
}

impl ItemVisitor for Open<'_> {
    fn visit<T: Item>(&mut self) {
        let plan = self.plan;
        for proposed in
            plan.proposed.iter().filter(|one| one.thing.kind == T::KIND && !one.supposed.is_empty())
        {
            let item = T::list(plan).iter().find(|item| item.subject() == proposed.thing);
            if let Some(json) = item.and_then(|item| serde_json::to_value(item).ok()) {
                let location = self.location(&proposed.thing, &json);
                self.things.insert(proposed.thing.clone(), (json, location));
            }
        }
    }
}

/// What there is to say about values that nobody has measured: one finding for each kind of value.
pub fn findings(plan: &Plan) -> Vec<Finding> {
    let mut counts: BTreeMap<Measure, usize> = BTreeMap::new();
    for row in to_measure(plan) {
        *counts.entry(row.measure).or_default() += 1;
    }
    let finding = |(measure, number): (Measure, usize)| {
        let text = say!(
            "Not measured yet: {} of the {}. They were supposed by the proposal. Measure them, or confirm them.",
            count(number),
            measure.words()
        );
        let level = if measure.decides_sizes() { Level::Fix } else { Level::Note };
        let finding = RuleFinding { level, ..RuleFinding::new(Code::NotMeasured, text) };
        Finding::about(Subject::new(SubjectKind::Job, "job"), finding)
    };
    counts.into_iter().map(finding).collect()
}
