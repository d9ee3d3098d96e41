//! Choosing and judging a conductor.

use driploop::trade::conductor::{Size, System};
use driploop::trade::drop::{self, PathLength};
use driploop::trade::exemption::Exemption;
use driploop::trade::finding::{Code, RuleFinding};
use driploop::trade::insulation::Insulation;
use driploop::trade::minimum::Laying;
use driploop::trade::protection::{Family, WireLimit};
use driploop::trade::rules::RuleSet;
use driploop::trade::sizing::{Demand, Governor, OwnFuse, choose, judge};
use driploop::trade::units::Units;
use proptest::prelude::*;
use uom::si::f64::{Length, Ratio};
use uom::si::length::meter;
use uom::si::ratio::percent;

use crate::{amperes, both_systems, celsius, feet, size, volts};

/// 5 A over 15 ft each way at 12 V and 3 %, by itself, 105 C.
fn demand() -> Demand {
    Demand {
        rules: RuleSet::Us,
        design_current: Some(amperes(5.0)),
        drop_current: None,
        length: Some(PathLength::OneWay(feet(15.0))),
        longest_wire: Some(feet(15.0)),
        nominal_voltage: Some(volts(12.0)),
        drop_limit: Some(drop::critical_limit()),
        insulation: Some(Insulation::BOAT_CABLE),
        ambient: celsius(30.0),
        engine_space: false,
        bundle: None,
        laying: Laying::Alone,
        exemption: None,
        own_fuse: OwnFuse::Of(Family::BladeFuse),
        least_fuse: None,
        at_least: None,
    }
}

#[track_caller]
fn chooses(demand: &Demand, expected: &str, governed_by: &[Governor]) {
    let sizing = choose(demand).unwrap_or_else(|findings| panic!("{:?}", codes(&findings)));
    assert_eq!((sizing.size(), sizing.governed_by.as_slice()), (size(expected), governed_by));
    assert_eq!(judge(sizing.size(), demand), sizing.chosen);
}

fn codes(findings: &[RuleFinding]) -> Vec<Code> {
    findings.iter().map(|finding| finding.code).collect()
}

// By hand with the formulas and tables that the other tests hold against their sources.
#[test]
fn sizes_by_hand() {
    let at = |current, length_ft| Demand {
        design_current: Some(amperes(current)),
        length: Some(PathLength::OneWay(feet(length_ft))),
        ..demand()
    };
    // 10.75 x 5 A x 30 ft / 0.36 V = 4479 CM: more than 14 AWG (4107), less than 12 AWG (6530).
    chooses(&demand(), "12 AWG", &[Governor::Drop]);
    // At 10 %: 1344 CM would do, but by itself 16 AWG is the least.
    let loose = Demand { drop_limit: Some(Ratio::new::<percent>(10.0)), ..demand() };
    chooses(&loose, "16 AWG", &[Governor::Minimum]);
    chooses(&Demand { laying: Laying::InSheath, ..loose }, "18 AWG", &[Governor::Stock]);
    // Short and strong: 105 C carries 45 A in 12 AWG and 60 A in 10 AWG.
    chooses(
        &Demand { own_fuse: OwnFuse::Of(Family::Breaker), ..at(50.0, 1.0) },
        "10 AWG",
        &[Governor::Ampacity],
    );
    // In an engine space 10 AWG keeps 51 A, 8 AWG 68 A.
    let hot = Demand { engine_space: true, own_fuse: OwnFuse::Of(Family::Breaker), ..at(55.0, 1.0) };
    chooses(&hot, "8 AWG", &[Governor::Ampacity]);
    // ISO: 0.0164 x 5 A x 9.144 m / 0.36 V = 2.083 mm2.
    let iso = Demand { rules: RuleSet::Iso, ..demand() };
    chooses(&iso, "2.5 mm2", &[Governor::Drop]);
    // ISO: 22 A. 1.5 mm2 carries 25 A at 105 C, but of the large blades only 20 and 30 A are made:
    // 2.5 mm2 carries 35 A.
    let large =
        Demand { rules: RuleSet::Iso, own_fuse: OwnFuse::Of(Family::LargeBladeFuse), ..at(22.0, 1.0) };
    chooses(&large, "2.5 mm2", &[Governor::Protection]);
}

