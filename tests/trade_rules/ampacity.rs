//! Allowable current, its factors, and the smallest sizes.

use driploop::trade::ampacity::{Ampacity, Conditions, allowable, judge};
use driploop::trade::conductor::{Size, System};
use driploop::trade::exemption::{self, Exemption};
use driploop::trade::finding::{Code, Level};
use driploop::trade::insulation::Insulation;
use driploop::trade::minimum::{self, Laying};
use driploop::trade::rules::RuleSet;
use driploop::trade::units::Units;
use uom::si::area::square_millimeter;
use uom::si::electric_current::ampere;
use uom::si::f64::Length;
use uom::si::length::{inch, millimeter};

use crate::{Row, amperes, celsius, close, rows, size, volts};
use driploop::trade::quantity::Quantity;

const TABLE_5: &str = include_str!("../reference/cfr33_183_425_table5.csv");
const NOTE_1: &str = include_str!("../reference/cfr33_183_425_note1.csv");
const NOTE_2: &str = include_str!("../reference/cfr33_183_425_note2.csv");
const ISO: &str = include_str!("../reference/iso13297_ampacity.csv");
const AWG: &str = include_str!("../reference/awg_astm_b258.csv");

const US_COLUMNS: [(u16, &str); 7] =
    [(60, "t60c"), (75, "t75c"), (80, "t80c"), (90, "t90c"), (105, "t105c"), (125, "t125c"), (200, "t200c")];
// Column 85-90 holds from 85 C on.
const ISO_COLUMNS: [(u16, &str); 6] =
    [(60, "t60c"), (70, "t70c"), (85, "t85_90c"), (105, "t105c"), (125, "t125c"), (200, "t200c")];

fn at(rules: RuleSet, rated: u16) -> Conditions {
    Conditions {
        rules,
        insulation: Some(Insulation::rated(rated).unwrap()),
        ambient: celsius(30.0),
        engine_space: false,
        nominal_voltage: Some(volts(12.0)),
        bundle: Some(1),
    }
}

fn carries(size: Size, conditions: &Conditions) -> Ampacity {
    allowable(size, conditions).unwrap_or_else(|finding| panic!("{size}: {}", finding.text.text(Units::Us)))
}

/// Every rating from 60 to 200 C against the column it has to be read in: each cell, and each gap.
fn every_cell(rules: RuleSet, columns: &[(u16, &str)], table: &[(Size, &Row)]) {
    for (size, row) in table {
        for celsius in 60..=200 {
            let (_, column) = columns.iter().rfind(|(rated, _)| *rated <= celsius).unwrap();
            let ampacity = carries(*size, &at(rules, celsius));
            assert_eq!(ampacity.table, amperes(row.number(column)), "{size} at {celsius} C");
            assert_eq!(ampacity.derated, ampacity.table);
        }
    }
}

// Published: 33 CFR 183.425 table 5, every cell.
#[test]
fn every_cell_of_table_5() {
    let rows = rows(TABLE_5);
    let table: Vec<_> = rows.iter().map(|row| (row.gauge().unwrap(), row)).collect();
    assert_eq!(table.len(), 15);
    every_cell(RuleSet::Us, &US_COLUMNS, &table);
}

// From memory: ISO 13297 annex A, every cell but 150 mm2, a size the program does not know.
#[test]
fn every_cell_of_the_iso_table() {
    let rows = rows(ISO);
    let table: Vec<_> = rows.iter().filter_map(|row| Some((row.metric()?, row))).collect();
    assert_eq!(table.len(), 14);
    every_cell(RuleSet::Iso, &ISO_COLUMNS, &table);
}

// 33 CFR 183.425(c) read, the factors of note 1 from memory.
#[test]
fn every_engine_space_factor_of_note_1() {
    for row in rows(NOTE_1) {
        let celsius = row.number("insulation_c").to_string().parse().unwrap();
        let inside = Conditions { engine_space: true, ..at(RuleSet::Us, celsius) };
        for size in rows(TABLE_5).iter().filter_map(Row::gauge) {
            let ampacity = carries(size, &inside);
            close(ampacity.derated.value, ampacity.table.value * row.number("factor"), 1e-12);
        }
    }
}

