//! Navigation lights against the rules: every pattern for every class of boat, then boats as wired.
//!
//! Sources, as read in the texts of COLREGS 1972 and 33 CFR part 83 unless marked:
//! rule 20 (b) (from memory); rule 21 arcs; rule 22 ranges; rule 23 (a) masthead, sides, stern; rule 23 (d) under
//! 12 m and under 7 m; rule 25 sail and oars; rule 30 anchor.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use driploop::trade::finding::{Code, Level, RuleFinding};
use driploop::trade::lights::{
    Doing, Drive, FittedLight, Legality, LightKind, MOST_SWITCHES, Review, TooManySwitches, Vessel,
    least_range, review,
};
use driploop::trade::quantity::Quantity;
use driploop::trade::units::Units;
use uom::si::f64::{Length, Velocity};
use uom::si::length::{meter, nautical_mile};
use uom::si::velocity::knot;

const M: LightKind = LightKind::Masthead;
const RG: LightKind = LightKind::Sides;
const R: LightKind = LightKind::Port;
const G: LightKind = LightKind::Starboard;
const S: LightKind = LightKind::Stern;
const A: LightKind = LightKind::AllRound;
const T: LightKind = LightKind::Tricolor;
const P: LightKind = LightKind::RedOverGreen;

const WAY: &[Doing] = &[Doing::UnderPower];
const SAIL: &[Doing] = &[Doing::UnderSail];
const OARS: &[Doing] = &[Doing::UnderOars];
const ANC: &[Doing] = &[Doing::AtAnchor];
const BOTH: &[Doing] = &[Doing::UnderPower, Doing::AtAnchor];
const NO: &[Doing] = &[];

/// What a finding says.
fn said(finding: &RuleFinding) -> String {
    finding.text.text(Units::Us)
}

/// A light as written in a table: its name, its kind, its switches.
type Wired<'a> = (&'a str, LightKind, &'a [&'a str]);
/// Lights that burn, what they are legal for on each of so many boats, and the rule.
type Row<'a, const BOATS: usize> = (&'a [LightKind], [&'a [Doing]; BOATS], &'a str);

fn vessel(length: f64, speed: Option<f64>) -> Vessel {
    Vessel {
        length: Length::new::<meter>(length),
        top_speed: speed.map(Velocity::new::<knot>),
        drive: Drive::Engine,
    }
}

/// Lights that all hang on one switch: one combination beside the dark one.
fn together(kinds: &[LightKind]) -> Vec<FittedLight> {
    let fitted = |(at, kind): (usize, &LightKind)| FittedLight {
        name: format!("L{at}"),
        kind: *kind,
        switches: vec!["ON".into()],
    };
    kinds.iter().enumerate().map(fitted).collect()
}

