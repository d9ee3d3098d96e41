//! Whether rectangles fit on a board beside the parts already on it, and where.
//!
//! Any layout can be pushed up and to the left as far as it goes. Each rectangle then touches the board's
//! edge or another rectangle, both above and to the left. There is an order of placing in which each
//! rectangle touches only earlier ones. The reason: objects that block a convex shape in one direction never
//! form a circle.
//!
//! The search therefore tries only positions where a rectangle touches on both sides. Of all orders that lead
//! to the same layout, it tries one. If a rectangle has no such position left, that attempt ends, since the
//! free area only shrinks. The search is therefore exact when it is not cut off.

use super::rect::{Rect, covered_mm2};

/// Up to this many rectangles, the search runs to its end.
pub const EXACT: usize = 7;

/// How many positions are tried for more rectangles than that, in each of several orders.
const TRIES: usize = 20_000;

/// A limit for the worst case of seven rectangles. Real parts need far fewer tries.
const MOST_TRIES: usize = 20_000_000;

/// A work budget for packing: comparisons of a position with a rectangle that lies there already. It also bounds
/// how deep the search goes, because each rectangle more costs more comparisons.
#[derive(Debug)]
pub struct Looks(usize);

impl Looks {
    /// For all boards of a plan.
    pub fn of_a_plan() -> Self {
        Self(600_000_000)
    }

    /// For one board.
    pub fn of_a_board() -> Self {
        Self(200_000_000)
    }

    fn take(&mut self, looks: usize) -> bool {
        let left = self.0.checked_sub(looks);
        self.0 = left.unwrap_or(0);
        left.is_some()
    }
}

/// A rectangle to place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rectangle {
    /// Its width before any turn.
    pub width_mm: f64,
    /// Its height before any turn.
    pub height_mm: f64,
    /// Whether it may be turned by 90 degrees.
    pub turns: bool,
}

/// A placed rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaidItem {
    /// The area it covers.
    pub rect: Rect,
    /// Whether it is turned.
    pub turned: bool,
}

/// The result of packing.
#[derive(Debug, Clone, PartialEq)]
pub enum Packing {
    /// They fit: one position for each item, in the order of the items.
    Fits(Vec<LaidItem>),
    /// They cannot fit in any layout.
    CannotFit {
        /// The area needed beyond what is free. It is 0 where the area is sufficient but its shape is not.
        missing_mm2: f64,
    },
    /// No layout was found in the limited number of tries. This does not prove that none exists.
    NotFound,
}

/// Places items on a board beside the areas already taken.
pub fn pack(board: &Rect, taken: &[Rect], items: &[Rectangle]) -> Packing {
    pack_within(board, taken, items, &mut Looks::of_a_board())
}

/// The same within a work budget.
pub fn pack_within(board: &Rect, taken: &[Rect], items: &[Rectangle], looks: &mut Looks) -> Packing {
    let needed: f64 = items.iter().map(|item| item.width_mm * item.height_mm).sum();
    let free = board.area_mm2() - covered_mm2(board, taken);
    // A layout may use all of the free area, so a rounding error must not count as missing area.
    if needed > free * (1.0 + 1e-9) + 1e-6 {
        return Packing::CannotFit { missing_mm2: needed - free };
    }
    let exact = items.len() <= EXACT;
    let orders: &[fn(&Rectangle) -> f64] =
        if exact { &[|item| item.width_mm * item.height_mm] } else { &ORDERS };
    for order in orders {
        let mut search = Search::new(board, taken, items, *order, if exact { MOST_TRIES } else { TRIES });
        match search.lay_rest(None, looks) {
            Ended::Found => return Packing::Fits(search.found()),
            Ended::Exhausted => return Packing::CannotFit { missing_mm2: 0.0 },
            Ended::GivenUp => {}
        }
    }
    Packing::NotFound
}

/// Largest first: by area, by the longer side, by the sum of both.
const ORDERS: [fn(&Rectangle) -> f64; 3] = [
    |item| item.width_mm * item.height_mm,
    |item| item.width_mm.max(item.height_mm),
    |item| item.width_mm + item.height_mm,
];