// NFPA 70's equation for ambient temperatures against note 1 of 33 CFR 183.425 (from memory): the factors of
// note 1 are those of 50 C to a hundredth (0.856 at 105 C is written 0.85), but for 200 C, of which note 1 takes
// nothing off.
#[test]
fn the_heat_factor_at_50_c_is_that_of_note_1() {
    for row in rows(NOTE_1).iter().filter(|row| row.number("insulation_c") < 200.0) {
        let rated = row.number("insulation_c").to_string().parse().unwrap();
        let hot = carries(size("10 AWG"), &Conditions { ambient: celsius(50.0), ..at(RuleSet::Us, rated) });
        let apart = hot.derated.value / hot.table.value - row.number("factor");
        assert!(apart.abs() < 0.007, "{rated} C: {apart}");
        assert_eq!(hot.workings.last().unwrap().what, Quantity::AmpacityInHeat);
    }
}

// NFPA 70, table of correction factors for 30 C ambient (from memory), 75 C column: 0.94 at 31 to 35 C and so on to
// 0.33 at 66 to 70 C, each rounded from the equation at the upper end of its band.
#[test]
fn the_heat_factor_by_the_table_of_corrections() {
    for (ambient, factor) in [
        (35.0, 0.94),
        (40.0, 0.88),
        (45.0, 0.82),
        (50.0, 0.75),
        (55.0, 0.67),
        (60.0, 0.58),
        (65.0, 0.47),
        (70.0, 0.33),
    ] {
        let hot = carries(size("10 AWG"), &Conditions { ambient: celsius(ambient), ..at(RuleSet::Us, 75) });
        close((hot.derated.value / hot.table.value * 100.0).round() / 100.0, factor, 1e-12);
    }
    let cold = carries(size("10 AWG"), &Conditions { ambient: celsius(10.0), ..at(RuleSet::Us, 75) });
    assert_eq!(cold.derated, cold.table);
    let as_hot = Conditions { ambient: celsius(75.0), ..at(RuleSet::Us, 75) };
    let said = allowable(size("10 AWG"), &as_hot).unwrap_err();
    assert_eq!(said.code, Code::NoAmpacity);
    assert_eq!(
        said.text.text(Units::Us),
        "At 167 \u{b0}F (75 \u{b0}C) insulation rated 75 \u{b0}C has no ampacity left. Use insulation with a higher rating."
    );
}

// The engine-space factor is the heat of the engine space: a hot day is not taken off twice.
#[test]
fn heat_and_engine_space_are_not_taken_off_twice() {
    let inside =
        |ambient| Conditions { engine_space: true, ambient: celsius(ambient), ..at(RuleSet::Us, 105) };
    close(carries(size("10 AWG"), &inside(40.0)).derated.value, 60.0 * 0.85, 1e-12);
    close(carries(size("10 AWG"), &inside(60.0)).derated.value, 60.0 * (45.0_f64 / 75.0).sqrt(), 1e-12);
}

// From memory: ISO 13297 engine-space factors.
#[test]
fn every_iso_engine_space_factor() {
    for (celsius, factor) in [(70, 0.75), (85, 0.82), (90, 0.82), (105, 0.86), (125, 0.89), (200, 1.0)] {
        let inside = Conditions { engine_space: true, ..at(RuleSet::Iso, celsius) };
        let ampacity = carries(size("10 mm2"), &inside);
        close(ampacity.derated.value, ampacity.table.value * factor, 1e-12);
    }
    let too_hot = Conditions { engine_space: true, ..at(RuleSet::Iso, 60) };
    assert_eq!(allowable(size("10 mm2"), &too_hot).unwrap_err().code, Code::NoAmpacity);
}

