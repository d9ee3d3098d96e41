//! Cables along their routes: whether they reach, the length to cut, where to join, the connector, and what to do.

use std::collections::BTreeMap;

use serde::Serialize;

use super::survey::Survey;
use crate::job::plan::Cable;
use crate::job::value::{CableId, LengthM, LocationId, RacewayId};
use crate::trade::route::cable::{CableLeg, reach};
use crate::trade::route::settle::SettledRoutes;
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

/// A cable of a device along its route.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CableReport {
    /// What it is for.
    pub kind: CableKind,
    /// The location of its device, and the location where it ends.
    pub between: [LocationId; 2],
    /// The raceways on its route, beginning at its device.
    pub raceways: Vec<RacewayId>,
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
    /// The length to cut, with its parts, if the cable is cut to length.
    pub cut: Option<Cut>,
    /// What to do with the cable. JSON has its text in metric units.
    pub verdict: Statement,
}

pub(super) fn all(survey: &Survey<'_>, settled: &SettledRoutes) -> BTreeMap<CableId, CableReport> {
    let cables = survey.pulled.iter().enumerate().filter_map(|(number, run)| {
        let cable = run.cable()?.cable;
        Some((cable.id.clone(), report(survey, settled, number, cable)?))
    });
    cables.collect()
}

fn report(survey: &Survey<'_>, settled: &SettledRoutes, run: usize, cable: &Cable) -> Option<CableReport> {
    let between = survey.runs().get(run)?.between;
    let way = settled.routing.ways.get(run).and_then(Option::as_ref);
    let locations = way.and_then(|way| survey.map().walk(between[0], &way.raceways).ok()).unwrap_or_default();
    let reached = way.and_then(|way| reached(survey, between, way, &locations, cable));
    let id = |location: usize| survey.location(location).map(|location| location.id.clone());
    let raceways = way.map(|way| survey.raceway_ids(way)).unwrap_or_default();
    let join_at = reached.as_ref().and_then(|reach| id(*locations.get(reach.join.as_ref()?.after)?));
    let ends_in = reached.as_ref().and_then(|reach| raceways.get(reach.ends_after?)).cloned();
    let stops: Vec<_> = way
        .into_iter()
        .flat_map(|way| &way.raceways)
        .copied()
        .filter(|raceway| stops(survey, *raceway, cable))
        .collect();
    let report = CableReport {
        kind: cable.kind,
        between: [id(between[0])?, id(between[1])?],
        verdict: say!(""),
        connector_mm: cable.hauled_mm().map(|width| width.number()),
        first_because: None,
        stuck_beside: None,
        raceways,
        reach: reached,
        cut: way.filter(|_| cable.length_m.is_none()).and_then(|way| survey.cut(run, way)),
        join_at,
        ends_in,
        connector_stops_at: stops
            .into_iter()
            .filter_map(|raceway| Some(survey.raceway(raceway)?.id.clone()))
            .collect(),
    };
    let verdict = report.sentence();
    Some(CableReport { verdict, ..report })
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

impl CableReport {
    /// What to do with the cable.
    pub(super) fn sentence(&self) -> Statement {
        if let Some(cut) = &self.cut {
            return say!("Cut it to {}.", meters(cut.total_m));
        }
        let Some(reach) = &self.reach else {
            let no_way = self.raceways.is_empty() && self.between[0] != self.between[1];
            return if no_way {
                say!("Not checked: no raceways lead there.")
            } else {
                say!("Not checked: the length of its route is not known.")
            };
        };
        if let Some(join) = &reach.join {
            let location = self.join_at.as_ref().map_or_else(|| Part::from("its device"), Part::from);
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
        match (self.kind, reach.cut_off_m) {
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
}