/// The smallest set of items to remove so that the others fit. `None` where none was found.
///
/// Of sets of the same number of items, the one with the least area. Exact where the packing of the remaining
/// items is exact.
pub fn to_move(board: &Rect, taken: &[Rect], items: &[Rectangle], looks: &mut Looks) -> Option<Vec<usize>> {
    let most = if items.len() <= EXACT { items.len() } else { 2 };
    (1..=most).find_map(|count| {
        let mut sets = subsets(items.len(), count);
        let area = |set: &Vec<usize>| -> f64 {
            set.iter().filter_map(|index| items.get(*index)).map(|item| item.width_mm * item.height_mm).sum()
        };
        sets.sort_by(|one, other| area(one).total_cmp(&area(other)));
        sets.into_iter().find(|set| {
            let rest: Vec<Rectangle> = items
                .iter()
                .enumerate()
                .filter(|(index, _)| !set.contains(index))
                .map(|(_, item)| *item)
                .collect();
            looks.0 > 0 && matches!(pack_within(board, taken, &rest, looks), Packing::Fits(_))
        })
    })
}

/// Every set of `count` numbers below `of`.
fn subsets(of: usize, count: usize) -> Vec<Vec<usize>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let longer = |set: Vec<usize>| {
        let next = set.last().map_or(0, |last| last + 1);
        (next..of).map(move |index| set.iter().copied().chain([index]).collect()).collect::<Vec<Vec<usize>>>()
    };
    subsets(of, count - 1).into_iter().flat_map(longer).collect()
}

/// How a search ended.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Ended {
    Found,
    Exhausted,
    GivenUp,
}

/// Items of one size. Their order does not matter, so they are treated as one class.
struct Class {
    item: Rectangle,
    indices: Vec<usize>,
    used: usize,
}

struct Search<'a> {
    board: &'a Rect,
    /// The areas taken before, then the items placed so far.
    lying: Vec<Rect>,
    classes: Vec<Class>,
    laid: Vec<Option<LaidItem>>,
    tries_left: usize,
}

/// What a step placed: its class, then its position. Steps are ordered by this key.
type Key = (usize, f64, f64);

impl<'a> Search<'a> {
    fn new(
        board: &'a Rect,
        taken: &[Rect],
        items: &[Rectangle],
        size: fn(&Rectangle) -> f64,
        tries_left: usize,
    ) -> Self {
        let mut classes: Vec<Class> = Vec::new();
        for (index, item) in items.iter().enumerate() {
            match classes.iter_mut().find(|class| class.item == *item) {
                Some(class) => class.indices.push(index),
                None => classes.push(Class { item: *item, indices: vec![index], used: 0 }),
            }
        }
        classes.sort_by(|one, other| size(&other.item).total_cmp(&size(&one.item)));
        Self { board, lying: taken.to_vec(), classes, laid: vec![None; items.len()], tries_left }
    }

    fn found(self) -> Vec<LaidItem> {
        self.laid.into_iter().flatten().collect()
    }

    /// Places the remaining items, each in every possible position, until all are placed.
    fn lay_rest(&mut self, last: Option<(Key, Rect)>, looks: &mut Looks) -> Ended {
        let mut places = Vec::new();
        for (number, class) in self.classes.iter().enumerate() {
            if class.used == class.indices.len() {
                continue;
            }
            let Some(here) = self.places(&class.item, looks) else { return Ended::GivenUp };
            if here.is_empty() {
                return Ended::Exhausted;
            }
            places.extend(here.into_iter().map(|laid| (number, laid)));
        }
        if places.is_empty() {
            return Ended::Found;
        }
        for (number, laid) in places {
            let key = (number, laid.rect.x_mm, laid.rect.y_mm);
            if last.as_ref().is_some_and(|last| !follows(&key, &laid.rect, last)) {
                continue;
            }
            if self.tries_left == 0 {
                return Ended::GivenUp;
            }
            self.tries_left -= 1;
            self.put(number, laid);
            match self.lay_rest(Some((key, laid.rect)), looks) {
                Ended::Exhausted => self.take_back(number),
                ended => return ended,
            }
        }
        Ended::Exhausted
    }

    fn put(&mut self, number: usize, laid: LaidItem) {
        let Some(class) = self.classes.get_mut(number) else { return };
        let index = class.indices.get(class.used).copied();
        class.used += 1;
        self.lying.push(laid.rect);
        if let Some(spot) = index.and_then(|index| self.laid.get_mut(index)) {
            *spot = Some(laid);
        }
    }