// 33 CFR 183.435(b) read, the factors and bands of note 2 from memory.
#[test]
fn every_bundle_factor_of_note_2() {
    for row in rows(NOTE_2) {
        let first: usize = row.text("min_conductors").parse().unwrap();
        let last: usize = row.text("max_conductors").parse().unwrap_or(60);
        for count in first..=last {
            for (voltage, factor) in
                [(50.0, row.number("factor")), (120.0, row.number("factor")), (49.9, 1.0)]
            {
                let conditions = Conditions {
                    bundle: Some(count),
                    nominal_voltage: Some(volts(voltage)),
                    ..at(RuleSet::Us, 105)
                };
                let ampacity = carries(size("8 AWG"), &conditions);
                close(ampacity.derated.get::<ampere>(), 80.0 * factor, 1e-12);
            }
        }
    }
}

// 33 CFR 183.425(c) and 183.435(b): one is no reason to leave the other out.
#[test]
fn engine_space_and_bundle_multiply() {
    let conditions = Conditions {
        engine_space: true,
        bundle: Some(5),
        nominal_voltage: Some(volts(50.0)),
        ..at(RuleSet::Us, 105)
    };
    let ampacity = carries(size("6 AWG"), &conditions);
    close(ampacity.derated.get::<ampere>(), 120.0 * 0.85 * 0.6, 1e-12);
    let numbers: Vec<String> = ampacity.workings.iter().map(|working| working.numbers.to_string()).collect();
    assert_eq!(
        numbers,
        [
            "table 5: 6 AWG, 105 C column",
            "120 A x 0.85 (105 C column)",
            "102 A x 0.6 (5 current-carrying conductors)"
        ]
    );
    assert_eq!(ampacity.workings[2].result, "61.2 A");
}

// Areas from the reference table of ASTM B258, not from the program.
#[test]
fn a_size_of_the_other_system_is_read_to_its_disadvantage() {
    let table_5 = rows(TABLE_5);
    let areas = rows(AWG);
    for metric in Size::all(System::Metric) {
        let within =
            areas.iter().filter(|row| row.number("area_mm2") <= metric.area().get::<square_millimeter>());
        let in_table = |awg: &str| table_5.iter().find(|row| row.text("awg") == awg);
        let read_as = within.filter_map(|row| in_table(row.text("awg"))).next_back();
        let ampacity = allowable(metric, &at(RuleSet::Us, 105));
        match read_as {
            Some(row) => assert_eq!(ampacity.unwrap().table, amperes(row.number("t105c")), "{metric}"),
            None => assert_eq!(ampacity.unwrap_err().code, Code::NoAmpacity, "{metric}"),
        }
    }
    let iso = rows(ISO);
    for row in &areas {
        let Some(awg) = row.gauge() else { continue };
        let read_as = iso.iter().rfind(|made| made.number("mm2") <= row.number("area_mm2"));
        let ampacity = allowable(awg, &at(RuleSet::Iso, 105));
        match read_as {
            Some(made) => assert_eq!(ampacity.unwrap().table, amperes(made.number("t105c")), "{awg}"),
            None => assert_eq!(ampacity.unwrap_err().code, Code::NoAmpacity, "{awg}"),
        }
    }
}

#[test]
fn a_size_below_the_table_is_a_stop_and_not_a_pass() {
    for (name, rules) in [("20 AWG", RuleSet::Us), ("0.75 mm2", RuleSet::Us), ("0.5 mm2", RuleSet::Iso)] {
        let finding = allowable(size(name), &at(rules, 105)).unwrap_err();
        assert_eq!((finding.code, finding.level), (Code::NoAmpacity, Level::Stop));
        assert!(finding.working.is_some());
    }
}

