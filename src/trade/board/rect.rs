//! Rectangles on a board, in millimeters from its upper left corner.

/// Tolerance for rounding: a thousandth of a millimeter, far finer than any saw or drill.
const SLACK_MM: f64 = 1e-3;

/// A rectangle with its sides parallel to the board's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rect {
    /// Its left edge.
    pub x_mm: f64,
    /// Its upper edge.
    pub y_mm: f64,
    /// Its width.
    pub width_mm: f64,
    /// Its height.
    pub height_mm: f64,
}

impl Rect {
    /// A rectangle from its upper left corner and its size.
    pub fn new((x_mm, y_mm): (f64, f64), (width_mm, height_mm): (f64, f64)) -> Self {
        Self { x_mm, y_mm, width_mm, height_mm }
    }

    /// Its right edge.
    pub fn right_mm(&self) -> f64 {
        self.x_mm + self.width_mm
    }

    /// Its lower edge.
    pub fn bottom_mm(&self) -> f64 {
        self.y_mm + self.height_mm
    }

    /// Its area.
    pub fn area_mm2(&self) -> f64 {
        self.width_mm * self.height_mm
    }

    /// Whether it shares any area with another. Touching does not count.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.beside(other) && self.above_or_below(other)
    }

    /// Whether it lies wholly within another.
    pub fn is_within(&self, other: &Self) -> bool {
        self.x_mm >= other.x_mm - SLACK_MM
            && self.y_mm >= other.y_mm - SLACK_MM
            && self.right_mm() <= other.right_mm() + SLACK_MM
            && self.bottom_mm() <= other.bottom_mm() + SLACK_MM
    }

    /// Whether its left edge touches the right edge of another.
    pub(super) fn leans_left_on(&self, other: &Self) -> bool {
        (self.x_mm - other.right_mm()).abs() <= SLACK_MM && self.above_or_below(other)
    }

    /// Whether its upper edge touches the lower edge of another.
    pub(super) fn hangs_under(&self, other: &Self) -> bool {
        (self.y_mm - other.bottom_mm()).abs() <= SLACK_MM && self.beside(other)
    }

    /// Whether the two share some width.
    pub(super) fn beside(&self, other: &Self) -> bool {
        self.x_mm < other.right_mm() - SLACK_MM && other.x_mm < self.right_mm() - SLACK_MM
    }

    /// Whether the two share some height.
    fn above_or_below(&self, other: &Self) -> bool {
        self.y_mm < other.bottom_mm() - SLACK_MM && other.y_mm < self.bottom_mm() - SLACK_MM
    }

    /// The least distance between the edges of two; 0 where they touch or overlap.
    pub fn distance_mm(&self, other: &Self) -> f64 {
        let across = (other.x_mm - self.right_mm()).max(self.x_mm - other.right_mm()).max(0.0);
        let along = (other.y_mm - self.bottom_mm()).max(self.y_mm - other.bottom_mm()).max(0.0);
        across.hypot(along)
    }
}

/// The area of `ground` that the rectangles cover. Shared area counts once.
pub(super) fn covered_mm2(ground: &Rect, rects: &[Rect]) -> f64 {
    let clipped: Vec<Rect> = rects.iter().filter_map(|rect| clip(rect, ground)).collect();
    let mut edges: Vec<f64> = clipped.iter().flat_map(|rect| [rect.x_mm, rect.right_mm()]).collect();
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    let strips = edges.windows(2).filter_map(|pair| Some((*pair.first()?, *pair.last()?)));
    strips.map(|(left, right)| (right - left) * covered_height(&clipped, (left + right) / 2.0)).sum()
}

fn clip(rect: &Rect, ground: &Rect) -> Option<Rect> {
    let (left, top) = (rect.x_mm.max(ground.x_mm), rect.y_mm.max(ground.y_mm));
    let (right, bottom) = (rect.right_mm().min(ground.right_mm()), rect.bottom_mm().min(ground.bottom_mm()));
    (right > left && bottom > top).then(|| Rect::new((left, top), (right - left, bottom - top)))
}

fn covered_height(rects: &[Rect], x: f64) -> f64 {
    let crossed = rects.iter().filter(|rect| rect.x_mm < x && x < rect.right_mm());
    let mut spans: Vec<(f64, f64)> = crossed.map(|rect| (rect.y_mm, rect.bottom_mm())).collect();
    spans.sort_by(|one, other| one.0.total_cmp(&other.0));
    let (mut covered, mut reached) = (0.0, f64::NEG_INFINITY);
    for (top, bottom) in spans {
        covered += (bottom - top.max(reached)).max(0.0);
        reached = reached.max(bottom);
    }
    covered
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shared_ground_is_counted_once_and_what_is_off_the_board_not_at_all() {
        let board = Rect::new((0.0, 0.0), (100.0, 50.0));
        let rects = [Rect::new((0.0, 0.0), (20.0, 20.0)), Rect::new((10.0, 10.0), (20.0, 20.0))];
        assert_eq!(covered_mm2(&board, &rects), 700.0);
        assert_eq!(covered_mm2(&board, &[Rect::new((90.0, 40.0), (30.0, 30.0))]), 100.0);
    }

    #[test]
    fn distance_is_between_the_nearest_edges() {
        let one = Rect::new((0.0, 0.0), (10.0, 10.0));
        assert_eq!(one.distance_mm(&Rect::new((13.0, 14.0), (5.0, 5.0))), 5.0);
        assert_eq!(one.distance_mm(&Rect::new((10.0, 0.0), (5.0, 5.0))), 0.0);
    }
}
