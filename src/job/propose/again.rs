//! A proposal for a plan that exists: what a person changed or confirmed stays.
//!
//! Each thing of the last proposal has a mark of how it was proposed. A thing with another mark was changed by a person,
//! and so was one that the last proposal gave and that is gone. Both stay as they are.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value;

use super::outline::{Outline, text};
use super::said::Said;
use super::supply::with_spares;
use crate::job::plan::item::{Item, ItemVisitor, visit};
use crate::job::plan::{CableTo, Circuit, Feeder, Plan, Proposed, Rule};
use crate::job::point::{Body, Position};
use crate::job::subject::{Subject, SubjectKind};
use crate::job::supposed;
use crate::job::value::{BadValue, CircuitId, DeviceId, FeederId, PointId};

/// The plan that a proposal is made for, and the ids that its removed things had.
#[derive(Debug, Clone, Copy)]
pub struct Present<'a> {
    /// The plan.
    pub plan: &'a Plan,
    /// The ids of things that were removed from it. Such an id never returns.
    pub gone: &'a [Subject],
}

/// Puts what a person changed, confirmed, added or removed into the outline. Returns what stays as it is.
pub(super) fn keep(outline: &mut Outline<'_>, present: Present<'_>) -> Result<BTreeSet<Subject>, BadValue> {
    let plan = present.plan;
    rename_taken(outline, present)?;
    renumber(outline, present)?;
    reseat(outline, present)?;
    let before = json(plan);
    let fresh = json(&outline.plan);
    let last: BTreeMap<&Subject, &Proposed> = plan.proposed.iter().map(|one| (&one.thing, one)).collect();
    let is_confirmed = |thing: &Subject, one: &Proposed| {
        let held = |field: &str| one.supposed.iter().any(|supposed| supposed.field.as_str() == field);
        outline.supposed.iter().any(|field| field.thing == *thing && !held(field.field))
    };
    let stays = before.iter().filter(|(thing, json)| match last.get(thing) {
        Some(one) => one.given.as_str() != supposed::mark(json) || is_confirmed(thing, one),
        None => true,
    });
    let mut kept: BTreeSet<Subject> = stays.map(|(thing, _)| thing.clone()).collect();
    let removed: BTreeSet<Subject> =
        last.keys().filter(|thing| !before.contains_key(thing)).map(|thing| (*thing).clone()).collect();
    // Locations, raceways, boards and modes that are no longer needed do no harm, and their ids would not return.
    let is_lasting = |kind: SubjectKind| {
        !matches!(kind, SubjectKind::Device | SubjectKind::Point | SubjectKind::Circuit | SubjectKind::Feeder)
    };
    kept.extend(before.keys().filter(|thing| is_lasting(thing.kind) && !fresh.contains_key(thing)).cloned());
    let mut merge = Merge { plan, outline: &mut outline.plan, kept: &kept, removed: &removed };
    visit(&mut merge);
    if plan.modes.iter().any(|mode| !last.contains_key(&mode.subject())) {
        outline.plan.modes.retain(|mode| plan.modes.with(mode.id.as_str()).is_some());
        outline.said.push(Said { rule: Rule::Modes, text: OWN_MODES.to_owned() });
    }
    without_lost(&mut outline.plan);
    outline.plan.removed = plan.removed.clone();
    outline.plan.customer = plan.customer.clone();
    head(outline, plan);
    kept.retain(|thing| json(&outline.plan).contains_key(thing));
    Ok(kept)
}

/// What is said where a boat has modes of its own, which may fill the day.
const OWN_MODES: &str = "The modes of this boat stay. Enter in which of them the new circuits are on.";

/// The job and the boat keep what the boat form does not ask.
fn head(outline: &mut Outline<'_>, plan: &Plan) {
    let fresh = outline.plan.job.clone();
    outline.plan.job = plan.job.clone();
    (outline.plan.job.rules, outline.plan.job.nominal_v) = (fresh.rules, fresh.nominal_v);
    outline.plan.job.proposed_from = fresh.proposed_from;
    if plan.boat.hull.is_some() {
        outline.plan.boat.hull = plan.boat.hull;
    }
}

