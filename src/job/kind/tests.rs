//! The catalog: what holds for every kind.

use std::collections::{BTreeMap, BTreeSet};

use strum::VariantArray;
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;

use super::*;
use crate::job::load::Load;
use crate::job::plan::Purpose;
use crate::job::value::{DeviceId, KindId, Label, LocationId, NominalV, PointId};
use crate::trade::color::TABLE;
use crate::trade::protection::Family;
use crate::trade::source::{KIND_PRACTICE, SHOP_KIND};

const TEXT: &str = include_str!("catalog.toml");

fn kinds() -> &'static [Kind] {
    Catalog::built_in().kinds()
}

fn kind(id: &str) -> &'static Kind {
    Catalog::built_in().named(id).unwrap_or_else(|| panic!("no kind {id}"))
}

fn nominal(volts: f64) -> NominalV {
    volts.try_into().unwrap()
}

fn amperes(load: Load, volts: f64) -> f64 {
    load.current_at(ElectricPotential::new::<volt>(volts)).get::<ampere>()
}

fn device(kind: &Kind, volts: f64) -> crate::job::plan::Device {
    let id: DeviceId = "d1".parse().unwrap();
    kind.device(id, kind.name.clone(), "helm".parse::<LocationId>().unwrap(), nominal(volts))
}

#[test]
fn the_catalog_is_read_whole() {
    let catalog = Catalog::read(TEXT).unwrap_or_else(|error| panic!("{error}"));
    assert_eq!(&catalog, Catalog::built_in());
    assert!(kinds().len() >= 85, "{} kinds", kinds().len());
}

#[test]
fn a_wrong_field_of_a_catalog_is_named() {
    let wrong = [
        ("[[kind]]\nid = \"a\"", "name"),
        (
            "[[kind]]\nid = \"a\"\nname = \"A\"\nlabel = \"A\"\ngroup = \"engine\"\nlaws = [\"RULE_99\"]",
            "RULE_99",
        ),
        (
            "[[kind]]\nid = \"a\"\nname = \"A\"\nlabel = \"A\"\ngroup = \"engine\"\nload = { a = [3, 2, 1] }",
            "three figures",
        ),
        (
            "[[kind]]\nid = \"a\"\nname = \"A\"\nlabel = \"A\"\ngroup = \"engine\"\nload = { a = [1, 2, 3], w = [1, 2, 3] }",
            "one of a, w and ohm",
        ),
        (
            "[[kind]]\nid = \"a\"\nname = \"A\"\nlabel = \"A\"\ngroup = \"engine\"\nconnection = \"glue\"",
            "plug",
        ),
        ("[[kind]]\nid = \"a\"\nname = \"A\"\nlabel = \"A\"\ngroup = \"engine\"\ncolour = \"red\"", "colour"),
    ];
    for (text, says) in wrong {
        let error = Catalog::read(text).unwrap_err().to_string();
        assert!(error.contains(says), "{error}");
    }
}

#[test]
fn ids_are_unique() {
    let ids: BTreeSet<&KindId> = kinds().iter().map(|kind| &kind.id).collect();
    assert_eq!(ids.len(), kinds().len());
}

#[test]
fn kinds_that_a_kind_names_are_in_the_catalog() {
    for kind in kinds() {
        let cables = kind.cables.iter().flat_map(|cable| &cable.to);
        for named in kind.needs.iter().chain(cables) {
            assert!(Catalog::built_in().kind(named).is_some(), "{}: {named}", kind.id);
        }
    }
}

/// Every figure that a kind has also has a source, and no source is named for a figure that it does not have.
#[test]
fn every_figure_has_a_source() {
    for kind in kinds() {
        for figure in Figure::VARIANTS {
            let marked = kind.marks.contains_key(figure);
            assert!(!marked || kind.source_of(*figure).is_some(), "{}: {figure:?}", kind.id);
        }
        let usual = |figure: &Figure| kind.source_of(*figure) == Some(&KIND_PRACTICE);
        assert!(kind.load.is_none() || kind.marks.contains_key(&Figure::Load) || usual(&Figure::Load));
    }
}

/// What a plan needs of every kind that draws current.
#[test]
fn a_kind_that_draws_current_has_what_a_plan_needs() {
    for kind in kinds().iter().filter(|kind| kind.load.is_some()) {
        let id = &kind.id;
        assert!(kind.max_fuse_a.is_some() && kind.drop_limit_pct.is_some() && kind.duty.is_some(), "{id}");
        assert!(kind.connection.is_some(), "{id}: connection");
        assert!(kind.test.is_some(), "{id}: test");
        assert!(kind.id.as_str() == "accessory" || kind.weight_kg.is_some(), "{id}: weight");
        assert!(!kind.usually_at.is_empty(), "{id}: location");
    }
}

