//! Whether the regulation applies to this boat.

use super::context::CheckContext;
use crate::job::plan::{Engine, Fuel};
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::rules::RuleSet;
use crate::trade::say::say;

/// 33 CFR 183 subpart I is for boats with gasoline engines other than outboards (183.401). On any other
/// boat the same checks are good practice, and one note states this.
pub(super) fn check(context: &mut CheckContext<'_>) {
    if context.plan.job.rules != RuleSet::Us {
        return;
    }
    let boat = &context.plan.boat;
    let text = match (boat.fuel, boat.engine) {
        (Some(Fuel::Gasoline), Some(Engine::Inboard)) => return,
        (Some(Fuel::Diesel | Fuel::Electric), _) | (_, Some(Engine::Outboard | Engine::None)) => say!(
            "33 CFR 183 subpart I is for boats with gasoline engines other than outboards. Unless another gasoline engine \
             is aboard, it is not required here. Its rules are checked as good practice."
        ),
        _ => say!(
            "33 CFR 183 subpart I is for boats with gasoline engines other than outboards. Its rules are checked as if \
             required. Enter the fuel and the kind of engine."
        ),
    };
    context.say(Subject::new(SubjectKind::Job, "job"), RuleFinding::new(Code::LawNotBinding, text));
}