/// Every item of a plan as JSON, without what earlier proposals gave.
fn json(plan: &Plan) -> BTreeMap<Subject, Value> {
    struct Gather<'a>(&'a Plan, BTreeMap<Subject, Value>);

    impl ItemVisitor for Gather<'_> {
        fn visit<T: Item>(&mut self) {
            if matches!(T::KIND, SubjectKind::Proposed | SubjectKind::Removed) {
                return;
            }
            let of = |item: &T| Some((item.subject(), serde_json::to_value(item).ok()?));
            self.1.extend(T::list(self.0).iter().filter_map(of));
        }
    }

    let mut gather = Gather(plan, BTreeMap::new());
    visit(&mut gather);
    gather.1
}

/// Puts the kept items into a outline, and takes out what a person removed.
struct Merge<'a> {
    plan: &'a Plan,
    outline: &'a mut Plan,
    kept: &'a BTreeSet<Subject>,
    removed: &'a BTreeSet<Subject>,
}

impl ItemVisitor for Merge<'_> {
    fn visit<T: Item>(&mut self) {
        if matches!(T::KIND, SubjectKind::Proposed | SubjectKind::Removed) {
            return;
        }
        let held: Vec<T> =
            T::list(self.plan).iter().filter(|item| self.kept.contains(&item.subject())).cloned().collect();
        let list = T::list_mut(self.outline);
        list.retain(|item| !self.removed.contains(&item.subject()));
        for item in held {
            match list.iter_mut().find(|other| other.id() == item.id()) {
                Some(other) => *other = item,
                None => list.push(item),
            }
        }
    }
}

