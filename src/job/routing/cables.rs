//! Factory cables along their ways: reach, join, connector, and what to do.

use std::collections::BTreeMap;

use serde::Serialize;

use super::survey::Survey;
use crate::job::plan::{FactoryCable, Plan};
use crate::job::value::{DeviceId, LocationId, RacewayId};
use crate::trade::route::cable::{CableLeg, reach};
use crate::trade::route::settle::Settled;
use crate::trade::route::{CableKind, RacewayRoom, Reach, SoldCable, Way};
use crate::trade::working::Working;

/// Less than half a centimeter of cable is none.
const NOTHING_M: f64 = 0.005;

/// A raceway with too little room for a connector beside what lies in it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Tight {
    /// The raceway.
    pub raceway: RacewayId,
    /// How wide a connector would pass.
    pub left_mm: f64,
    /// The runs that lie there by then.
    pub beside: Vec<String>,
    /// Whether the thickness of all of them is known.
    pub all_known: bool,
    /// How the room came about.
    pub working: Working,
}

/// A factory cable on its way.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CableReport {
    /// What it is for.
    pub kind: CableKind,
    /// Where its device is, and where it goes.
    pub between: [LocationId; 2],
    /// The raceways it takes, from its device on.
    pub raceways: Vec<RacewayId>,
    /// Whether it reaches; none where the length of its way is not known.
    pub reach: Option<Reach>,
    /// Where an extension is joined on.
    pub join_at: Option<LocationId>,
    /// The raceway in which it would end, where it is short.
    pub ends_in: Option<RacewayId>,
    /// The raceways that its connector does not pass.
    pub connector_stops_at: Vec<RacewayId>,
    /// How wide its connector is.
    pub connector_mm: Option<f64>,
    /// Why it is pulled before others: where its connector would not pass at its turn.
    pub first_because: Option<Tight>,
    /// Where its connector does not pass, though it is pulled first and the bore is wide enough.
    pub stuck_beside: Option<Tight>,
    /// What to do with it, in a sentence.
    pub verdict: String,
}

pub(super) fn all(survey: &Survey<'_>, settled: &Settled) -> BTreeMap<DeviceId, CableReport> {
    let cables = survey.cables.iter().enumerate().filter_map(|(number, (device, cable))| {
        let run = survey.pulls.len() + number;
        Some((device.id.clone(), report(survey, settled, run, cable)?))
    });
    cables.collect()
}

fn report(survey: &Survey<'_>, settled: &Settled, run: usize, cable: &FactoryCable) -> Option<CableReport> {
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
        verdict: String::new(),
        connector_mm: cable.connector_mm.map(|width| width.number()),
        first_because: None,
        stuck_beside: None,
        raceways,
        reach: reached,
        join_at,
        ends_in,
        connector_stops_at: stops
            .into_iter()
            .filter_map(|raceway| Some(survey.raceway(raceway)?.id.clone()))
            .collect(),
    };
    let verdict = report.told(survey.plan, |meters| format!("{meters:.2} m"));
    Some(CableReport { verdict, ..report })
}

fn reached(
    survey: &Survey<'_>,
    between: [usize; 2],
    way: &Way,
    locations: &[usize],
    cable: &FactoryCable,
) -> Option<Reach> {
    let is_dry = |location: &usize| survey.location(*location).is_some_and(|location| !location.wet);
    let legs = way.raceways.iter().zip(locations.iter().skip(1)).map(|(raceway, beyond)| {
        let length = survey.map().raceways().get(*raceway)?.length?;
        Some(CableLeg { length, dry_beyond: is_dry(beyond) })
    });
    let legs: Vec<CableLeg> = legs.collect::<Option<_>>()?;
    let sold = SoldCable {
        kind: cable.kind,
        length: cable.length_m.quantity(),
        least_length: cable.least_length_m.map(|least| least.quantity()),
    };
    Some(reach(&sold, &legs, is_dry(&between[0]), &survey.allowances(between)))
}

/// Whether a cable's connector is wider than a raceway.
fn stops(survey: &Survey<'_>, raceway: usize, cable: &FactoryCable) -> bool {
    let bore = survey.map().raceways().get(raceway).map(|raceway| raceway.room);
    match (cable.connector_mm, bore) {
        (Some(width), Some(RacewayRoom::Bore(bore))) => width.quantity() > bore,
        _ => false,
    }
}

impl CableReport {
    /// What to do with the cable, in a sentence with lengths in meters as `said` has them.
    pub fn told(&self, plan: &Plan, said: impl Fn(f64) -> String) -> String {
        let Some(reach) = &self.reach else {
            let no_way = self.raceways.is_empty() && self.between[0] != self.between[1];
            let why = if no_way { "no raceways lead there" } else { "the length of its way is not known" };
            return format!("Not checked: {why}.");
        };
        if let Some(join) = &reach.join {
            let location = self.join_at.as_ref().and_then(|id| plan.location(id));
            let location = location.map_or("its device", |location| location.name.as_str());
            let seal = if join.dry { "" } else { ", sealed against water" };
            let (short, extension) = (said(-reach.spare_m), said(join.extension_m));
            return format!("Short by {short}: join an extension of {extension} at {location}{seal}.");
        }
        let spare = format!("Reaches, {} to spare", said(reach.spare_m));
        let coil = format!("{} to coil", said(reach.coil_m));
        match (self.kind, reach.cut_off_m) {
            _ if reach.spare_m < NOTHING_M => "Reaches, with nothing to spare.".to_owned(),
            (_, Some(off)) if off >= NOTHING_M && reach.coil_m < NOTHING_M => {
                format!("{spare}: cut it to length.")
            }
            (_, Some(off)) if off >= NOTHING_M => {
                format!("{spare}: at most {} may be cut off, {coil}.", said(off))
            }
            (CableKind::Antenna, None) => {
                format!("{spare}: {coil}, because the length it may be cut to is not given.")
            }
            _ => format!("{spare}: {coil}, not to be cut."),
        }
    }
}
