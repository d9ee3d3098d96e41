//! Distances between parts that harm each other (heat, magnets, compasses), and parts that water reaches.

use super::part::{BoardPart, HOT_ABOVE_MM, HOT_BESIDE_MM};
use super::rect::Rect;
use super::solid::Solid;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::say::say;
use crate::trade::source::{COMPASS_DISTANCE, HEAT_DISTANCE, MAKERS_MANUAL, SPLASH, Source};
use crate::trade::units::mm;
use crate::trade::working::{Working, figure};

/// Distance between a compass and a magnet whose manufacturer gives none, such as the magnet of a speaker.
const MAGNET_MM: f64 = 1000.0;

/// How far apart two parts are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Apart {
    /// On one board: the distance between the two parts themselves.
    OnBoard(Rect, Rect),
    /// On two boards whose positions in the boat are known.
    InSpace(Solid, Solid),
    /// On two boards or at two locations: at least `least_mm`, and about `about_mm` by the drawing.
    AtLeast {
        /// The distance if both parts are as close as they can be.
        least_mm: f64,
        /// The distance from one location to the other.
        about_mm: f64,
    },
    /// Not known.
    Unknown,
}

/// Whether a hot part is too near another part. On one board, only parts with a position are checked: the
/// others are laid out with their air gap.
pub fn heat_between(one: &BoardPart, other: &BoardPart, apart: Apart) -> Option<RuleFinding> {
    let turned = match apart {
        Apart::OnBoard(here, there) => Apart::OnBoard(there, here),
        Apart::InSpace(here, there) => Apart::InSpace(there, here),
        _ => apart,
    };
    heat(one, other, apart).or_else(|| heat(other, one, turned))
}

fn heat(hot: &BoardPart, other: &BoardPart, apart: Apart) -> Option<RuleFinding> {
    if !hot.hot {
        return None;
    }
    let (above, distance) = match apart {
        Apart::OnBoard(here, there) => {
            (there.bottom_mm() <= here.y_mm && here.beside(&there), here.distance_mm(&there))
        }
        Apart::InSpace(here, there) => (here.is_under(&there), here.distance_mm(&there)),
        Apart::AtLeast { least_mm, .. } if least_mm >= HOT_ABOVE_MM => return None,
        Apart::AtLeast { .. } | Apart::Unknown => return Some(not_known(hot, other, HOT_ABOVE_MM)),
    };
    let needed = if above { HOT_ABOVE_MM } else { HOT_BESIDE_MM };
    if distance >= needed {
        return None;
    }
    let (hot_name, name) = (hot.name.to_string(), other.name.to_string());
    let (is, least) = (mm(distance).beside(needed), mm(needed));
    let text = if above {
        say!(
            "{} gets hot, and {} is {} above it. Leave at least {}, or what its manufacturer requires.",
            hot_name,
            name,
            is,
            least
        )
    } else {
        say!(
            "{} gets hot, and {} is {} from it. Leave at least {}, or what its manufacturer requires.",
            hot_name,
            name,
            is,
            least
        )
    };
    let working = distances(Quantity::HotClearance, distance, needed, &HEAT_DISTANCE);
    Some(RuleFinding::new(Code::TooNearHeat, text).against(distance, needed, "mm").working(working))
}

/// Whether two parts may have to keep a distance. Heat matters only between parts on boards.
pub fn may_disturb(one: &BoardPart, other: &BoardPart, on_boards: bool) -> bool {
    let attracts = |part: &BoardPart| part.magnetic || part.compass_safe_mm.is_some();
    let magnetic = (one.compass && attracts(other)) || (other.compass && attracts(one));
    magnetic || (on_boards && (one.hot || other.hot))
}

/// Whether a compass is too near a magnet, or too near a part whose manufacturer requires a distance.
pub fn compass_between(one: &BoardPart, other: &BoardPart, apart: Apart) -> Vec<RuleFinding> {
    [compass(one, other, apart), compass(other, one, apart)].into_iter().flatten().collect()
}

/// Whether a part keeps the distance that a compass needs.
fn compass(compass: &BoardPart, other: &BoardPart, apart: Apart) -> Option<RuleFinding> {
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
        Apart::InSpace(here, there) => here.distance_mm(&there),
        Apart::AtLeast { least_mm, .. } if least_mm >= needed => return None,
        Apart::AtLeast { about_mm, .. } if about_mm < needed => about_mm,
        Apart::AtLeast { .. } | Apart::Unknown => return Some(not_known(compass, other, needed)),
    };
    if distance >= needed {
        return None;
    }
    let text = say!(
        "{} disturbs {}: they are {} apart and need {}. Move one of them.",
        other.name.to_string(),
        compass.name.to_string(),
        mm(distance).beside(needed),
        mm(needed)
    );
    let working = distances(Quantity::CompassDistance, distance, needed, source);
    Some(RuleFinding::new(Code::TooNearCompass, text).against(distance, needed, "mm").working(working))
}

fn not_known(one: &BoardPart, other: &BoardPart, needed: f64) -> RuleFinding {
    let boards =
        say!("where the boards of {} and {} are in the boat", one.name.to_string(), other.name.to_string());
    RuleFinding::missing(boards, say!("whether both are at least {} apart", mm(needed)))
}