/// Takes out what refers to things that are gone: legs without a device, circuits without legs, uses without a circuit.
fn without_lost(plan: &mut Plan) {
    let devices: BTreeSet<_> = plan.devices.iter().map(|device| device.id.clone()).collect();
    let points: BTreeSet<_> = plan.points.iter().map(|point| point.id.clone()).collect();
    for circuit in &mut plan.circuits {
        circuit.legs.retain(|leg| devices.contains(&leg.device));
        if circuit.switch.as_ref().is_some_and(|at| !points.contains(&at.panel)) {
            circuit.switch = None;
        }
        if circuit.junction.as_ref().is_some_and(|junction| !points.contains(junction)) {
            circuit.junction = None;
        }
        let is_there = |id: &str| {
            devices.iter().any(|own| own.as_str() == id) || points.iter().any(|own| own.as_str() == id)
        };
        circuit.conductors.retain(|own| is_there(own.from.as_str()) && is_there(own.to.as_str()));
    }
    plan.circuits.retain(|circuit| {
        !circuit.legs.is_empty() && points.contains(&circuit.from) && points.contains(&circuit.r#return)
    });
    plan.feeders.retain(|feeder| points.contains(&feeder.from) && points.contains(&feeder.to));
    let circuits: BTreeSet<_> = plan.circuits.iter().map(|circuit| circuit.id.clone()).collect();
    for mode in &mut plan.modes {
        mode.on.retain(|used| circuits.contains(&used.circuit));
        mode.charging.retain(|charger| points.contains(charger));
    }
    for device in &mut plan.devices {
        device.cables.retain(|cable| !matches!(&cable.to, CableTo::Device(to) if !devices.contains(to)));
    }
}

/// Gives devices and points new ids where a person's thing or a removed one has their id. What a person removed keeps
/// its id: it stays removed.
fn rename_taken(outline: &mut Outline<'_>, present: Present<'_>) -> Result<(), BadValue> {
    let by_proposal = |thing: &Subject| present.plan.proposed.iter().any(|one| one.thing == *thing);
    let (now, fresh) = (json(present.plan), json(&outline.plan));
    let is_taken = |thing: &Subject| {
        let has_id = matches!(thing.kind, SubjectKind::Device | SubjectKind::Point);
        has_id && !by_proposal(thing) && (now.contains_key(thing) || present.gone.contains(thing))
    };
    for thing in fresh.keys().filter(|thing| is_taken(thing)) {
        let is_free = |id: &str| {
            let same = |other: &Subject| other.id == id;
            let is_its_own = by_proposal(&Subject::new(thing.kind, id)) && !fresh.keys().any(same);
            is_its_own || !(fresh.keys().any(same) || now.keys().any(same) || present.gone.iter().any(same))
        };
        let free = (2..MOST_NUMBER).map(|number| format!("{}-{number}", thing.id)).find(|id| is_free(id));
        let Some(new) = free else { continue };
        rename(&mut outline.plan, thing, &new)?;
        let moved = Subject::new(thing.kind, &new);
        if let Some(rules) = outline.rules.remove(thing) {
            outline.rules.insert(moved.clone(), rules);
        }
        outline
            .supposed
            .iter_mut()
            .filter(|field| field.thing == *thing)
            .for_each(|field| field.thing = moved.clone());
    }
    Ok(())
}

/// The highest number of an id that is tried.
const MOST_NUMBER: usize = 10_000;

/// Gives a device or point another id, wherever the plan names it.
fn rename(plan: &mut Plan, thing: &Subject, new: &str) -> Result<(), BadValue> {
    let old = thing.id.as_str();
    for circuit in &mut plan.circuits {
        for own in &mut circuit.conductors {
            for end in [&mut own.from, &mut own.to] {
                if end.as_str() == old {
                    *end = text(new)?;
                }
            }
        }
    }
    if thing.kind == SubjectKind::Device {
        let new: DeviceId = text(new)?;
        let swap = |id: &mut DeviceId| {
            if id.as_str() == old {
                *id = new.clone();
            }
        };
        plan.devices.iter_mut().for_each(|device| swap(&mut device.id));
        plan.circuits.iter_mut().flat_map(|circuit| &mut circuit.legs).for_each(|leg| swap(&mut leg.device));
        for cable in plan.devices.iter_mut().flat_map(|device| &mut device.cables) {
            if let CableTo::Device(to) = &mut cable.to {
                swap(to);
            }
        }
        return Ok(());
    }
    let new: PointId = text(new)?;
    let mut swap = |id: &mut PointId| {
        if id.as_str() == old {
            *id = new.clone();
        }
    };
    plan.points.iter_mut().for_each(|point| swap(&mut point.id));
    for feeder in &mut plan.feeders {
        swap(&mut feeder.from);
        swap(&mut feeder.to);
    }
    for circuit in &mut plan.circuits {
        swap(&mut circuit.from);
        swap(&mut circuit.r#return);
        circuit.junction.iter_mut().for_each(&mut swap);
        circuit.switch.iter_mut().for_each(|at| swap(&mut at.panel));
    }
    plan.modes.iter_mut().flat_map(|mode| &mut mode.charging).for_each(swap);
    Ok(())
}

/// Keeps each function at its position of its panel. New functions take spare positions.
fn reseat(outline: &mut Outline<'_>, present: Present<'_>) -> Result<(), BadValue> {
    for point in &mut outline.plan.points {
        let Body::SwitchPanel(fresh) = &mut point.body else { continue };
        let Some(Body::SwitchPanel(old)) = present.plan.point(&point.id).map(|held| &held.body) else {
            continue;
        };
        let (seats, moves) = seated(&old.positions, std::mem::take(&mut fresh.positions))?;
        fresh.positions = seats;
        let switches = outline.plan.circuits.iter_mut().filter_map(|circuit| circuit.switch.as_mut());
        for switch in switches.filter(|switch| switch.panel == point.id) {
            switch.position = moves.get(&switch.position).copied().unwrap_or(switch.position);
        }
    }
    Ok(())
}

/// The positions of a panel with those of the same label where they were, and the new number of each.
fn seated(old: &[Position], fresh: Vec<Position>) -> Result<(Vec<Position>, BTreeMap<u16, u16>), BadValue> {
    let is_spare = |position: &Position| position.label.as_str().starts_with(SPARE);
    let mut seats: Vec<Option<Position>> = vec![None; old.len()];
    let mut moves = BTreeMap::new();
    let (mut used, mut waiting) = (0, Vec::new());
    for (number, position) in (1..).zip(fresh).filter(|(_, position)| !is_spare(position)) {
        used += 1;
        let held = old.iter().position(|other| other.label == position.label);
        match held.filter(|at| seats.get(*at).is_some_and(Option::is_none)) {
            Some(at) => sit(&mut seats, &mut moves, (number, at), position),
            None => waiting.push((number, position)),
        }
    }
    for (number, position) in waiting {
        let is_free = |at: &usize| seats.get(*at).is_some_and(Option::is_none);
        let spare = (0..old.len()).filter(is_free).find(|at| old.get(*at).is_some_and(is_spare));
        let at = spare.or_else(|| (0..seats.len()).find(is_free)).unwrap_or(seats.len());
        if at == seats.len() {
            seats.push(None);
        }
        sit(&mut seats, &mut moves, (number, at), position);
    }
    seats.resize(seats.len().max(with_spares(used)), None);
    let mut positions = Vec::new();
    for (at, seat) in seats.into_iter().enumerate() {
        let spare = old.get(at).filter(|position| is_spare(position)).cloned();
        positions.push(match seat.or(spare) {
            Some(position) => position,
            None => super::panel::spare(&format!("{SPARE} {}", at + 1))?,
        });
    }
    Ok((positions, moves))
}

/// Gives a position its seat.
fn sit(
    seats: &mut [Option<Position>],
    moves: &mut BTreeMap<u16, u16>,
    (number, at): (u16, usize),
    position: Position,
) {
    if let Some(seat) = seats.get_mut(at) {
        *seat = Some(position);
    }
    moves.extend(u16::try_from(at + 1).ok().map(|at| (number, at)));
}

/// What the label of a spare position begins with.
const SPARE: &str = "SPARE";

/// Gives circuits and feeders the ids that they have in the present plan, and new ones an id that was never used.
fn renumber(outline: &mut Outline<'_>, present: Present<'_>) -> Result<(), BadValue> {
    let of_circuit = |circuit: &Circuit| circuit.legs.first().map(|leg| leg.device.clone());
    let circuits = ids(
        (&outline.plan.circuits, &present.plan.circuits),
        |circuit| circuit.id.to_string(),
        of_circuit,
        &used(present, SubjectKind::Circuit),
        "C",
    );
    let of_feeder = |feeder: &Feeder| Some((feeder.from.clone(), feeder.to.clone(), feeder.polarity.word()));
    let feeders = ids(
        (&outline.plan.feeders, &present.plan.feeders),
        |feeder| feeder.id.to_string(),
        of_feeder,
        &used(present, SubjectKind::Feeder),
        "F",
    );
    let mut new_circuits: BTreeMap<CircuitId, CircuitId> = BTreeMap::new();
    for (circuit, id) in outline.plan.circuits.iter_mut().zip(circuits) {
        let id: CircuitId = text(id)?;
        new_circuits.insert(std::mem::replace(&mut circuit.id, id.clone()), id);
    }
    let mut new_feeders: BTreeMap<FeederId, FeederId> = BTreeMap::new();
    for (feeder, id) in outline.plan.feeders.iter_mut().zip(feeders) {
        let id: FeederId = text(id)?;
        new_feeders.insert(std::mem::replace(&mut feeder.id, id.clone()), id);
    }
    let used = outline.plan.modes.iter_mut().flat_map(|mode| &mut mode.on).map(|used| &mut used.circuit);
    let drawn = outline.drawn.iter_mut().map(|(circuit, _)| circuit);
    for circuit in used.chain(drawn) {
        if let Some(id) = new_circuits.get(circuit) {
            *circuit = id.clone();
        }
    }
    let moved = |thing: &Subject| {
        let id = match thing.kind {
            SubjectKind::Circuit => new_circuits.get(&thing.id.parse().ok()?)?.to_string(),
            SubjectKind::Feeder => new_feeders.get(&thing.id.parse().ok()?)?.to_string(),
            _ => return None,
        };
        Some(Subject::new(thing.kind, id))
    };
    let rules = std::mem::take(&mut outline.rules).into_iter();
    outline.rules = rules.map(|(thing, rules)| (moved(&thing).unwrap_or(thing), rules)).collect();
    for field in &mut outline.supposed {
        if let Some(thing) = moved(&field.thing) {
            field.thing = thing;
        }
    }
    Ok(())
}

/// Every id of a kind that is or was used.
fn used(present: Present<'_>, kind: SubjectKind) -> BTreeSet<String> {
    let now = json(present.plan).into_keys().filter(|thing| thing.kind == kind).map(|thing| thing.id);
    now.chain(present.gone.iter().filter(|thing| thing.kind == kind).map(|thing| thing.id.clone())).collect()
}

/// The id of each fresh item: that of the present item with the same key, or the next one of the series.
fn ids<T, K: PartialEq>(
    (fresh, present): (&[T], &[T]),
    id: impl Fn(&T) -> String,
    key: impl Fn(&T) -> Option<K>,
    used: &BTreeSet<String>,
    prefix: &str,
) -> Vec<String> {
    let mut used = used.clone();
    let mut given = Vec::new();
    let mut next = 1;
    for item in fresh {
        let same = present.iter().find(|other| key(other).is_some() && key(other) == key(item)).map(&id);
        let id = same.filter(|id| !given.contains(id)).unwrap_or_else(|| {
            while used.contains(&format!("{prefix}{next:02}")) {
                next += 1;
            }
            format!("{prefix}{next:02}")
        });
        used.insert(id.clone());
        given.push(id);
    }
    given
}
