//! Terminals, heat shrink and crimp pulls.

use driploop::trade::conductor::Size;
use driploop::trade::finding::Code;
use driploop::trade::terminal::{Barrel, Stud, TerminalKind, choose, heat_shrink, pulls};
use uom::si::force::{newton, pound_force};
use uom::si::length::millimeter;

use crate::{close, rows, size};

const PULLS: &str = include_str!("../reference/nasa_crimp_pull.csv");

// ABYC E-11 and UL 486A from memory, NASA-STD-8739.4 table 13-1 read; every row for a gauge we know.
#[test]
fn every_pull_force() {
    let mut seen = 0;
    for row in rows(PULLS) {
        let title = match row.text("standard") {
            "ABYC E-11" => "ABYC E-11",
            "UL 486A" => "UL 486A",
            "NASA-STD-8739.4 T13-1 grounding lead" => "NASA-STD-8739.4",
            _ => continue,
        };
        let Some(size) = row.gauge() else { continue };
        let pulls = pulls(size);
        let pull = pulls.iter().find(|pull| pull.source.title == title).unwrap();
        close(pull.least.get::<pound_force>(), row.number("min_lbf"), 1e-12);
        // NASA prints whole newtons: 57 for 13 lbf, which is 57.8.
        close(pull.least.get::<newton>(), row.number("min_n"), 0.015);
        seen += 1;
    }
    assert_eq!(seen, 15 + 17 + 1);
}

#[test]
fn the_boat_s_own_standard_comes_first_where_it_has_a_figure() {
    assert_eq!(pulls(size("14 AWG"))[0].source.title, "ABYC E-11");
    assert_eq!(pulls(size("2.5 mm2"))[0], pulls(size("14 AWG"))[0]);
    assert_eq!(pulls(size("22 AWG"))[0].source.title, "UL 486A");
}

// Common practice, no source: color bands.
#[test]
fn barrels_by_color() {
    use Barrel::{Blue, Lug, Red, Yellow};
    let cases = [
        ("22 AWG", Red),
        ("18 AWG", Red),
        ("16 AWG", Red),
        ("14 AWG", Blue),
        ("12 AWG", Yellow),
        ("10 AWG", Yellow),
        ("8 AWG", Lug),
        ("4/0 AWG", Lug),
        ("0.5 mm2", Red),
        ("1.5 mm2", Red),
        ("2.5 mm2", Blue),
        ("4 mm2", Yellow),
        ("6 mm2", Yellow),
        ("16 mm2", Lug),
    ];
    for (name, barrel) in cases {
        assert_eq!(Barrel::of(size(name)), barrel, "{name}");
    }
}

#[test]
fn a_ring_needs_a_stud_and_a_butt_does_not() {
    let ring = choose(TerminalKind::Ring, size("14 AWG"), Some(Stud::No10)).unwrap();
    assert_eq!((ring.barrel, ring.stud), (Barrel::Blue, Some(Stud::No10)));
    assert_eq!(choose(TerminalKind::Ring, size("14 AWG"), None).unwrap_err().code, Code::InputMissing);
    assert_eq!(choose(TerminalKind::Butt, size("14 AWG"), None).unwrap().stud, None);
}

#[test]
fn what_is_not_made_is_said() {
    for (kind, name, stud) in [
        (TerminalKind::Ring, "16 AWG", Some(Stud::Half)),
        (TerminalKind::Ring, "2/0 AWG", Some(Stud::No10)),
        (TerminalKind::PushOn, "6 AWG", None),
        (TerminalKind::Fork, "8 AWG", Some(Stud::No10)),
    ] {
        let finding = choose(kind, size(name), stud).unwrap_err();
        assert_eq!(finding.code, Code::NoStandardTerminal, "{name}");
        assert!(finding.working.is_some());
    }
}

#[test]
fn studs_read_in_both_threads() {
    for &stud in Stud::ALL {
        assert_eq!(stud.text().parse(), Ok(stud));
        assert_eq!(stud.metric().parse(), Ok(stud));
    }
    let error = "M7".parse::<Stud>().unwrap_err().to_string();
    assert!(error.starts_with("stud `M7`: expected one of #6"), "{error}");
}

#[test]
fn tube_slides_over_the_barrel_and_shrinks_onto_the_insulation() {
    for &size in Size::ALL {
        let tube = heat_shrink(size).unwrap_or_else(|| panic!("{size}")).get::<millimeter>();
        let over = size.outside_diameter().get::<millimeter>();
        assert!(tube >= 1.25 * over && tube / 3.0 < over, "{size}: {tube} on {over}");
    }
}
