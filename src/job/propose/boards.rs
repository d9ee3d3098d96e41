//! Boards with what goes on them.

use super::outline::{Outline, text, value};
use super::position::{position, rounded};
use super::site::{BATTERIES, HUB, board_mm};
use crate::job::board::{Board, Corner, Faces, Mounting, Stands, check, parts};
use crate::job::plan::Rule;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{BadValue, BoardId};
use crate::trade::finding::Code;

/// Thickness of a board, mm.
const THICK_MM: f64 = 19.0;
/// Boards of one location at most.
const MOST_BOARDS: usize = 4;

/// Adds boards behind the dash and beside the batteries until everything for them has its position.
pub(super) fn add(outline: &mut Outline<'_>) -> Result<(), BadValue> {
    let dash = board_mm(outline.form.pattern);
    for (site, name, size) in
        [(HUB, "Board behind the dash", dash), (BATTERIES, "Battery board", [500.0, 350.0])]
    {
        let mut open = mountable(outline, site);
        for number in 1..=MOST_BOARDS {
            if open.is_empty() {
                break;
            }
            let id = if number == 1 { format!("board-{site}") } else { format!("board-{site}-{number}") };
            let name = if number == 1 { name.to_owned() } else { format!("{name} {number}") };
            let board = board(outline, number, &id, &name, site, size)?;
            open = fill(outline, &board, open);
            if parts::on(&outline.plan, &board.id).is_empty() {
                break;
            }
            outline.by(&board, Rule::Locations);
            outline.plan.boards.push(board);
        }
        open.extend(hot(outline));
        for subject in open {
            let text = format!(
                "{} has no place on the boards at this location. Choose one for it.",
                subject.words()
            );
            outline.say(Rule::Locations, text);
        }
    }
    Ok(())
}

/// The first board at a location faces aft, the next ones face the middle or the ends of it.
fn board(
    outline: &Outline<'_>,
    number: usize,
    id: &str,
    name: &str,
    site: &str,
    [width, height]: [f64; 2],
) -> Result<Board, BadValue> {
    let [ahead, starboard, up] = outline.site(site).map_or([0.0; 3], |site| position(outline, &site));
    let (half, faces) = (width / 2000.0, FACES.get(number.saturating_sub(1)).copied().unwrap_or(Faces::Up));
    let corner = match faces {
        Faces::Aft => [ahead + APART_M, starboard - half],
        Faces::Ahead => [ahead - APART_M, starboard + half],
        Faces::Starboard => [ahead - half, starboard - APART_M],
        _ => [ahead + half, starboard + APART_M],
    };
    Ok(Board {
        id: text(id)?,
        name: text(name)?,
        location: text(site)?,
        width_mm: value(width)?,
        height_mm: value(height)?,
        thickness_mm: Some(value(THICK_MM)?),
        laminate_mm: None,
        stands: Some(Stands {
            ahead_m: value(rounded(corner[0]))?,
            starboard_m: value(rounded(corner[1]))?,
            up_m: value(rounded(up + height / 1000.0))?,
            faces,
        }),
    })
}

/// The directions that the boards of one location face, the first one first.
const FACES: [Faces; MOST_BOARDS] = [Faces::Aft, Faces::Starboard, Faces::Port, Faces::Ahead];
/// The distance of a board from the middle of its location, m.
const APART_M: f64 = 0.5;

/// What is screwed to a board at a location: a part with screws that is not cut into the dash.
fn mountable(outline: &Outline<'_>, site: &str) -> Vec<Subject> {
    let is_here = |thing: &parts::Mountable<'_>| {
        thing.location.as_str() == site
            && thing.footprint.is_some_and(|footprint| footprint.screw_mm.is_some())
    };
    let mut things: Vec<_> = parts::mountable(&outline.plan).filter(is_here).collect();
    let area = |thing: &parts::Mountable<'_>| {
        thing.footprint.map_or(0.0, |footprint| footprint.width_mm.number() * footprint.height_mm.number())
    };
    things.sort_by(|one, other| area(other).total_cmp(&area(one)));
    things.into_iter().map(|thing| thing.subject).collect()
}

/// Puts parts on a board, the largest first, as long as all have a position. Returns those without one.
fn fill(outline: &mut Outline<'_>, board: &Board, things: Vec<Subject>) -> Vec<Subject> {
    let mut left = Vec::new();
    let mut on: Vec<Subject> = Vec::new();
    for thing in things {
        mount(outline, &thing, Some((&board.id, None)));
        on.push(thing);
        if !lay(outline, board) {
            on.pop().into_iter().for_each(|thing| {
                mount(outline, &thing, None);
                left.push(thing);
            });
        }
    }
    lay(outline, board);
    left
}

/// Gives each part on a board its position; whether all have one.
fn lay(outline: &mut Outline<'_>, board: &Board) -> bool {
    let on: Vec<Subject> = parts::on(&outline.plan, &board.id).into_iter().map(|part| part.subject).collect();
    on.iter().for_each(|subject| mount(outline, subject, Some((&board.id, None))));
    let plan = &outline.plan;
    let parts = parts::on(plan, &board.id);
    let Some(laid) = parts::proposed(board, &parts) else { return false };
    let laid: Vec<(Subject, Corner)> =
        laid.into_iter().map(|(part, at)| (part.subject.clone(), at)).collect();
    laid.iter().for_each(|(subject, at)| mount(outline, subject, Some((&board.id, Some(*at)))));
    true
}

/// Takes hot parts without enough air, and what is too near them, from their boards.
fn hot(outline: &mut Outline<'_>) -> Vec<Subject> {
    let near: Vec<Subject> = check::check(&outline.plan)
        .into_iter()
        .filter(|finding| finding.code == Code::TooNearHeat)
        .map(|finding| finding.subject)
        .collect();
    near.iter().for_each(|subject| mount(outline, subject, None));
    near
}

/// Mounts a part on a board, or takes it from there.
fn mount(outline: &mut Outline<'_>, subject: &Subject, at: Option<(&BoardId, Option<Corner>)>) {
    let mounting = at.map(|(board, at)| Mounting { board: board.clone(), at });
    let plan = &mut outline.plan;
    match subject.kind {
        SubjectKind::Point => {
            let points = plan.points.iter_mut();
            points
                .filter(|point| point.id.as_str() == subject.id)
                .for_each(|point| point.mounting = mounting.clone());
        }
        _ => {
            let devices = plan.devices.iter_mut();
            devices
                .filter(|device| device.id.as_str() == subject.id)
                .for_each(|device| device.mounting = mounting.clone());
        }
    }
}
