//! The parts of a board: the devices and distribution points mounted on it, with their footprints.

use super::{Board, Corner, Footprint, Hole, Mounting, Side};
use crate::job::plan::Plan;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{BoardId, GapMm, LocationId, SizeMm};
use crate::trade::board::{self, Ground, GroundKind, Hold, LaidItem, Looks, Packing, Rect};

/// A device or distribution point with a footprint.
#[derive(Debug, Clone, PartialEq)]
pub struct PartOn<'a> {
    /// What it is.
    pub subject: Subject,
    /// Its name.
    pub name: &'a str,
    /// Its footprint, from the plan.
    pub footprint: &'a Footprint,
    /// Where it is mounted.
    pub location: &'a LocationId,
    /// The board it is mounted on, if any.
    pub board: Option<&'a BoardId>,
    /// Its position on that board, once decided.
    pub at: Option<Corner>,
    /// The same part for the board calculations.
    pub part: board::BoardPart,
}

/// A device or distribution point, with the data for mounting it on a board.
#[derive(Debug, Clone, PartialEq)]
pub struct Mountable<'a> {
    /// What it is.
    pub subject: Subject,
    /// Its name.
    pub name: &'a str,
    /// Where it is mounted.
    pub location: &'a LocationId,
    /// Its footprint, if given.
    pub footprint: Option<&'a Footprint>,
    /// The board it is mounted on, if any.
    pub mounting: Option<&'a Mounting>,
}

/// Every device and distribution point of a plan, distribution points first.
pub fn mountable(plan: &Plan) -> impl Iterator<Item = Mountable<'_>> {
    let points = plan.points.iter().map(|point| Mountable {
        subject: Subject::new(SubjectKind::Point, &point.id),
        name: point.called(),
        location: &point.location,
        footprint: point.footprint.as_ref(),
        mounting: point.mounting.as_ref(),
    });
    let devices = plan.devices.iter().map(|device| Mountable {
        subject: Subject::new(SubjectKind::Device, &device.id),
        name: device.name.as_str(),
        location: &device.location,
        footprint: device.footprint.as_ref(),
        mounting: device.mounting.as_ref(),
    });
    points.chain(devices)
}

impl<'a> Mountable<'a> {
    /// Whether it is mounted on this board.
    pub fn is_on(&self, board: &BoardId) -> bool {
        self.mounting.is_some_and(|mounting| mounting.board == *board)
    }

    /// The part, if its footprint is given.
    pub fn part(&self) -> Option<PartOn<'a>> {
        let footprint = self.footprint?;
        Some(PartOn {
            subject: self.subject.clone(),
            name: self.name,
            footprint,
            location: self.location,
            board: self.mounting.map(|mounting| &mounting.board),
            at: self.mounting.and_then(|mounting| mounting.at),
            part: part(self.name, footprint),
        })
    }
}

/// The parts with a footprint that are mounted on this board.
pub fn on<'a>(plan: &'a Plan, board: &BoardId) -> Vec<PartOn<'a>> {
    mountable(plan).filter(|thing| thing.is_on(board)).filter_map(|thing| thing.part()).collect()
}

fn part(name: &str, footprint: &Footprint) -> board::BoardPart {
    let gap = |gap: Option<GapMm>| gap.map_or(0.0, GapMm::number);
    board::BoardPart {
        name: name.to_owned(),
        width_mm: footprint.width_mm.number(),
        height_mm: footprint.height_mm.number(),
        clearance_mm: gap(footprint.clearance_mm),
        bend: (side(footprint.wires_leave), gap(footprint.wire_bend_mm)),
        upright: footprint.upright,
        hot: footprint.hot,
        splash_ok: footprint.splash_ok,
        compass: footprint.compass,
        compass_safe_mm: footprint.compass_safe_mm.map(GapMm::number),
        magnetic: footprint.magnetic,
    }
}

fn side(side: Side) -> board::PartSide {
    match side {
        Side::Top => board::PartSide::Top,
        Side::Right => board::PartSide::Right,
        Side::Bottom => board::PartSide::Bottom,
        Side::Left => board::PartSide::Left,
    }
}

/// A hole as it is drilled.
#[derive(Debug, Clone, PartialEq)]
pub struct Drilled {
    /// Its center on the board.
    pub at_mm: (f64, f64),
    /// Its diameter, if known.
    pub d_mm: Option<f64>,
}

