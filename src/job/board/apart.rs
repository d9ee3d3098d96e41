//! The distance between two parts on one board, on two boards or at two locations.

use super::parts::{self, PartOn};
use super::{Board, Faces, Stands};
use crate::job::layout::straight;
use crate::job::plan::Plan;
use crate::trade::board::{Apart, Extent, Rect, Solid};

/// The distance between two parts, as exactly as the plan gives it.
pub(super) fn how_far(plan: &Plan, one: &PartOn<'_>, other: &PartOn<'_>) -> Apart {
    if one.board.is_some() && one.board == other.board {
        let bodies = one.body().zip(other.body());
        return bodies.map_or(Apart::Unknown, |(here, there)| Apart::OnBoard(here, there));
    }
    if let Some((here, there)) = region(plan, one).zip(region(plan, other)) {
        let least_mm = here.distance_mm(&there);
        let settled = one.at.is_some() && other.at.is_some();
        let near = Apart::AtLeast { least_mm, about_mm: f64::INFINITY };
        return if settled { Apart::InSpace(here, there) } else { near };
    }
    if one.location == other.location {
        return Apart::Unknown;
    }
    between_locations(plan, one, other)
}

/// The space of a part in the boat, or of its whole board if its position on the board is not decided.
fn region(plan: &Plan, part: &PartOn<'_>) -> Option<Solid> {
    let board = board(plan, part)?;
    Some(in_boat(&board.stands?, &part.body().unwrap_or_else(|| parts::area(board))))
}

fn board<'a>(plan: &'a Plan, part: &PartOn<'_>) -> Option<&'a Board> {
    plan.board(part.board?)
}

/// The straight line, because magnets do not follow stringers. The plan does not say where a board is
/// within its location. So each part may be nearer by the diagonal of its board.
fn between_locations(plan: &Plan, one: &PartOn<'_>, other: &PartOn<'_>) -> Apart {
    let at = |part: &PartOn<'_>| plan.location(part.location).and_then(|location| location.at);
    let Some((here, there)) = at(one).zip(at(other)) else { return Apart::Unknown };
    let about_mm = straight(&here, &there) * 1000.0;
    let reach = |part: &PartOn<'_>| {
        let board = board(plan, part);
        let (width, height) = board.map_or((part.part.width_mm, part.part.height_mm), |board| {
            (board.width_mm.number(), board.height_mm.number())
        });
        width.hypot(height)
    };
    Apart::AtLeast { least_mm: (about_mm - reach(one) - reach(other)).max(0.0), about_mm }
}

/// A rectangle of a board, in the coordinates of the boat.
fn in_boat(stands: &Stands, body: &Rect) -> Solid {
    let corner = [stands.ahead_m.number(), stands.starboard_m.number(), stands.up_m.number()];
    let [ahead, starboard, up] = corner.map(|meters| meters * 1000.0);
    let right = (body.x_mm, body.right_mm());
    let down = (body.y_mm, body.bottom_mm());
    let along = |from: f64, (start, end): Extent| (from + start, from + end);
    let against = |from: f64, (start, end): Extent| (from - end, from - start);
    let flat = |at: f64| (at, at);
    let upright = against(up, down);
    match stands.faces {
        Faces::Aft => Solid { ahead: flat(ahead), starboard: along(starboard, right), up: upright },
        Faces::Ahead => Solid { ahead: flat(ahead), starboard: against(starboard, right), up: upright },
        Faces::Port => Solid { ahead: against(ahead, right), starboard: flat(starboard), up: upright },
        Faces::Starboard => Solid { ahead: along(ahead, right), starboard: flat(starboard), up: upright },
        Faces::Up => Solid { ahead: against(ahead, down), starboard: along(starboard, right), up: flat(up) },
        Faces::Down => {
            Solid { ahead: against(ahead, down), starboard: against(starboard, right), up: flat(up) }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stands(faces: Faces) -> Stands {
        let meters = |number: f64| number.try_into().unwrap();
        Stands {
            ahead_m: meters(2.0),
            starboard_m: 0.5.try_into().unwrap(),
            up_m: 1.0.try_into().unwrap(),
            faces,
        }
    }

    /// A part of 100 by 40 mm, 30 mm from the left edge and 20 mm from the upper edge. The corner of its
    /// board is at 2, 0.5 and 1 m.
    #[test]
    fn a_part_is_to_the_right_of_its_boards_corner_and_below_it() {
        let body = Rect::new((30.0, 20.0), (100.0, 40.0));
        let at = |faces| in_boat(&stands(faces), &body);
        let up = (940.0, 980.0);
        assert_eq!(at(Faces::Aft), Solid { ahead: (2000.0, 2000.0), starboard: (530.0, 630.0), up });
        assert_eq!(at(Faces::Ahead), Solid { ahead: (2000.0, 2000.0), starboard: (370.0, 470.0), up });
        assert_eq!(at(Faces::Port), Solid { ahead: (1870.0, 1970.0), starboard: (500.0, 500.0), up });
        assert_eq!(at(Faces::Starboard), Solid { ahead: (2030.0, 2130.0), starboard: (500.0, 500.0), up });
        let flat = Solid { ahead: (1940.0, 1980.0), starboard: (530.0, 630.0), up: (1000.0, 1000.0) };
        assert_eq!(at(Faces::Up), flat);
        assert_eq!(at(Faces::Down), Solid { starboard: (370.0, 470.0), ..flat });
    }
}
