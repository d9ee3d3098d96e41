//! The end of a proposal: sizes, ratings and bores are chosen by the check, and the check judges the plan (P15).

use std::collections::BTreeSet;

use super::feeders;
use super::outline::{Outline, text, value};
use super::place::bore_over;
use super::supply::{HOUSE, at_source};
use crate::job::check::{Report, check};
use crate::job::choice::{filled_circuit, filled_feeder};
use crate::job::finding::Finding;
use crate::job::plan::item::Item;
use crate::job::plan::{
    ConductorOverride, CurvePoint, Device, Feeder, Inrush, Join, Plan, Polarity, Protection, Raceway,
};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::{BadValue, DeviceId, FeederId, SizeMm};
use crate::trade::conductor::Size;
use crate::trade::finding::{Code, Level};
use crate::trade::protection::Family;
use crate::trade::rules::RuleSet;

/// How often a fuse that cannot break the fault current may be exchanged.
const MOST_EXCHANGES: usize = 4;
/// A bore in which everything has room, mm, while sizes are chosen.
const WIDE_MM: f64 = 500.0;
/// Room that a raceway keeps for later, as a factor on its least bore.
const ROOM: f64 = 1.15;

/// What stays as a person left it.
pub(super) type Kept = BTreeSet<Subject>;

/// Chooses everything that is open and judges the plan.
pub(super) fn settle(outline: &mut Outline<'_>, kept: &Kept) -> Result<Report, BadValue> {
    let wide: SizeMm = value(WIDE_MM)?;
    let is_open = |raceway: &&mut Raceway| raceway.bore_mm.is_some() && !kept.contains(&raceway.subject());
    let raceways = outline.plan.raceways.iter_mut().filter(is_open);
    raceways.for_each(|raceway| raceway.bore_mm = Some(wide));
    carry_surges(&mut outline.plan, kept);
    let open = outline.plan.clone();
    for _ in 0..MOST_EXCHANGES {
        let report = check(&outline.plan);
        let is_exchanged = exchange(&mut outline.plan, &report, kept)?;
        if is_exchanged {
            continue;
        }
        feeders::size(outline, &report);
        let mut report = check(&outline.plan);
        if thin_jumpers(&mut outline.plan, &report, kept)? {
            report = check(&outline.plan);
        }
        if exchange(&mut outline.plan, &report, kept)? {
            // A class T fuse may need a thicker wire here and for the return.
            reopen(&mut outline.plan, &open);
            continue;
        }
        fill(&mut outline.plan, &report, kept)?;
        return Ok(check(&outline.plan));
    }
    let report = check(&outline.plan);
    fill(&mut outline.plan, &report, kept)?;
    Ok(check(&outline.plan))
}

/// Leaves the sizes open again that were open in a plan.
fn reopen(plan: &mut Plan, open: &Plan) {
    for (feeder, before) in plan.feeders.iter_mut().zip(&open.feeders) {
        feeder.size = before.size;
    }
}

/// Takes over the sizes, ratings and bores that the check chose.
fn fill(plan: &mut Plan, report: &Report, kept: &Kept) -> Result<(), BadValue> {
    for circuit in plan.circuits.iter_mut().filter(|circuit| !kept.contains(&circuit.subject())) {
        *circuit = filled_circuit(circuit.clone(), report);
    }
    for feeder in plan.feeders.iter_mut().filter(|feeder| !kept.contains(&feeder.subject())) {
        *feeder = filled_feeder(feeder.clone(), report);
    }
    carry_surges(plan, kept);
    let widest = |id: &str| {
        let cables = plan.devices.iter().flat_map(|device| &device.cables);
        let through = cables.filter(|cable| {
            report.routes.runs.iter().any(|(piece, run)| {
                piece.as_str() == cable.id.as_str()
                    && run.raceways.iter().any(|raceway| raceway.as_str() == id)
            })
        });
        through.filter_map(|cable| cable.hauled_mm()).map(SizeMm::number).fold(0.0, f64::max)
    };
    let bores: Vec<Option<SizeMm>> = plan
        .raceways
        .iter()
        .map(|raceway| {
            if raceway.bore_mm.is_none() || kept.contains(&raceway.subject()) {
                return Ok(raceway.bore_mm);
            }
            let least = report.routes.raceways.get(&raceway.id).and_then(|own| own.least_bore_mm);
            let connector = widest(raceway.id.as_str());
            value(bore_over(ROOM * least.unwrap_or_default().hypot(BESIDE * connector))).map(Some)
        })
        .collect::<Result<_, BadValue>>()?;
    plan.raceways.iter_mut().zip(bores).for_each(|(raceway, bore)| raceway.bore_mm = bore);
    Ok(())
}

