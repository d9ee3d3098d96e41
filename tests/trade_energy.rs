//! Energy through the day: Peukert against a published example, days worked by hand, and properties.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use driploop::trade::energy::battery::{Chemistry, RatedCapacity, cold_factor, end_voltage, rest_voltage};
use driploop::trade::energy::{
    BadPattern, Bank, DayStretch, Fares, LoadUse, Outlook, Pattern, Starting, outlook,
};
use driploop::trade::finding::Code;
use driploop::trade::quantity::Quantity;
use driploop::trade::units::Units;
use proptest::prelude::*;
use uom::si::electric_charge::ampere_hour;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::electrical_resistance::milliohm;
use uom::si::f64::{
    ElectricCharge, ElectricCurrent, ElectricPotential, ElectricalResistance, Ratio,
    ThermodynamicTemperature, Time,
};
use uom::si::ratio::{percent, ratio};
use uom::si::thermodynamic_temperature::degree_celsius;
use uom::si::time::hour;

fn amperes(value: f64) -> ElectricCurrent {
    ElectricCurrent::new::<ampere>(value)
}

fn near(found: f64, expected: f64, within: f64) {
    assert!((found - expected).abs() <= within, "{found} is not {expected} to {within}");
}

/// Published tutorial example of Peukert's first form, which is the second at a rated current of 1 A: C = 250,
/// I = 20 A, k = 1.3 gives
/// 20^1.3 = 49.129121045, t = 5.088631644 h, 101.772632884 Ah delivered.
#[test]
fn peukert_at_one_ampere_follows_the_published_example() {
    let battery =
        RatedCapacity { charge: ElectricCharge::new::<ampere_hour>(250.0), over: Time::new::<hour>(250.0) };
    let hours = battery.time_to_empty(amperes(20.0), 1.3).get::<hour>();
    near(20f64.powf(1.3), 49.129_121_045, 1e-9);
    near(hours, 5.088_631_644, 1e-9);
    near(hours * 20.0, 101.772_632_884, 1e-8);
}

/// A second published tutorial example of the first form: 100 Ah at 1 A and k = 1.2 supply 5 A for 14.5 h. The
/// relation is of W. Peukert, Elektrotechnische Zeitschrift 20 (1897); the article itself was not read.
#[test]
fn peukert_at_one_ampere_follows_a_second_example() {
    let battery =
        RatedCapacity { charge: ElectricCharge::new::<ampere_hour>(100.0), over: Time::new::<hour>(100.0) };
    near(battery.time_to_empty(amperes(5.0), 1.2).get::<hour>(), 14.5, 0.05);
}

/// Identities of the second form: the rated current empties it in its rated hours for every k, and
/// k = 1 gives C / I.
#[test]
fn peukert_over_rated_hours_keeps_its_identities() {
    let battery = RatedCapacity::over_20_hours(100.0);
    for k in [1.0, 1.05, 1.3, 1.6] {
        near(battery.time_to_empty(amperes(5.0), k).get::<hour>(), 20.0, 1e-12);
    }
    near(battery.time_to_empty(amperes(8.0), 1.0).get::<hour>(), 12.5, 1e-12);
    // 20 h x (100 Ah / (20 A x 20 h))^1.1 = 20 h x 0.25^1.1 = 4.3528 h
    near(battery.time_to_empty(amperes(20.0), 1.1).get::<hour>(), 4.352_752_816, 1e-9);
}

/// From memory: lead-acid 100 % at 25 C, 85 % at 0 to 5 C, 65 % at -18 C; rest 12.65 V full, 12.24 V half.
#[test]
fn cold_and_rest_voltage_follow_their_tables() {
    let at =
        |celsius| cold_factor(Chemistry::Flooded, ThermodynamicTemperature::new::<degree_celsius>(celsius));
    for (celsius, share) in [(40.0, 1.0), (25.0, 1.0), (15.0, 0.925), (5.0, 0.85), (2.0, 0.85), (-18.0, 0.65)]
    {
        near(at(celsius).get::<ratio>(), share, 1e-12);
    }
    let rest = |chemistry, charge, nominal| {
        rest_voltage(chemistry, Ratio::new::<percent>(charge), ElectricPotential::new::<volt>(nominal))
    };
    near(rest(Chemistry::Flooded, 100.0, 12.0).unwrap().get::<volt>(), 12.65, 1e-12);
    near(rest(Chemistry::Agm, 50.0, 24.0).unwrap().get::<volt>(), 24.48, 1e-12);
    assert_eq!(rest(Chemistry::Lifepo4, 50.0, 12.0), None);
    near(end_voltage(ElectricPotential::new::<volt>(12.0)).get::<volt>(), 10.5, 1e-12);
}

