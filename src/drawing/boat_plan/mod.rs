//! The boat from above: locations and the raceways between them. The items that the page is about are highlighted.
//!
//! The plan has two layouts for different screens: bow to the right, as on shop drawings, or bow up.

mod outline;
mod sheet;

pub use sheet::Bow;

use std::collections::HashSet;

use self::outline::Outline;
use self::sheet::{PlacedNames, Sheet};
use super::svg::{self, Anchor, Caption, Drawing, Element};
use crate::job::layout::raceway_length;
use crate::job::plan::{Condition, Location, Plan, PullString, Raceway, RacewayKind, Spot};
use crate::job::value::{LocationId, RacewayId};
use crate::trade::units::{Units, meters};

/// The highlighted items of the plan.
#[derive(Debug, Clone, Default)]
pub struct Lit {
    /// Raceways.
    pub raceways: HashSet<RacewayId>,
    /// Locations.
    pub locations: HashSet<LocationId>,
}

/// The options of a boat plan drawing.
pub struct View<'a> {
    /// The direction of the bow.
    pub bow: Bow,
    /// The highlighted items.
    pub lit: Lit,
    /// The link of a location.
    pub location: &'a dyn Fn(&LocationId) -> Option<String>,
    /// The link of a raceway.
    pub raceway: &'a dyn Fn(&RacewayId) -> Option<String>,
    /// The address of a sketch or photo under the plan, scaled to the length of the boat.
    pub sketch: Option<String>,
    /// The units of its lengths.
    pub units: Units,
    /// Whether each raceway shows its number: its index in the plan's list, from 1.
    pub numbered: bool,
}

/// Draws the boat from above.
///
/// Locations without a position are left out, and so are the raceways to them.
pub fn draw(plan: &Plan, view: &View<'_>) -> Drawing {
    let outline = Outline::of(&plan.boat);
    let sheet = Sheet::new(&outline, view.bow);
    let mut names = PlacedNames::default();
    let marks: Vec<Mark<'_>> =
        plan.locations.iter().filter_map(|location| Mark::of(location, &sheet, view)).collect();
    let ways = Way::all(plan, &outline, &sheet, view.units);
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
        .with(sheet.centerline())
        .with_all(sheet.scale_bar(view.units))
        .with_all(ways.iter().map(|way| way.draw(view)))
        .with_all(marks);
    Drawing::linked(class, sheet.size(), &caption(plan, &outline)).with(boat)
}

fn caption(plan: &Plan, outline: &Outline) -> Caption {
    let shown = plan.locations.iter().filter(|location| location.at.is_some()).count();
    let beam = if outline.beam_known { "" } else { " The beam is not known: a usual one is drawn." };
    Caption {
        title: format!("{} from above", plan.boat.name),
        words: format!("{shown} of {} locations and the raceways between them.{beam}", plan.locations.len()),
    }
}

/// Radius of a location's mark: half the width of a touch target with its ring.
const MARK: f64 = 11.0;
const TEXT: f64 = 16.0;
/// Radius of a warning or a number on a raceway.
const PLATE: f64 = 11.0;

/// A location on the drawing.
struct Mark<'a> {
    location: &'a Location,
    at: Spot,
    spot: (f64, f64),
    lit: bool,
}

impl<'a> Mark<'a> {
    fn of(location: &'a Location, sheet: &Sheet, view: &View<'_>) -> Option<Self> {
        let at = location.at?;
        let spot = sheet.spot((at.ahead_m.number(), at.starboard_m.number()));
        Some(Self { location, at, spot, lit: view.lit.locations.contains(&location.id) })
    }

    /// A disc for a dry location, a ring for a wet one, a square in an engine space.
    fn draw(&self, names: &mut PlacedNames, sheet: &Sheet, view: &View<'_>) -> Element {
        let (x, y) = self.spot;
        let shape = if self.location.engine_space {
            svg::rect((x - MARK * 0.8, y - MARK * 0.8), MARK * 1.6, MARK * 1.6)
        } else {
            svg::circle(self.spot, MARK * 0.8)
        };
        let shape = if self.location.wet {
            shape.stroke(3.0).set("class", "wet")
        } else {
            shape.set("fill", "currentColor")
        };
        let target = svg::circle(self.spot, 24.0).set("fill", "transparent");
        let name = names.location(self.spot, MARK, TEXT, self.location.name.as_str(), sheet);
        let mark = Element::group(if self.lit { "location lit" } else { "location" })
            .set("data-location", &self.location.id)
            .set("data-ahead", self.at.ahead_m)
            .set("data-starboard", self.at.starboard_m)
            .with(target)
            .with(shape)
            .with_all(name);
        svg::link((view.location)(&self.location.id), self.location.name.as_str(), mark)
    }
}

/// A raceway on the drawing.
struct Way<'a> {
    raceway: &'a Raceway,
    /// Its index in the plan's list, from 1.
    number: usize,
    from: (f64, f64),
    to: (f64, f64),
    /// The control point of its curve.
    bend: (f64, f64),
    title: String,
}