impl PartOn<'_> {
    /// The rectangle it covers on the board, once its position is decided.
    pub fn body(&self) -> Option<Rect> {
        self.at.map(|at| self.part.body(corner(at), at.turned))
    }

    /// The same rectangle with its clearance.
    pub fn envelope(&self) -> Option<Rect> {
        self.at.map(|at| self.part.envelope(corner(at), at.turned))
    }

    /// Whether its screws hold in a board; `None` if no screw is given.
    pub fn hold(&self, board: &Board) -> Option<Hold> {
        let screw = self.footprint.screw_mm?;
        Some(board::hold(screw.number(), ground(board)))
    }

    /// The side where its wires leave, as mounted.
    pub fn leaves(&self) -> board::PartSide {
        self.part.leaves(self.at.is_some_and(|at| at.turned))
    }

    /// Its holes on the board, once its position is decided.
    pub fn holes(&self, board: &Board) -> Vec<Drilled> {
        let Some(at) = self.at else { return Vec::new() };
        let pilot = self.hold(board).and_then(|hold| hold.pilot_mm);
        let (x, y) = corner(at);
        let drilled = |hole: &Hole| {
            let (right, down) = (hole.x_mm.number(), hole.y_mm.number());
            let (right, down) = if at.turned { (self.part.height_mm - down, right) } else { (right, down) };
            Drilled { at_mm: (x + right, y + down), d_mm: hole.d_mm.map(SizeMm::number).or(pilot) }
        };
        self.footprint.holes.iter().map(drilled).collect()
    }
}

fn corner(at: Corner) -> (f64, f64) {
    (at.x_mm.number(), at.y_mm.number())
}

fn ground(board: &Board) -> Ground {
    let thick = |size: Option<SizeMm>| size.map(SizeMm::number);
    Ground { board_mm: thick(board.thickness_mm), laminate_mm: thick(board.laminate_mm) }
}

/// A board as the area for its parts.
pub fn area(board: &Board) -> Rect {
    Rect::new((0.0, 0.0), (board.width_mm.number(), board.height_mm.number()))
}

/// Finds positions for the parts without one, beside the others. Parts placed by hand stay where they are.
pub fn pack(board: &Board, parts: &[PartOn<'_>], room: GroundKind) -> Packing {
    pack_within(board, parts, room, &mut Looks::of_a_board())
}

/// The same within a work budget.
pub fn pack_within(board: &Board, parts: &[PartOn<'_>], room: GroundKind, looks: &mut Looks) -> Packing {
    board::pack_within(&area(board), &taken(parts, room), &items(parts, room), looks)
}

/// The parts without a position that must move elsewhere so that the others fit.
pub fn to_move<'a, 'b>(
    board: &Board,
    parts: &'b [PartOn<'a>],
    looks: &mut Looks,
) -> Option<Vec<&'b PartOn<'a>>> {
    let room = GroundKind::Asked;
    let moved = board::to_move(&area(board), &taken(parts, room), &items(parts, room), looks)?;
    let open: Vec<&PartOn<'a>> = parts.iter().filter(|part| part.at.is_none()).collect();
    Some(moved.into_iter().filter_map(|index| open.get(index).copied()).collect())
}

fn taken(parts: &[PartOn<'_>], room: GroundKind) -> Vec<Rect> {
    let ground = |part: &PartOn<'_>| Some(part.part.ground(corner(part.at?), part.at?.turned, room));
    parts.iter().filter_map(ground).collect()
}

fn items(parts: &[PartOn<'_>], room: GroundKind) -> Vec<board::Rectangle> {
    parts.iter().filter(|part| part.at.is_none()).map(|part| part.part.item(room)).collect()
}

/// A position for each part without one, with air around hot parts if the board has room for it.
pub fn proposed<'a, 'b>(board: &Board, parts: &'b [PartOn<'a>]) -> Option<Vec<(&'b PartOn<'a>, Corner)>> {
    [GroundKind::Airy, GroundKind::Asked].into_iter().find_map(|room| {
        let Packing::Fits(laid) = pack(board, parts, room) else { return None };
        let open = parts.iter().filter(|part| part.at.is_none());
        open.zip(&laid).map(|(part, laid)| Some((part, at(&part.part, laid, room)?))).collect()
    })
}

fn at(part: &board::BoardPart, laid: &LaidItem, room: GroundKind) -> Option<Corner> {
    let (x, y) = part.corner(laid, room);
    // Differences below a thousandth of a millimeter do not matter, and a short number suits a form.
    let short = |mm: f64| ((mm * 1000.0).round() / 1000.0).try_into().ok();
    Some(Corner { x_mm: short(x)?, y_mm: short(y)?, turned: laid.turned })
}