/// 100 Ah of absorbed mat at 25 C with k = 1, so that the sums can be done on paper.
fn bank() -> Bank {
    Bank {
        capacity: Some(RatedCapacity::over_20_hours(100.0)),
        chemistry: Some(Chemistry::Agm),
        nominal: ElectricPotential::new::<volt>(12.0),
        temperature: ThermodynamicTemperature::new::<degree_celsius>(25.0),
        internal: None,
        peukert: Some(1.0),
        floor: None,
        low_voltage: None,
        starting: Starting::NotFromBank,
    }
}

fn stretch(mode: &str, hours: f64, load: f64, charging: f64) -> DayStretch {
    DayStretch {
        mode: mode.to_owned(),
        lasts: Time::new::<hour>(hours),
        uses: vec![LoadUse {
            what: "all".to_owned(),
            current: amperes(load),
            share: Ratio::new::<ratio>(1.0),
        }],
        unknown: Vec::new(),
        charging: amperes(charging),
    }
}

fn pattern(day: Vec<DayStretch>, days: u8) -> Pattern {
    Pattern { day, days, from: Ratio::new::<ratio>(1.0) }
}

fn codes(outlook: &Outlook) -> Vec<Code> {
    outlook.findings.iter().map(|finding| finding.code).collect()
}

fn fares(outlook: &Outlook) -> &Fares {
    outlook.fares.as_ref().unwrap()
}

#[test]
fn charge_by_mode_is_current_by_share_by_hours() {
    let mut fishing = stretch("fishing", 6.0, 2.5, 0.0);
    fishing.uses.push(LoadUse {
        what: "live well".to_owned(),
        current: amperes(4.0),
        share: Ratio::new::<percent>(25.0),
    });
    let found = outlook(&bank(), &pattern(vec![fishing, stretch("anchored", 8.0, 1.5, 0.0)], 1)).unwrap();
    // (2.5 A + 4 A x 25 %) x 6 h = 21 Ah; 1.5 A x 8 h = 12 Ah
    near(found.by_mode[0].used.get::<ampere_hour>(), 21.0, 1e-9);
    near(found.by_mode[1].used.get::<ampere_hour>(), 12.0, 1e-9);
    near(found.daily.get::<ampere_hour>(), 33.0, 1e-9);
    assert_eq!(found.by_mode[0].working.result, "21 Ah");
    near(fares(&found).course.end().get::<percent>(), 67.0, 1e-9);
}

/// 6 A for 10 h out of 100 Ah: 40 % left, and 50 % passed after 50 Ah / 6 A = 8.333 h.
fn used(what: &str, current: f64, percents: f64) -> LoadUse {
    LoadUse { what: what.to_owned(), current: amperes(current), share: Ratio::new::<percent>(percents) }
}

fn loads_of(uses: Vec<LoadUse>) -> Vec<(f64, f64)> {
    let day = DayStretch { uses, ..stretch("use", 1.0, 0.0, 0.0) };
    day.loads().iter().map(|load| (load.share.get::<ratio>(), load.current.get::<ampere>())).collect()
}

/// By hand: the radio is on all the time, the pump 30 % of it, the windlass 10 %, each whether the other is or not.
#[test]
fn each_load_is_on_whether_the_others_are_or_not() {
    let loads =
        loads_of(vec![used("pump", 4.0, 30.0), used("windlass", 90.0, 10.0), used("radio", 1.0, 100.0)]);
    let by_hand = [(0.63, 1.0), (0.27, 5.0), (0.07, 91.0), (0.03, 95.0)];
    assert_eq!(loads.len(), by_hand.len());
    for (found, expected) in loads.iter().zip(by_hand) {
        near(found.0, expected.0, 1e-12);
        near(found.1, expected.1, 1e-12);
    }
    assert_eq!(loads_of(vec![used("steady", 2.0, 100.0)]), [(1.0, 2.0)]);
    assert_eq!(loads_of(vec![]), [(1.0, 0.0)]);
}