fn wired(lights: &[Wired<'_>]) -> Vec<FittedLight> {
    let fitted = |(name, kind, switches): &(&str, LightKind, &[&str])| FittedLight {
        name: (*name).into(),
        kind: *kind,
        switches: switches.iter().map(|switch| (*switch).to_owned()).collect(),
    };
    lights.iter().map(fitted).collect()
}

fn good_for(vessel: &Vessel, kinds: &[LightKind]) -> Vec<Doing> {
    review(vessel, &together(kinds), &[]).unwrap().combinations.pop().unwrap().good_for
}

fn shows(review: &Review) -> Vec<String> {
    review.combinations.iter().map(|one| format!("{}: {}", one.on.join(" "), one.words())).collect()
}

#[test]
fn every_pattern_in_every_class() {
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
    let table: &[Row<'_, 8>] = &[
        (&[A], [BOTH, ANC, ANC, ANC, ANC, ANC, ANC, NO], "23 (d), 30 (a), (b)"),
        (&[A, A], [ANC, ANC, ANC, ANC, ANC, ANC, ANC, ANC], "30 (a): two are always allowed"),
        (&[A, A, A], [NO; 8], "20 (b)"),
        (&[A, RG], [WAY, WAY, WAY, WAY, WAY, NO, NO, NO], "23 (d)"),
        (&[A, R, G], [WAY, WAY, WAY, WAY, WAY, NO, NO, NO], "23 (d)"),
        (&[A, R], [NO; 8], "21, 23 (d)"),
        (&[A, G], [NO; 8], "21, 23 (d)"),
        (&[A, A, RG], [NO; 8], "23 (d): an all-round light, one"),
        (&[A, RG, S], [NO; 8], "23 (d): in lieu of masthead and stern"),
        (&[A, RG, M], [NO; 8], "23 (d): in lieu of masthead and stern"),
        (&[A, RG, M, S], [NO; 8], "23 (d)"),
        (&[A, M], [NO; 8], "23 (d), 30"),
        (&[A, S], [NO; 8], "23 (d), 30"),
        (&[M, RG, S], [WAY, WAY, WAY, WAY, WAY, WAY, WAY, NO], "23 (a); 50 m: second masthead"),
        (&[M, R, G, S], [WAY, WAY, WAY, WAY, WAY, WAY, WAY, NO], "23 (a)"),
        (&[M, M, RG, S], [WAY; 8], "23 (a) (ii): may do so under 50 m"),
        (&[M, M, M, RG, S], [NO; 8], "20 (b)"),
        (&[M, RG, S, S], [NO; 8], "20 (b)"),
        (&[M, RG, RG, S], [NO; 8], "20 (b)"),
        (&[M, RG], [NO; 8], "23 (a): sternlight"),
        (&[RG, S], [NO; 8], "23 (a): masthead"),
        (&[M, S], [NO; 8], "23 (a): sides"),
        (&[M, R, S], [NO; 8], "21, 23 (a)"),
        (&[RG], [NO; 8], "23 (a): sides with no white"),
        (&[R], [NO; 8], "21, 23 (a)"),
        (&[M], [NO; 8], "21, 30: 225 degrees is no anchor light"),
        (&[S], [NO; 8], "23 (a), 30"),
        (&[T], [NO; 8], "25 (b): a sailing vessel's"),
        (&[M, T], [NO; 8], "23 (a): sides and sternlight apart"),
        (&[M, RG, S, T], [NO; 8], "25 (b)"),
        (&[M, RG, S, P], [NO; 8], "25 (c): a sailing vessel's"),
        (&[A, T], [NO; 8], "25 (b), 30"),
        (&[A, P], [NO; 8], "25 (c), 30"),
    ];
    for (kinds, expected, rule) in table {
        for (vessel, expected) in classes.iter().zip(expected) {
            assert_eq!(good_for(vessel, kinds), *expected, "{kinds:?} on {vessel:?} by rule {rule}");
        }
    }
}

#[test]
fn an_unknown_speed_is_said_and_not_passed() {
    let lights = wired(&[("All-round", A, &["ANC"])]);
    let review = review(&vessel(6.0, None), &lights, &[]).unwrap();
    assert!(matches!(review.combinations[1].fit(Doing::UnderPower), Some(Legality::Undecided { .. })));
    assert!(review.combinations[1].fit(Doing::AtAnchor).unwrap().is_legal());
    let codes: Vec<_> = review.findings.iter().map(|finding| finding.code).collect();
    assert_eq!(codes, [Code::InputMissing]);
    assert!(said(&review.findings[0]).contains("top speed"), "{}", said(&review.findings[0]));
}

#[test]
fn a_small_slow_boat_has_to_show_the_sidelights_it_has() {
    let lights = wired(&[("All-round", A, &["NAV", "ANC"]), ("Sides", RG, &["NAV"])]);
    let review = review(&vessel(6.5, Some(6.0)), &lights, &[]).unwrap();
    let fit = on(&review, &["ANC"]).fit(Doing::UnderPower);
    let Some(Legality::Legal { remark, .. }) = fit else { panic!("rule 23 (d)") };
    assert!(remark.unwrap().contains("practicable"));
}

#[test]
fn every_pattern_under_sail() {
    // Rule 25 (a) sides and stern; (b) one lantern under 20 m; (c) red over green with (a) and never with (b).
    let sail = |length: f64| Vessel { drive: Drive::Sail, ..vessel(length, None) };
    let boats = [sail(6.0), sail(9.0), sail(19.99), sail(20.0)];
    let table: &[Row<'_, 4>] = &[
        (&[RG, S], [SAIL; 4], "25 (a)"),
        (&[R, G, S], [SAIL; 4], "25 (a)"),
        (&[T], [SAIL, SAIL, SAIL, NO], "25 (b): of less than 20 meters"),
        (&[RG, S, P], [SAIL; 4], "25 (c)"),
        (&[T, P], [NO; 4], "25 (c): not in conjunction"),
        (&[P], [NO; 4], "25 (c): in addition to (a)"),
        (&[RG, S, P, P], [NO; 4], "20 (b)"),
        (&[T, RG], [NO; 4], "25 (b): combined in one lantern"),
        (&[T, S], [NO; 4], "25 (b)"),
        (&[T, RG, S], [NO; 4], "25 (b)"),
        (&[T, T], [NO; 4], "20 (b)"),
        (&[T, M], [NO; 4], "25 (b): no masthead light"),
        (&[T, A], [NO; 4], "25 (b): no all-round white"),
        (&[M, RG, S], [NO; 4], "25 (a): no masthead light"),
        (&[A, RG], [NO; 4], "25 (a)"),
        (&[A, RG, S], [NO; 4], "25 (a)"),
        (&[RG], [NO; 4], "25 (a): sternlight"),
        (&[S], [NO; 4], "25 (a): sides"),
        (&[R, S], [NO; 4], "21, 25 (a)"),
        (&[RG, S, S], [NO; 4], "20 (b)"),
        (&[A], [ANC; 4], "30 (b)"),
    ];
    for (kinds, expected, rule) in table {
        for (boat, expected) in boats.iter().zip(expected) {
            assert_eq!(good_for(boat, kinds), *expected, "{kinds:?} on {boat:?} by rule {rule}");
            let oars = Vessel { drive: Drive::Oars, ..*boat };
            let expected = if *expected == SAIL { OARS } else { expected };
            assert_eq!(good_for(&oars, kinds), expected, "{kinds:?} on {oars:?} by rule 25 (d) (ii)");
        }
    }
}

/// A sloop of 9 m with an auxiliary engine that makes 6 kn, invented.
fn sloop() -> Vessel {
    Vessel { drive: Drive::EngineOrSail, ..vessel(9.0, Some(6.0)) }
}

#[test]
fn a_sloop_with_every_light_on_its_own_switch() {
    // By rule 23 (a) under power: steaming light, sides, stern; by rule 23 (d) all-round with sides as well.
    // By rule 25 (a) under sail: sides and stern, no more. By rule 30 (b) at anchor: all-round alone.
    let lights = wired(&[
        ("Sides", RG, &["NAV"]),
        ("Stern", S, &["NAV"]),
        ("Steaming", M, &["STEAM"]),
        ("All-round", A, &["ANC"]),
    ]);
    let review = review(&sloop(), &lights, &[]).unwrap();
    let expected = [
        ": dark",
        "NAV: under sail",
        "STEAM: wrong",
        "ANC: at anchor",
        "NAV STEAM: under power",
        "NAV ANC: wrong",
        "STEAM ANC: wrong",
        "NAV STEAM ANC: wrong",
    ];
    assert_eq!(shows(&review), expected);
    assert_eq!(codes(&review), [Code::LightsMislead]);
    let text = said(&review.findings[0]);
    assert!(text.contains("NAV + ANC on: as lights under power, the sternlight doubles"), "{text}");
    let asked: Vec<_> = review.asked.iter().map(|one| (one.what, one.result.to_string())).collect();
    let asked: Vec<_> = asked.iter().map(|(what, result)| (*what, result.as_str())).collect();
    assert_eq!(
        asked,
        [
            (
                Quantity::LightsUnderPower,
                "all-round white and sidelights; or masthead, sidelights and sternlight"
            ),
            (Quantity::LightsUnderSail, "sidelights and sternlight; or a tricolor lantern alone"),
            (Quantity::LightsAtAnchor, "one all-round white light where best seen"),
        ]
    );
}

#[test]
fn a_sloop_with_a_tricolor_lantern() {
    // The tricolor serves under sail alone (rule 25 (b)); with anything else it is wrong.
    let lights = wired(&[
        ("Sides", RG, &["DECK"]),
        ("Stern", S, &["DECK"]),
        ("Steaming", M, &["STEAM"]),
        ("Tricolor", T, &["TRI"]),
        ("All-round", A, &["ANC"]),
    ]);
    let review = review(&sloop(), &lights, &[]).unwrap();
    assert_eq!(review.combinations.len(), 16);
    let good: Vec<_> = review.combinations.iter().filter(|one| !one.good_for.is_empty()).collect();
    let good: Vec<_> = good.iter().map(|one| format!("{}: {}", one.on.join(" "), one.words())).collect();
    assert_eq!(good, ["DECK: under sail", "TRI: under sail", "ANC: at anchor", "DECK STEAM: under power"]);
    assert_eq!(codes(&review), [Code::LightsMislead]);
    let why = |switches: &[&str], doing| match on(&review, switches).fit(doing) {
        Some(Legality::Wrong { reasons }) => {
            reasons.iter().map(|reason| format!("{} ({})", reason.text, reason.source.section)).collect()
        }
        _ => Vec::new(),
    };
    assert_eq!(
        why(&["STEAM", "TRI"], Doing::UnderSail),
        ["a masthead light says that the boat is under power: not under sail or oars (rule 25 (a))"]
    );
    assert_eq!(
        why(&["STEAM", "TRI"], Doing::UnderPower),
        [
            "the tricolor lantern says that the boat is under sail: it stands for nothing under power (rule 25 (b))",
            "no sidelight is on (rule 23 (a))",
            "the sternlight is dark: no light shows astern (rule 23 (a))",
        ]
    );
    assert_eq!(
        why(&["DECK", "TRI"], Doing::UnderSail),
        ["the tricolor lantern is on with sidelights or sternlight: it is one or the other (rule 25 (b))"]
    );
    assert_eq!(
        why(&["TRI", "ANC"], Doing::UnderSail),
        ["an all-round white light is not shown under sail or oars (rule 25 (a))"]
    );
    assert_eq!(
        why(&["TRI", "ANC"], Doing::AtAnchor),
        ["a tricolor lantern or red over green is on: it shows a boat under sail (rule 30)"]
    );
}

#[test]
fn a_sloop_that_cannot_sail_dark_ahead_is_found() {
    // One switch for steaming light, sides and stern: legal under power, and nothing else.
    let lights = wired(&[
        ("Sides", RG, &["NAV"]),
        ("Stern", S, &["NAV"]),
        ("Steaming", M, &["NAV"]),
        ("All-round", A, &["ANC"]),
    ]);
    let found = review(&sloop(), &lights, &[]).unwrap();
    assert_eq!(shows(&found), [": dark", "NAV: under power", "ANC: at anchor", "NAV ANC: wrong"]);
    assert_eq!(codes(&found), [Code::NoLightsUnderSail, Code::LightsMislead]);
    assert_eq!(found.findings[0].level, Level::Fix);
    let text = said(&found.findings[0]);
    assert!(text.contains("cannot be lit without a light that is not shown then"), "{text}");
    assert_eq!(found.findings[0].working.as_ref().unwrap().what, Quantity::LightsUnderSail);
}

#[test]
fn a_sloop_with_neither_steaming_light_nor_lone_anchor_light_is_found() {
    let lights = wired(&[
        ("Sides", RG, &["NAV"]),
        ("Stern", S, &["NAV"]),
        ("Tricolor", T, &["MAST"]),
        ("All-round", A, &["MAST"]),
    ]);
    let found = review(&sloop(), &lights, &[]).unwrap();
    assert_eq!(shows(&found), [": dark", "NAV: under sail", "MAST: wrong", "NAV MAST: wrong"]);
    assert_eq!(codes(&found), [Code::NoLightsUnderPower, Code::NoAnchorLight, Code::LightsMislead]);
    assert!(said(&found.findings[0]).contains("legal under power"), "{}", said(&found.findings[0]));
    assert!(said(&found.findings[1]).contains("cannot be lit alone"), "{}", said(&found.findings[1]));
}

#[test]
fn what_lacks_under_sail_is_named() {
    let lacking = |length: f64, lights: &[Wired<'_>]| {
        let boat = Vessel { drive: Drive::Sail, ..vessel(length, None) };
        let mut found = review(&boat, &wired(lights), &[]).unwrap().findings;
        let first = found.remove(0);
        (first.code, said(&first))
    };
    let cases: [(f64, &[Wired<'_>], Code, &str); 5] = [
        (9.0, &[("A", A, &["1"])], Code::NoLightsUnderSail, "the sidelights are not fitted"),
        (
            9.0,
            &[("A", A, &["1"]), ("RG", RG, &["2"])],
            Code::NoLightsUnderSail,
            "the sternlight is not fitted",
        ),
        (
            9.0,
            &[("A", A, &["1"]), ("T", T, &["1"])],
            Code::NoLightsUnderSail,
            "the tricolor lantern cannot be lit alone",
        ),
        (
            20.0,
            &[("A", A, &["1"]), ("T", T, &["2"])],
            Code::NoLightsUnderSail,
            "the sidelights are not fitted",
        ),
        (6.9, &[("A", A, &["1"])], Code::FlashlightNeeded, "a white torch or lantern ready at hand"),
    ];
    for (length, lights, code, why) in cases {
        let (found, text) = lacking(length, lights);
        assert_eq!(found, code, "{text}");
        assert!(text.contains(why), "{text}");
    }
    let apart = [vec!["1".to_owned(), "2".to_owned()]];
    let boat = Vessel { drive: Drive::Sail, ..vessel(9.0, None) };
    let lights = wired(&[("RG", RG, &["1"]), ("S", S, &["2"]), ("A", A, &["3"])]);
    let text = said(&review(&boat, &lights, &apart).unwrap().findings[0]);
    assert!(text.contains("the sidelights and the sternlight cannot be lit together"), "{text}");
}

#[test]
fn under_oars_a_torch_will_do() {
    // Rule 25 (d) (ii): may exhibit, but if she does not, a torch ready at hand.
    let oars = Vessel { drive: Drive::Oars, ..vessel(5.0, None) };
    let found = review(&oars, &wired(&[("All-round", A, &["ANC"])]), &[]).unwrap();
    assert_eq!(codes(&found), [Code::FlashlightNeeded]);
    assert_eq!(found.findings[0].level, Level::Note);
}

fn on<'a>(review: &'a Review, on: &[&str]) -> &'a driploop::trade::lights::Combination {
    review.combinations.iter().find(|combination| combination.on == on).unwrap()
}

fn codes(review: &Review) -> Vec<Code> {
    review.findings.iter().map(|finding| finding.code).collect()
}

/// A center console of 7.1 m and 33 kn, invented, as it should be: NAV lights sides and all-round, ANC
/// the all-round alone.
#[test]
fn a_boat_wired_right_has_no_finding() {
    let lights = wired(&[("Sides", RG, &["NAV"]), ("All-round", A, &["NAV", "ANC"])]);
    let review = review(&vessel(7.1, Some(33.0)), &lights, &[]).unwrap();
    assert_eq!(review.switches, ["NAV", "ANC"]);
    assert_eq!(shows(&review), [": dark", "NAV: under power", "ANC: at anchor", "NAV ANC: under power"]);
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
    assert_eq!(on(&review, &["NAV"]).words(), "wrong");
    assert_eq!(on(&review, &["NAV", "ANC"]).words(), "under power");
    assert_eq!(codes(&review), [Code::LightsMislead]);
    assert_eq!(review.findings[0].level, Level::Note);
    assert!(said(&review.findings[0]).contains("NAV on: the sidelights are on with no white light"));
}

#[test]
fn an_anchor_light_that_cannot_be_lit_alone_is_found() {
    let lights = wired(&[("Sides", RG, &["NAV"]), ("All-round", A, &["NAV"])]);
    let review = review(&vessel(7.1, Some(33.0)), &lights, &[]).unwrap();
    assert_eq!(codes(&review), [Code::NoAnchorLight]);
    assert!(said(&review.findings[0]).contains("cannot be lit alone"));
}

#[test]
fn an_all_round_light_dark_underway_is_found() {
    // The sides stay on whatever the switch says, so the only white light burns with them or not at all;
    // here the all-round hangs on a circuit of its own that also lights a second masthead.
    let lights = wired(&[("Sides", RG, &["NAV"]), ("All-round", A, &["ANC"]), ("Deck", M, &["ANC"])]);
    let found = review(&vessel(7.1, Some(33.0)), &lights, &[]).unwrap();
    assert_eq!(codes(&found), [Code::NoLightsUnderPower, Code::NoAnchorLight, Code::LightsMislead]);
    let no_sides = wired(&[("All-round", A, &["ANC"])]);
    let found = review(&vessel(7.1, Some(33.0)), &no_sides, &[]).unwrap();
    assert_eq!(codes(&found), [Code::NoLightsUnderPower]);
    assert!(said(&found.findings[0]).contains("the sidelights are not fitted"));
}

#[test]
fn a_light_without_a_switch_burns_in_every_combination() {
    let lights = wired(&[("Sides", RG, &[]), ("All-round", A, &["ANC"])]);
    let review = review(&vessel(7.1, Some(33.0)), &lights, &[]).unwrap();
    assert_eq!(on(&review, &[]).words(), "wrong");
    assert_eq!(codes(&review), [Code::NoAnchorLight, Code::LightsMislead]);
    assert!(said(&review.findings[1]).contains("All switches off"));
}

#[test]
fn no_light_at_all_is_missing_input() {
    let review = review(&vessel(7.1, Some(33.0)), &[], &[]).unwrap();
    assert_eq!(codes(&review), [Code::InputMissing]);
}

#[test]
fn a_fifty_meter_boat_lacks_its_second_anchor_light() {
    let lights = wired(&[
        ("All-round", A, &["ANC"]),
        ("M1", M, &["NAV"]),
        ("M2", M, &["NAV"]),
        ("Sides", RG, &["NAV"]),
        ("Stern", S, &["NAV"]),
    ]);
    let review = review(&vessel(50.0, Some(14.0)), &lights, &[]).unwrap();
    assert_eq!(codes(&review), [Code::NoAnchorLight, Code::LightsMislead]);
}

#[test]
fn more_switches_than_can_be_read_are_refused() {
    let lights: Vec<_> = (0..=MOST_SWITCHES)
        .map(|at| FittedLight { name: format!("L{at}"), kind: A, switches: vec![format!("S{at}")] })
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
    // A tricolor lantern is sidelights and sternlight in one, red over green two all-round lights.
    let said = |kind, length| least_range(kind, Length::new::<meter>(length)).working.result;
    assert_eq!(said(T, 9.0), "2 nautical miles astern, 1 to the sides");
    assert_eq!(said(T, 12.0), "2 nautical miles");
    assert_eq!(said(P, 9.0), "2 nautical miles");
}

#[test]
fn a_switch_with_two_throws_shows_one_of_them() {
    // The usual three-way navigation switch: sides and all-round light in one throw, the all-round light alone
    // in the other (rules 23 (d) and 30, as `tests/reference` of the light rules has them).
    let fitted = |name: &str, kind, switches: &[&str]| FittedLight {
        name: name.to_owned(),
        kind,
        switches: switches.iter().map(|switch| (*switch).to_owned()).collect(),
    };
    let lights = [
        fitted("Sidelights", LightKind::Sides, &["NAV: RUN"]),
        fitted("All-round light", LightKind::AllRound, &["NAV: RUN", "NAV: ANCHOR"]),
    ];
    let apart = [vec!["NAV: RUN".to_owned(), "NAV: ANCHOR".to_owned()]];
    let review = review(&vessel(7.1, Some(33.0)), &lights, &apart).unwrap();
    assert_eq!(shows(&review), [": dark", "NAV: RUN: under power", "NAV: ANCHOR: at anchor"]);
    assert_eq!(review.findings, []);
}
