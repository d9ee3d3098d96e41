//! The locations of a hull pattern, with the raceway that leads to each (P1, P2).
//!
//! All of it is common practice, no source. The raceways form a tree whose root is the space behind the dash, where
//! the fuse blocks are.

use crate::job::kind::UsualLocation;
use crate::job::plan::{BoatForm, Fuel, HullPattern, RacewayKind, Top};

/// How a space is joined to the air and to sources of fuel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Air {
    /// Open to the air.
    Open,
    /// Closed, and separated from every source of fuel.
    Closed,
    /// Low or beside a source of fuel, so that vapor can gather.
    Low,
}

/// A location of a hull pattern.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Site {
    /// The usual location that it is.
    pub(super) usual: UsualLocation,
    /// Its id in the plan.
    pub(super) id: &'static str,
    /// Its name in the plan.
    pub(super) name: &'static str,
    /// Its position: share of the length ahead of the transom, share of half the beam to starboard, meters up.
    pub(super) at: [f64; 3],
    /// How it is joined to the air.
    pub(super) air: Air,
    /// Whether water reaches it.
    pub(super) wet: bool,
    /// The site that its raceway begins at, and the kind of that raceway.
    pub(super) by: Option<(&'static str, RacewayKind)>,
}

/// The site that everything is wired from.
pub(super) const HUB: &str = "console";
/// The site of the batteries.
pub(super) const BATTERIES: &str = "batteries";
/// The site of the switch panel.
pub(super) const HELM: &str = "helm";