/// Thirty loads have a thousand million combinations. Their mean and the whole of the time are kept, and the mean of
/// the squares, sum of s (1 - s) I^2 + (sum of s I)^2 by hand, is not undercut and met within a hundredth.
#[test]
fn many_loads_keep_their_mean_and_weigh_no_less() {
    let each = |load: u32| (f64::from(load % 7) * 1.3 + 0.4, f64::from(load % 9) * 0.1 + 0.05);
    let loads = loads_of((0..30).map(|load| used("u", each(load).0, 100.0 * each(load).1)).collect());
    assert!(loads.len() <= 514, "{}", loads.len());
    let moment =
        |of: &dyn Fn(f64) -> f64| loads.iter().map(|(share, amperes)| share * of(*amperes)).sum::<f64>();
    let mean: f64 = (0..30).map(|load| each(load).0 * each(load).1).sum();
    let spread: f64 = (0..30).map(|load| each(load).0.powi(2) * each(load).1 * (1.0 - each(load).1)).sum();
    near(moment(&|_| 1.0), 1.0, 1e-9);
    near(moment(&|amperes| amperes), mean, 1e-9);
    let squares = moment(&|amperes| amperes * amperes) / (spread + mean * mean);
    assert!((1.0 - 1e-12..1.01).contains(&squares), "{squares}");
}

/// 100 Ah with k = 1.4: 90 A for a tenth of 2 h weigh 18 Ah x (90 / 5)^0.4 = 57.2 Ah. 9 A all the time would weigh
/// 18 Ah x (9 / 5)^0.4 = 22.8 Ah.
#[test]
fn a_short_heavy_load_weighs_by_its_current_while_it_is_on() {
    let lead = Bank { peukert: Some(1.4), ..bank() };
    let ends_at = |uses: Vec<LoadUse>, charging: f64| {
        let day = DayStretch { uses, ..stretch("use", 2.0, 0.0, charging) };
        let found = outlook(&lead, &pattern(vec![day], 1)).unwrap();
        (fares(&found).course.end().get::<percent>(), fares(&found).workings.clone())
    };
    let (windlass, workings) = ends_at(vec![used("windlass", 90.0, 10.0)], 0.0);
    near(windlass, 100.0 - 18.0 * 18.0_f64.powf(0.4), 1e-6);
    near(ends_at(vec![used("steady", 9.0, 100.0)], 0.0).0, 100.0 - 18.0 * 1.8_f64.powf(0.4), 1e-6);
    let weighed = workings.iter().find(|working| working.what == Quantity::PeukertLoad).unwrap();
    assert_eq!(weighed.numbers, "90 A x 10 %; rated 5 A, k = 1.4");
    assert_eq!(weighed.result, "28.6 A, for 9 A left to the bank on average (use)");
    // Two of them, each on a tenth of the time: 18 % of it one, 1 % both.
    let both = 2.0 * (0.18 * 90.0 * 18.0_f64.powf(0.4) + 0.01 * 180.0 * 36.0_f64.powf(0.4));
    assert!(both > 100.0 && ends_at(vec![used("one", 90.0, 10.0), used("other", 90.0, 10.0)], 0.0).0 == 0.0);
    let pumps = 2.0 * (0.18 * 20.0 * 4.0_f64.powf(0.4) + 0.01 * 40.0 * 8.0_f64.powf(0.4));
    near(ends_at(vec![used("one", 20.0, 10.0), used("other", 20.0, 10.0)], 0.0).0, 100.0 - pumps, 1e-6);
    // 20 A of an alternator go to the windlass first, and a full bank takes nothing in between: of the first five
    // minutes 70 A for a tenth are left, 7 A / 12 x (70 / 5)^0.4.
    let day =
        DayStretch { uses: vec![used("windlass", 90.0, 10.0)], ..stretch("use", 1.0 / 12.0, 0.0, 20.0) };
    let found = outlook(&lead, &pattern(vec![day], 1)).unwrap();
    near(fares(&found).course.end().get::<percent>(), 100.0 - 7.0 / 12.0 * 14.0_f64.powf(0.4), 1e-9);
}

