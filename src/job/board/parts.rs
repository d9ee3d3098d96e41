//! The parts of a board: the devices and points that go on it, with what they take up.

use super::{Board, Corner, Footprint, Hole, Mounting, Side};
use crate::job::plan::Plan;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{BoardId, GapMm, LocationId, SizeMm};
use crate::trade::board::{self, Ground, GroundKind, Hold, LaidItem, Packing, Rect};

/// A device or point that goes on a board and says what it takes up.
#[derive(Debug, Clone, PartialEq)]
pub struct PartOn<'a> {
    /// What it is.
    pub subject: Subject,
    /// Its name.
    pub name: &'a str,
    /// What it takes up, as the plan has it.
    pub footprint: &'a Footprint,
    /// Where it is mounted.
    pub location: &'a LocationId,
    /// The board it goes on, where there is one.
    pub board: Option<&'a BoardId>,
    /// Where it is on that, once settled.
    pub at: Option<Corner>,
    /// The part as the trade has it.
    pub part: board::BoardPart,
}

/// A device or point of a plan, as far as boards are concerned.
#[derive(Debug, Clone, PartialEq)]
pub struct Mountable<'a> {
    /// What it is.
    pub subject: Subject,
    /// Its name.
    pub name: &'a str,
    /// Where it is mounted.
    pub location: &'a LocationId,
    /// What it takes up, where that is given.
    pub footprint: Option<&'a Footprint>,
    /// The board it goes on, where there is one.
    pub mounting: Option<&'a Mounting>,
}

/// Every device and point of a plan, points first.
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
    /// Whether it goes on a board.
    pub fn is_on(&self, board: &BoardId) -> bool {
        self.mounting.is_some_and(|mounting| mounting.board == *board)
    }

    /// The part it is, once its footprint is given.
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

/// What goes on a board and says what it takes up.
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
    /// Its middle on the board.
    pub at_mm: (f64, f64),
    /// Its diameter, where it is known.
    pub d_mm: Option<f64>,
}

impl PartOn<'_> {
    /// Where it stands on the board, once settled.
    pub fn body(&self) -> Option<Rect> {
        self.at.map(|at| self.part.body(corner(at), at.turned))
    }

    /// The same with the free ground that it asks for.
    pub fn envelope(&self) -> Option<Rect> {
        self.at.map(|at| self.part.envelope(corner(at), at.turned))
    }

    /// Whether its screws hold on a board; nothing where no screw is given.
    pub fn hold(&self, board: &Board) -> Option<Hold> {
        let screw = self.footprint.screw_mm?;
        Some(board::hold(screw.number(), ground(board)))
    }

    /// The side its wires leave by as it is mounted.
    pub fn leaves(&self) -> board::PartSide {
        self.part.leaves(self.at.is_some_and(|at| at.turned))
    }

    /// Its holes on the board, once it is settled where it stands.
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

/// A board as the ground parts stand on.
pub fn area(board: &Board) -> Rect {
    Rect::new((0.0, 0.0), (board.width_mm.number(), board.height_mm.number()))
}

/// Lays what has no spot yet beside what has one: parts placed by hand stay.
pub fn pack(board: &Board, parts: &[PartOn<'_>], room: GroundKind) -> Packing {
    board::pack(&area(board), &taken(parts, room), &items(parts, room))
}

/// The parts without a spot that would have to go elsewhere for the others to fit.
pub fn to_move<'a, 'b>(board: &Board, parts: &'b [PartOn<'a>]) -> Option<Vec<&'b PartOn<'a>>> {
    let room = GroundKind::Asked;
    let moved = board::to_move(&area(board), &taken(parts, room), &items(parts, room))?;
    let open: Vec<&PartOn<'a>> = parts.iter().filter(|part| part.at.is_none()).collect();
    Some(moved.into_iter().filter_map(|index| open.get(index).copied()).collect())
}

fn taken(parts: &[PartOn<'_>], room: GroundKind) -> Vec<Rect> {
    let ground = |part: &PartOn<'_>| Some(part.part.ground(corner(part.at?), part.at?.turned, room));
    parts.iter().filter_map(ground).collect()
}

fn items(parts: &[PartOn<'_>], room: GroundKind) -> Vec<board::Item> {
    parts.iter().filter(|part| part.at.is_none()).map(|part| part.part.item(room)).collect()
}

/// A spot for each part without one, with air around what gets hot if the board has room for that.
pub fn proposed<'a, 'b>(board: &Board, parts: &'b [PartOn<'a>]) -> Option<Vec<(&'b PartOn<'a>, Corner)>> {
    [GroundKind::Airy, GroundKind::Asked].into_iter().find_map(|room| {
        let Packing::Fits(laid) = pack(board, parts, room) else { return None };
        let open = parts.iter().filter(|part| part.at.is_none());
        open.zip(&laid).map(|(part, laid)| Some((part, at(&part.part, laid, room)?))).collect()
    })
}

fn at(part: &board::BoardPart, laid: &LaidItem, room: GroundKind) -> Option<Corner> {
    let (x, y) = part.corner(laid, room);
    // A thousandth of a millimeter is no difference on a board, and a short number on a form.
    let short = |mm: f64| ((mm * 1000.0).round() / 1000.0).try_into().ok();
    Some(Corner { x_mm: short(x)?, y_mm: short(y)?, turned: laid.turned })
}
