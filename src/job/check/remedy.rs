//! The nearest change that keeps a limit, where even the thickest sizes break it.
//!
//! The volts that a path loses grow with its length and with its load. So the share of either that keeps the limit
//! is the share of the volts. What is rounded is rounded down, to the safe side.

use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::{ElectricCurrent, ElectricPotential, Time};
use uom::si::time::second;

use crate::job::subject::Subject;
use crate::trade::protection::opening::{GOOD_TIME_S, Opener, opens_within};
use crate::trade::say::{Part, Statement, say};
use crate::trade::units::{Amount, amps, percent, volts};

/// For a drop in percent on a path from the battery.
pub(super) fn of_total_drop(chosen: Vec<Subject>, least: f64, limit: f64) -> Statement {
    say!(
        "Even the thickest sizes of {} lose {}. Shorten the path from the battery to {} of its length, or reduce its load \
         to that share.",
        Part::all(chosen),
        percent(least).beside(limit),
        whole_percent(limit / least)
    )
}

/// For a drop in percent on the conductors of one circuit.
pub(super) fn of_own_drop(least: f64, limit: f64) -> Statement {
    say!(
        "Even its thickest size loses {}. Shorten it to {} of its length, or reduce its load to that share.",
        percent(least).beside(limit),
        whole_percent(limit / least)
    )
}

/// For a device that gets too few volts: those at the battery's posts, the most that can arrive, and the needed ones.
pub(super) fn of_least_volts(posts_most_needs: [ElectricPotential; 3]) -> Statement {
    let [posts, most, needs] = posts_most_needs.map(|volts| volts.get::<volt>());
    if posts <= needs {
        return say!(
            "The battery itself has only {} then. No conductor helps. Use a stiffer battery, or a device for fewer volts.",
            volts(posts).beside(needs)
        );
    }
    say!(
        "Even the thickest sizes let only {} arrive. Shorten the path from the battery to {} of its length, or reduce its \
         load to that share.",
        volts(most).beside(needs),
        whole_percent((posts - needs) / (posts - most))
    )
}

/// For a fuse or breaker that a short circuit at the far end may not open: the largest rating that it opens.
pub(super) fn of_weak_fault(
    opener: &Opener,
    fault: ElectricCurrent,
    load: Option<ElectricCurrent>,
) -> Statement {
    let opens = |rating: &f64| {
        let other = Opener::usual(opener.family, ElectricCurrent::new::<ampere>(*rating));
        opens_within(&other, fault, Time::new::<second>(GOOD_TIME_S)) == Some(true)
    };
    let carries = |rating: &f64| load.is_none_or(|load| *rating >= load.get::<ampere>());
    match opener.family.made().iter().copied().filter(carries).rfind(opens) {
        Some(largest) => {
            say!("No thicker size is enough. Fit {} at most, or shorten the path.", amps(largest))
        }
        None => say!(
            "No thicker size is enough, and no rating for this load either. Shorten the path or divide the load."
        ),
    }
}

fn whole_percent(share: f64) -> Amount {
    percent((100.0 * share).clamp(0.0, 100.0).floor())
}
