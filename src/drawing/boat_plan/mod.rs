//! The boat from above: places and the passages between them, with what is in hand lit up.
//!
//! The same plan is drawn two ways, as the screen has room: bow to the right, as shop drawings have
//! it, or bow up.

mod outline;
mod sheet;

use std::collections::HashSet;

use self::outline::Outline;
use self::sheet::{Names, Sheet};
use super::svg::{self, Anchor, Caption, Drawing, Element};
use crate::job::layout::passage_length;
use crate::job::plan::{Condition, Passage, PassageKind, Place, Plan, PullString, Spot};
use crate::job::value::{PassageId, PlaceId};

/// Which way the bow points.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bow {
    /// To the right: for wide screens and paper.
    Right,
    /// Up: for a phone held upright.
    Up,
}

/// What is lit up on the plan.
#[derive(Debug, Clone, Default)]
pub struct Lit {
    /// Passages.
    pub passages: HashSet<PassageId>,
    /// Places.
    pub places: HashSet<PlaceId>,
}

/// What a boat plan is drawn from, besides the plan itself.
pub struct View<'a> {
    /// Which way the bow points.
    pub bow: Bow,
    /// What is lit up.
    pub lit: Lit,
    /// Where a place leads.
    pub place: &'a dyn Fn(&PlaceId) -> Option<String>,
    /// Where a passage leads.
    pub passage: &'a dyn Fn(&PassageId) -> Option<String>,
    /// The address of a sketch or photo that lies under the plan, as long as the boat is.
    pub sketch: Option<String>,
    /// Whether each passage has its number on it: its place in the plan's list, from 1.
    pub numbered: bool,
}

/// Draws the boat from above.
///
/// Places that are nowhere yet are left out, and so are the passages that lead to them.
pub fn draw(plan: &Plan, view: &View<'_>) -> Drawing {
    let outline = Outline::of(&plan.boat);
    let sheet = Sheet::new(&outline, view.bow);
    let mut names = Names::default();
    let marks: Vec<Mark<'_>> = plan.places.iter().filter_map(|place| Mark::of(place, &sheet, view)).collect();
    let ways = Way::all(plan, &outline, &sheet);
    let warnings = ways.iter().filter_map(Way::warned);
    let numbers = ways.iter().filter(|_| view.numbered).map(Way::numbered_at);
    let plates = warnings.chain(numbers).map(|spot| (spot, PLATE));
    for (spot, radius) in marks.iter().map(|mark| (mark.spot, MARK)).chain(plates) {
        names.keep_clear(spot, radius);
    }
    let marks: Vec<Element> = marks.iter().map(|mark| mark.draw(&mut names, &sheet, view)).collect();
    let class = match view.bow {
        Bow::Right => "boat-plan wide",
        Bow::Up => "boat-plan narrow",
    };
    let boat = Element::group("boat")
        .set("data-bow", if view.bow == Bow::Right { "right" } else { "up" })
        .num("data-scale", sheet.scale())
        .with_all(view.sketch.as_ref().map(|address| sheet.sketch(address)))
        .with_all(outline.hulls.iter().map(|hull| sheet.closed(hull).stroke(2.0).set("class", "hull")))
        .with(sheet.centreline())
        .with_all(sheet.metre_bar())
        .with_all(ways.iter().map(|way| way.draw(view)))
        .with_all(marks);
    Drawing::linked(class, sheet.size(), &caption(plan, &outline)).with(boat)
}

fn caption(plan: &Plan, outline: &Outline) -> Caption {
    let shown = plan.places.iter().filter(|place| place.at.is_some()).count();
    let beam = if outline.beam_known { "" } else { " The beam is not known: a usual one is drawn." };
    Caption {
        title: format!("{} from above", plan.boat.name),
        words: format!("{shown} of {} places and the passages between them.{beam}", plan.places.len()),
    }
}

/// Radius of a place's mark: half of a target's width with its ring.
const MARK: f64 = 11.0;
const TEXT: f64 = 16.0;
/// Radius of a warning or a number on a passage.
const PLATE: f64 = 11.0;

