//! Whether a screw has sufficient thread engagement, and the pilot hole to drill for it.

use serde::Serialize;

use crate::trade::finding::{Code, RuleFinding};
use crate::trade::quantity::Quantity;
use crate::trade::say::{Part, say};
use crate::trade::source::{ISO_1478, PILOT_HOLES, SCREW_HOLD};
use crate::trade::units::{mm, percent};
use crate::trade::working::{Working, figure, keeps_to};

/// A self-tapping screw by its thread, with its pilot holes.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Screw {
    /// The number it is sold under: 8 for a No. 8.
    pub number: u8,
    /// Outer diameter of its thread.
    pub thread_mm: f64,
    /// Pilot hole in glass laminate.
    pub pilot_laminate_mm: f64,
    /// Pilot hole in plywood and hard plastic board.
    pub pilot_board_mm: f64,
}

/// The screws that parts are mounted with. Diameters by ISO 1478 from memory; holes common practice, no
/// source.
pub const SCREWS: [Screw; 6] = [
    Screw { number: 4, thread_mm: 2.9, pilot_laminate_mm: 2.4, pilot_board_mm: 2.0 },
    Screw { number: 6, thread_mm: 3.5, pilot_laminate_mm: 2.8, pilot_board_mm: 2.4 },
    Screw { number: 8, thread_mm: 4.2, pilot_laminate_mm: 3.3, pilot_board_mm: 2.8 },
    Screw { number: 10, thread_mm: 4.8, pilot_laminate_mm: 3.8, pilot_board_mm: 3.2 },
    Screw { number: 12, thread_mm: 5.5, pilot_laminate_mm: 4.4, pilot_board_mm: 3.7 },
    Screw { number: 14, thread_mm: 6.3, pilot_laminate_mm: 5.1, pilot_board_mm: 4.2 },
];

impl Screw {
    /// The standard screw with this thread diameter.
    pub fn of(thread_mm: f64) -> Option<&'static Self> {
        SCREWS.iter().find(|screw| (screw.thread_mm - thread_mm).abs() <= SAME_MM)
    }
}

/// The largest difference between a standard diameter and the given one at which both count as the same
/// screw.
const SAME_MM: f64 = 0.25;

/// Thread engagement in plywood or plastic board, in thread diameters, that a screw needs to hold a part.
const BOARD_DIAMETERS: f64 = 3.0;
/// The same in solid glass laminate.
const LAMINATE_DIAMETERS: f64 = 1.5;

/// The layers that a screw goes into, from its head on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ground {
    /// Thickness of the board; `None` where parts are mounted directly on the laminate.
    pub board_mm: Option<f64>,
    /// Thickness of the laminate directly behind it.
    pub laminate_mm: Option<f64>,
}

/// The result of checking a screw in its layers.
#[derive(Debug, Clone, PartialEq)]
pub struct Hold {
    /// The pilot hole to drill, where the screw is a standard one.
    pub pilot_mm: Option<f64>,
    /// How the thread engagement was calculated.
    pub workings: Vec<Working>,
    /// What is wrong.
    pub findings: Vec<RuleFinding>,
}

/// Checks the thread engagement of a screw in its layers.
pub fn hold(thread_mm: f64, ground: Ground) -> Hold {
    let screw = Screw::of(thread_mm);
    let pilot = screw.and_then(|screw| pilot(screw, ground));
    let mut hold = Hold { pilot_mm: pilot, workings: Vec::new(), findings: Vec::new() };
    hold.workings.extend(screw.zip(pilot).map(|(screw, pilot)| drilled(screw, pilot)));
    if screw.is_none() {
        hold.findings.push(not_made(thread_mm));
    }
    if ground.board_mm.is_none() && ground.laminate_mm.is_none() {
        let lacks = "the thickness of the board or of the laminate";
        hold.findings.push(RuleFinding::missing(lacks, "the thread engagement of its screws"));
        return hold;
    }
    let (share, working) = share(thread_mm, ground);
    if !keeps_to(1.0, share) {
        hold.findings.push(too_thin(thread_mm, share, working.clone()));
    }
    hold.workings.push(working);
    hold
}

/// The pilot hole is chosen for the layer that the thread meets first.
fn pilot(screw: &Screw, ground: Ground) -> Option<f64> {
    match ground {
        Ground { board_mm: Some(_), .. } => Some(screw.pilot_board_mm),
        Ground { laminate_mm: Some(_), .. } => Some(screw.pilot_laminate_mm),
        _ => None,
    }
}

