//! What the plan keeps of a proposal: the rules of each thing, a mark of it, and its supposed values.

use serde_json::Value;

use super::again::Present;
use super::finish::Kept;
use super::outline::{Outline, SupposedField, text};
use crate::job::check::Report;
use crate::job::plan::item::{Item, ItemVisitor, visit};
use crate::job::plan::{Feeder, Plan, Proposed, Rule, Supposed};
use crate::job::subject::Subject;
use crate::job::supposed;
use crate::job::value::BadValue;

/// Puts the marks into the plan, and the findings that follow from them into the report.
pub(super) fn put(
    outline: &mut Outline<'_>,
    report: Report,
    kept: &Kept,
    present: Option<Present<'_>>,
) -> Result<Report, BadValue> {
    let limiting: Vec<Feeder> =
        outline.plan.feeders.iter().filter(|feeder| has_curve(feeder)).cloned().collect();
    limiting.iter().for_each(|feeder| outline.suppose(feeder, "protection/curve/carries/a", Rule::AlwaysOn));
    let mut gather = Gather { plan: &outline.plan, things: Vec::new() };
    visit(&mut gather);
    let things = gather.things;
    let mut proposed = Vec::new();
    for (thing, json) in things {
        if kept.contains(&thing) {
            // It keeps the mark of the proposal that gave it, and its open values.
            let held =
                present.and_then(|present| present.plan.proposed.iter().find(|one| one.thing == thing));
            proposed.extend(held.cloned());
            continue;
        }
        let Some(rules) = outline.rules.get(&thing) else { continue };
        let fields = outline.supposed.iter().filter(|field| field.thing == thing);
        proposed.push(one(&thing, &json, rules, fields)?);
    }
    proposed.extend(present.into_iter().flat_map(|present| lost(present.plan)).cloned());
    outline.plan.proposed = proposed.into();
    let mut report = report;
    report.findings.extend(supposed::findings(&outline.plan));
    report.findings.sort_by_key(|finding| (std::cmp::Reverse(finding.level), finding.subject.clone()));
    Ok(report)
}

/// What the last proposal gave of things that a person removed. It stays, so that they stay removed.
fn lost(plan: &Plan) -> impl Iterator<Item = &Proposed> {
    let mut gather = Gather { plan, things: Vec::new() };
    visit(&mut gather);
    let there: Vec<Subject> = gather.things.into_iter().map(|(thing, _)| thing).collect();
    plan.proposed.iter().filter(move |one| !there.contains(&one.thing))
}

fn has_curve(feeder: &Feeder) -> bool {
    feeder.protection.as_ref().is_some_and(|fuse| fuse.curve.carries.is_some())
}

fn one<'s>(
    thing: &Subject,
    json: &Value,
    rules: &[Rule],
    fields: impl Iterator<Item = &'s SupposedField>,
) -> Result<Proposed, BadValue> {
    let mut values = Vec::new();
    for field in fields {
        let Some(value) = supposed::number(json, field.field) else { continue };
        let as_one = field.as_one.as_ref().map(text).transpose()?;
        values.push(Supposed { field: text(field.field)?, value, rule: field.rule, as_one });
    }
    Ok(Proposed {
        id: text(format!("{}-{}", thing.kind.word(), thing.id))?,
        thing: thing.clone(),
        rules: rules.to_vec(),
        given: text(supposed::mark(json))?,
        supposed: values,
    })
}

/// Every item of a plan as JSON.
struct Gather<'a> {
    plan: &'a Plan,
    things: Vec<(Subject, Value)>,
}

impl ItemVisitor for Gather<'_> {
    fn visit<T: Item>(&mut self) {
        let json = |item: &T| Some((item.subject(), serde_json::to_value(item).ok()?));
        self.things.extend(T::list(self.plan).iter().filter_map(json));
    }
}
