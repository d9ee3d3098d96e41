//! Factory cables by hand.

use driploop::trade::route::cable::{CableLeg, reach};
use driploop::trade::route::{Allowances, CableKind, Cut, SoldCable};
use uom::si::f64::{Length, Ratio};
use uom::si::ratio::percent;

use super::meters;

/// At each end 0.2 m of rise, 0.15 m of service loop, 0.05 m of drip loop: 0.4 m.
fn allowances() -> Allowances {
    Allowances {
        rise: [meters(0.2); 2],
        service_loop: meters(0.15),
        drip_loop: meters(0.05),
        waste: Ratio::new::<percent>(10.0),
    }
}

fn cable(kind: CableKind, length: f64, least: Option<f64>) -> SoldCable {
    SoldCable { kind, length: meters(length), least_length: least.map(meters) }
}

fn leg(length: f64, dry_beyond: bool) -> CableLeg {
    CableLeg { length: meters(length), dry_beyond }
}

#[track_caller]
fn near(value: f64, expected: f64) {
    assert!((value - expected).abs() < 1e-9, "{value} is not {expected}");
}

#[test]
fn a_cut_is_the_route_and_what_is_left_at_each_end() {
    let cut = Cut::of(meters(4.0), &allowances());
    // (4 + 2 x 0.4) x 1.1
    near(cut.total_m, 5.28);
    near(cut.waste_m, 0.48);
    assert_eq!(cut.working.numbers, "(4 m + 0.2 m + 0.2 m + 2 x 0.15 m + 2 x 0.05 m) x (1 + 10 %)");
    assert_eq!(cut.working.result, "5.28 m");
    let higher = Allowances { rise: [meters(0.2), meters(1.2)], ..allowances() };
    near(Cut::of(meters(4.0), &higher).total_m, 6.38);
    near(Cut::of(Length::default(), &Allowances::default()).total_m, 1.1 * 1.05);
}

#[test]
fn a_cable_that_reaches_has_its_rest_coiled() {
    let reach =
        reach(&cable(CableKind::Network, 6.0, None), &[leg(3.0, true), leg(1.0, true)], true, &allowances());
    assert!(reach.reaches() && reach.join.is_none() && reach.cut_off_m.is_none());
    near(reach.needed_m, 4.8);
    near(reach.spare_m, 1.2);
    near(reach.coil_m, 1.2);
}

#[test]
fn coax_is_cut_only_as_far_as_its_manufacturer_allows() {
    let over = |least| reach(&cable(CableKind::Antenna, 6.0, least), &[leg(2.2, true)], true, &allowances());
    // Needed 3.0 m of 6.0 m.
    let free = over(Some(2.0));
    near(free.cut_off_m.unwrap(), 3.0);
    near(free.coil_m, 0.0);
    let held = over(Some(4.5));
    near(held.cut_off_m.unwrap(), 1.5);
    near(held.coil_m, 1.5);
    // The least length is not known: it is not cut at all.
    assert_eq!(over(None).cut_off_m, None);
    near(over(None).coil_m, 3.0);
    near(over(Some(7.0)).cut_off_m.unwrap(), 0.0);
}

#[test]
fn a_short_cable_is_joined_at_a_location_it_gets_to() {
    let legs = [leg(2.0, true), leg(1.5, false), leg(4.0, true)];
    let short = reach(&cable(CableKind::Transducer, 5.0, None), &legs, false, &allowances());
    // 7.5 m of raceways and 0.8 m at the ends.
    near(short.spare_m, -3.3);
    assert!(!short.reaches());
    // 5 m less 0.4 m at the device and 0.15 m for the join: 4.45 m gets through the first two.
    assert_eq!(short.ends_after, Some(2));
    // The location after the second is wet: back to the one after the first.
    let join = short.join.unwrap();
    assert_eq!((join.after, join.dry), (1, true));
    // 5.5 m of raceways, 0.4 m at the far end, 0.15 m at the join.
    near(join.extension_m, 6.05);
}

#[test]
fn a_join_that_cannot_lie_dry_says_so() {
    let short = reach(&cable(CableKind::Transducer, 1.2, None), &[leg(3.0, true)], false, &allowances());
    assert_eq!(short.ends_after, Some(0));
    let join = short.join.unwrap();
    assert_eq!((join.after, join.dry), (0, false));
    near(join.extension_m, 3.55);
}