fn drilled(screw: &Screw, pilot_mm: f64) -> Working {
    Working {
        what: Quantity::PilotHole,
        formula: "by the screw and what it goes into",
        numbers: format!("No. {} screw, {} mm thread", screw.number, screw.thread_mm).into(),
        result: format!("{pilot_mm} mm").into(),
        source: &PILOT_HOLES,
    }
}

/// The thread engagement as a share of what the screw needs. Board and laminate each count by their own
/// requirement.
fn share(thread_mm: f64, ground: Ground) -> (f64, Working) {
    let terms = [(ground.board_mm, BOARD_DIAMETERS), (ground.laminate_mm, LAMINATE_DIAMETERS)];
    let given = || terms.iter().filter_map(|(thick, need)| Some(((*thick)?, *need)));
    let share = given().map(|(thick, need)| thick / (need * thread_mm)).sum();
    let numbers: Vec<String> =
        given().map(|(thick, need)| format!("{thick} mm / ({need} x {thread_mm} mm)")).collect();
    let working = Working {
        what: Quantity::ThreadEngagement,
        formula: "board / (3 d) + laminate / (1.5 d), at least 1",
        numbers: numbers.join(" + ").into(),
        result: figure(share).into(),
        source: &SCREW_HOLD,
    };
    (share, working)
}

fn too_thin(thread_mm: f64, share: f64, working: Working) -> RuleFinding {
    let backing = ((1.0 - share) * BOARD_DIAMETERS * thread_mm).ceil();
    let text = say!(
        "A screw of {} gets {} of the thread engagement that it needs. Put a backing board of at least {} behind it, or \
         bolt it through with large washers.",
        mm(thread_mm),
        percent(100.0 * share).beside(100.0),
        mm(backing)
    );
    RuleFinding::new(Code::ThreadTooShort, text)
        .against(share, 1.0, "of the thread it needs")
        .working(working)
}

fn not_made(thread_mm: f64) -> RuleFinding {
    let text = say!(
        "No pilot hole is known for a screw of {}. Use a standard screw of {}, as {} lists them.",
        mm(thread_mm),
        Part::any(SCREWS.iter().map(|screw| mm(screw.thread_mm))),
        ISO_1478.title
    );
    RuleFinding::new(Code::InputMissing, text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::units::Units;

    fn ground(board_mm: Option<f64>, laminate_mm: Option<f64>) -> Ground {
        Ground { board_mm, laminate_mm }
    }

    #[test]
    fn a_screw_holds_in_a_board_three_diameters_thick_or_half_that_of_laminate() {
        let codes = |board, laminate| -> Vec<Code> {
            hold(4.2, ground(board, laminate)).findings.iter().map(|finding| finding.code).collect()
        };
        assert_eq!(codes(Some(12.6), None), []);
        assert_eq!(codes(Some(12.5), None), [Code::ThreadTooShort]);
        assert_eq!(codes(None, Some(6.3)), []);
        assert_eq!(codes(Some(6.3), Some(3.15)), [], "half of each");
        assert_eq!(codes(None, None), [Code::InputMissing], "never passed by default");
    }

    #[test]
    fn a_backing_board_makes_up_what_is_missing() {
        let held = hold(4.2, ground(None, Some(3.0)));
        let text = held.findings[0].text.text(Units::Metric);
        assert!(text.contains("at least 7 mm"), "{text}");
        assert_eq!(hold(4.2, ground(Some(7.0), Some(3.0))).findings, []);
    }

    #[test]
    fn the_hole_is_smaller_than_its_thread_and_wider_in_what_does_not_give() {
        for pair in SCREWS.windows(2) {
            assert!(pair[0].thread_mm < pair[1].thread_mm && pair[0].pilot_board_mm < pair[1].pilot_board_mm);
        }
        for screw in SCREWS {
            assert!(
                screw.pilot_board_mm < screw.pilot_laminate_mm && screw.pilot_laminate_mm < screw.thread_mm
            );
        }
        assert_eq!(hold(3.5, ground(Some(12.0), None)).pilot_mm, Some(2.4));
        assert_eq!(hold(8.0, ground(Some(40.0), None)).pilot_mm, None);
    }
}
