//! Factory cables along their ways: reach, join, connector, and what to do.

use std::collections::BTreeMap;

use super::report::CableReport;
use super::survey::Survey;
use crate::job::plan::{FactoryCable, Plan};
use crate::job::value::DeviceId;
use crate::trade::route::cable::{Leg, reach};
use crate::trade::route::settle::Settled;
use crate::trade::route::{Cable, CableKind, Reach, Room, Way};

/// Less than half a centimetre of cable is none.
const NOTHING_M: f64 = 0.005;

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
    let places = way.and_then(|way| survey.map().walk(between[0], &way.passages).ok()).unwrap_or_default();
    let reached = way.and_then(|way| reached(survey, between, way, &places, cable));
    let id = |place: usize| survey.place(place).map(|place| place.id.clone());
    let passages = way.map(|way| survey.passage_ids(way)).unwrap_or_default();
    let join_at = reached.as_ref().and_then(|reach| id(*places.get(reach.join.as_ref()?.after)?));
    let ends_in = reached.as_ref().and_then(|reach| passages.get(reach.ends_after?)).cloned();
    let stops: Vec<_> = way
        .into_iter()
        .flat_map(|way| &way.passages)
        .copied()
        .filter(|passage| stops(survey, *passage, cable))
        .collect();
    let report = CableReport {
        kind: cable.kind,
        between: [id(between[0])?, id(between[1])?],
        verdict: String::new(),
        connector_mm: cable.connector_mm.map(|width| width.number()),
        first_because: None,
        stuck_beside: None,
        passages,
        reach: reached,
        join_at,
        ends_in,
        connector_stops_at: stops
            .into_iter()
            .filter_map(|passage| Some(survey.passage(passage)?.id.clone()))
            .collect(),
    };
    let verdict = report.told(survey.plan, |metres| format!("{metres:.2} m"));
    Some(CableReport { verdict, ..report })
}

fn reached(
    survey: &Survey<'_>,
    between: [usize; 2],
    way: &Way,
    places: &[usize],
    cable: &FactoryCable,
) -> Option<Reach> {
    let is_dry = |place: &usize| survey.place(*place).is_some_and(|place| !place.wet);
    let legs = way.passages.iter().zip(places.iter().skip(1)).map(|(passage, beyond)| {
        let length = survey.map().passages().get(*passage)?.length?;
        Some(Leg { length, dry_beyond: is_dry(beyond) })
    });
    let legs: Vec<Leg> = legs.collect::<Option<_>>()?;
    let sold = Cable {
        kind: cable.kind,
        length: cable.length_m.quantity(),
        least_length: cable.least_length_m.map(|least| least.quantity()),
    };
    Some(reach(&sold, &legs, is_dry(&between[0]), &survey.allowances(between)))
}

/// Whether a cable's connector is wider than a passage.
fn stops(survey: &Survey<'_>, passage: usize, cable: &FactoryCable) -> bool {
    let bore = survey.map().passages().get(passage).map(|passage| passage.room);
    match (cable.connector_mm, bore) {
        (Some(width), Some(Room::Bore(bore))) => width.quantity() > bore,
        _ => false,
    }
}

impl CableReport {
    /// What to do with the cable, in a sentence with lengths in metres as `said` has them.
    pub fn told(&self, plan: &Plan, said: impl Fn(f64) -> String) -> String {
        let Some(reach) = &self.reach else {
            let no_way = self.passages.is_empty() && self.between[0] != self.between[1];
            let why = if no_way { "no passages lead there" } else { "the length of its way is not known" };
            return format!("Not checked: {why}.");
        };
        if let Some(join) = &reach.join {
            let place = self.join_at.as_ref().and_then(|id| plan.place(id));
            let place = place.map_or("its device", |place| place.name.as_str());
            let seal = if join.dry { "" } else { ", sealed against water" };
            let (short, extension) = (said(-reach.spare_m), said(join.extension_m));
            return format!("Short by {short}: join an extension of {extension} at {place}{seal}.");
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
