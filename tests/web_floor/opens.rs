//! Figures that open in place: each leads to one working of its own, and the sum can be done again by hand.

use driploop::job::check::check;
use driploop::shop::role::Role::Reader;

use crate::shop::{Answer, Shop, job};

/// The numbers of an equation and its result: `12.7 V - 12.6 V = 0.1 V`.
#[track_caller]
fn equation(how: &str) -> (String, f64) {
    let line = how.split_once("<span class=\"number\">").unwrap().1.split_once("</span>").unwrap().0;
    let (numbers, result) = line.rsplit_once(" = ").unwrap();
    (numbers.to_owned(), first_number(result))
}

fn first_number(text: &str) -> f64 {
    let number: String =
        text.chars().take_while(|letter| letter.is_ascii_digit() || ".-".contains(*letter)).collect();
    number.parse().unwrap_or_else(|_| panic!("no number first in {text:?}"))
}

/// To what four digits of some 12 V leave.
#[track_caller]
fn same(one: f64, other: f64) {
    assert!((one - other).abs() < 1.1e-2, "{one} is not {other}");
}

#[track_caller]
fn check_path(page: &Answer, stops: usize) {
    let mut left = equation(&page.how("Stop-1-left")).1;
    for stop in 2..=stops {
        let (numbers, now) = equation(&page.how(&format!("Stop-{stop}-left")));
        let (before, lost) = numbers.split_once(" - ").unwrap();
        same(first_number(before), left);
        same(left - first_number(lost), now);
        left = now;
        if page.count(&format!("how-Stop-{stop}-lost-on-it\" popover")) == 0 {
            continue;
        }
        let (numbers, result) = equation(&page.how(&format!("Stop-{stop}-lost-on-it")));
        let (amperes, ohms) = numbers.split_once(" A x ").unwrap();
        same(first_number(amperes) * first_number(ohms), result);
        same(result, first_number(lost));
    }
    same(left, 0.0);
}

#[tokio::test]
async fn the_voltage_along_a_circuit_can_be_followed_by_hand() {
    let file = job();
    let drop = check(&file.plan).circuits[&"C02".parse().unwrap()].solved_drop_from_battery_v.unwrap();
    let page = Shop::open(file).await.sign_in(Reader).await.page("/circuits/C02").await;
    // House battery, fuse block, fuse, panel, pump and back by the bar to the battery.
    check_path(&page, 8);
    assert_eq!(page.count("lost-on-it\" popover"), 6, "all but the first post and the pump itself");
    let lost = (2..=8).filter(|stop| *stop != 6);
    let lost = lost.map(|stop| equation(&page.how(&format!("Stop-{stop}-lost-on-it"))).1);
    same(lost.sum(), drop);
    assert!(
        page.how("Stop-2-lost-on-it").contains("(F1)") && page.how("Stop-3-lost-on-it").contains("(fuse)")
    );
    assert!(page.how("Stop-1-left").contains("12.7 V - "), "from the battery at rest");
    for figure in ["source", "load", "current", "drop", "drop-allowed", "return"] {
        assert!(page.how(&format!("C02-at-pump-{figure}")).contains("nodal analysis"), "{figure}");
    }
    page.opens();
}
