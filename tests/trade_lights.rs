//! Navigation lights against the rules: every pattern for every class of boat, then boats as wired.
//!
//! Sources, as read in the texts of COLREGS 1972 and 33 CFR part 83 unless marked:
//! rule 21 arcs; rule 22 ranges; rule 23 (a) masthead, sides, stern (from memory); rule 23 (d) under
//! 12 m and under 7 m; rule 25 sail (from memory); rule 30 anchor.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use driploop::trade::finding::{Code, Level};
use driploop::trade::lights::{
    Drive, Fit, Fitted, Kind, MOST_SWITCHES, Review, TooManySwitches, Verdict, Vessel, least_range, review,
};
use uom::si::f64::{Length, Velocity};
use uom::si::length::{meter, nautical_mile};
use uom::si::velocity::knot;

const M: Kind = Kind::Masthead;
const RG: Kind = Kind::Sides;
const R: Kind = Kind::Port;
const G: Kind = Kind::Starboard;
const S: Kind = Kind::Stern;
const A: Kind = Kind::AllRound;

fn vessel(length: f64, speed: Option<f64>) -> Vessel {
    Vessel {
        length: Length::new::<meter>(length),
        top_speed: speed.map(Velocity::new::<knot>),
        drive: Drive::Engine,
    }
}

/// Lights that all hang on one switch: one combination beside the dark one.
fn together(kinds: &[Kind]) -> Vec<Fitted> {
    let fitted = |(at, kind): (usize, &Kind)| Fitted {
        name: format!("L{at}"),
        kind: *kind,
        switches: vec!["ON".into()],
    };
    kinds.iter().enumerate().map(fitted).collect()
}

fn wired(lights: &[(&str, Kind, &[&str])]) -> Vec<Fitted> {
    let fitted = |(name, kind, switches): &(&str, Kind, &[&str])| Fitted {
        name: (*name).into(),
        kind: *kind,
        switches: switches.iter().map(|switch| (*switch).to_owned()).collect(),
    };
    lights.iter().map(fitted).collect()
}

fn verdict(vessel: &Vessel, kinds: &[Kind]) -> Verdict {
    review(vessel, &together(kinds), &[]).unwrap().combinations.last().unwrap().verdict
}

#[test]
fn every_pattern_in_every_class() {
    use Verdict::{AtAnchor as Anc, Both, Neither as No, UnderWay as Way};
    let classes = [
        vessel(6.0, Some(7.0)),  // rule 23 (d): under 7 m and not over 7 kn
        vessel(6.0, None),       // the same, were the speed known
        vessel(6.0, Some(25.0)), // under 12 m
        vessel(7.0, Some(6.0)),  // 7 m is not under 7 m
        vessel(11.99, Some(30.0)),
        vessel(12.0, Some(20.0)), // rule 23 (a)
        vessel(49.9, Some(12.0)),
        vessel(50.0, Some(12.0)), // two mastheads; two anchor lights, rule 30 (a)
    ];
    let table: &[(&[Kind], [Verdict; 8], &str)] = &[
        (&[A], [Both, Anc, Anc, Anc, Anc, Anc, Anc, No], "23 (d), 30 (a), (b)"),
        (&[A, A], [Anc, Anc, Anc, Anc, Anc, Anc, Anc, Anc], "30 (a): two are always allowed"),
        (&[A, A, A], [No; 8], "20 (b)"),
        (&[A, RG], [Way, Way, Way, Way, Way, No, No, No], "23 (d)"),
        (&[A, R, G], [Way, Way, Way, Way, Way, No, No, No], "23 (d)"),
        (&[A, R], [No; 8], "21, 23 (d)"),
        (&[A, G], [No; 8], "21, 23 (d)"),
        (&[A, A, RG], [No; 8], "23 (d): an all-round light, one"),
        (&[A, RG, S], [No; 8], "23 (d): in lieu of masthead and stern"),
        (&[A, RG, M], [No; 8], "23 (d): in lieu of masthead and stern"),
        (&[A, RG, M, S], [No; 8], "23 (d)"),
        (&[A, M], [No; 8], "23 (d), 30"),
        (&[A, S], [No; 8], "23 (d), 30"),
        (&[M, RG, S], [Way, Way, Way, Way, Way, Way, Way, No], "23 (a); 50 m: second masthead"),
        (&[M, R, G, S], [Way, Way, Way, Way, Way, Way, Way, No], "23 (a)"),
        (&[M, M, RG, S], [Way; 8], "23 (a) (ii): may do so under 50 m"),
        (&[M, M, M, RG, S], [No; 8], "20 (b)"),
        (&[M, RG, S, S], [No; 8], "20 (b)"),
        (&[M, RG, RG, S], [No; 8], "20 (b)"),
        (&[M, RG], [No; 8], "23 (a): sternlight"),
        (&[RG, S], [No; 8], "23 (a): masthead"),
        (&[M, S], [No; 8], "23 (a): sides"),
        (&[M, R, S], [No; 8], "21, 23 (a)"),
        (&[RG], [No; 8], "23 (a): sides with no white"),
        (&[R], [No; 8], "21, 23 (a)"),
        (&[M], [No; 8], "21, 30: 225 degrees is no anchor light"),
        (&[S], [No; 8], "23 (a), 30"),
    ];
    for (kinds, expected, rule) in table {
        for (vessel, expected) in classes.iter().zip(expected) {
            assert_eq!(verdict(vessel, kinds), *expected, "{kinds:?} on {vessel:?} by rule {rule}");
        }
    }
}

