//! What the check has to say of boards: of each by itself, and of parts that must keep apart.

use std::collections::HashSet;

use super::Board;
use super::apart::how_far;
use super::parts::{self, Mountable, PartOn};
use crate::job::finding::Finding;
use crate::job::plan::Plan;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::BoardId;
use crate::trade::board::{self, Apart, GroundKind, Packing};
use crate::trade::finding::{self, Code};

/// Checks every board of a plan, and every part that has a footprint.
pub fn check(plan: &Plan) -> Vec<Finding> {
    let mut findings: Vec<Finding> = plan.boards.iter().flat_map(|board| of_board(plan, board)).collect();
    findings.extend(apart(plan));
    findings
}

/// What there is to say of one board: whether its parts fit, keep off each other, stand the location and hold.
pub fn of_board(plan: &Plan, board: &Board) -> Vec<Finding> {
    let parts = parts::on(plan, &board.id);
    let mut findings = without_footprint(plan, board);
    findings.extend(fit(board, &parts));
    for (index, part) in parts.iter().enumerate() {
        findings.extend(of_part(plan, board, part));
        findings.extend(parts.iter().skip(index + 1).filter_map(|other| collide(part, other)));
    }
    findings
}

fn about(subject: &Subject, finding: finding::Finding) -> Finding {
    Finding::about(subject.clone(), finding)
}

fn without_footprint(plan: &Plan, board: &Board) -> Vec<Finding> {
    let lacking = parts::mountable(plan).filter(|thing| thing.is_on(&board.id) && thing.footprint.is_none());
    let finding = |thing: Mountable<'_>| {
        let lacks = format!("What {} takes up", thing.name);
        about(&thing.subject, finding::Finding::missing(&lacks, &format!("whether it fits {}", board.name)))
    };
    lacking.map(finding).collect()
}

/// Whether what has no spot yet fits beside what has one.
fn fit(board: &Board, parts: &[PartOn<'_>]) -> Option<Finding> {
    let subject = Subject::new(SubjectKind::Board, &board.id);
    let finding = match parts::pack(board, parts, GroundKind::Asked) {
        Packing::Fits(_) => return None,
        Packing::CannotFit { missing_mm2 } => {
            let why = if missing_mm2 > 0.0 {
                format!("{:.0} cm\u{b2} are missing", (missing_mm2 / 100.0).ceil())
            } else {
                "the ground would be enough, but not as it is cut".to_owned()
            };
            let text = format!("The parts do not fit {}: {why}. {}", board.name, advice(board, parts));
            finding::Finding::new(Code::BoardTooSmall, text)
        }
        Packing::NotFound => {
            let text = format!(
                "No layout was found for the parts of {}, though their ground does not rule one out: location some by \
                 hand and propose again",
                board.name
            );
            finding::Finding::new(Code::NoLayoutFound, text)
        }
    };
    Some(about(&subject, finding))
}

fn advice(board: &Board, parts: &[PartOn<'_>]) -> String {
    match parts::to_move(board, parts) {
        Some(moved) => {
            let names: Vec<&str> = moved.iter().map(|part| part.name).collect();
            format!("They would without {}", names.join(" and "))
        }
        None => "Move several elsewhere, or make the board larger".to_owned(),
    }
}

fn of_part(plan: &Plan, board: &Board, part: &PartOn<'_>) -> Vec<Finding> {
    let wet = plan.location(&board.location).is_some_and(|location| location.wet);
    let mut findings: Vec<finding::Finding> = Vec::new();
    findings.extend(off_board(board, part));
    findings.extend(wet.then(|| board::splash(&part.part)).flatten());
    match part.hold(board) {
        Some(hold) => findings.extend(hold.findings),
        None => {
            let lacks = format!("The screws of {}", part.name);
            findings.push(finding::Finding::not_checked(&lacks, "whether the board holds it"));
        }
    }
    findings.into_iter().map(|finding| about(&part.subject, finding)).collect()
}

fn off_board(board: &Board, part: &PartOn<'_>) -> Option<finding::Finding> {
    let area = parts::area(board);
    let said = if !part.body()?.is_within(&area) {
        format!("{} goes beyond the edge of {}", part.name, board.name)
    } else if !part.envelope()?.is_within(&area) {
        format!("The free ground that {} asks for goes beyond the edge of {}", part.name, board.name)
    } else {
        return None;
    };
    Some(finding::Finding::new(Code::PartOffBoard, format!("{said}: move it inwards")))
}

fn collide(one: &PartOn<'_>, other: &PartOn<'_>) -> Option<Finding> {
    let (code, said) = if one.body()?.overlaps(&other.body()?) {
        (Code::PartsCollide, format!("{} and {} stand on the same ground", one.name, other.name))
    } else if one.envelope()?.overlaps(&other.envelope()?) {
        (
            Code::ClearanceLacking,
            format!("{} and {} share free ground that each asks for", one.name, other.name),
        )
    } else {
        return None;
    };
    Some(about(&one.subject, finding::Finding::new(code, format!("{said}: move one of them"))))
}

/// What is wrong between any two parts of the boat.
fn apart(plan: &Plan) -> Vec<Finding> {
    let parts: Vec<PartOn<'_>> = parts::mountable(plan).filter_map(|thing| thing.part()).collect();
    let mut findings = Vec::new();
    let mut asked = HashSet::new();
    for (index, one) in parts.iter().enumerate() {
        for other in parts.iter().skip(index + 1) {
            let far = how_far(plan, one, other);
            let said = board::compass_between(&one.part, &other.part, far);
            findings.extend(
                said.into_iter()
                    .chain(heat(one, other, far, &mut asked))
                    .map(|said| about(&one.subject, said)),
            );
        }
    }
    findings
}

/// Heat between two parts that are mounted on boards. What is not known of two boards is asked once.
fn heat<'a>(
    one: &PartOn<'a>,
    other: &PartOn<'a>,
    far: Apart,
    asked: &mut HashSet<[&'a BoardId; 2]>,
) -> Option<finding::Finding> {
    let boards = [one.board?, other.board?];
    if boards[0] == boards[1] && far == Apart::Unknown {
        return None;
    }
    let said = board::heat_between(&one.part, &other.part, far)?;
    let known = said.code != Code::InputMissing;
    (known || (!asked.contains(&[boards[1], boards[0]]) && asked.insert(boards))).then_some(said)
}