/// A sentence of its own for each test and caution, at most 20 words (words.md).
#[test]
fn tests_and_cautions_are_short_sentences() {
    for kind in kinds() {
        for text in kind.test.iter().chain(&kind.caution) {
            assert!(text.as_str().ends_with('.'), "{}: {text}", kind.id);
            for sentence in text.as_str().split(['.', ':', ';']) {
                assert!(sentence.split_whitespace().count() <= 20, "{}: {sentence}", kind.id);
            }
        }
    }
}

#[test]
fn fuses_are_standard_and_carry_the_load_at_both_voltages() {
    for kind in kinds() {
        for volts in [12.0, 24.0] {
            let figures = kind.figures(nominal(volts));
            let volts = if kind.needs_12_v(nominal(volts)) { 12.0 } else { volts };
            let Some((load, fuse)) = figures.load.zip(figures.max_fuse_a) else { continue };
            let typical = amperes(load.typical, volts);
            let share = if kind.short_time { 1.0 } else { 0.8 };
            assert!(typical <= share * fuse.number(), "{}: {typical} A on {fuse} A", kind.id);
            let made = Family::ALL.iter().any(|family| family.makes(fuse.quantity()));
            assert!(made, "{}: {fuse} A is no standard rating", kind.id);
        }
    }
}

/// A starting current is above the load, and at most what a blade fuse of the rating carries for so long (ISO 8820-3,
/// from memory: 200 % for 0.15 s, 160 % for 0.25 s, 135 % for 0.75 s). Larger motors have their own breaker.
#[test]
fn starting_currents_pass_the_fuse() {
    for kind in kinds() {
        let Some((start, fuse)) = kind.start.zip(kind.max_fuse_a) else { continue };
        let load = kind.load.unwrap();
        assert!(start.a.number() >= amperes(load.typical, 12.0), "{}", kind.id);
        let share = start.a.number() / fuse.number();
        let most = if start.s.number() <= 0.25 { 1.6 } else { 1.35 };
        assert!(fuse.number() > 40.0 || share <= most, "{}: {share}", kind.id);
    }
}

/// The drop limit of lights is that of ABYC E-11 for critical circuits, 3 %. No kind has another than 3 or 10 %.
#[test]
fn navigation_lights_have_three_percent() {
    for kind in kinds() {
        let limit = kind.drop_limit_pct.map(|limit| limit.number());
        assert!(matches!(limit, None | Some(3.0 | 10.0)), "{}", kind.id);
        if kind.light.is_some() {
            assert_eq!(limit, Some(3.0), "{}", kind.id);
            assert_eq!(kind.color.as_ref().map(Label::as_str), Some("dark gray"), "{}", kind.id);
            assert!(!kind.laws.is_empty() && !kind.short_time, "{}", kind.id);
        }
    }
}

#[test]
fn colors_are_those_of_the_table_of_the_trade() {
    for kind in kinds() {
        let Some(color) = &kind.color else { continue };
        assert!(TABLE.iter().any(|known| known.color == color.as_str()), "{}: {color}", kind.id);
    }
}

/// Ahead of the battery switch are automatic bilge pumps, alarms, charging and memory, and nothing else (common
/// practice, no source).
#[test]
fn only_what_may_be_is_always_on() {
    for kind in kinds().iter().filter(|kind| kind.load.is_some()) {
        let may = kind.purpose.is_some_and(Purpose::may_be_ahead);
        assert_eq!(kind.feed == Feed::AlwaysOn, may, "{}", kind.id);
        let by_engine = kind.purpose == Some(Purpose::Engine);
        assert_eq!(kind.feed == Feed::Engine, by_engine, "{}", kind.id);
    }
}

/// A figure of 24 V has the power of its figure of 12 V, a wide one keeps its fuse, and one for 12 V keeps everything.
#[test]
fn figures_follow_the_voltage() {
    let pump = kind("bilge-pump-automatic").figures(nominal(24.0));
    assert_eq!(amperes(pump.load.unwrap().typical, 24.0), 2.0);
    assert_eq!(pump.start.unwrap().a.number(), 5.0);
    assert_eq!(pump.max_fuse_a.unwrap().number(), 4.0);
    let display = kind("multifunction-display");
    assert_eq!(amperes(display.figures(nominal(24.0)).load.unwrap().typical, 24.0), 45.0 / 24.0);
    assert_eq!(display.figures(nominal(24.0)).max_fuse_a, display.max_fuse_a);
    let radio = kind("vhf-radio");
    assert_eq!(radio.figures(nominal(24.0)), radio.figures(nominal(12.0)));
    assert!(radio.needs_12_v(nominal(24.0)) && !radio.needs_12_v(nominal(12.0)));
}

