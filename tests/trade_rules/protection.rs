//! Ratings and locations of fuses and breakers.

use driploop::trade::ampacity::{Ampacity, Conditions, allowable};
use driploop::trade::finding::{Code, Level, RuleFinding};
use driploop::trade::insulation::Insulation;
use driploop::trade::minimum::Laying;
use driploop::trade::protection::{
    Duty, Family, FittedProtection, PowerSource, ProtectionPosition, RatingRange, WireLimit, distance, judge,
    range,
};
use driploop::trade::rules::RuleSet;
use driploop::trade::units::Units;
use uom::si::electric_current::ampere;
use uom::si::f64::Length;
use uom::si::length::{inch, meter, millimeter};

use crate::{Row, amperes, rows, size, volts};

const TABLE_5: &str = include_str!("../reference/cfr33_183_425_table5.csv");

fn ampacity(name: &str, rules: RuleSet, rated: u16, engine_space: bool) -> Ampacity {
    let conditions = Conditions {
        rules,
        insulation: Some(Insulation::rated(rated).unwrap()),
        ambient: crate::celsius(30.0),
        engine_space,
        nominal_voltage: Some(volts(12.0)),
        bundle: Some(1),
    };
    allowable(size(name), &conditions).unwrap()
}

fn duty(load: f64, wire: WireLimit<'_>) -> Duty<'_> {
    Duty {
        rules: RuleSet::Us,
        family: Some(Family::BladeFuse),
        load: Some(amperes(load)),
        wire,
        nominal_voltage: Some(volts(12.0)),
        device_largest: None,
        at_least: None,
    }
}

fn codes(findings: &[RuleFinding]) -> Vec<Code> {
    findings.iter().map(|finding| finding.code).collect()
}

fn ratings(range: &RatingRange) -> Vec<f64> {
    range.made.iter().map(|rating| rating.get::<ampere>()).collect()
}

// From memory: ratings commonly made, and NEC 240.6 for breakers from 15 A on.
#[test]
fn standard_ratings() {
    let made: [(Family, &[f64]); 5] = [
        (Family::BladeFuse, &[1., 2., 3., 4., 5., 7.5, 10., 15., 20., 25., 30., 35., 40.]),
        (Family::LargeBladeFuse, &[20., 30., 40., 50., 60., 70., 80., 100.]),
        (Family::BoltDownFuse, &[30., 40., 50., 60., 70., 80., 100., 125., 150., 175., 200.]),
        (
            Family::LargeBoltDownFuse,
            &[100., 125., 150., 175., 200., 225., 250., 300., 350., 400., 450., 500.],
        ),
        (Family::ClassTFuse, &[110., 125., 150., 175., 200., 225., 250., 300., 350., 400.]),
    ];
    for (family, list) in made {
        assert_eq!(family.made(), list, "{family:?}");
    }
    let nec_240_6 = [
        15., 20., 25., 30., 35., 40., 45., 50., 60., 70., 80., 90., 100., 110., 125., 150., 175., 200., 225.,
        250., 300., 350., 400.,
    ];
    assert_eq!(Family::Breaker.made()[2..], nec_240_6);
    for family in Family::ALL {
        assert!(family.made().windows(2).all(|pair| pair[0] < pair[1]), "{family:?}");
        assert!(family.made().iter().all(|rating| family.makes(amperes(*rating))));
        assert!(!family.makes(amperes(17.0)) && !family.makes(amperes(f64::NAN)));
    }
}

// Published: 33 CFR 183.455(c)(1), 150 % of every cell of table 5, in an engine space as outside it.
#[test]
fn the_law_s_limit_at_every_cell() {
    let columns = [
        (60, "t60c"),
        (75, "t75c"),
        (80, "t80c"),
        (90, "t90c"),
        (105, "t105c"),
        (125, "t125c"),
        (200, "t200c"),
    ];
    for row in rows(TABLE_5) {
        let name = row.gauge().unwrap().to_string();
        for (celsius, column) in columns {
            for engine_space in [false, true] {
                let ampacity = ampacity(&name, RuleSet::Us, celsius, engine_space);
                let duty = duty(1.0, WireLimit::Carries(&ampacity));
                let lawful = 1.5 * Row::number(&row, column);
                assert!(!codes(&range::judge(amperes(lawful), &duty)).contains(&Code::FuseOverWire));
                let over = range::judge(amperes(lawful + 0.01), &duty);
                assert_eq!(codes(&over), [Code::FuseOverWire], "{name} {column}");
                let against = over[0].against.unwrap();
                assert_eq!((against.limit, against.unit), (lawful, "A"));
            }
        }
    }
}

// 33 CFR 183.455(c)(2): at 50 V and more table 5, or the next larger standard rating within 150 %.
#[test]
fn the_law_is_stricter_from_50_v_on() {
    // 14 AWG at 75 C carries 20 A, which is made; 16 AWG at 105 C 25 A; 8 AWG at 75 C 65 A, which is not.
    for (name, celsius, family, highest) in [
        ("14 AWG", 75, Family::Breaker, 20.0),
        ("8 AWG", 75, Family::Breaker, 70.0),
        ("8 AWG", 75, Family::BladeFuse, 40.0),
    ] {
        let ampacity = ampacity(name, RuleSet::Us, celsius, false);
        let duty = Duty {
            family: Some(family),
            nominal_voltage: Some(volts(50.0)),
            ..duty(5.0, WireLimit::Carries(&ampacity))
        };
        let range = range::allowed(&duty).unwrap();
        assert_eq!(range.highest(), Some(amperes(highest)), "{name}");
    }
}

// From memory: ISO 10133, rating not over the ampacity.
#[test]
fn iso_holds_the_rating_to_the_conductor() {
    let inside = ampacity("2.5 mm2", RuleSet::Iso, 105, true);
    let duty = Duty { rules: RuleSet::Iso, ..duty(10.0, WireLimit::Carries(&inside)) };
    // 35 A x 0.86 = 30.1 A
    assert_eq!(ratings(&range::allowed(&duty).unwrap()), [10.0, 15.0, 20.0, 25.0, 30.0]);
    assert_eq!(codes(&range::judge(amperes(35.0), &duty)), [Code::FuseOverWire]);
}

#[test]
fn the_rating_to_fit() {
    let check = |load, name, engine_space, device: Option<f64>, expected| {
        let ampacity = ampacity(name, RuleSet::Us, 105, engine_space);
        let duty = Duty { device_largest: device.map(amperes), ..duty(load, WireLimit::Carries(&ampacity)) };
        let range = range::allowed(&duty).unwrap();
        assert_eq!(range.recommended, Some(amperes(expected)), "{load} A on {name}");
        assert_eq!(range.workings.len(), 3);
    };
    // 80 % of 5 A is 4 A.
    check(4.0, "16 AWG", false, None, 5.0);
    check(4.1, "16 AWG", false, None, 7.5);
    // The margin would ask for 30 A; the conductor carries 25 A.
    check(21.0, "16 AWG", false, None, 25.0);
    // The device's manufacturer says 5 A.
    check(4.5, "16 AWG", false, Some(5.0), 5.0);
}

/// 16 AWG in an engine space: 25 A x 0.85 = 21.25 A. 20 A is too small for 21 A, and 25 A is lawful but over
/// the ampacity. A person may enter it; the program chooses none.
#[test]
fn a_chosen_rating_never_exceeds_the_ampacity() {
    let inside = ampacity("16 AWG", RuleSet::Us, 105, true);
    let duty = duty(21.0, WireLimit::Carries(&inside));
    let range = range::allowed(&duty).unwrap();
    assert_eq!((range.recommended, range.lowest()), (None, Some(amperes(25.0))));
    assert_eq!(codes(&range::chosen(&duty).unwrap_err()), [Code::NoRatingFits]);
    assert_eq!(codes(&range::judge(amperes(25.0), &duty)), [Code::FuseNearLoad, Code::FuseOverAmpacity]);
    let larger = Duty { at_least: Some(amperes(12.0)), load: Some(amperes(5.0)), ..duty };
    assert_eq!(range::chosen(&larger), Ok(amperes(15.0)));
}

#[test]
fn the_range_runs_from_the_load_to_the_limit() {
    let ampacity = ampacity("18 AWG", RuleSet::Us, 105, false);
    let range = range::allowed(&duty(7.5, WireLimit::Carries(&ampacity))).unwrap();
    assert_eq!(ratings(&range), [7.5, 10.0, 15.0, 20.0, 25.0, 30.0]);
    assert_eq!((range.lowest(), range.highest()), (Some(amperes(7.5)), Some(amperes(30.0))));
    assert_eq!(range.workings[0].numbers, "1.5 x 20 A");
    assert_eq!(range.workings[1].result, "7.5, 10, 15, 20, 25, 30 A");
}

#[test]
fn each_kind_of_wrong_rating_has_its_own_finding() {
    let wire = ampacity("16 AWG", RuleSet::Us, 105, true);
    let duty = Duty { device_largest: Some(amperes(30.0)), ..duty(8.0, WireLimit::Carries(&wire)) };
    for (rating, expected) in [
        (7.5, vec![Code::FuseUnderLoad]),
        (8.0, vec![Code::FuseNearLoad]),
        (10.0, vec![]),
        (20.0, vec![]),
        (25.0, vec![Code::FuseOverAmpacity]),
        (35.0, vec![Code::FuseOverAmpacity, Code::FuseOverDevice]),
        (40.0, vec![Code::FuseOverWire, Code::FuseOverDevice]),
    ] {
        let findings = range::judge(amperes(rating), &duty);
        assert_eq!(codes(&findings), expected, "{rating} A");
        assert!(findings.iter().all(|finding| finding.against.is_some() && finding.working.is_some()));
    }
}

#[test]
fn no_rating_between_load_and_limit() {
    let wire = ampacity("16 AWG", RuleSet::Us, 105, false);
    let large = Duty { family: Some(Family::LargeBladeFuse), ..duty(38.0, WireLimit::Carries(&wire)) };
    assert_eq!(codes(&range::allowed(&large).unwrap_err()), [Code::NoRatingFits]);
    let device = Duty { device_largest: Some(amperes(5.0)), ..duty(6.0, WireLimit::Carries(&wire)) };
    assert_eq!(codes(&range::allowed(&device).unwrap_err()), [Code::NoRatingFits]);
}

#[test]
fn whatever_is_missing_is_named() {
    let wire = ampacity("16 AWG", RuleSet::Us, 105, false);
    let complete = duty(5.0, WireLimit::Carries(&wire));
    let lacks = |duty: Duty, input: &str| {
        let findings = range::allowed(&duty).unwrap_err();
        assert_eq!(codes(&findings), [Code::InputMissing]);
        let text = findings[0].text.text(Units::Us);
        assert!(text.starts_with(&format!("Enter the {input}")), "{text}");
    };
    lacks(Duty { load: None, ..complete }, "design current");
    lacks(Duty { load: Some(amperes(-5.0)), ..complete }, "design current");
    lacks(Duty { load: Some(amperes(f64::NAN)), ..complete }, "design current");
    lacks(Duty { family: None, ..complete }, "kind of fuse or breaker");
    lacks(Duty { wire: WireLimit::Unknown, ..complete }, "ampacity of the conductor");
    lacks(Duty { wire: WireLimit::Exempt, ..complete }, "largest fuse of the device");
    lacks(Duty { nominal_voltage: None, ..complete }, "nominal voltage");
    let exempt =
        Duty { wire: WireLimit::Exempt, device_largest: Some(amperes(3.0)), ..duty(0.5, WireLimit::Exempt) };
    assert_eq!(ratings(&range::allowed(&exempt).unwrap()), [1.0, 2.0, 3.0]);
}

fn at(origin: PowerSource, laying: Laying, from_source: Length) -> ProtectionPosition {
    ProtectionPosition { origin, from_source: Some(from_source), laying }
}

// 33 CFR 183.455(b), read: 7 in and 40 in; 183.460(a), from memory: 72 in. Within: the figure passes.
// From memory: ISO 10133, 200 mm.
#[test]
fn distances_may_just_reach_their_limit() {
    use Laying::{Alone, InSheath};
    let cases = [
        (PowerSource::Point, Alone, RuleSet::Us, 7.0),
        (PowerSource::Point, InSheath, RuleSet::Us, 40.0),
        (PowerSource::Battery, InSheath, RuleSet::Us, 72.0),
        (PowerSource::BatterySwitch, InSheath, RuleSet::Us, 72.0),
        (PowerSource::BatterySwitch, Alone, RuleSet::Iso, 200.0 / 25.4),
        (PowerSource::Point, Alone, RuleSet::Iso, 200.0 / 25.4),
        (PowerSource::Point, InSheath, RuleSet::Iso, 200.0 / 25.4),
        (PowerSource::Battery, Alone, RuleSet::Iso, 200.0 / 25.4),
        (PowerSource::Battery, InSheath, RuleSet::Iso, 200.0 / 25.4),
    ];
    for (origin, laying, rules, limit) in cases {
        for length in [Length::new::<inch>(limit), Length::new::<meter>(limit * 0.0254)] {
            assert_eq!(distance::judge(&at(origin, laying, length), rules), None, "{limit} in");
        }
        assert_eq!(distance::judge(&at(origin, laying, Length::new::<meter>(0.0)), rules), None);
        let beyond = at(origin, laying, Length::new::<inch>(limit + 0.001));
        let finding = distance::judge(&beyond, rules).unwrap();
        assert_eq!((finding.code, finding.level), (Code::FuseFarFromSource, Level::Stop));
        assert!(finding.against.is_some() && finding.working.is_some());
    }
    let seven_inches = Length::new::<millimeter>(177.8);
    assert_eq!(distance::judge(&at(PowerSource::Point, Alone, seven_inches), RuleSet::Us), None);
}

// 33 CFR 183.460(a), from memory: 72 in of a battery. ABYC E-11, read second hand: only in a jacket, else 7 in.
#[test]
fn wire_from_a_battery_without_a_jacket_is_noted_beyond_7_inches() {
    let judged = |origin, laying, inches, rules| {
        let said = distance::judge(&at(origin, laying, Length::new::<inch>(inches)), rules);
        said.map(|said| (said.code, said.level))
    };
    let noted = Some((Code::NoJacketToFuse, Level::Note));
    for origin in [PowerSource::Battery, PowerSource::BatterySwitch] {
        assert_eq!(judged(origin, Laying::Alone, 7.0, RuleSet::Us), None);
        assert_eq!(judged(origin, Laying::Alone, 7.001, RuleSet::Us), noted);
        assert_eq!(judged(origin, Laying::Alone, 72.0, RuleSet::Us), noted);
        let beyond = judged(origin, Laying::Alone, 72.001, RuleSet::Us);
        assert_eq!(beyond, Some((Code::FuseFarFromSource, Level::Stop)));
        assert_eq!(judged(origin, Laying::InSheath, 72.0, RuleSet::Us), None);
        assert_eq!(judged(origin, Laying::Alone, 7.5, RuleSet::Iso), None);
    }
}

// 33 CFR 183.460(a), from memory: the feed of a cranking motor is excepted.
#[test]
fn a_cranking_motor_is_excepted_and_a_missing_distance_is_not() {
    let cranking = at(PowerSource::CrankingMotor, Laying::Alone, Length::new::<meter>(4.0));
    assert_eq!(distance::judge(&cranking, RuleSet::Us), None);
    for wrong in [None, Some(Length::new::<meter>(-1.0)), Some(Length::new::<meter>(f64::NAN))] {
        let position =
            ProtectionPosition { origin: PowerSource::Point, from_source: wrong, laying: Laying::Alone };
        assert_eq!(distance::judge(&position, RuleSet::Us).map(|f| f.code), Some(Code::InputMissing));
    }
}

#[test]
fn a_whole_protection_is_judged() {
    let wire = ampacity("14 AWG", RuleSet::Us, 105, false);
    let duty = duty(8.0, WireLimit::Carries(&wire));
    let near = at(PowerSource::Point, Laying::Alone, Length::new::<meter>(0.0));
    let fitted =
        |rating: Option<f64>| FittedProtection { family: Family::BladeFuse, rating: rating.map(amperes) };
    let say = |fitted: Option<FittedProtection>, duty: &Duty, position| {
        codes(&judge(fitted.as_ref(), duty, position).findings)
    };

    assert_eq!(say(Some(fitted(Some(15.0))), &duty, &near), []);
    assert_eq!(say(Some(fitted(Some(12.0))), &duty, &near), [Code::RatingNotStandard]);
    assert_eq!(say(Some(fitted(None)), &duty, &near), [Code::InputMissing]);
    assert_eq!(say(None, &duty, &near), [Code::Unprotected]);
    let cranking = ProtectionPosition { origin: PowerSource::CrankingMotor, ..near };
    assert_eq!(say(None, &duty, &cranking), []);
    let unknown = Duty { wire: WireLimit::Unknown, ..duty };
    assert_eq!(say(Some(fitted(Some(15.0))), &unknown, &near), [Code::InputMissing]);
    let at_36_v = Duty { nominal_voltage: Some(volts(36.0)), ..duty };
    assert_eq!(say(Some(fitted(Some(15.0))), &at_36_v, &near), [Code::FuseVoltageLow]);
    let other_family = Duty { family: None, ..duty };
    assert!(judge(Some(&fitted(Some(15.0))), &other_family, &near).range.is_some());
}