/// Ohm's law by hand: at 100 %, 12.65 V less 90 A x 5 mohm.
#[test]
fn the_posts_are_at_their_lowest_while_the_heavy_load_is_on() {
    let lead = Bank {
        chemistry: Some(Chemistry::Flooded),
        internal: Some(ElectricalResistance::new::<milliohm>(5.0)),
        low_voltage: Some(ElectricPotential::new::<volt>(12.21)),
        ..bank()
    };
    let low_at = |uses| {
        let day = DayStretch { uses, ..stretch("use", 0.25, 0.0, 0.0) };
        let found = outlook(&lead, &pattern(vec![day], 1)).unwrap();
        fares(&found).course.low_voltage_at
    };
    assert!(low_at(vec![used("windlass", 90.0, 10.0)]).is_some());
    assert_eq!(low_at(vec![used("steady", 9.0, 100.0)]), None);
}

#[test]
fn the_floor_is_passed_when_the_sum_says_so() {
    let found = outlook(&bank(), &pattern(vec![stretch("anchored", 10.0, 6.0, 0.0)], 1)).unwrap();
    let course = &fares(&found).course;
    near(course.floor_at.unwrap().get::<hour>(), 8.333_333, 1e-5);
    near(course.lowest.charge.get::<percent>(), 40.0, 1e-9);
    assert_eq!(codes(&found), [Code::BankTooSmall, Code::NeverFull]);
    // 60 Ah within the upper half: 120 Ah.
    near(fares(&found).needed.unwrap().get::<ampere_hour>(), 120.0, 1.3);
    let text = found.findings[0].text.text(Units::Us);
    assert!(text.contains("below the minimum of 50 % after 8.3 h and reaches 40 %."), "{text}");
}

/// From 40 %, 20 A into 100 Ah at 90 % efficiency, taking 35 A and falling from 80 %:
/// 20 A until 35 A x (1 - s) / 0.2 = 20 A, s = 0.88571: 48.571 Ah / 18 A = 2.698 h;
/// then (1 - s) falls by e^(-1.575 t) until 1 A, 1 - s = 0.0057143: ln 20 / 1.575 = 1.902 h;
/// then 1 A: 0.57143 Ah / 0.9 A = 0.635 h. Together 5.235 h.
#[test]
fn the_time_back_to_full_is_what_the_sum_says() {
    let day = vec![stretch("anchored", 10.0, 6.0, 0.0), stretch("on shore power", 14.0, 0.0, 20.0)];
    let found = outlook(&bank(), &pattern(day, 1)).unwrap();
    let recovery = fares(&found).course.recovery.unwrap();
    near(recovery.from.get::<percent>(), 40.0, 1e-9);
    near(recovery.takes.get::<hour>(), 5.235, 0.1);
    assert_eq!(codes(&found), [Code::BankTooSmall]);
}

/// The load comes first: 10 A from a 25 A alternator leaves 15 A, and 90 % of it is stored.
#[test]
fn sources_feed_the_loads_first() {
    let mut running = pattern(vec![stretch("running", 2.0, 10.0, 25.0)], 1);
    running.from = Ratio::new::<percent>(40.0);
    let found = outlook(&bank(), &running).unwrap();
    let course = &fares(&found).course;
    near(course.end().get::<percent>(), 40.0 + 15.0 * 2.0 * 0.9, 1e-9);
    near(course.balance.direct.get::<ampere_hour>(), 20.0, 1e-9);
    near(course.samples[1].current.get::<ampere>(), -15.0, 1e-12);
}

/// By Peukert over rated hours, 20 A from 100 Ah / 20 h with k = 1.1 last 4.3528 h to empty.
#[test]
fn an_empty_bank_serves_no_more() {
    let hungry = Bank { peukert: Some(1.1), floor: Some(Ratio::new::<ratio>(0.0)), ..bank() };
    let found = outlook(&hungry, &pattern(vec![stretch("all on", 24.0, 20.0, 0.0)], 1)).unwrap();
    let balance = fares(&found).course.balance;
    near(balance.drawn.get::<ampere_hour>(), 20.0 * 4.352_752_816, 1e-6);
    near(balance.unserved.get::<ampere_hour>(), 480.0 - 20.0 * 4.352_752_816, 1e-6);
    near(fares(&found).course.end().get::<percent>(), 0.0, 1e-12);
}