#[test]
fn an_unknown_speed_is_said_and_not_passed() {
    let lights = wired(&[("All-round", A, &["ANC"])]);
    let review = review(&vessel(6.0, None), &lights, &[]).unwrap();
    assert!(matches!(review.combinations[1].under_way, Fit::Undecided { .. }));
    assert!(review.combinations[1].at_anchor.is_legal());
    let codes: Vec<_> = review.findings.iter().map(|finding| finding.code).collect();
    assert_eq!(codes, [Code::InputMissing]);
    assert!(review.findings[0].text.contains("top speed"), "{}", review.findings[0].text);
}

#[test]
fn a_small_slow_boat_is_told_to_burn_the_sidelights_it_has() {
    let lights = wired(&[("All-round", A, &["NAV", "ANC"]), ("Sides", RG, &["NAV"])]);
    let review = review(&vessel(6.5, Some(6.0)), &lights, &[]).unwrap();
    let Fit::Legal { remark, .. } = &on(&review, &["ANC"]).under_way else { panic!("rule 23 (d)") };
    assert!(remark.unwrap().contains("practicable"));
}

#[test]
fn under_sail_there_is_no_white_ahead() {
    // Rule 25 (a) and (e), from memory.
    let sail = Vessel { drive: Drive::SailOrOars, ..vessel(8.0, None) };
    assert_eq!(verdict(&sail, &[RG, S]), Verdict::UnderWay);
    assert_eq!(verdict(&sail, &[R, G, S]), Verdict::UnderWay);
    assert_eq!(verdict(&sail, &[M, RG, S]), Verdict::Neither);
    assert_eq!(verdict(&sail, &[A, RG]), Verdict::Neither);
    assert_eq!(verdict(&sail, &[RG]), Verdict::Neither);
    assert_eq!(verdict(&sail, &[A]), Verdict::AtAnchor);
}

fn on<'a>(review: &'a Review, on: &[&str]) -> &'a driploop::trade::lights::Combination {
    review.combinations.iter().find(|combination| combination.on == on).unwrap()
}

fn codes(review: &Review) -> Vec<Code> {
    review.findings.iter().map(|finding| finding.code).collect()
}

/// A centre console of 7.1 m and 33 kn, invented, as it should be: NAV lights sides and all-round, ANC
/// the all-round alone.
#[test]
fn a_boat_wired_right_has_no_finding() {
    let lights = wired(&[("Sides", RG, &["NAV"]), ("All-round", A, &["NAV", "ANC"])]);
    let review = review(&vessel(7.1, Some(33.0)), &lights, &[]).unwrap();
    assert_eq!(review.switches, ["NAV", "ANC"]);
    let verdicts: Vec<_> = review.combinations.iter().map(|combination| combination.verdict).collect();
    assert_eq!(verdicts, [Verdict::Dark, Verdict::UnderWay, Verdict::AtAnchor, Verdict::UnderWay]);
    assert_eq!(codes(&review), []);
    assert_eq!(
        review.asked[0].result,
        "all-round white and sidelights; or masthead, sidelights and sternlight"
    );
}

#[test]
fn sides_on_their_own_switch_are_a_trap_but_no_fault() {
    let lights = wired(&[("Sides", RG, &["NAV"]), ("All-round", A, &["ANC"])]);
    let review = review(&vessel(7.1, Some(33.0)), &lights, &[]).unwrap();
    assert_eq!(on(&review, &["NAV"]).verdict, Verdict::Neither);
    assert_eq!(on(&review, &["NAV", "ANC"]).verdict, Verdict::UnderWay);
    assert_eq!(codes(&review), [Code::LightsMislead]);
    assert_eq!(review.findings[0].level, Level::Note);
    assert!(review.findings[0].text.contains("NAV on: the sidelights burn with no white light"));
}

#[test]
fn an_anchor_light_that_cannot_be_lit_alone_is_found() {
    let lights = wired(&[("Sides", RG, &["NAV"]), ("All-round", A, &["NAV"])]);
    let review = review(&vessel(7.1, Some(33.0)), &lights, &[]).unwrap();
    assert_eq!(codes(&review), [Code::NoLightAtAnchor]);
    assert!(review.findings[0].text.contains("cannot be lit alone"));
}

