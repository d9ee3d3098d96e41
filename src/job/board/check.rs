//! The check of boards: of each board by itself, and of parts that need distance from each other.

use foldhash::{HashMap, HashSet};

use super::Board;
use super::apart::how_far;
use super::parts::{self, Mountable, PartOn};
use crate::job::finding::Finding;
use crate::job::plan::Plan;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::BoardId;
use crate::trade::board::{self, Apart, GroundKind, Looks, Packing};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::{Part, Statement, say};
use crate::trade::units::surface_mm2;

/// Checks every board of a plan, and every part that has a footprint.
pub fn check(plan: &Plan) -> Vec<Finding> {
    let looks = &mut Looks::of_a_plan();
    let mut things: HashMap<&BoardId, Vec<Mountable<'_>>> = HashMap::default();
    for thing in parts::mountable(plan) {
        if let Some(mounting) = thing.mounting {
            things.entry(&mounting.board).or_default().push(thing);
        }
    }
    let mut findings: Vec<Finding> = Vec::new();
    for board in &plan.boards {
        let on = things.remove(&board.id).unwrap_or_default();
        findings.extend(of_board_within(plan, board, &on, looks));
    }
    findings.extend(apart(plan));
    findings
}

/// The findings about one board: whether its parts fit, keep their clearance, suit the location and stay
/// fixed.
pub fn of_board(plan: &Plan, board: &Board) -> Vec<Finding> {
    let on: Vec<Mountable<'_>> = parts::mountable(plan).filter(|thing| thing.is_on(&board.id)).collect();
    of_board_within(plan, board, &on, &mut Looks::of_a_board())
}

/// The findings about a board with the things that are mounted on it.
fn of_board_within(plan: &Plan, board: &Board, on: &[Mountable<'_>], looks: &mut Looks) -> Vec<Finding> {
    let parts: Vec<PartOn<'_>> = on.iter().filter_map(Mountable::part).collect();
    let mut findings = without_footprint(on, board);
    findings.extend(fit(board, &parts, looks));
    for (index, part) in parts.iter().enumerate() {
        findings.extend(of_part(plan, board, part));
        findings.extend(parts.iter().skip(index + 1).filter_map(|other| collide(part, other)));
    }
    findings
}

fn about(subject: &Subject, finding: RuleFinding) -> Finding {
    Finding::about(subject.clone(), finding)
}

fn without_footprint(on: &[Mountable<'_>], board: &Board) -> Vec<Finding> {
    let lacking = on.iter().filter(|thing| thing.footprint.is_none());
    let finding = |thing: &Mountable<'_>| {
        let lacks = say!("the footprint of {}", thing.name.to_owned());
        about(&thing.subject, RuleFinding::missing(lacks, say!("whether it fits {}", board.name.to_string())))
    };
    lacking.map(finding).collect()
}

/// Whether the parts without a position fit beside those that have one.
fn fit(board: &Board, parts: &[PartOn<'_>], looks: &mut Looks) -> Option<Finding> {
    let subject = Subject::new(SubjectKind::Board, &board.id);
    let finding = match parts::pack_within(board, parts, GroundKind::Asked, looks) {
        Packing::Fits(_) => return None,
        Packing::CannotFit { missing_mm2 } => {
            let why = if missing_mm2 > 0.0 {
                say!("{} are missing.", surface_mm2(missing_mm2))
            } else {
                say!("The area would be enough, but not in its shape.")
            };
            let text = say!(
                "The parts do not fit {}. {} {}",
                board.name.to_string(),
                why,
                advice(board, parts, looks)
            );
            RuleFinding::new(Code::BoardTooSmall, text)
        }
        Packing::NotFound => {
            let text = say!(
                "No layout was found for the parts of {}, though its area may be enough. Position some by hand and \
                 propose again.",
                board.name.to_string()
            );
            RuleFinding::new(Code::NoLayoutFound, text)
        }
    };
    Some(about(&subject, finding))
}

fn advice(board: &Board, parts: &[PartOn<'_>], looks: &mut Looks) -> Statement {
    match parts::to_move(board, parts, looks) {
        Some(moved) => {
            let names = Part::all(moved.iter().map(|part| part.name.to_owned()));
            say!("They would fit without {}.", names)
        }
        None => say!("Move several elsewhere, or use a larger board."),
    }
}

fn of_part(plan: &Plan, board: &Board, part: &PartOn<'_>) -> Vec<Finding> {
    let wet = plan.location(&board.location).is_some_and(|location| location.wet);
    let mut findings: Vec<RuleFinding> = Vec::new();
    findings.extend(off_board(board, part));
    findings.extend(wet.then(|| board::splash(&part.part)).flatten());
    match part.hold(board) {
        Some(hold) => findings.extend(hold.findings),
        None => {
            let lacks = say!("the screws of {}", part.name.to_owned());
            findings.push(RuleFinding::not_checked(lacks, "whether the board holds it"));
        }
    }
    findings.into_iter().map(|finding| about(&part.subject, finding)).collect()
}

fn off_board(board: &Board, part: &PartOn<'_>) -> Option<RuleFinding> {
    let area = parts::area(board);
    let (name, board) = (part.name.to_owned(), board.name.to_string());
    let text = if !part.body()?.is_within(&area) {
        say!("{} extends beyond the edge of {}. Move it inward.", name, board)
    } else if !part.envelope()?.is_within(&area) {
        say!("The clearance of {} extends beyond the edge of {}. Move it inward.", name, board)
    } else {
        return None;
    };
    Some(RuleFinding::new(Code::PartOffBoard, text))
}

fn collide(one: &PartOn<'_>, other: &PartOn<'_>) -> Option<Finding> {
    let names = (one.name.to_owned(), other.name.to_owned());
    let (code, text) = if one.body()?.overlaps(&other.body()?) {
        (Code::PartsOverlap, say!("{} and {} overlap. Move one of them.", names.0, names.1))
    } else if one.envelope()?.overlaps(&other.envelope()?) {
        let text = say!("{} and {} overlap in their clearance. Move one of them.", names.0, names.1);
        (Code::ClearanceTooSmall, text)
    } else {
        return None;
    };
    Some(about(&one.subject, RuleFinding::new(code, text)))
}

/// Findings about the distance between any two parts of the boat.
fn apart(plan: &Plan) -> Vec<Finding> {
    let parts: Vec<PartOn<'_>> = parts::mountable(plan).filter_map(|thing| thing.part()).collect();
    let mut findings = Vec::new();
    let mut asked = HashSet::default();
    for (index, one) in parts.iter().enumerate() {
        for other in parts.iter().skip(index + 1) {
            let on_boards = one.board.is_some() && other.board.is_some();
            if !board::may_disturb(&one.part, &other.part, on_boards) {
                continue;
            }
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

/// Heat between two parts on boards. A distance that is unknown for two boards is one question, not one for
/// each pair.
fn heat<'a>(
    one: &PartOn<'a>,
    other: &PartOn<'a>,
    far: Apart,
    asked: &mut HashSet<[&'a BoardId; 2]>,
) -> Option<RuleFinding> {
    let boards = [one.board?, other.board?];
    if boards[0] == boards[1] && far == Apart::Unknown {
        return None;
    }
    let said = board::heat_between(&one.part, &other.part, far)?;
    let known = said.code != Code::InputMissing;
    (known || (!asked.contains(&[boards[1], boards[0]]) && asked.insert(boards))).then_some(said)
}