/// Half empty, flooded: rest 12.24 V; 300 A through 10 mohm leaves 9.24 V, under 9.6 V.
#[test]
fn cranking_reserve_is_checked_at_the_lowest_moment() {
    let starter = |demand, rating| Starting::FromBank { demand, rating };
    let starting = Bank {
        chemistry: Some(Chemistry::Flooded),
        internal: Some(ElectricalResistance::new::<milliohm>(10.0)),
        starting: starter(Some(amperes(300.0)), None),
        ..bank()
    };
    let day = pattern(vec![stretch("anchored", 10.0, 5.0, 0.0)], 1);
    let found = outlook(&starting, &day).unwrap();
    assert_eq!(codes(&found), [Code::NeverFull, Code::CrankingVoltageLow]);
    near(found.findings[1].against.unwrap().value, 9.24, 1e-9);
    // By the rating alone: (12.6 - 7.2) V / 900 A = 6 mohm, 12.24 - 300 x 0.006 = 10.44 V.
    let rated = Bank {
        internal: None,
        starting: starter(Some(amperes(300.0)), Some(amperes(900.0))),
        ..starting.clone()
    };
    assert_eq!(codes(&outlook(&rated, &day).unwrap()), [Code::NeverFull]);
    let last = fares(&outlook(&rated, &day).unwrap()).workings.last().unwrap().clone();
    assert_eq!(last.result, "10.44 V");
    for lacking in [starter(None, Some(amperes(900.0))), starter(Some(amperes(300.0)), None)] {
        let unknown = Bank { internal: None, starting: lacking, ..starting.clone() };
        assert_eq!(codes(&outlook(&unknown, &day).unwrap()), [Code::NeverFull, Code::InputMissing]);
    }
}

/// Flooded, 5 A through 50 mohm: 0.25 V under rest; 11.9 V is passed where rest is 12.15 V, at 37.5 %.
#[test]
fn low_voltage_is_met_where_rest_less_i_r_says() {
    let sagging = Bank {
        chemistry: Some(Chemistry::Flooded),
        internal: Some(ElectricalResistance::new::<milliohm>(50.0)),
        low_voltage: Some(ElectricPotential::new::<volt>(11.9)),
        ..bank()
    };
    let day = pattern(vec![stretch("anchored", 20.0, 5.0, 0.0)], 1);
    let found = outlook(&sagging, &day).unwrap();
    near(fares(&found).course.low_voltage_at.unwrap().get::<hour>(), 12.5, 0.1);
    let blind = outlook(&Bank { internal: None, ..sagging }, &day).unwrap();
    assert!(codes(&blind).contains(&Code::InputMissing));
}

#[test]
fn what_is_not_given_is_said_and_not_passed() {
    let day = pattern(vec![stretch("anchored", 10.0, 1.0, 0.0)], 1);
    let found = outlook(&Bank { capacity: None, chemistry: None, ..bank() }, &day).unwrap();
    assert_eq!(codes(&found), [Code::InputMissing, Code::InputMissing]);
    assert!(found.fares.is_none() && found.daily.get::<ampere_hour>() > 9.9);
}

#[test]
fn lithium_in_frost_takes_no_charge() {
    let frozen = Bank {
        chemistry: Some(Chemistry::Lifepo4),
        temperature: ThermodynamicTemperature::new::<degree_celsius>(-2.0),
        ..bank()
    };
    let day = pattern(vec![stretch("anchored", 4.0, 5.0, 0.0), stretch("running", 4.0, 0.0, 30.0)], 1);
    let found = outlook(&frozen, &day).unwrap();
    assert_eq!(codes(&found), [Code::NotChecked, Code::TooColdToCharge, Code::NeverFull]);
    near(fares(&found).course.balance.accepted.get::<ampere_hour>(), 0.0, 0.0);
}

