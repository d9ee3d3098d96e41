//! The positions of bars, blocks and panels: the rating of each, and whether one is left.

use crate::job::check::context::CheckContext;
use crate::job::check::report::{ConductorReport, Report};
use crate::job::plan::Circuit;
use crate::job::point::{Point, PointKind};
use crate::job::subject::{Subject, SubjectKind};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::say;
use crate::trade::units::amps;
use crate::trade::working::keeps_to;

pub(super) fn check(context: &mut CheckContext<'_>, report: &Report) {
    for point in &context.plan.points {
        let circuits: Vec<&Circuit> =
            context.plan.circuits.iter().filter(|circuit| uses_position(circuit, point)).collect();
        let found = each_position(point, &circuits, report);
        context.say_all(&Subject::new(SubjectKind::Point, &point.id), found);
        let spare = spare(context, point, report);
        context.say_all(&Subject::new(SubjectKind::Point, &point.id), spare);
    }
}

/// Whether a circuit takes a fused position of a block or a position of a junction bar.
fn uses_position(circuit: &Circuit, point: &Point) -> bool {
    match point.body.kind() {
        PointKind::FuseBlock => circuit.from == point.id,
        PointKind::JunctionBar => circuit.junction.as_ref() == Some(&point.id),
        _ => false,
    }
}

/// Each position of a block or bar has a rating of its own, for the load and for the fuse in it. Common
/// practice, no source.
fn each_position(point: &Point, circuits: &[&Circuit], report: &Report) -> Vec<RuleFinding> {
    if circuits.is_empty() {
        return Vec::new();
    }
    let Some(rating) = point.body.position_rating().map(|rating| rating.number()) else {
        let what = "the current through each of them, and the fuses in them";
        return vec![RuleFinding::not_checked("the rating of each position", what)];
    };
    let over = circuits.iter().filter_map(|circuit| {
        let most = most_through(&report.circuits.get(&circuit.id)?.conductor, point.body.kind())?;
        (!keeps_to(most, rating)).then_some((circuit, most))
    });
    let say = |(circuit, most): (&&Circuit, f64)| {
        let text = say!(
            "{} needs {} on its position; a position is rated {}. Move it to a heavier part, or divide it.",
            &circuit.id,
            amps(most).beside(rating),
            amps(rating)
        );
        RuleFinding::new(Code::PositionOverRating, text).against(most, rating, "A")
    };
    over.map(say).collect()
}

/// What a position must carry: the load, and on a fuse block what its fuse lets pass.
fn most_through(conductor: &ConductorReport, kind: PointKind) -> Option<f64> {
    let fuse = conductor.protection.as_ref().and_then(|protection| protection.rating_a);
    let fuse = fuse.filter(|_| kind == PointKind::FuseBlock);
    [conductor.design_current_a, fuse].into_iter().flatten().reduce(f64::max)
}

/// A part with every position taken leaves nothing for the next device. Common practice, no source: a fifth of
/// the positions, and two at least.
fn spare(context: &CheckContext<'_>, point: &Point, report: &Report) -> Option<RuleFinding> {
    let kind = point.body.kind();
    let figures = report.points.get(&point.id)?;
    let is_bar = matches!(kind, PointKind::PositiveBus | PointKind::NegativeBus);
    let has_positions =
        is_bar || matches!(kind, PointKind::FuseBlock | PointKind::SwitchPanel | PointKind::JunctionBar);
    if !has_positions || !is_used(context, point, figures.positions_used) {
        return None;
    }
    match (figures.positions, figures.positions_free) {
        (None, _) => Some(RuleFinding::not_checked("how many positions it has", "whether they are enough")),
        (Some(all), Some(0)) if figures.positions_used == all => {
            let text = say!("Every position is in use. Two spare ones, or a fifth of them, are usual.");
            Some(RuleFinding::new(Code::NoSparePosition, text))
        }
        _ => None,
    }
}

fn is_used(context: &CheckContext<'_>, point: &Point, used: usize) -> bool {
    used > 0 || context.plan.circuits.iter().any(|circuit| circuit.from == point.id)
}