    fn take_back(&mut self, number: usize) {
        let Some(class) = self.classes.get_mut(number) else { return };
        class.used -= 1;
        self.lying.pop();
        let index = class.indices.get(class.used).copied();
        if let Some(spot) = index.and_then(|index| self.laid.get_mut(index)) {
            *spot = None;
        }
    }

    /// Every position where an item touches something above it and to its left; `None` if the work budget is
    /// spent.
    fn places(&self, item: &Rectangle, looks: &mut Looks) -> Option<Vec<LaidItem>> {
        let upright = (item.width_mm, item.height_mm);
        let mut ways = vec![(upright, false)];
        if item.turns && upright.0 != upright.1 {
            ways.push(((upright.1, upright.0), true));
        }
        let lefts: Vec<f64> = self.edges(self.board.x_mm, Rect::right_mm);
        let tops: Vec<f64> = self.edges(self.board.y_mm, Rect::bottom_mm);
        if !looks.take(ways.len() * lefts.len() * tops.len() * (1 + self.lying.len())) {
            return None;
        }
        let mut places = Vec::new();
        for (size, turned) in ways {
            for (x, y) in tops.iter().flat_map(|y| lefts.iter().map(move |x| (*x, *y))) {
                let rect = Rect::new((x, y), size);
                if self.is_free(&rect) && self.leans(&rect) {
                    places.push(LaidItem { rect, turned });
                }
            }
        }
        Some(places)
    }

    fn edges(&self, first: f64, edge: fn(&Rect) -> f64) -> Vec<f64> {
        let mut edges: Vec<f64> = [first].into_iter().chain(self.lying.iter().map(edge)).collect();
        edges.sort_by(f64::total_cmp);
        edges.dedup();
        edges
    }

    fn is_free(&self, rect: &Rect) -> bool {
        rect.is_within(self.board) && !self.lying.iter().any(|lying| lying.overlaps(rect))
    }

    fn leans(&self, rect: &Rect) -> bool {
        let left = rect.x_mm <= self.board.x_mm || self.lying.iter().any(|lying| rect.leans_left_on(lying));
        let above = rect.y_mm <= self.board.y_mm || self.lying.iter().any(|lying| rect.hangs_under(lying));
        left && above
    }
}

/// Whether a step may directly follow another. Either it touches what that step placed, or it comes later in
/// the one order that is tried.
fn follows(key: &Key, rect: &Rect, (last_key, last): &(Key, Rect)) -> bool {
    let leans = rect.leans_left_on(last) || rect.hangs_under(last);
    let order = key.0.cmp(&last_key.0).then(key.1.total_cmp(&last_key.1)).then(key.2.total_cmp(&last_key.2));
    leans || order.is_gt()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn item(width_mm: f64, height_mm: f64) -> Rectangle {
        Rectangle { width_mm, height_mm, turns: true }
    }

    #[test]
    fn what_fits_only_turned_is_turned() {
        let board = Rect::new((0.0, 0.0), (100.0, 30.0));
        let Packing::Fits(laid) = pack(&board, &[], &[item(30.0, 100.0)]) else { panic!("it fits turned") };
        assert!(laid[0].turned && laid[0].rect.is_within(&board));
        let stiff = Rectangle { turns: false, ..item(30.0, 100.0) };
        assert_eq!(pack(&board, &[], &[stiff]), Packing::CannotFit { missing_mm2: 0.0 });
    }

    #[test]
    fn missing_space_is_reported() {
        let board = Rect::new((0.0, 0.0), (100.0, 100.0));
        let taken = [Rect::new((0.0, 0.0), (100.0, 50.0))];
        assert_eq!(pack(&board, &taken, &[item(60.0, 100.0)]), Packing::CannotFit { missing_mm2: 1000.0 });
    }

    #[test]
    fn the_fewest_and_then_the_smallest_are_moved() {
        let board = Rect::new((0.0, 0.0), (100.0, 100.0));
        let items = [item(100.0, 60.0), item(40.0, 40.0), item(100.0, 30.0)];
        assert_eq!(to_move(&board, &[], &items, &mut Looks::of_a_board()), Some(vec![1]));
        assert_eq!(subsets(4, 2).len(), 6);
    }
}