/// The largest start of a motor behind the fuse of each feeder.
fn surges(plan: &Plan) -> Vec<Option<Inrush>> {
    let paths: Vec<(Vec<FeederId>, Option<Inrush>)> = plan
        .circuits
        .iter()
        .map(|circuit| {
            let starts = circuit.devices().filter_map(|device| plan.device(device)?.inrush);
            let path =
                path(plan, circuit.from.as_str()).into_iter().map(|feeder| feeder.id.clone()).collect();
            (path, larger(starts))
        })
        .collect();
    let of = |feeder: &Feeder| {
        larger(paths.iter().filter(|(path, _)| path.contains(&feeder.id)).filter_map(|(_, start)| *start))
    };
    plan.feeders.iter().map(of).collect()
}

fn larger(starts: impl Iterator<Item = Inrush>) -> Option<Inrush> {
    starts.max_by(|one, other| one.a.number().total_cmp(&other.a.number()))
}

/// Says of each fused feeder that its fuse carries the largest start of a motor behind it, as far as that is over its
/// rating. The data of the fuse must say so too.
fn carry_surges(plan: &mut Plan, kept: &Kept) {
    let surges = surges(plan);
    for (feeder, surge) in plan.feeders.iter_mut().zip(surges) {
        if kept.contains(&feeder.subject()) {
            continue;
        }
        if let Some(fuse) = &mut feeder.protection {
            let rating = fuse.rating_a.map_or(0.0, |rating| rating.number());
            let over = surge.filter(|surge| surge.a.number() > rating);
            fuse.curve.carries = over.map(|surge| CurvePoint { a: surge.a, s: surge.s });
        }
    }
}

/// The positive feeders from a point up to its source, the nearest first.
fn path<'p>(plan: &'p Plan, point: &str) -> Vec<&'p Feeder> {
    let mut path: Vec<&Feeder> = Vec::new();
    let mut at = point;
    // A path has at most four feeders: to a block, a bar, a switch and the bank.
    while at != HOUSE && path.len() < 4 {
        let is_next = |feeder: &&Feeder| feeder.polarity == Polarity::Positive && feeder.to.as_str() == at;
        let Some(feeder) = plan.feeders.iter().find(is_next) else { break };
        path.push(feeder);
        at = feeder.from.as_str();
    }
    path
}

/// Room beside a connector that is pulled through, as a factor on its width.
const BESIDE: f64 = 1.2;

/// Puts class T fuses where a fuse cannot break the fault current; whether it exchanged any.
///
/// A class T fuse breaks the current of any bank, and limits it for the fuses after it (P3).
fn exchange(plan: &mut Plan, report: &Report, kept: &Kept) -> Result<bool, BadValue> {
    let is_weak = |finding: &&Finding| {
        matches!(finding.code, Code::InterruptUnderFault | Code::InterruptUnconfirmed)
            && finding.level > Level::Note
    };
    let weak: Vec<&Finding> = report.findings.iter().filter(is_weak).collect();
    let mut exchanged = false;
    let mut class_t: Vec<FeederId> = Vec::new();
    for finding in weak {
        match finding.subject.kind {
            SubjectKind::Feeder => class_t.extend(of_feeder(plan, &finding.subject.id)),
            _ => class_t.extend(of_circuit(plan, &finding.subject.id)),
        }
    }
    let is_open = |feeder: &&mut Feeder| class_t.contains(&feeder.id) && !kept.contains(&feeder.subject());
    for feeder in plan.feeders.iter_mut().filter(is_open) {
        if feeder.protection.as_ref().is_some_and(|fuse| fuse.kind != Family::ClassTFuse) {
            let curve = feeder.protection.as_ref().map(|fuse| fuse.curve).unwrap_or_default();
            feeder.protection = Some(Protection { curve, ..at_source(Family::ClassTFuse)? });
            exchanged = true;
        }
    }
    Ok(exchanged)
}

