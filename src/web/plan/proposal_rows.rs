//! What a proposal changes in a plan, in groups, with the rule of each thing.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::job::names::Names;
use crate::job::plan::item::{Item, ItemVisitor, visit};
use crate::job::plan::{Plan, Rule};
use crate::job::propose::Proposal;
use crate::job::subject::{Subject, SubjectKind};
use crate::web::kit::length::LengthUnit;

/// Things of one group.
pub(super) struct Group {
    /// Its title.
    pub(super) title: &'static str,
    /// What is different.
    pub(super) rows: Vec<Row>,
}

/// One thing that a proposal adds, changes or removes.
pub(super) struct Row {
    /// What happens: `Add`, `Change`, `Remove`.
    pub(super) act: &'static str,
    /// Its name, with its label if it has one.
    pub(super) name: String,
    /// Its figures: size, fuse, length.
    pub(super) figures: String,
    /// The number and the sentence of its rule, if the proposal has it.
    pub(super) rule: Option<(&'static str, &'static str)>,
}

/// The groups, in the order in which an electrician reads a plan.
const GROUPS: [(&str, &[SubjectKind]); 7] = [
    ("Locations and raceways", &[SubjectKind::Location, SubjectKind::Raceway]),
    ("Distribution", &[SubjectKind::Point]),
    ("Feeders and fuses", &[SubjectKind::Feeder]),
    ("Circuits", &[SubjectKind::Circuit]),
    ("Devices and cables", &[SubjectKind::Device]),
    ("Boards", &[SubjectKind::Board]),
    ("Modes", &[SubjectKind::Mode]),
];

/// What a proposal changes in a plan.
pub(super) fn groups(present: &Plan, proposal: &Proposal, lengths: LengthUnit) -> Vec<Group> {
    let (before, after) = (things(present), things(&proposal.plan));
    let (old_names, names) = (Names::of(present), Names::of(&proposal.plan));
    let rules: BTreeMap<&Subject, &[Rule]> =
        proposal.plan.proposed.iter().map(|one| (&one.thing, one.rules.as_slice())).collect();
    let row = |act, thing: &Subject, json: &Value, names: &Names<'_>| Row {
        act,
        name: named(thing, names),
        figures: figures(json, lengths),
        rule: rules.get(thing).and_then(|rules| rules.first()).map(|rule| (rule.number(), rule.sentence())),
    };
    let of_kind = |kinds: &[SubjectKind]| {
        let mut rows = Vec::new();
        for (thing, json) in after.iter().filter(|(thing, _)| kinds.contains(&thing.kind)) {
            match before.get(thing) {
                None => rows.push(row("Add", thing, json, &names)),
                Some(old) if old != json => rows.push(row("Change", thing, json, &names)),
                Some(_) => {}
            }
        }
        let lost =
            before.iter().filter(|(thing, _)| kinds.contains(&thing.kind) && !after.contains_key(thing));
        rows.extend(lost.map(|(thing, json)| row("Remove", thing, json, &old_names)));
        rows
    };
    let groups = GROUPS.into_iter().map(|(title, kinds)| Group { title, rows: of_kind(kinds) });
    groups.filter(|group| !group.rows.is_empty()).collect()
}

/// The name of a thing, with its id where people read it on a wire.
fn named(thing: &Subject, names: &Names<'_>) -> String {
    let name = names.name(thing.kind, &thing.id).unwrap_or_else(|| thing.words());
    match thing.kind {
        SubjectKind::Circuit | SubjectKind::Feeder => format!("{name} ({})", thing.id),
        _ => name,
    }
}

/// Size, fuse, length and bore of a thing in one line.
fn figures(json: &Value, lengths: LengthUnit) -> String {
    let number = |field: &str| json.pointer(field).and_then(Value::as_f64);
    let size = json.get("size").and_then(Value::as_str).map(str::to_owned);
    let fuse = number("/protection/rating_a").map(|rating| format!("fuse {rating} A"));
    let length = number("/length_m").map(|length| format!("{} supposed", lengths.said(length)));
    let bore = number("/bore_mm").map(|bore| format!("bore {bore} mm supposed"));
    [size, fuse, length, bore].into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// Every thing of a plan, as JSON, without the marks of proposals.
fn things(plan: &Plan) -> BTreeMap<Subject, Value> {
    struct Gather<'a>(&'a Plan, BTreeMap<Subject, Value>);

    impl ItemVisitor for Gather<'_> {
        fn visit<T: Item>(&mut self) {
            if T::KIND != SubjectKind::Proposed {
                let of = |item: &T| Some((item.subject(), serde_json::to_value(item).ok()?));
                self.1.extend(T::list(self.0).iter().filter_map(of));
            }
        }
    }

    let mut gather = Gather(plan, BTreeMap::new());
    visit(&mut gather);
    gather.1
}
