//! Fill against the conduit tables it is taken from, and against outside diameters of real wire.

use driploop::trade::conductor::Size;
use driploop::trade::route::fill::{self, least_bore, limit};
use uom::si::f64::Length;
use uom::si::length::{inch, millimeter};
use uom::si::ratio::percent;

use super::mm;

fn inches(value: f64) -> Length {
    Length::new::<inch>(value)
}

/// NFPA 70 chapter 9 table 1.
#[test]
fn one_two_and_more() {
    let limits = [1, 2, 3, 9].map(|count| limit(count).get::<percent>().round());
    assert_eq!(limits, [53.0, 31.0, 40.0, 40.0]);
}

/// NFPA 70 annex C table C.1: how many conductors of one size a tube takes. Note 7 of chapter 9 rounds a last
/// conductor up from 0.8 of its room, which this program does not.
#[test]
fn as_many_as_annex_c_allows() {
    let table = include_str!("../reference/nec_annex_c_emt_thhn.csv");
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.as_bytes());
    let bores: Vec<Length> = reader
        .headers()
        .unwrap()
        .iter()
        .skip(2)
        .map(|head| inches(head.trim_start_matches("emt_").trim_end_matches("_in").parse().unwrap()))
        .collect();
    let mut compared = 0;
    for row in reader.records().map(Result::unwrap) {
        let diameter = inches(row[1].parse().unwrap());
        for (bore, allowed) in bores.iter().zip(row.iter().skip(2)) {
            let allowed: usize = allowed.parse().unwrap();
            let most = (1..=200).take_while(|count| fill::fits(*bore, &vec![diameter; *count])).count();
            let room = (bore.value / diameter.value).powi(2) * limit(allowed).value;
            // The table works with areas of four decimals: 0.78 may be its 0.8.
            let rounded_up = most + 1 == allowed && room.fract() >= 0.78;
            assert!(most == allowed || rounded_up, "{} AWG in {:?}: {most}, not {allowed}", &row[0], bore);
            compared += 1;
        }
    }
    assert_eq!(compared, 20);
}

/// A published worked example of the Steel Tube Institute on chapter 9: 3 of 12 AWG, 4 of 10 AWG and 8 of 8 AWG
/// THWN take 0.4171 sq in. Trade size 1 (40 %: 0.346 sq in) is too small, trade size 1 1/4 (0.598 sq in) takes
/// them.
#[test]
fn a_worked_example_of_mixed_sizes() {
    let sizes = [(3, 0.130), (4, 0.164), (8, 0.216)];
    let diameters: Vec<Length> =
        sizes.iter().flat_map(|&(count, diameter)| vec![inches(diameter); count]).collect();
    let filled = fill::of(inches(1.380), &diameters);
    let square_inches = filled.taken.value / (0.0254 * 0.0254);
    assert!((square_inches - 0.4171).abs() < 0.0005, "{square_inches}");
    assert!(filled.fits());
    assert!((filled.share.get::<percent>() - 100.0 * 0.4171 / 1.496).abs() < 0.1);
    assert!(!fill::of(inches(1.049), &diameters).fits());
    let least = least_bore(&diameters);
    assert!(least > inches(1.049) && least < inches(1.380));
}

/// By hand: one conductor of 5 mm needs 5 / sqrt(0.53) = 6.868 mm, two 5 x sqrt(2 / 0.31) = 12.700 mm, four
/// 5 x sqrt(4 / 0.4) = 15.811 mm.
#[test]
fn the_least_bore_by_hand() {
    for (count, expected) in [(1, 6.868), (2, 12.700), (4, 15.811)] {
        let diameters = vec![mm(5.0); count];
        let least = least_bore(&diameters);
        assert!((least.get::<millimeter>() - expected).abs() < 0.001, "{count}: {least:?}");
        assert!(fill::fits(least, &diameters) && !fill::fits(least * 0.999, &diameters));
    }
}

#[test]
fn the_working_can_be_done_again_by_hand() {
    let filled = fill::of(mm(38.0), &[mm(5.0); 4]);
    // 4 x pi/4 x 25 = 78.54 mm2 of pi/4 x 1444 = 1134.1 mm2.
    assert_eq!(filled.working.numbers, "78.54 mm2 of 4 / (pi/4 x (38 mm)^2)");
    assert_eq!(filled.working.result, "6.925 % of at most 40 %");
}

/// What boat cable measures: diameters over the insulation as wire of these sizes is sold, from memory, common
/// practice. The program's figures are within a tenth.
#[test]
fn outside_diameters_are_those_of_real_wire() {
    let sold = [
        ("16 AWG", 3.1),
        ("14 AWG", 3.6),
        ("12 AWG", 4.2),
        ("10 AWG", 4.9),
        ("8 AWG", 6.3),
        ("6 AWG", 8.0),
        ("4 AWG", 9.6),
        ("2 AWG", 11.6),
        ("2/0 AWG", 16.0),
    ];
    for (size, expected) in sold {
        let size: Size = size.parse().unwrap();
        let diameter = size.outside_diameter().get::<millimeter>();
        assert!((diameter / expected - 1.0).abs() < 0.1, "{size}: {diameter} mm");
    }
    // Flat duplex, the larger side.
    for (size, expected) in [("16 AWG", 7.6), ("14 AWG", 8.4), ("12 AWG", 9.9), ("10 AWG", 11.4)] {
        let size: Size = size.parse().unwrap();
        let diameter = size.duplex_diameter().get::<millimeter>();
        assert!((diameter / expected - 1.0).abs() < 0.1, "{size} duplex: {diameter} mm");
    }
    for pair in Size::ALL.windows(2) {
        if pair[0] < pair[1] && pair[0].system() == pair[1].system() {
            assert!(pair[0].outside_diameter() < pair[1].outside_diameter());
            assert!(pair[0].duplex_diameter() < pair[1].duplex_diameter());
        }
    }
}