/// A place on the sheet.
struct Mark<'a> {
    place: &'a Place,
    at: Spot,
    spot: (f64, f64),
    lit: bool,
}

impl<'a> Mark<'a> {
    fn of(place: &'a Place, sheet: &Sheet, view: &View<'_>) -> Option<Self> {
        let at = place.at?;
        let spot = sheet.spot((at.ahead_m.number(), at.starboard_m.number()));
        Some(Self { place, at, spot, lit: view.lit.places.contains(&place.id) })
    }

    /// A disc for a dry place, a ring for a wet one, a square in an engine space.
    fn draw(&self, names: &mut Names, sheet: &Sheet, view: &View<'_>) -> Element {
        let (x, y) = self.spot;
        let shape = if self.place.engine_space {
            svg::rect((x - MARK * 0.8, y - MARK * 0.8), MARK * 1.6, MARK * 1.6)
        } else {
            svg::circle(self.spot, MARK * 0.8)
        };
        let shape = if self.place.wet {
            shape.stroke(3.0).set("class", "wet")
        } else {
            shape.set("fill", "currentColor")
        };
        let target = svg::circle(self.spot, 24.0).set("fill", "transparent");
        let name = names.place(self.spot, MARK, TEXT, self.place.name.as_str(), sheet);
        let mark = Element::group(if self.lit { "place lit" } else { "place" })
            .set("data-place", &self.place.id)
            .set("data-ahead", self.at.ahead_m)
            .set("data-starboard", self.at.starboard_m)
            .with(target)
            .with(shape)
            .with_all(name);
        svg::link((view.place)(&self.place.id), self.place.name.as_str(), mark)
    }
}

/// A passage on the sheet.
struct Way<'a> {
    passage: &'a Passage,
    /// Its place in the plan's list, from 1.
    number: usize,
    from: (f64, f64),
    to: (f64, f64),
    /// The point its line bends towards.
    bend: (f64, f64),
    title: String,
}

impl<'a> Way<'a> {
    fn all(plan: &'a Plan, outline: &Outline, sheet: &Sheet) -> Vec<Self> {
        let mut drawn: Vec<Self> = Vec::new();
        for (number, passage) in (1..).zip(&plan.passages) {
            let [from, to] = passage.between.each_ref().map(|id| plan.place(id).and_then(|place| place.at));
            let (Some(from), Some(to)) = (from, to) else { continue };
            let spots = [from, to].map(|at| (at.ahead_m.number(), at.starboard_m.number()));
            let ends = spots.map(|spot| sheet.spot(spot));
            let same = |way: &&Self| {
                way.passage.between == passage.between
                    || (way.passage.between[0] == passage.between[1]
                        && way.passage.between[1] == passage.between[0])
            };
            let bend = match passage.kind {
                PassageKind::Gunwale => sheet.spot(along_the_side(spots, outline)),
                _ => aside(ends, spread(drawn.iter().filter(same).count())),
            };
            let title = format!("{number}: {}", title(plan, passage));
            drawn.push(Self { passage, number, from: ends[0], to: ends[1], bend, title });
        }
        drawn
    }

    fn draw(&self, view: &View<'_>) -> Element {
        let lit = view.lit.passages.contains(&self.passage.id);
        let middle = self.bend;
        let path = format!(
            "M{:.1} {:.1}Q{:.1} {:.1} {:.1} {:.1}",
            self.from.0, self.from.1, middle.0, middle.1, self.to.0, self.to.1
        );
        let line = || Element::new("path").set("d", &path).set("fill", "none");
        let target = line().set("stroke", "transparent").num("stroke-width", 26.0);
        let way = Element::group(if lit { "way lit" } else { "way" })
            .set("data-from", &self.passage.between[0])
            .set("data-to", &self.passage.between[1])
            .with(target)
            .with_all(stroke(self.passage.kind, &line))
            .with_all(view.numbered.then(|| self.plate()))
            .with_all(self.warning());
        svg::link((view.passage)(&self.passage.id), &self.title, way)
    }