/// At 0 C it is on the edge: no charge is counted, and a tenth of a degree over it is.
#[test]
fn lithium_at_the_edge_of_frost_takes_no_charge_and_says_what_warmth_was_taken() {
    let day = pattern(vec![stretch("anchored", 4.0, 5.0, 0.0), stretch("running", 4.0, 0.0, 30.0)], 1);
    let at = |chemistry, celsius| {
        let temperature = ThermodynamicTemperature::new::<degree_celsius>(celsius);
        outlook(&Bank { chemistry: Some(chemistry), temperature, ..bank() }, &day).unwrap()
    };
    assert!(codes(&at(Chemistry::Lifepo4, 0.0)).contains(&Code::TooColdToCharge));
    assert!(!codes(&at(Chemistry::Lifepo4, 0.1)).contains(&Code::TooColdToCharge));
    assert!(!codes(&at(Chemistry::Agm, -5.0)).contains(&Code::TooColdToCharge));
    let taken = |chemistry| fares(&at(chemistry, 20.0)).workings[0].formula;
    for chemistry in [Chemistry::Lifepo4, Chemistry::Flooded] {
        assert!(taken(chemistry).contains("as warm as the plan's ambient"), "{}", taken(chemistry));
    }
    assert!(taken(Chemistry::Lifepo4).contains("must not be charged below 0 C"));
}

/// Nothing tells the time to low voltage of lithium, whether its low voltage is given or not.
#[test]
fn the_low_voltage_of_lithium_is_said_not_to_be_checked() {
    let day = pattern(vec![stretch("anchored", 1.0, 1.0, 0.0)], 1);
    let said = |chemistry, low: Option<f64>| {
        let low_voltage = low.map(ElectricPotential::new::<volt>);
        codes(&outlook(&Bank { chemistry: Some(chemistry), low_voltage, ..bank() }, &day).unwrap())
    };
    assert!(said(Chemistry::Lifepo4, None).contains(&Code::NotChecked));
    assert!(said(Chemistry::Lifepo4, Some(11.5)).contains(&Code::InputMissing));
    assert_eq!(said(Chemistry::Agm, None), [Code::NeverFull]);
}

#[test]
fn a_pattern_that_makes_no_sense_is_refused() {
    let long = outlook(
        &bank(),
        &pattern(vec![stretch("running", 20.0, 1.0, 0.0), stretch("idle", 6.0, 0.0, 0.0)], 1),
    );
    assert_eq!(long.unwrap_err().to_string(), "The modes of a day add up to 26 h: expected at most 24 h");
    assert_eq!(outlook(&bank(), &pattern(vec![], 0)), Err(BadPattern::Days(0)));
    let negative = outlook(&bank(), &pattern(vec![stretch("running", 1.0, -1.0, 0.0)], 1));
    assert_eq!(
        negative.unwrap_err().to_string(),
        "A load of 'running' is -1 A: expected a current from 0 to 10000 A"
    );
    assert!(outlook(&bank(), &pattern(vec![stretch("x", f64::NAN, 1.0, 0.0)], 1)).is_err());
    assert!(outlook(&Bank { peukert: Some(0.5), ..bank() }, &pattern(vec![], 1)).is_err());
}

fn chemistry() -> impl Strategy<Value = Chemistry> {
    prop::sample::select(vec![Chemistry::Flooded, Chemistry::Gel, Chemistry::Agm, Chemistry::Lifepo4])
}

fn any_bank() -> impl Strategy<Value = Bank> {
    (chemistry(), 20.0..800.0f64, -15.0..45.0f64).prop_map(|(chemistry, capacity, celsius)| Bank {
        capacity: Some(RatedCapacity::over_20_hours(capacity)),
        chemistry: Some(chemistry),
        temperature: ThermodynamicTemperature::new::<degree_celsius>(celsius),
        peukert: None,
        ..bank()
    })
}

fn any_pattern() -> impl Strategy<Value = Pattern> {
    let one = (0.0..8.0f64, 0.0..60.0f64, prop_oneof![Just(0.0), 0.0..90.0f64]);
    (prop::collection::vec(one, 1..4), 1u8..4, 0.0..=1.0f64).prop_map(|(day, days, from)| Pattern {
        day: day.into_iter().map(|(hours, load, charging)| stretch("m", hours, load, charging)).collect(),
        days,
        from: Ratio::new::<ratio>(from),
    })
}

fn charges(bank: &Bank, pattern: &Pattern) -> Vec<f64> {
    let found = outlook(bank, pattern).unwrap();
    fares(&found).course.samples.iter().map(|sample| sample.charge.get::<ratio>()).collect()
}

