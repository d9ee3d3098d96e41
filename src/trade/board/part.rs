//! A part to be mounted, and the area it needs.

use super::pack::{LaidItem, Rectangle};
use super::rect::Rect;

/// Air gap that a hot part needs beside and below it.
pub(super) const HOT_BESIDE_MM: f64 = 50.0;
/// Air gap above a hot part, because warm air rises.
pub(super) const HOT_ABOVE_MM: f64 = 100.0;

/// A side of a part in its upright position.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PartSide {
    /// Its upper side.
    Top,
    /// Its right side.
    Right,
    /// Its lower side.
    Bottom,
    /// Its left side.
    Left,
}

/// Which area around a part is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GroundKind {
    /// The part with its clearance.
    Asked,
    /// The part with its clearance and the air gap around a hot part.
    Airy,
}

/// A part to be mounted, with its requirements.
#[derive(Debug, Clone, PartialEq)]
pub struct BoardPart {
    /// Its name, for findings.
    pub name: String,
    /// Its width when upright.
    pub width_mm: f64,
    /// Its height when upright.
    pub height_mm: f64,
    /// Clearance on every side, for air and hands.
    pub clearance_mm: f64,
    /// The side where its wires leave, and the space that their bend needs there.
    pub bend: (PartSide, f64),
    /// Whether it must be mounted upright.
    pub upright: bool,
    /// Whether it gets hot.
    pub hot: bool,
    /// Whether it is splashproof.
    pub splash_ok: bool,
    /// Whether it is a compass.
    pub compass: bool,
    /// The distance from a compass that its manufacturer requires.
    pub compass_safe_mm: Option<f64>,
    /// Whether it contains a magnet, as a speaker does.
    pub magnetic: bool,
}

impl BoardPart {
    /// The rectangle to pack for this part. A hot part is not turned when its air gap counts: the larger gap
    /// must stay above it.
    pub fn item(&self, room: GroundKind) -> Rectangle {
        let Rect { width_mm, height_mm, .. } = self.ground((0.0, 0.0), false, room);
        let airy = room == GroundKind::Airy && self.hot;
        Rectangle { width_mm, height_mm, turns: !self.upright && !airy }
    }

    /// The part itself, with its upper left corner at this position.
    pub fn body(&self, (x_mm, y_mm): (f64, f64), turned: bool) -> Rect {
        let size = (self.width_mm, self.height_mm);
        Rect::new((x_mm, y_mm), if turned { (size.1, size.0) } else { size })
    }

    /// The part with its clearance.
    pub fn envelope(&self, corner: (f64, f64), turned: bool) -> Rect {
        self.ground(corner, turned, GroundKind::Asked)
    }

    /// The part with the area around it.
    pub fn ground(&self, corner: (f64, f64), turned: bool, room: GroundKind) -> Rect {
        let body = self.body(corner, turned);
        let [top, right, bottom, left] = self.margins(turned, room);
        Rect::new(
            (body.x_mm - left, body.y_mm - top),
            (body.width_mm + left + right, body.height_mm + top + bottom),
        )
    }

    /// The part's own upper left corner, where its area is placed here.
    pub fn corner(&self, laid: &LaidItem, room: GroundKind) -> (f64, f64) {
        let [top, _, _, left] = self.margins(laid.turned, room);
        (laid.rect.x_mm + left, laid.rect.y_mm + top)
    }

    /// The side where its wires leave as mounted. A turn is a quarter clockwise, so the upper side becomes
    /// the right side.
    pub fn leaves(&self, turned: bool) -> PartSide {
        match (self.bend.0, turned) {
            (side, false) => side,
            (PartSide::Top, true) => PartSide::Right,
            (PartSide::Right, true) => PartSide::Bottom,
            (PartSide::Bottom, true) => PartSide::Left,
            (PartSide::Left, true) => PartSide::Top,
        }
    }

    /// Clearance above, to the right, below and to the left. When the part is turned, its right side is
    /// below.
    fn margins(&self, turned: bool, room: GroundKind) -> [f64; 4] {
        let [mut top, mut right, mut bottom, mut left] = [self.clearance_mm; 4];
        let (side, bend) = self.bend;
        let wires = bend.max(self.clearance_mm);
        match side {
            PartSide::Top => top = wires,
            PartSide::Right => right = wires,
            PartSide::Bottom => bottom = wires,
            PartSide::Left => left = wires,
        }
        let asked = if turned { [left, top, right, bottom] } else { [top, right, bottom, left] };
        match room {
            GroundKind::Airy if self.hot => {
                let [top, right, bottom, left] = asked;
                let beside = |margin: f64| margin.max(HOT_BESIDE_MM);
                [top.max(HOT_ABOVE_MM), beside(right), beside(bottom), beside(left)]
            }
            _ => asked,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn clearance_turns_with_its_part() {
        let part = BoardPart {
            name: "Fuse block".to_owned(),
            width_mm: 100.0,
            height_mm: 40.0,
            clearance_mm: 5.0,
            bend: (PartSide::Bottom, 50.0),
            upright: false,
            hot: false,
            splash_ok: false,
            compass: false,
            compass_safe_mm: None,
            magnetic: false,
        };
        let item = part.item(GroundKind::Asked);
        assert_eq!((item.width_mm, item.height_mm), (110.0, 95.0));
        let upright = part.envelope((10.0, 10.0), false);
        assert_eq!((upright.x_mm, upright.y_mm, upright.bottom_mm()), (5.0, 5.0, 100.0));
        let turned = part.envelope((100.0, 10.0), true);
        assert_eq!((turned.width_mm, turned.height_mm), (95.0, 110.0));
        assert_eq!(turned.x_mm, 50.0, "a quarter turn clockwise takes the lower side to the left");
        let laid = LaidItem { rect: turned, turned: true };
        assert_eq!(part.corner(&laid, GroundKind::Asked), (100.0, 10.0));
        let hot = BoardPart { hot: true, ..part };
        let airy = hot.item(GroundKind::Airy);
        assert_eq!((airy.width_mm, airy.height_mm, airy.turns), (200.0, 190.0, false));
    }
}