    fn is_blocked(&self) -> bool {
        self.passage.condition == Some(Condition::Blocked)
    }

    /// Where its warning stands: on a passage that is blocked, or that should have a pull string and has none.
    fn warned(&self) -> Option<(f64, f64)> {
        let warned = self.is_blocked() || self.passage.pull_string == Some(PullString::No);
        warned.then(|| self.along(0.5))
    }

    /// Where its number stands: beside the middle, which is the warning's.
    fn numbered_at(&self) -> (f64, f64) {
        self.along(0.32)
    }

    /// A point on its line, by how far along it is.
    fn along(&self, far: f64) -> (f64, f64) {
        let [begin, middle, end] = [(1.0 - far).powi(2), 2.0 * far * (1.0 - far), far.powi(2)];
        let at = |from: f64, bend: f64, to: f64| begin * from + middle * bend + end * to;
        (at(self.from.0, self.bend.0, self.to.0), at(self.from.1, self.bend.1, self.to.1))
    }

    fn plate(&self) -> Element {
        let (x, y) = self.numbered_at();
        let plate = svg::circle((x, y), PLATE).set("class", "plate").set("fill", "#fff");
        let number = svg::label((x, y + 5.5), Anchor::Middle, TEXT, &self.number.to_string());
        Element::group("number").with(plate).with(number.set("font-weight", 700))
    }

    fn warning(&self) -> Option<Element> {
        let (x, y) = self.warned()?;
        let sign = if self.is_blocked() { "\u{d7}" } else { "!" };
        let plate = svg::circle((x, y), PLATE)
            .set("class", "plate")
            .set("fill", "#fff")
            .set("stroke", "currentColor");
        let sign = svg::label((x, y + 5.5), Anchor::Middle, TEXT, sign).set("font-weight", 700);
        Some(Element::group("warning").with(plate).with(sign))
    }
}

/// Where a passage under the gunwale bends: out to the side that its places are on.
fn along_the_side([from, to]: [(f64, f64); 2], outline: &Outline) -> (f64, f64) {
    let ahead = (from.0 + to.0) / 2.0;
    let side = if from.1 + to.1 < 0.0 { -1.0 } else { 1.0 };
    (ahead, side * outline.half_beam(ahead) * 1.06)
}

/// A point beside the middle of a line, so many units off it.
fn aside([from, to]: [(f64, f64); 2], off: f64) -> (f64, f64) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy).max(1.0);
    ((from.0 + to.0) / 2.0 - dy / length * off, (from.1 + to.1) / 2.0 + dx / length * off)
}

/// Nothing for the first, then to one side and the other in turn.
fn spread(before: usize) -> f64 {
    let step = f64::from(u16::try_from(before.div_ceil(2)).unwrap_or(0)) * 44.0;
    if before % 2 == 1 { step } else { -step }
}

/// How each kind is drawn: a tube as its two walls, a tray dashed, a bulkhead hole dotted.
fn stroke(kind: PassageKind, line: &dyn Fn() -> Element) -> Vec<Element> {
    match kind {
        PassageKind::Tube => vec![
            line().stroke(6.0),
            line().set("class", "bore").set("stroke", "#fff").num("stroke-width", 3.0),
        ],
        PassageKind::Tray => vec![line().stroke(3.0).set("stroke-dasharray", "9 5")],
        PassageKind::Gunwale => vec![line().stroke(2.0)],
        PassageKind::Bulkhead => {
            vec![line().stroke(4.0).set("stroke-dasharray", "2 6").set("stroke-linecap", "round")]
        }
    }
}

fn title(plan: &Plan, passage: &Passage) -> String {
    let name = passage.name.as_ref().map_or(passage.id.as_str(), |name| name.as_str());
    match passage_length(plan, passage) {
        Some((metres, known)) => format!("{name}, {metres:.2} m {}", known.words()),
        None => format!("{name}, length not known"),
    }
}