#[test]
fn an_all_round_light_dark_under_way_is_found() {
    // The sides stay on whatever the switch says, so the only white light burns with them or not at all;
    // here the all-round hangs on a circuit of its own that also lights a second masthead.
    let lights = wired(&[("Sides", RG, &["NAV"]), ("All-round", A, &["ANC"]), ("Deck", M, &["ANC"])]);
    let found = review(&vessel(7.1, Some(33.0)), &lights, &[]).unwrap();
    assert_eq!(codes(&found), [Code::NoLightsUnderWay, Code::NoLightAtAnchor, Code::LightsMislead]);
    let no_sides = wired(&[("All-round", A, &["ANC"])]);
    let found = review(&vessel(7.1, Some(33.0)), &no_sides, &[]).unwrap();
    assert_eq!(codes(&found), [Code::NoLightsUnderWay]);
    assert!(found.findings[0].text.contains("the sidelights are not fitted"));
}

#[test]
fn a_light_without_a_switch_burns_in_every_combination() {
    let lights = wired(&[("Sides", RG, &[]), ("All-round", A, &["ANC"])]);
    let review = review(&vessel(7.1, Some(33.0)), &lights, &[]).unwrap();
    assert_eq!(on(&review, &[]).verdict, Verdict::Neither);
    assert_eq!(codes(&review), [Code::NoLightAtAnchor, Code::LightsMislead]);
    assert!(review.findings[1].text.contains("all switches off"));
}

#[test]
fn no_light_at_all_is_missing_input() {
    let review = review(&vessel(7.1, Some(33.0)), &[], &[]).unwrap();
    assert_eq!(codes(&review), [Code::InputMissing]);
}

#[test]
fn a_fifty_metre_boat_lacks_its_second_anchor_light() {
    let lights = wired(&[
        ("All-round", A, &["ANC"]),
        ("M1", M, &["NAV"]),
        ("M2", M, &["NAV"]),
        ("Sides", RG, &["NAV"]),
        ("Stern", S, &["NAV"]),
    ]);
    let review = review(&vessel(50.0, Some(14.0)), &lights, &[]).unwrap();
    assert_eq!(codes(&review), [Code::NoLightAtAnchor, Code::LightsMislead]);
}

#[test]
fn more_switches_than_can_be_read_are_refused() {
    let lights: Vec<_> = (0..=MOST_SWITCHES)
        .map(|at| Fitted { name: format!("L{at}"), kind: A, switches: vec![format!("S{at}")] })
        .collect();
    assert_eq!(review(&vessel(7.0, None), &lights, &[]), Err(TooManySwitches(MOST_SWITCHES + 1)));
}

#[test]
fn ranges_follow_rule_22() {
    // Rule 22 (a) to (d): masthead, side, stern, all-round.
    let table = [
        (11.9, [2.0, 1.0, 2.0, 2.0]),
        (12.0, [3.0, 2.0, 2.0, 2.0]),
        (20.0, [5.0, 2.0, 2.0, 2.0]),
        (50.0, [6.0, 3.0, 3.0, 3.0]),
    ];
    for (length, expected) in table {
        for (kind, miles) in [M, RG, S, A].into_iter().zip(expected) {
            let found = least_range(kind, Length::new::<meter>(length)).range.get::<nautical_mile>();
            assert!((found - miles).abs() < 1e-12, "{kind:?} on {length} m: {found}");
        }
    }
}

#[test]
fn a_switch_with_two_throws_shows_one_of_them() {
    // The usual three-way navigation switch: sides and all-round light in one throw, the all-round light alone
    // in the other (rules 23 (d) and 30, as `tests/reference` of the light rules has them).
    let fitted = |name: &str, kind, switches: &[&str]| Fitted {
        name: name.to_owned(),
        kind,
        switches: switches.iter().map(|switch| (*switch).to_owned()).collect(),
    };
    let lights = [
        fitted("Side lights", Kind::Sides, &["NAV: RUN"]),
        fitted("All-round light", Kind::AllRound, &["NAV: RUN", "NAV: ANCHOR"]),
    ];
    let apart = [vec!["NAV: RUN".to_owned(), "NAV: ANCHOR".to_owned()]];
    let review = review(&vessel(7.1, Some(33.0)), &lights, &apart).unwrap();
    let verdicts: Vec<_> = review.combinations.iter().map(|one| (one.on.join(" "), one.verdict)).collect();
    let expected = [
        (String::new(), Verdict::Dark),
        ("NAV: RUN".to_owned(), Verdict::UnderWay),
        ("NAV: ANCHOR".to_owned(), Verdict::AtAnchor),
    ];
    assert_eq!(verdicts, expected);
    assert_eq!(review.findings, []);
}
