//! Cables along their ways: reach or length to cut, join, connector, and what to do.

use std::collections::BTreeMap;

use super::report::CableReport;
use super::survey::Survey;
use crate::job::plan::Cable;
use crate::job::value::{CableId, LengthM};
use crate::trade::route::cable::{Leg, reach};
use crate::trade::route::settle::Settled;
use crate::trade::route::{self, CableKind, Reach, Room, Way};
use crate::trade::say::{Part, Statement, say};
use crate::trade::units::meters;

/// Less than half a centimeter of cable is none.
const NOTHING_M: f64 = 0.005;

pub(super) fn all(survey: &Survey<'_>, settled: &Settled) -> BTreeMap<CableId, CableReport> {
    let cables = survey.pulled.iter().enumerate().filter_map(|(number, run)| {
        let cable = run.cable()?.cable;
        Some((cable.id.clone(), report(survey, settled, number, cable)?))
    });
    cables.collect()
}

fn report(survey: &Survey<'_>, settled: &Settled, run: usize, cable: &Cable) -> Option<CableReport> {
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
        Some(Leg { length, dry_beyond: is_dry(beyond) })
    });
    let legs: Vec<Leg> = legs.collect::<Option<_>>()?;
    let sold = route::Cable {
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
        (Some(width), Some(Room::Bore(bore))) => width.quantity() > bore,
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
