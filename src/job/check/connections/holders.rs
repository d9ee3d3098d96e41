//! What a fuse sits in and on: its holder, and the post of a battery.

use uom::si::electric_current::ampere;

use crate::job::check::context::CheckContext;
use crate::job::check::report::{ConductorReport, Report};
use crate::job::plan::Protection;
use crate::job::point::PointKind;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::PointId;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::protection::Family;
use crate::trade::say::say;
use crate::trade::units::amps;
use crate::trade::working::keeps_to;

pub(super) fn check(context: &mut CheckContext<'_>, report: &Report) {
    let mut found = Vec::new();
    for circuit in &context.plan.circuits {
        let figures = report.circuits.get(&circuit.id).map(|circuit| &circuit.conductor);
        let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
        found.extend(judge(context, subject, &circuit.from, circuit.protection.as_ref(), figures));
    }
    for feeder in &context.plan.feeders {
        let figures = report.feeders.get(&feeder.id).map(|feeder| &feeder.conductor);
        let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
        let source = context.power_end(feeder);
        found.extend(judge(context, subject, source, feeder.protection.as_ref(), figures));
    }
    for (subject, finding) in found {
        context.say(subject, finding);
    }
}

fn judge(
    context: &CheckContext<'_>,
    subject: Subject,
    source: &PointId,
    fitted: Option<&Protection>,
    figures: Option<&ConductorReport>,
) -> Vec<(Subject, RuleFinding)> {
    let (Some(fitted), Some(figures), Some(kind)) = (fitted, figures, context.kind(source)) else {
        return Vec::new();
    };
    let in_block = matches!(kind, PointKind::FuseBlock | PointKind::SwitchPanel);
    let holder = if in_block { None } else { over_holder(fitted, figures) };
    let found = [holder, blade_at_battery(kind, fitted, figures)];
    found.into_iter().flatten().map(|finding| (subject.clone(), finding)).collect()
}

/// A holder has a rating of its own, often lower than the largest fuse that fits it. Common practice, no source.
fn over_holder(fitted: &Protection, figures: &ConductorReport) -> Option<RuleFinding> {
    let rating = figures.protection.as_ref()?.rating_a?;
    let Some(holder) = fitted.holder_a.map(|holder| holder.number()) else {
        let what = "whether the holder carries what the fuse lets pass";
        return is_blade(fitted).then(|| RuleFinding::not_checked("the rating of the fuse holder", what));
    };
    (!keeps_to(rating, holder)).then(|| {
        let text = say!(
            "Its holder is rated {}; the fuse in it {}. Fit a heavier holder or a smaller fuse.",
            amps(holder),
            amps(rating).beside(holder)
        );
        RuleFinding::new(Code::FuseOverHolder, text).against(rating, holder, "A")
    })
}

/// A blade fuse usually breaks 1,000 A (from memory), and most batteries can drive more. Where the fault current
/// is known it is compared. Where it is not, a blade fuse on the post of a battery does not pass.
fn blade_at_battery(kind: PointKind, fitted: &Protection, figures: &ConductorReport) -> Option<RuleFinding> {
    let is_known = figures.fault_at_protection_a.is_some();
    if kind != PointKind::Battery || !is_blade(fitted) || is_known {
        return None;
    }
    let usual = fitted.kind.usual_interrupt()?.get::<ampere>();
    let text = say!(
        "A {} sits on the post of a battery whose short-circuit current is not known. It usually interrupts {}, and most \
         batteries drive more. Fit a fuse for battery posts, or enter the internal resistance of the battery.",
        fitted.kind.words(),
        amps(usual)
    );
    Some(RuleFinding::new(Code::BladeFuseAtBattery, text))
}

fn is_blade(fitted: &Protection) -> bool {
    matches!(fitted.kind, Family::BladeFuse | Family::MiniBladeFuse | Family::LargeBladeFuse)
}