fn never_above(lower: &[f64], upper: &[f64]) -> bool {
    lower.iter().zip(upper).all(|(lower, upper)| *lower <= upper + 1e-9)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// Charge is neither made nor lost.
    #[test]
    fn charge_is_conserved(bank in any_bank(), pattern in any_pattern()) {
        let found = outlook(&bank, &pattern).unwrap();
        let course = &fares(&found).course;
        let balance = &course.balance;
        let given = balance.direct + balance.drawn + balance.unserved;
        let scale = balance.asked.get::<ampere_hour>() + 1.0;
        prop_assert!((balance.asked - given).get::<ampere_hour>().abs() < 1e-9 * scale);
        let chemistry = bank.chemistry.unwrap();
        let full = bank.capacity.unwrap().charge * cold_factor(chemistry, bank.temperature);
        let stored = balance.accepted * chemistry.practice().efficiency - balance.weighed;
        let change = full * (course.end() - pattern.from);
        prop_assert!((change - stored).get::<ampere_hour>().abs() < 1e-6 * full.get::<ampere_hour>());
        prop_assert!(balance.weighed >= balance.drawn * (1.0 - 1e-12));
    }

    /// The state of charge stays a share, and time only goes on, to the last hour of the last day.
    #[test]
    fn the_course_is_sound(bank in any_bank(), pattern in any_pattern()) {
        let found = outlook(&bank, &pattern).unwrap();
        let samples = &fares(&found).course.samples;
        prop_assert!(samples.iter().all(|sample| (0.0..=1.0).contains(&sample.charge.get::<ratio>())));
        prop_assert!(samples.windows(2).all(|pair| pair[0].at < pair[1].at));
        let end = samples.last().unwrap().at.get::<hour>();
        prop_assert!((end - 24.0 * f64::from(pattern.days)).abs() < 1e-9);
    }

    /// More load never leaves more charge at any moment; more charging never less.
    #[test]
    fn load_lowers_the_charge_and_charging_raises_it(bank in any_bank(), pattern in any_pattern(), more in 0.0..20.0f64) {
        let base = charges(&bank, &pattern);
        let mut heavier = pattern.clone();
        heavier.day[0].uses[0].current += amperes(more);
        prop_assert!(never_above(&charges(&bank, &heavier), &base));
        let mut charged = pattern.clone();
        charged.day[0].charging += amperes(more);
        prop_assert!(never_above(&base, &charges(&bank, &charged)));
    }

    /// Loads that are on for a share of the time never leave more than their mean would, all the time.
    #[test]
    fn a_share_of_the_time_is_no_more_hopeful_than_the_mean(
        bank in any_bank(),
        pattern in any_pattern(),
        shares in prop::collection::vec((0.0..80.0f64, 0.0..=100.0f64), 1..4),
    ) {
        let (mut shared, mut mean) = (pattern.clone(), pattern);
        for (day, even) in shared.day.iter_mut().zip(&mut mean.day) {
            day.uses.extend(shares.iter().map(|(current, share)| used("u", *current, *share)));
            even.uses = vec![used("mean", day.mean_load().get::<ampere>(), 100.0)];
        }
        prop_assert!(never_above(&charges(&bank, &shared), &charges(&bank, &mean)));
    }

    /// With nothing to charge it, a larger bank never stands lower and a colder one never higher.
    #[test]
    fn alone_size_helps_and_cold_does_not(bank in any_bank(), pattern in any_pattern(), times in 1.0..4.0f64) {
        let mut pattern = pattern;
        pattern.day.iter_mut().for_each(|stretch| stretch.charging = amperes(0.0));
        let base = charges(&bank, &pattern);
        let capacity = bank.capacity.unwrap();
        let larger = RatedCapacity { charge: capacity.charge * times, ..capacity };
        let upper = charges(&Bank { capacity: Some(larger), ..bank.clone() }, &pattern);
        prop_assert!(never_above(&base, &upper));
        let colder = ThermodynamicTemperature::new::<degree_celsius>(bank.temperature.get::<degree_celsius>() - 3.0);
        let lower = charges(&Bank { temperature: colder, ..bank }, &pattern);
        prop_assert!(never_above(&lower, &base));
    }
}