#[test]
fn a_missing_input_is_named() {
    let complete = at(RuleSet::Us, 105);
    for (conditions, input) in [
        (Conditions { insulation: None, ..complete }, "insulation temperature"),
        (Conditions { nominal_voltage: None, ..complete }, "nominal voltage"),
        (
            Conditions { bundle: None, nominal_voltage: Some(volts(50.0)), ..complete },
            "number of conductors in the bundle",
        ),
    ] {
        let finding = allowable(size("14 AWG"), &conditions).unwrap_err();
        assert_eq!(finding.code, Code::InputMissing);
        let text = finding.text.text(Units::Us);
        assert!(text.starts_with(&format!("Enter the {input}")), "{text}");
    }
    assert!(allowable(size("14 AWG"), &Conditions { bundle: None, ..complete }).is_ok());
}

#[test]
fn the_design_current_may_just_reach_the_allowable() {
    let ampacity = carries(size("14 AWG"), &at(RuleSet::Us, 105));
    assert_eq!(judge(amperes(35.0), size("14 AWG"), &ampacity), None);
    let finding = judge(amperes(35.1), size("14 AWG"), &ampacity).unwrap();
    assert_eq!((finding.code, finding.level), (Code::CurrentOverAmpacity, Level::Stop));
    assert!(judge(amperes(f64::NAN), size("14 AWG"), &ampacity).is_some());
}

// 33 CFR 183.425(d) and (e); ISO 10133 clause 7.7: read.
#[test]
fn smallest_sizes() {
    use Laying::{Alone, InSheath};
    use RuleSet::{Iso, Us};
    let mm = |value| Some(Length::new::<millimeter>(value));
    let cases = [
        ("18 AWG", Us, InSheath, None, true),
        ("20 AWG", Us, InSheath, None, false),
        ("16 AWG", Us, Alone, None, true),
        ("18 AWG", Us, Alone, None, false),
        ("1 mm2", Us, Alone, None, false),
        ("1.5 mm2", Us, Alone, None, true),
        ("0.75 mm2", Iso, InSheath, None, true),
        ("0.5 mm2", Iso, InSheath, None, false),
        ("1 mm2", Iso, Alone, None, true),
        ("0.75 mm2", Iso, Alone, None, false),
        ("0.75 mm2", Iso, Alone, mm(200.1), false),
        ("0.75 mm2", Iso, Alone, mm(200.0), true),
        ("0.5 mm2", Iso, InSheath, mm(100.0), false),
    ];
    for (name, rules, laying, length, passes) in cases {
        let finding = minimum::judge(size(name), rules, laying, length);
        assert_eq!(finding.is_none(), passes, "{name} {rules:?} {laying:?}");
        assert!(finding.is_none_or(|finding| finding.code == Code::UnderMinimumSize));
    }
}

// 33 CFR 183.425(g), read: under 1 A, under 7 in; exactly 1 A and exactly 7.0 in are not exempt.
#[test]
fn an_exemption_holds_only_below_its_figure() {
    let inches = |value| Some(Length::new::<inch>(value));
    let claim = |exemption, current: Option<f64>, length| {
        exemption::applies(Some(exemption), RuleSet::Us, current.map(amperes), length)
            .map_err(|finding| finding.code)
    };
    assert_eq!(claim(Exemption::SmallElectronics, Some(0.99), None), Ok(true));
    assert_eq!(claim(Exemption::SmallElectronics, Some(1.0), None), Err(Code::ExemptionNotMet));
    assert_eq!(claim(Exemption::SmallElectronics, None, None), Err(Code::InputMissing));
    assert_eq!(claim(Exemption::ShortPigtail, None, inches(6.9)), Ok(true));
    assert_eq!(claim(Exemption::ShortPigtail, None, inches(7.0)), Err(Code::ExemptionNotMet));
    assert_eq!(claim(Exemption::CrankingMotor, None, None), Ok(true));
    assert_eq!(exemption::applies(None, RuleSet::Us, None, None), Ok(false));
    assert_eq!(exemption::applies(Some(Exemption::CrankingMotor), RuleSet::Iso, None, None), Ok(false));
}