/// A row of the table below.
type Row =
    (UsualLocation, &'static str, &'static str, [f64; 3], Air, bool, Option<(&'static str, RacewayKind)>);

/// Every site that a pattern may have.
const SITES: &[Row] = {
    use Air::{Closed, Low, Open};
    use RacewayKind::{Bulkhead, Gunwale as Side, Tray, Tube};
    use UsualLocation as At;
    &[
        (At::Console, HUB, "Behind the dash", [0.5, -0.1, 0.7], Closed, false, None),
        (At::Helm, HELM, "Helm", [0.45, 0.2, 1.1], Open, false, Some((HUB, Tray))),
        (At::Batteries, BATTERIES, "Battery compartment", [0.14, 0.5, 0.4], Closed, false, Some((HUB, Tube))),
        (At::Bow, "bow", "Bow deck", [0.92, 0.0, 0.9], Open, true, Some((HUB, Tube))),
        (
            At::AnchorLocker,
            "anchor-locker",
            "Anchor locker",
            [0.86, 0.2, 0.5],
            Closed,
            true,
            Some(("bow", Bulkhead)),
        ),
        (At::BowSeat, "bow-seat", "Bow seat", [0.74, 0.0, 0.6], Open, true, Some((HUB, Tube))),
        (
            At::Gunwale,
            "gunwale-port",
            "Under the port gunwale",
            [0.5, -0.9, 0.8],
            Open,
            true,
            Some((HUB, Side)),
        ),
        (
            At::Gunwale,
            "gunwale-stbd",
            "Under the starboard gunwale",
            [0.5, 0.9, 0.8],
            Open,
            true,
            Some((HUB, Side)),
        ),
        (At::LeaningPost, "leaning-post", "Helm seat", [0.34, 0.0, 0.8], Open, true, Some((HUB, Tube))),
        (At::Cockpit, "cockpit", "Cockpit", [0.25, 0.3, 0.6], Open, true, Some((HUB, Tube))),
        (At::Locker, "locker", "Dry locker", [0.36, 0.6, 0.5], Closed, false, Some((HUB, Tube))),
        (At::Cabin, "cabin", "Cabin", [0.64, 0.0, 1.0], Closed, false, Some((HUB, Bulkhead))),
        (At::Galley, "galley", "Galley", [0.58, -0.6, 0.9], Closed, false, Some(("cabin", Tray))),
        (At::Head, "head", "Toilet compartment", [0.72, 0.5, 0.7], Closed, true, Some(("cabin", Tray))),
        (At::WaterTank, "water-tank", "Water tank", [0.3, -0.5, 0.4], Closed, false, Some((HUB, Tube))),
        (At::FuelTank, "fuel-tank", "Fuel tank", [0.38, 0.0, 0.3], Low, false, Some((HUB, Tube))),
        (At::Bilge, "bilge", "Bilge", [0.08, 0.0, 0.1], Low, true, Some((BATTERIES, Tube))),
        (
            At::EngineSpace,
            "engine-space",
            "Engine space",
            [0.18, 0.0, 0.5],
            Low,
            false,
            Some((BATTERIES, Bulkhead)),
        ),
        (At::Transom, "transom", "Transom", [0.02, -0.5, 0.7], Open, true, Some((BATTERIES, Tube))),
        (At::Stern, "stern", "Stern deck", [0.05, 0.5, 0.8], Open, true, Some((BATTERIES, Tube))),
        (
            At::SwimPlatform,
            "swim-platform",
            "Swim platform",
            [0.0, 0.3, 0.4],
            Open,
            true,
            Some(("transom", Tube)),
        ),
        (At::Livewell, "livewell", "Livewell", [0.1, -0.3, 0.6], Open, true, Some((BATTERIES, Tube))),
        (At::Hardtop, "top", "Top", [0.42, 0.0, 2.2], Open, true, Some((HUB, Tube))),
        (At::Mast, "mast", "Masthead", [0.52, 0.0, 6.0], Open, true, Some((HUB, Tube))),
    ]
};

/// The sites of a boat.
pub(super) fn sites(form: &BoatForm) -> Vec<Site> {
    let of_row = |&(usual, id, name, at, air, wet, by): &Row| Site { usual, id, name, at, air, wet, by };
    let sites = SITES.iter().map(of_row).filter(|site| has(form, site.usual));
    sites.map(|site| moved(form, site)).collect()
}

/// Whether a boat of this pattern has a location.
fn has(form: &BoatForm, usual: UsualLocation) -> bool {
    use HullPattern::{Cabin, CenterConsole, Pilothouse, Sail};
    let has_cabin = matches!(form.pattern, Cabin | Pilothouse | Sail);
    match usual {
        UsualLocation::BowSeat => !has_cabin,
        UsualLocation::LeaningPost => matches!(form.pattern, CenterConsole | Pilothouse),
        UsualLocation::Cabin | UsualLocation::Galley | UsualLocation::Head | UsualLocation::WaterTank => {
            has_cabin
        }
        UsualLocation::EngineSpace => form.is_inboard(),
        UsualLocation::FuelTank => form.fuel != Fuel::Electric,
        UsualLocation::Hardtop => form.top != Top::None || form.pattern == Pilothouse,
        UsualLocation::Mast => form.pattern == Sail,
        _ => true,
    }
}

/// A site where the pattern has it elsewhere than an open boat.
fn moved(form: &BoatForm, site: Site) -> Site {
    let [_, side, up] = site.at;
    let at = match (form.pattern, site.usual) {
        (HullPattern::Sail, UsualLocation::Helm) => [0.12, 0.3, up],
        (HullPattern::Sail, UsualLocation::Console) => [0.36, side, up],
        (HullPattern::Sail, UsualLocation::Batteries) => [0.3, side, up],
        (HullPattern::Sail, UsualLocation::Mast) => [0.55, 0.0, 1.25 * form.length_m.number()],
        (HullPattern::Cabin | HullPattern::DualConsole, UsualLocation::Helm) => [0.52, 0.4, up],
        (HullPattern::Cabin | HullPattern::DualConsole, UsualLocation::Console) => [0.56, 0.3, up],
        _ => site.at,
    };
    let wet = site.wet && !(site.usual == UsualLocation::Cockpit && form.pattern == HullPattern::Pilothouse);
    Site { at: [at[0], at[1], at[2].min(15.0)], wet, ..site }
}

/// Hours of a day under way, drifting or fishing, at anchor overnight and at the dock (P17).
pub(super) fn hours(pattern: HullPattern) -> [f64; 4] {
    match pattern {
        HullPattern::OpenSkiff => [1.5, 2.5, 0.0, 20.0],
        HullPattern::CenterConsole | HullPattern::DualConsole => [2.0, 3.0, 0.0, 19.0],
        HullPattern::Cabin | HullPattern::Pilothouse => [3.0, 2.0, 9.0, 10.0],
        HullPattern::Sail => [2.0, 5.0, 10.0, 7.0],
    }
}

/// Width and height in mm of a board that fits behind the dash of this pattern.
pub(super) fn board_mm(pattern: HullPattern) -> [f64; 2] {
    match pattern {
        HullPattern::OpenSkiff => [450.0, 350.0],
        HullPattern::CenterConsole => [620.0, 430.0],
        HullPattern::DualConsole | HullPattern::Cabin => [600.0, 400.0],
        HullPattern::Pilothouse | HullPattern::Sail => [800.0, 500.0],
    }
}

/// The usual top speed of this pattern, kn.
pub(super) fn usual_speed(pattern: HullPattern) -> f64 {
    match pattern {
        HullPattern::Sail => 7.5,
        HullPattern::Pilothouse => 18.0,
        _ => 28.0,
    }
}
