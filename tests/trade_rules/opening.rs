//! Opening times, interrupt rating, order of opening.

use driploop::trade::coordination;
use driploop::trade::finding::{Code, RuleFinding};
use driploop::trade::protection::Family;
use driploop::trade::protection::opening::{
    MotorSurge, Opener, TimeAtCurrent, judge_far_end, judge_inrush, judge_interrupt, judge_word,
    opens_within, rides_through, times,
};
use driploop::trade::rules::RuleSet;
use proptest::prelude::*;
use uom::si::f64::Time;
use uom::si::time::second;

use crate::{amperes, close, rows};

const CURVES: &str = include_str!("../reference/fuse_curves.csv");

fn seconds(value: f64) -> Time {
    Time::new::<second>(value)
}

fn inrush(current: f64, lasts: f64) -> MotorSurge {
    MotorSurge { current: amperes(current), lasts: seconds(lasts) }
}

fn usual(family: Family) -> Opener {
    Opener::usual(family, amperes(10.0))
}

fn code(finding: Option<RuleFinding>) -> Option<Code> {
    finding.map(|finding| finding.code)
}

// From memory: ISO 8820-3, every point. At 110 % a fuse lasts 100 hours: it is said not to open.
#[test]
fn every_point_of_the_blade_band() {
    for family in [Family::BladeFuse, Family::MiniBladeFuse] {
        for row in rows(CURVES) {
            let current = amperes(10.0 * row.number("percent_of_rating") / 100.0);
            let opening = times(family, amperes(10.0), current).unwrap();
            match opening.earliest {
                Some(earliest) => close(earliest.get::<second>(), row.number("min_s"), 1e-9),
                None => assert_eq!(row.text("percent_of_rating"), "110"),
            }
            match opening.latest {
                Some(latest) => close(latest.get::<second>(), row.number("max_s"), 1e-9),
                None => assert_eq!(row.text("max_s"), ""),
            }
        }
    }
}

// Straight on logarithmic paper: halfway between 160 and 200 % by logarithm, times are geometric means.
#[test]
fn between_points_the_band_is_straight_on_logarithmic_paper() {
    let middle = amperes(10.0 * (1.6_f64 * 2.0).sqrt());
    let opening = times(Family::BladeFuse, amperes(10.0), middle).unwrap();
    close(opening.earliest.unwrap().get::<second>(), (0.25_f64 * 0.15).sqrt(), 1e-9);
    close(opening.latest.unwrap().get::<second>(), (50.0_f64 * 5.0).sqrt(), 1e-9);
}

#[test]
fn outside_the_points_the_answer_is_the_worse_one() {
    let at = |percent: f64| times(Family::BladeFuse, amperes(10.0), amperes(percent / 10.0)).unwrap();
    assert_eq!(at(120.0).earliest, Some(seconds(0.75)));
    assert_eq!(at(120.0).latest, None);
    assert_eq!(at(900.0).earliest, Some(seconds(0.0)));
    assert_eq!(at(900.0).latest, Some(seconds(0.1)));
}

#[test]
fn inrush_rides_through_or_does_not() {
    let ride = |current, lasts| rides_through(&usual(Family::BladeFuse), &inrush(current, lasts));
    assert_eq!(ride(10.0, 3600.0), Some(true));
    assert_eq!(ride(20.0, 0.15), Some(true));
    assert_eq!(ride(20.0, 0.16), Some(false));
    assert_eq!(ride(70.0, 0.001), Some(false));
    assert_eq!(ride(f64::NAN, 0.1), Some(false));
    let breaker = |current| code(judge_inrush(&usual(Family::Breaker), &inrush(current, 0.1)));
    assert_eq!(breaker(9.0), None);
    assert_eq!(breaker(20.0), Some(Code::InputMissing));
    let finding = judge_inrush(&usual(Family::BladeFuse), &inrush(35.0, 0.2)).unwrap();
    assert_eq!(finding.code, Code::InrushBlowsFuse);
    close(finding.against.unwrap().limit, 0.04, 1e-9);
    assert!(finding.working.is_some());
}

#[test]
fn a_fault_opens_the_fuse_in_good_time_or_is_too_weak() {
    let far = |family, fault: Option<f64>| code(judge_far_end(&usual(family), fault.map(amperes)));
    assert_eq!(far(Family::BladeFuse, Some(20.0)), None);
    assert_eq!(far(Family::BladeFuse, Some(19.9)), Some(Code::FaultTooLow));
    assert_eq!(far(Family::BladeFuse, Some(12.0)), Some(Code::FaultTooLow));
    assert_eq!(far(Family::BladeFuse, Some(f64::NAN)), Some(Code::FaultTooLow));
    assert_eq!(far(Family::BladeFuse, None), Some(Code::InputMissing));
    assert_eq!(far(Family::Breaker, Some(60.0)), None);
    assert_eq!(far(Family::Breaker, Some(30.0)), Some(Code::InputMissing));
    assert_eq!(far(Family::Breaker, Some(10.0)), Some(Code::FaultTooLow));
    assert_eq!(opens_within(&usual(Family::Breaker), amperes(60.0), seconds(0.1)), None);
}

