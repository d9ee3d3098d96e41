//! Cables along their routes: whether they reach, the length to cut, where to join, the connector, and what to do.

use serde::Serialize;

use super::survey::Survey;
use crate::job::plan::Cable;
use crate::job::value::{LengthM, LocationId, RacewayId};
use crate::trade::route::cable::{CableLeg, reach};
use crate::trade::route::{CableKind, Cut, RacewayRoom, Reach, SoldCable, Way};
use crate::trade::say::{Part, Statement, say};
use crate::trade::units::meters;
use crate::trade::working::Working;

/// A cable length below half a centimeter counts as none.
const NOTHING_M: f64 = 0.005;

/// A raceway with too little room for a connector beside the runs in it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tight {
    /// The raceway.
    pub raceway: RacewayId,
    /// The largest connector width that would pass.
    pub left_mm: f64,
    /// The runs that are already in it at that time.
    pub beside: Vec<String>,
    /// Whether the diameters of all of these runs are known.
    pub all_known: bool,
    /// How the room is calculated.
    pub working: Working,
}

/// What only the run of a cable has.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CableReport {
    /// What it is for.
    pub kind: CableKind,
    /// Whether it reaches. `None` for a cable that is cut to length, or if the length of its route is not known.
    pub reach: Option<Reach>,
    /// The location where an extension is joined.
    pub join_at: Option<LocationId>,
    /// The raceway in which a cable that is too short would end.
    pub ends_in: Option<RacewayId>,
    /// The raceways that are too narrow for its connector.
    pub connector_stops_at: Vec<RacewayId>,
    /// The width of its connector.
    pub connector_mm: Option<f64>,
    /// Why it is pulled before others: the raceway that its connector would not pass later.
    pub first_because: Option<Tight>,
    /// Where its connector does not pass, although it is pulled first and the bore is wide enough.
    pub stuck_beside: Option<Tight>,
    /// What to do with the cable. JSON has its text in metric units.
    pub verdict: Statement,
}

/// The shared part of a cable's run that its own part follows from.
#[derive(Clone, Copy)]
pub(super) struct Shared<'r> {
    /// The numbers of its locations.
    pub(super) between: [usize; 2],
    pub(super) way: Option<&'r Way>,
    pub(super) raceways: &'r [RacewayId],
    pub(super) cut: Option<&'r Cut>,
}

/// What only a cable has.
pub(super) fn report(survey: &Survey<'_>, cable: &Cable, run: Shared<'_>) -> CableReport {
    let Shared { between, way, .. } = run;
    let locations = way.and_then(|way| survey.map().walk(between[0], &way.raceways).ok()).unwrap_or_default();
    let reach = way.and_then(|way| reached(survey, between, way, &locations, cable));
    let id = |location: usize| survey.location(location).map(|location| location.id.clone());
    let join_at = reach.as_ref().and_then(|reach| id(*locations.get(reach.join.as_ref()?.after)?));
    let ends_in = reach.as_ref().and_then(|reach| run.raceways.get(reach.ends_after?)).cloned();
    let raceways = way.into_iter().flat_map(|way| &way.raceways).copied();
    let stops = raceways.filter(|raceway| stops(survey, *raceway, cable));
    CableReport {
        kind: cable.kind,
        verdict: verdict(run, cable.kind, reach.as_ref(), join_at.as_ref()),
        connector_mm: cable.hauled_mm().map(|width| width.number()),
        first_because: None,
        stuck_beside: None,
        connector_stops_at: stops.filter_map(|raceway| Some(survey.raceway(raceway)?.id.clone())).collect(),
        reach,
        join_at,
        ends_in,
    }
}

fn reached(
    survey: &Survey<'_>,
    between: [usize; 2],
    way: &Way,
    locations: &[usize],
    cable: &Cable,
) -> Option<Reach> {
    let length = cable.length_m.map(LengthM::quantity)?;
    let is_dry = |location: &usize| survey.location(*location).is_some_and(|location| !location.wet);
    let legs = way.raceways.iter().zip(locations.iter().skip(1)).map(|(raceway, beyond)| {
        let length = survey.map().raceways().get(*raceway)?.length?;
        Some(CableLeg { length, dry_beyond: is_dry(beyond) })
    });
    let legs: Vec<CableLeg> = legs.collect::<Option<_>>()?;
    let sold = SoldCable {
        kind: cable.kind,
        length,
        least_length: cable.least_length_m.map(|least| least.quantity()),
    };
    Some(reach(&sold, &legs, is_dry(&between[0]), &survey.allowances(between)))
}

/// Whether a cable's connector is wider than a raceway.
fn stops(survey: &Survey<'_>, raceway: usize, cable: &Cable) -> bool {
    let bore = survey.map().raceways().get(raceway).map(|raceway| raceway.room);
    match (cable.hauled_mm(), bore) {
        (Some(width), Some(RacewayRoom::Bore(bore))) => width.quantity() > bore,
        _ => false,
    }
}

/// What to do with a cable.
fn verdict(
    run: Shared<'_>,
    kind: CableKind,
    reach: Option<&Reach>,
    join_at: Option<&LocationId>,
) -> Statement {
    if let Some(cut) = run.cut {
        return say!("Cut it to {}.", meters(cut.total_m));
    }
    let Some(reach) = reach else {
        return if run.way.is_none() {
            say!("Not checked: no raceways lead there.")
        } else {
            say!("Not checked: the length of its route is not known.")
        };
    };
    if let Some(join) = &reach.join {
        let location = join_at.map_or_else(|| Part::from("its device"), Part::from);
        let seal = if join.dry { "" } else { ", sealed against water" };
        let (short, extension) = (meters(-reach.spare_m), meters(join.extension_m));
        return say!(
            "It is too short by {}. Join an extension of {} at {}{}.",
            short,
            extension,
            location,
            seal
        );
    }
    let (spare, coil) = (meters(reach.spare_m), meters(reach.coil_m));
    match (kind, reach.cut_off_m) {
        _ if reach.spare_m < NOTHING_M => say!("It reaches exactly."),
        (_, Some(off)) if off >= NOTHING_M && reach.coil_m < NOTHING_M => {
            say!("It reaches with {} to spare. Cut it to length.", spare)
        }
        (_, Some(off)) if off >= NOTHING_M => {
            say!("It reaches with {} to spare. Cut off at most {} and coil {}.", spare, meters(off), coil)
        }
        (CableKind::Antenna, None) => say!(
            "It reaches with {} to spare. Coil {}, because the shortest length allowed is not entered.",
            spare,
            coil
        ),
        _ => say!("It reaches with {} to spare. Coil {}; do not cut it.", spare, coil),
    }
}