/// Gives thinner wires of their own to the switch of each circuit that is too thick for the tabs there, and a sealed
/// join to its devices with tabs or small studs; whether it gave any.
fn thin_jumpers(plan: &mut Plan, report: &Report, kept: &Kept) -> Result<bool, BadValue> {
    let most = match plan.job.rules {
        RuleSet::Us => Size::Awg10,
        RuleSet::Iso => Size::Mm6,
    };
    let mut joined: Vec<DeviceId> = Vec::new();
    let mut is_thinner = false;
    for circuit in plan.circuits.iter_mut().filter(|circuit| !kept.contains(&circuit.subject())) {
        let size = report.circuits.get(&circuit.id).and_then(|own| own.conductor.size);
        if size.is_none_or(|size| size <= most) {
            continue;
        }
        joined.extend(circuit.devices().cloned());
        let (Some(switch), Some(junction)) = (&circuit.switch, &circuit.junction) else { continue };
        let panel = switch.panel.to_string();
        let pairs = [(circuit.from.to_string(), panel.clone()), (panel, junction.to_string())];
        let is_new = |from: &str, to: &str| {
            !circuit.conductors.iter().any(|own| own.from.as_str() == from && own.to.as_str() == to)
        };
        let pairs: Vec<_> = pairs.into_iter().filter(|(from, to)| is_new(from, to)).collect();
        for (from, to) in pairs {
            let jumper =
                ConductorOverride { from: text(from)?, to: text(to)?, length_m: None, size: Some(most) };
            circuit.conductors.push(jumper);
            is_thinner = true;
        }
    }
    let is_joined = |device: &&mut Device| joined.contains(&device.id) && !kept.contains(&device.subject());
    for device in plan.devices.iter_mut().filter(is_joined) {
        let is_small =
            device.tab_mm.is_some() || device.stud.is_some_and(|stud| SMALL.contains(&stud.text()));
        if is_small {
            (device.tab_mm, device.stud, device.join) = (None, None, Some(Join::SealedButt));
        }
    }
    Ok(is_thinner)
}

/// Studs of devices that no ring terminal of a thick wire fits.
const SMALL: [&str; 4] = ["#4", "#6", "#8", "#10"];

/// The feeder with the fuse to exchange for a weak one on this feeder: itself at a source, or the one before it.
fn of_feeder(plan: &Plan, id: &str) -> Option<FeederId> {
    let feeder = plan.feeders.with(id)?;
    let is_at_source =
        matches!(feeder.from.as_str(), HOUSE | "start" | "switch") || feeder.to.as_str() == HOUSE;
    if is_at_source { Some(feeder.id.clone()) } else { main_fuse(plan, feeder.from.as_str()) }
}

/// The feeder with the fuse to exchange for a weak one on this circuit.
fn of_circuit(plan: &Plan, id: &str) -> Option<FeederId> {
    main_fuse(plan, plan.circuits.with(id)?.from.as_str())
}

/// The fused feeder next to the source on the path to a point.
fn main_fuse(plan: &Plan, point: &str) -> Option<FeederId> {
    let mut fused = path(plan, point).into_iter().filter(|feeder| feeder.protection.is_some());
    fused.next_back().map(|feeder| feeder.id.clone())
}