fn distances(what: Quantity, distance: f64, needed: f64, source: &'static Source) -> Working {
    Working {
        what,
        formula: "edge to edge, at least what is asked",
        numbers: format!("{} mm, asked {needed} mm", figure(distance)).into(),
        result: format!("{} mm short", figure(needed - distance)).into(),
        source,
    }
}

/// A finding if a part is not splashproof where water reaches it.
pub fn splash(part: &BoardPart) -> Option<RuleFinding> {
    if part.splash_ok {
        return None;
    }
    let text = say!(
        "Water reaches {}, and it is not marked splashproof. Mount it elsewhere, enclose it, or mark it if its \
         manufacturer says so.",
        part.name.to_string()
    );
    let working = Working {
        what: Quantity::Water,
        formula: "a wet place takes parts that splashes do not harm",
        numbers: "place: wet; part: not said to stand splashes".into(),
        result: "not for this place".into(),
        source: &SPLASH,
    };
    Some(RuleFinding::new(Code::NotSplashproof, text).working(working))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::board::PartSide;

    fn part(name: &str) -> BoardPart {
        BoardPart {
            name: name.to_owned(),
            width_mm: 100.0,
            height_mm: 100.0,
            clearance_mm: 0.0,
            bend: (PartSide::Bottom, 0.0),
            upright: false,
            hot: false,
            splash_ok: false,
            compass: false,
            compass_safe_mm: None,
            magnetic: false,
        }
    }

    fn codes(one: &BoardPart, other: &BoardPart, apart: Apart) -> Vec<Code> {
        let heat = heat_between(one, other, apart);
        heat.iter().chain(&compass_between(one, other, apart)).map(|finding| finding.code).collect()
    }

    #[test]
    fn warmth_rises() {
        let charger = BoardPart { hot: true, ..part("Charger") };
        let at = |x, y| Rect::new((x, y), (100.0, 100.0));
        let apart = |x, y| Apart::OnBoard(at(200.0, 200.0), at(x, y));
        assert_eq!(codes(&charger, &part("Fuses"), apart(350.0, 200.0)), []);
        assert_eq!(codes(&charger, &part("Fuses"), apart(340.0, 200.0)), [Code::TooNearHeat]);
        assert_eq!(codes(&charger, &part("Fuses"), apart(200.0, 20.0)), [Code::TooNearHeat], "80 mm above");
        assert_eq!(codes(&charger, &part("Fuses"), apart(200.0, 380.0)), [], "80 mm below");
    }

    #[test]
    fn warmth_rises_from_board_to_board() {
        let charger = BoardPart { hot: true, ..part("Charger") };
        let fuses = part("Fuses");
        let solid = |ahead: f64, up: f64| Solid {
            ahead: (ahead, ahead),
            starboard: (0.0, 100.0),
            up: (up, up + 100.0),
        };
        let here = solid(1000.0, 500.0);
        assert_eq!(codes(&charger, &fuses, Apart::InSpace(here, solid(1049.0, 500.0))), [Code::TooNearHeat]);
        assert_eq!(codes(&fuses, &charger, Apart::InSpace(solid(1049.0, 500.0), here)), [Code::TooNearHeat]);
        assert_eq!(codes(&charger, &fuses, Apart::InSpace(here, solid(1051.0, 500.0))), []);
        assert_eq!(codes(&charger, &fuses, Apart::InSpace(here, solid(1000.0, 699.0))), [Code::TooNearHeat]);
        assert_eq!(codes(&charger, &fuses, Apart::InSpace(here, solid(1000.0, 349.0))), [], "51 mm below");
        assert_eq!(codes(&charger, &fuses, Apart::Unknown), [Code::InputMissing]);
        let about = Apart::AtLeast { least_mm: 100.0, about_mm: 900.0 };
        assert_eq!(codes(&charger, &fuses, about), []);
    }

    #[test]
    fn a_compass_keeps_what_the_manufacturer_asks_or_a_meter_from_a_magnet() {
        let compass = BoardPart { compass: true, ..part("Steering compass") };
        let plotter = BoardPart { compass_safe_mm: Some(650.0), ..part("Plotter") };
        let speaker = BoardPart { magnetic: true, ..part("Speaker") };
        let about = |least_mm: f64, about_mm: f64| Apart::AtLeast { least_mm, about_mm };
        assert_eq!(codes(&compass, &plotter, about(0.0, 649.0)), [Code::TooNearCompass]);
        assert_eq!(codes(&plotter, &compass, about(650.0, 800.0)), []);
        assert_eq!(codes(&plotter, &compass, about(649.0, 800.0)), [Code::InputMissing], "may be too near");
        assert_eq!(codes(&speaker, &compass, about(0.0, 999.0)), [Code::TooNearCompass]);
        assert_eq!(
            codes(&compass, &speaker, Apart::Unknown),
            [Code::InputMissing],
            "never passed by default"
        );
        assert_eq!(codes(&compass, &part("Pump"), Apart::Unknown), []);
    }
}