/// What a breaker's manufacturer says goes as far as it says and no further.
#[test]
fn the_manufacturers_data_covers_what_it_says() {
    let point = |current, time| Some(TimeAtCurrent { current: amperes(current), time: seconds(time) });
    let breaker = Opener { carries: point(30.0, 0.5), opens: point(40.0, 2.0), ..usual(Family::Breaker) };
    let start = |current, lasts| code(judge_inrush(&breaker, &inrush(current, lasts)));
    assert_eq!(start(30.0, 0.5), None);
    assert_eq!(start(30.1, 0.5), Some(Code::InputMissing));
    assert_eq!(start(30.0, 0.51), Some(Code::InputMissing));
    assert_eq!(start(f64::NAN, 0.1), Some(Code::InputMissing));
    let far = |fault| code(judge_far_end(&breaker, Some(amperes(fault))));
    assert_eq!(far(40.0), None);
    assert_eq!(far(39.9), Some(Code::InputMissing));
    assert_eq!(far(9.0), Some(Code::FaultTooLow));
    let slow = Opener { opens: point(40.0, 60.0), ..breaker };
    assert_eq!(code(judge_far_end(&slow, Some(amperes(45.0)))), Some(Code::InputMissing));
}

/// What cannot be so: under 110 % nothing is sure to open, a blade fuse opens no sooner than the band's lower edge
/// (0.75 s at 135 %, 0.15 s at 200 %), and nothing carries twice its rating for ten minutes.
#[test]
fn impossible_data_of_the_manufacturer_is_reported() {
    let point = |(current, time)| TimeAtCurrent { current: amperes(current), time: seconds(time) };
    let opens = |family, said| {
        code(judge_word(&Opener { opens: Some(point(said)), ..usual(family) })) == Some(Code::CurveImpossible)
    };
    let carries = |family, said| {
        code(judge_word(&Opener { carries: Some(point(said)), ..usual(family) }))
            == Some(Code::CurveImpossible)
    };
    for family in Family::ALL {
        assert!(opens(family, (10.9, 3600.0)), "{family:?}");
        assert!(carries(family, (20.0, 600.0)), "{family:?}");
        assert!(!carries(family, (19.9, 1.0)), "{family:?}");
    }
    assert!(opens(Family::BladeFuse, (11.0, 3600.0)));
    assert!(!opens(Family::Breaker, (11.0, 3600.0)));
    assert!(opens(Family::BladeFuse, (13.5, 0.74)));
    assert!(!opens(Family::BladeFuse, (13.5, 0.76)));
    assert!(opens(Family::MiniBladeFuse, (20.0, 0.14)));
    assert!(!opens(Family::MiniBladeFuse, (20.0, 0.16)));
    assert!(!opens(Family::BladeFuse, (70.0, 0.001)));
    assert!(!carries(Family::Breaker, (20.0, 599.0)));
    assert!(!carries(Family::Breaker, (19.9, 600.0)));
}

#[test]
fn protection_breaks_the_fault_or_does_not() {
    let breaks = |family, own: Option<f64>, fault: Option<f64>| {
        code(judge_interrupt(RuleSet::Us, family, own.map(amperes), fault.map(amperes)))
    };
    assert_eq!(breaks(Family::BladeFuse, None, Some(1000.0)), None);
    assert_eq!(breaks(Family::BladeFuse, None, Some(1001.0)), Some(Code::InterruptUnconfirmed));
    assert_eq!(breaks(Family::BladeFuse, Some(1000.0), Some(1001.0)), Some(Code::InterruptUnderFault));
    assert_eq!(breaks(Family::BladeFuse, Some(2000.0), Some(1001.0)), None);
    assert_eq!(breaks(Family::Breaker, None, Some(500.0)), Some(Code::InputMissing));
    assert_eq!(breaks(Family::Breaker, Some(1500.0), None), Some(Code::InputMissing));
    assert_eq!(breaks(Family::ClassTFuse, None, Some(20_000.0)), None);
}

// Common practice, no source: the feeder's rating at least twice the branch's.
#[test]
fn the_branch_opens_before_its_feeder() {
    let order = |feeders: &[f64], branch: Option<f64>| {
        let feeders: Vec<_> = feeders.iter().copied().map(amperes).collect();
        code(coordination::judge(&feeders, branch.map(amperes)))
    };
    assert_eq!(order(&[60.0], Some(30.0)), None);
    assert_eq!(order(&[60.0], Some(35.0)), Some(Code::FeederMayTripToo));
    assert_eq!(order(&[60.0], Some(60.0)), Some(Code::FeederTripsFirst));
    assert_eq!(order(&[], Some(30.0)), Some(Code::InputMissing));
    assert_eq!(order(&[60.0], None), Some(Code::InputMissing));
    assert_eq!(order(&[60.0, 60.0], Some(60.0)), None);
    assert_eq!(order(&[60.0, 40.0], Some(60.0)), Some(Code::FeederMayTripToo));
    assert_eq!(order(&[60.0, 60.0], Some(120.0)), Some(Code::FeederTripsFirst));
}

proptest! {
    /// More current never opens a fuse later, and the edges never cross.
    #[test]
    fn more_current_opens_no_later(less in 1.0..12.0_f64, more in 0.0..3.0_f64) {
        let at = |times_rating: f64| times(Family::BladeFuse, amperes(10.0), amperes(10.0 * times_rating)).unwrap();
        let (first, second_) = (at(less), at(less + more));
        let upper = |time: Option<Time>| time.map_or(f64::INFINITY, |time| time.get::<second>());
        prop_assert!(upper(second_.earliest) <= upper(first.earliest) * (1.0 + 1e-12));
        prop_assert!(upper(second_.latest) <= upper(first.latest) * (1.0 + 1e-12));
        prop_assert!(first.earliest.is_none() || upper(first.earliest) <= upper(first.latest));
    }
}