#[test]
fn no_load_and_no_length_are_figures_too() {
    let nothing = Demand {
        design_current: Some(amperes(0.0)),
        length: Some(PathLength::OneWay(feet(0.0))),
        ..demand()
    };
    chooses(&nothing, "16 AWG", &[Governor::Minimum]);
}

#[test]
fn none_fits() {
    let far = Demand { length: Some(PathLength::OneWay(feet(20_000.0))), ..demand() };
    let findings = choose(&far).unwrap_err();
    assert_eq!(codes(&findings), [Code::NoSizeFits]);
    assert!(findings[0].against.is_some() && findings[0].working.is_some());
    let text = findings[0].text.text(Units::Us);
    assert!(text.contains("voltage drop"), "{text}");
    // No blade fuse is made for 60 A, on however thick a conductor.
    let strong = Demand { design_current: Some(amperes(60.0)), ..demand() };
    assert!(choose(&strong).unwrap_err()[0].text.text(Units::Us).contains("room for a standard fuse"));
}

#[test]
fn every_missing_or_impossible_input_is_named_and_never_passes() {
    let nan = f64::NAN;
    let cases = [
        (Demand { design_current: None, ..demand() }, "design current"),
        (Demand { design_current: Some(amperes(nan)), ..demand() }, "design current"),
        (Demand { design_current: Some(amperes(-1.0)), ..demand() }, "design current"),
        (Demand { length: None, ..demand() }, "length"),
        (Demand { length: Some(PathLength::OneWay(feet(-3.0))), ..demand() }, "length"),
        (Demand { nominal_voltage: None, ..demand() }, "nominal voltage"),
        (Demand { nominal_voltage: Some(volts(0.0)), ..demand() }, "nominal voltage"),
        (Demand { drop_limit: None, ..demand() }, "maximum voltage drop"),
        (Demand { insulation: None, ..demand() }, "insulation temperature"),
        (Demand { nominal_voltage: Some(volts(50.0)), ..demand() }, "number of conductors in the bundle"),
    ];
    for (demand, input) in cases {
        let findings = choose(&demand).unwrap_err();
        assert!(findings.iter().all(|finding| finding.code == Code::InputMissing), "{input}");
        assert!(
            findings
                .iter()
                .any(|finding| finding.text.text(Units::Us).starts_with(&format!("Enter the {input}"))),
            "{input}"
        );
        assert!(!judge(size("4/0 AWG"), &demand).fits(), "{input}");
    }
}

#[test]
fn a_given_size_is_judged() {
    let say = |name, demand: &Demand| codes(&judge(size(name), demand).findings);
    assert_eq!(say("12 AWG", &demand()), []);
    assert_eq!(say("14 AWG", &demand()), [Code::DropOverLimit]);
    assert_eq!(say("2.5 mm2", &demand()), []);
    assert_eq!(say("20 AWG", &demand()), [Code::NoAmpacity, Code::DropOverLimit, Code::UnderMinimumSize]);
    let strong = Demand {
        design_current: Some(amperes(30.0)),
        drop_limit: Some(Ratio::new::<percent>(10.0)),
        ..demand()
    };
    assert_eq!(say("18 AWG", &strong)[0], Code::CurrentOverAmpacity);
    assert_eq!(say("3 AWG", &strong), []);
}

#[test]
fn an_exemption_that_holds_lifts_table_and_minimum_but_not_the_drop() {
    let small = Demand {
        design_current: Some(amperes(0.3)),
        exemption: Some(Exemption::SmallElectronics),
        ..demand()
    };
    let judged = judge(size("22 AWG"), &small);
    assert!(judged.fits() && judged.exempt && judged.wire() == WireLimit::Exempt);
    assert!(judged.drop.is_some());
    let too_strong = Demand { design_current: Some(amperes(2.0)), ..small };
    assert_eq!(
        codes(&judge(size("22 AWG"), &too_strong).findings)[..2],
        [Code::ExemptionNotMet, Code::NoAmpacity]
    );
    let iso = Demand { rules: RuleSet::Iso, ..small };
    assert!(!judge(size("0.5 mm2"), &iso).fits());
}

