//! Distances between parts that do each other no good: heat, magnets, compasses; and water.

use super::{Part, Rect};
use crate::trade::finding::{Code, Finding};
use crate::trade::source::{COMPASS_DISTANCE, HEAT_DISTANCE, MAKERS_MANUAL, SPLASH, Source};
use crate::trade::working::{Working, figure};

/// Air that something hot needs beside it and below.
pub(super) const HOT_BESIDE_MM: f64 = 50.0;
/// Air above something hot, where its warmth goes.
pub(super) const HOT_ABOVE_MM: f64 = 100.0;
/// Between a compass and a magnet whose maker gives no distance, such as a speaker's.
const MAGNET_MM: f64 = 1000.0;

/// How far two parts are apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Apart {
    /// On one board: the two parts themselves.
    OnBoard(Rect, Rect),
    /// On two boards or at two places, about so far.
    About(f64),
    /// Not known.
    Unknown,
}

/// What is wrong between two parts.
pub fn between(one: &Part, other: &Part, apart: Apart) -> Vec<Finding> {
    let heat = match apart {
        Apart::OnBoard(here, there) => {
            [heat(one, &here, other, &there), heat(other, &there, one, &here)].into_iter().flatten().next()
        }
        _ => None,
    };
    let compass = [compass(one, other, apart), compass(other, one, apart)].into_iter().flatten();
    heat.into_iter().chain(compass).collect()
}

fn heat(hot: &Part, here: &Rect, other: &Part, there: &Rect) -> Option<Finding> {
    if !hot.hot {
        return None;
    }
    let above = there.bottom_mm() <= here.y_mm && here.beside(there);
    let needed = if above { HOT_ABOVE_MM } else { HOT_BESIDE_MM };
    let distance = here.distance_mm(there);
    if distance >= needed {
        return None;
    }
    let text = format!(
        "{} gets hot, and {} is {} mm {} it: give it {needed} mm, or what its maker asks",
        hot.name,
        other.name,
        figure(distance),
        if above { "above" } else { "from" }
    );
    let working = distances("air for something hot", distance, needed, &HEAT_DISTANCE);
    Some(Finding::new(Code::HotTooNear, text).against(distance, needed, "mm").working(working))
}

/// What a compass asks of another part.
fn compass(compass: &Part, other: &Part, apart: Apart) -> Option<Finding> {
    if !compass.compass {
        return None;
    }
    let (needed, source): (f64, &'static Source) = match (other.compass_safe_mm, other.magnetic) {
        (Some(safe), _) => (safe, &MAKERS_MANUAL),
        (None, true) => (MAGNET_MM, &COMPASS_DISTANCE),
        (None, false) => return None,
    };
    let distance = match apart {
        Apart::OnBoard(here, there) => here.distance_mm(&there),
        Apart::About(distance) => distance,
        Apart::Unknown => {
            let lacks = format!("The distance from {} to {}", compass.name, other.name);
            return Some(Finding::missing(&lacks, &format!("whether it is at least {needed} mm")));
        }
    };
    if distance >= needed {
        return None;
    }
    let text = format!(
        "{} turns the needle of {}: they are {} mm apart and should be {needed} mm",
        other.name,
        compass.name,
        figure(distance)
    );
    let working = distances("distance from a compass", distance, needed, source);
    Some(Finding::new(Code::CompassTooNear, text).against(distance, needed, "mm").working(working))
}

fn distances(what: &'static str, distance: f64, needed: f64, source: &'static Source) -> Working {
    Working {
        what,
        formula: "edge to edge, at least what is asked",
        numbers: format!("{} mm, asked {needed} mm", figure(distance)),
        result: format!("{} mm short", figure(needed - distance)),
        source,
    }
}

/// What is wrong with a part where water reaches it.
pub fn splash(part: &Part) -> Option<Finding> {
    if part.splash_ok {
        return None;
    }
    let text = format!(
        "Water reaches the place of {}, and nothing says that splashes do it no harm: mount it elsewhere, enclose \
         it, or say so once its maker does",
        part.name
    );
    let working = Working {
        what: "water",
        formula: "a wet place takes parts that splashes do not harm",
        numbers: "place: wet; part: not said to stand splashes".to_owned(),
        result: "not for this place".to_owned(),
        source: &SPLASH,
    };
    Some(Finding::new(Code::NotForWet, text).working(working))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::board::Side;

    fn part(name: &str) -> Part {
        Part {
            name: name.to_owned(),
            width_mm: 100.0,
            height_mm: 100.0,
            clearance_mm: 0.0,
            bend: (Side::Bottom, 0.0),
            upright: false,
            hot: false,
            splash_ok: false,
            compass: false,
            compass_safe_mm: None,
            magnetic: false,
        }
    }

    fn codes(one: &Part, other: &Part, apart: Apart) -> Vec<Code> {
        between(one, other, apart).iter().map(|finding| finding.code).collect()
    }

    #[test]
    fn warmth_rises() {
        let charger = Part { hot: true, ..part("Charger") };
        let at = |x, y| Rect::new((x, y), (100.0, 100.0));
        let apart = |x, y| Apart::OnBoard(at(200.0, 200.0), at(x, y));
        assert_eq!(codes(&charger, &part("Fuses"), apart(350.0, 200.0)), []);
        assert_eq!(codes(&charger, &part("Fuses"), apart(340.0, 200.0)), [Code::HotTooNear]);
        assert_eq!(codes(&charger, &part("Fuses"), apart(200.0, 20.0)), [Code::HotTooNear], "80 mm above");
        assert_eq!(codes(&charger, &part("Fuses"), apart(200.0, 380.0)), [], "80 mm below");
    }

    #[test]
    fn a_compass_keeps_what_the_maker_asks_or_a_metre_from_a_magnet() {
        let compass = Part { compass: true, ..part("Steering compass") };
        let plotter = Part { compass_safe_mm: Some(650.0), ..part("Plotter") };
        let speaker = Part { magnetic: true, ..part("Speaker") };
        assert_eq!(codes(&compass, &plotter, Apart::About(649.0)), [Code::CompassTooNear]);
        assert_eq!(codes(&plotter, &compass, Apart::About(650.0)), []);
        assert_eq!(codes(&speaker, &compass, Apart::About(999.0)), [Code::CompassTooNear]);
        assert_eq!(
            codes(&compass, &speaker, Apart::Unknown),
            [Code::InputMissing],
            "never passed by default"
        );
        assert_eq!(codes(&compass, &part("Pump"), Apart::Unknown), []);
    }
}