impl<'a> Way<'a> {
    fn all(plan: &'a Plan, outline: &Outline, sheet: &Sheet, units: Units) -> Vec<Self> {
        let mut drawn: Vec<Self> = Vec::new();
        for (number, raceway) in (1..).zip(&plan.raceways) {
            let [from, to] =
                raceway.between.each_ref().map(|id| plan.location(id).and_then(|location| location.at));
            let (Some(from), Some(to)) = (from, to) else { continue };
            let spots = [from, to].map(|at| (at.ahead_m.number(), at.starboard_m.number()));
            let ends = spots.map(|spot| sheet.spot(spot));
            let same = |way: &&Self| {
                way.raceway.between == raceway.between
                    || (way.raceway.between[0] == raceway.between[1]
                        && way.raceway.between[1] == raceway.between[0])
            };
            let bend = match raceway.kind {
                RacewayKind::Gunwale => sheet.spot(along_the_side(spots, outline)),
                _ => aside(ends, spread(drawn.iter().filter(same).count())),
            };
            let title = format!("{number}: {}", title(plan, raceway, units));
            drawn.push(Self { raceway, number, from: ends[0], to: ends[1], bend, title });
        }
        drawn
    }

    fn draw(&self, view: &View<'_>) -> Element {
        let lit = view.lit.raceways.contains(&self.raceway.id);
        let middle = self.bend;
        let path = format!(
            "M{:.1} {:.1}Q{:.1} {:.1} {:.1} {:.1}",
            self.from.0, self.from.1, middle.0, middle.1, self.to.0, self.to.1
        );
        let line = || Element::new("path").set("d", &path).set("fill", "none");
        let target = line().set("stroke", "transparent").num("stroke-width", 26.0);
        let drawn = Element::group(if lit { "raceway lit" } else { "raceway" })
            .set("data-from", &self.raceway.between[0])
            .set("data-to", &self.raceway.between[1])
            .with(target)
            .with_all(stroke(self.raceway.kind, &line))
            .with_all(view.numbered.then(|| self.plate()))
            .with_all(self.warning());
        svg::link((view.raceway)(&self.raceway.id), &self.title, drawn)
    }

    fn is_blocked(&self) -> bool {
        self.raceway.condition == Some(Condition::Blocked)
    }

    /// The position of its warning, for a raceway that is blocked, or that should have a pull string and has none.
    fn warned(&self) -> Option<(f64, f64)> {
        let warned = self.is_blocked() || self.raceway.pull_string == Some(PullString::No);
        warned.then(|| self.along(0.5))
    }

    /// The position of its number: beside the middle, because the warning is in the middle.
    fn numbered_at(&self) -> (f64, f64) {
        self.along(0.32)
    }

    /// A point on its line, at a fraction of its length.
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

/// The control point of a raceway under the gunwale: on the side of the boat where its locations are.
fn along_the_side([from, to]: [(f64, f64); 2], outline: &Outline) -> (f64, f64) {
    let ahead = (from.0 + to.0) / 2.0;
    let side = if from.1 + to.1 < 0.0 { -1.0 } else { 1.0 };
    (ahead, side * outline.half_beam(ahead) * 1.06)
}

/// A point beside the middle of a line, at a distance of `off` units.
fn aside([from, to]: [(f64, f64); 2], off: f64) -> (f64, f64) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy).max(1.0);
    ((from.0 + to.0) / 2.0 - dy / length * off, (from.1 + to.1) / 2.0 + dx / length * off)
}

/// The offset of parallel raceways: zero for the first, then alternately to both sides.
fn spread(before: usize) -> f64 {
    let step = f64::from(u16::try_from(before.div_ceil(2)).unwrap_or(0)) * 44.0;
    if before % 2 == 1 { step } else { -step }
}

/// The line style of each kind: a tube as its two walls, a tray dashed, a bulkhead hole dotted.
fn stroke(kind: RacewayKind, line: &dyn Fn() -> Element) -> Vec<Element> {
    match kind {
        RacewayKind::Tube => vec![
            line().stroke(6.0),
            line().set("class", "bore").set("stroke", "#fff").num("stroke-width", 3.0),
        ],
        RacewayKind::Tray => vec![line().stroke(3.0).set("stroke-dasharray", "9 5")],
        RacewayKind::Gunwale => vec![line().stroke(2.0)],
        RacewayKind::Bulkhead => {
            vec![line().stroke(4.0).set("stroke-dasharray", "2 6").set("stroke-linecap", "round")]
        }
    }
}

fn title(plan: &Plan, raceway: &Raceway, units: Units) -> String {
    let name = raceway.name.as_ref().map_or(raceway.id.as_str(), |name| name.as_str());
    match raceway_length(plan, raceway) {
        Some((length, known)) => format!("{name}, {} {}", meters(length).text(units), known.words()),
        None => format!("{name}, length not known"),
    }
}