#[test]
fn unstocked_sizes_are_never_chosen() {
    for system in both_systems() {
        let stocked: Vec<Size> = Size::stocked(system).collect();
        for name in ["22 AWG", "20 AWG", "3 AWG", "0.5 mm2"] {
            assert!(!stocked.contains(&size(name)));
        }
    }
    assert_eq!(Size::stocked(System::Awg).count() + Size::stocked(System::Metric).count(), 14 + 14);
}

prop_compose! {
    fn any_demand()(
        us in any::<bool>(),
        current in 0.0..150.0_f64,
        length in 0.0..30.0_f64,
        nominal in prop::sample::select(vec![12.0, 24.0, 36.0, 48.0, 72.0]),
        limit in prop::sample::select(vec![3.0, 5.0, 10.0]),
        insulation in 60..=200_u16,
        ambient in -5.0..90.0_f64,
        engine_space in any::<bool>(),
        bundle in 1..40_usize,
        in_jacket in any::<bool>(),
        family in prop::option::of(prop::sample::select(Family::ALL.to_vec())),
    ) -> Demand {
        Demand {
            rules: if us { RuleSet::Us } else { RuleSet::Iso },
            design_current: Some(amperes(current)),
            drop_current: None,
            length: Some(PathLength::OneWay(Length::new::<meter>(length))),
            longest_wire: Some(Length::new::<meter>(length)),
            nominal_voltage: Some(volts(nominal)),
            drop_limit: Some(Ratio::new::<percent>(limit)),
            insulation: Some(Insulation::rated(insulation).unwrap()),
            ambient: celsius(ambient),
            engine_space,
            bundle: Some(bundle),
            laying: if in_jacket { Laying::InSheath } else { Laying::Alone },
            exemption: None,
            own_fuse: family.map_or(OwnFuse::AnyKind, OwnFuse::Of),
            least_fuse: None,
            at_least: None,
        }
    }
}

fn any_size() -> impl Strategy<Value = Size> {
    prop::sample::select(Size::ALL.to_vec())
}

proptest! {
    #[test]
    fn a_thicker_conductor_never_drops_more_nor_carries_less(demand in any_demand(), a in any_size(), b in any_size()) {
        let (thin, thick) = (judge(a.min(b), &demand), judge(a.max(b), &demand));
        prop_assert!(thick.drop.unwrap().volts <= thin.drop.unwrap().volts);
        if let Some(thin) = thin.ampacity {
            let thick = thick.ampacity.unwrap();
            prop_assert!(thick.table >= thin.table && thick.derated >= thin.derated);
            prop_assert!(thin.derated <= thin.table);
        }
    }

    #[test]
    fn what_fits_thin_fits_thick(demand in any_demand(), a in any_size(), b in any_size()) {
        prop_assert!(!judge(a.min(b), &demand).fits() || judge(a.max(b), &demand).fits());
    }

    #[test]
    fn the_chosen_size_passes_its_own_judge_and_the_next_thinner_does_not(demand in any_demand()) {
        let sizes: Vec<Size> = Size::stocked(demand.rules.system()).collect();
        match choose(&demand) {
            Ok(sizing) => {
                prop_assert!(judge(sizing.size(), &demand).fits());
                prop_assert!(!sizing.governed_by.is_empty());
                match sizes.iter().rfind(|size| **size < sizing.size()) {
                    Some(thinner) => prop_assert!(!judge(*thinner, &demand).fits()),
                    None => prop_assert_eq!(sizing.governed_by, [Governor::Stock]),
                }
            }
            Err(findings) => {
                prop_assert_eq!(codes(&findings), [Code::NoSizeFits]);
                prop_assert!(sizes.iter().all(|size| !judge(*size, &demand).fits()));
            }
        }
    }

    #[test]
    fn no_working_ever_shows_a_number_that_is_none(demand in any_demand(), size in any_size()) {
        let judgment = judge(size, &demand);
        for working in judgment.workings() {
            prop_assert!(!working.numbers.to_string().contains("NaN") && !working.result.to_string().contains("NaN"));
            prop_assert!(!working.numbers.to_string().contains("inf") && !working.result.to_string().contains("inf"));
        }
        for finding in judgment.findings {
            let text = finding.text.text(Units::Us);
            prop_assert!(finding.working.is_some() && !text.contains("NaN"), "{text}");
        }
    }
}