/// P16 of the rules for proposals: radio and network are for 12 V only.
#[test]
fn radio_and_network_are_for_12_v_only() {
    for id in ["vhf-radio", "network-backbone", "ais-transceiver", "stereo"] {
        assert_eq!(kind(id).supply, SupplyVolts::Only12, "{id}");
    }
}

#[test]
fn nothing_of_a_made_device_counts_as_read_or_measured() {
    for kind in kinds().iter().filter(|kind| kind.is_device()) {
        let made = device(kind, 12.0);
        assert_eq!(made.ignition_protected, None, "{}", kind.id);
        assert!(made.cables.is_empty() && made.mounting.is_none() && !made.kept, "{}", kind.id);
        assert!(made.settings.iter().all(|setting| setting.value.is_none()), "{}", kind.id);
    }
}

#[test]
fn every_distribution_kind_makes_its_point() {
    for kind in kinds().iter().filter(|kind| kind.point.is_some()) {
        for volts in [12.0, 24.0] {
            let id: PointId = "p1".parse().unwrap();
            let made = kind.point(id, kind.name.clone(), "aft".parse().unwrap(), nominal(volts));
            assert!(made.is_some(), "{}", kind.id);
        }
    }
    let battery = kind("battery");
    let made =
        battery.point("p1".parse().unwrap(), battery.name.clone(), "aft".parse().unwrap(), nominal(24.0));
    let crate::job::point::Body::Battery(made) = made.unwrap().body else { panic!() };
    assert_eq!((made.open_circuit_v.number(), made.internal_mohm), (25.4, None));
}

#[test]
fn a_kind_written_and_read_is_the_same() {
    for kind in kinds() {
        let json = serde_json::to_string(kind).unwrap();
        assert_eq!(*kind, serde_json::from_str::<Kind>(&json).unwrap());
    }
}

/// A device kept as a kind makes the same device, at the voltage of its boat.
#[test]
fn a_kept_device_makes_the_same_device() {
    for volts in [12.0, 24.0] {
        for kind in kinds().iter().filter(|kind| kind.load.is_some() && !kind.needs_12_v(nominal(volts))) {
            let mut made = device(kind, volts);
            made.ignition_protected = None;
            let own = Kind::of_device(&made, nominal(volts), "own".parse().unwrap(), kind);
            assert_eq!(device(&own, volts), made, "{} at {volts} V", kind.id);
            let sources: BTreeMap<_, _> = Figure::VARIANTS
                .iter()
                .filter_map(|figure| Some((figure, own.source_of(*figure)?)))
                .collect();
            assert!(sources.values().all(|source| **source == SHOP_KIND), "{}", kind.id);
        }
    }
}

#[test]
fn a_kind_of_the_shop_comes_first_and_takes_its_names() {
    let own = Kind { names: vec!["livewell".parse().unwrap()], ..kind("livewell-pump").clone() };
    let own = Kind { id: "our-livewell".parse().unwrap(), name: "Our livewell pump".parse().unwrap(), ..own };
    let catalog = Catalog::built_in().with([own.clone()]);
    assert_eq!(catalog.kinds().len(), kinds().len() + 1);
    assert_eq!(catalog.kinds().first(), Some(&own));
    let usual = catalog.named("livewell-pump").unwrap();
    assert!(usual.names.iter().all(|name| name.as_str() != "livewell"));
    let replaced = Kind { id: usual.id.clone(), ..own };
    assert_eq!(Catalog::built_in().with([replaced]).kinds().len(), kinds().len());
}

/// Loads of kinds stay inside what the handbook that was read gives: a radio 5 A, an autopilot 5 A for 30 % of the time
/// ([`ENERGY_HANDBOOK`](crate::trade::source::ENERGY_HANDBOOK)).
#[test]
fn figures_of_the_handbook_are_those_of_the_catalog() {
    for id in ["vhf-radio", "autopilot"] {
        assert_eq!(amperes(kind(id).load.unwrap().typical, 12.0), 5.0, "{id}");
    }
    assert_eq!(kind("autopilot").duty.unwrap().under_way.number(), 0.3);
    // Installation guides, read: the supply of a drive carries three times its current for a moment.
    assert_eq!(kind("autopilot").start.unwrap().a.number(), 15.0);
    // Installation guides, read: the network has a circuit of its own with 3 A, and 9.0 V at each device.
    let network = kind("network-backbone");
    assert_eq!(network.max_fuse_a.unwrap().number(), 3.0);
    assert_eq!(network.least_v.unwrap().number(), 9.0);
}
