//! Fuse blocks by group, their feeders and the negative bars beside them (P3, P6, P7, P16).

use super::circuit;
use super::outline::{NewFeeder, Outline, text, value};
use super::planned::{Circuits, Feeding, Planned};
use super::site::HUB;
use super::supply::{HOUSE, NEGATIVE, POSITIVE, SURPLUS, Supply, at_source, with_bar};
use crate::job::kind::Group;
use crate::job::load::Load;
use crate::job::plan::{Device, Rule};
use crate::job::point::Body;
use crate::job::value::BadValue;
use crate::trade::protection::Family;

/// The fused positions of a block that are used at most, so that two are spare (P7, P11).
const MOST_USED: usize = 10;
/// The load of a block at most, A: 80 % of its rating.
const MOST_LOAD_A: f64 = 80.0;
/// Rating of a block, A.
const RATING_A: f64 = 100.0;
/// The ratings that converters come with, A.
const CONVERTERS_A: [f64; 8] = [5.0, 10.0, 20.0, 30.0, 40.0, 60.0, 80.0, 100.0];
/// Efficiency of a converter (common practice).
const EFFICIENCY: f64 = 0.88;
/// Output voltage of a converter for 12 V equipment.
const CONVERTED_V: f64 = 13.2;

/// The output of the converter.
const CONVERTER: &str = "converter-output";
/// The negative bar of the main side behind the dash.
const DASH: &str = "neg-dash";
/// The negative bar of the 12 V side.
const DASH_12: &str = "neg-12";

/// A fuse block with the circuits on it, by number.
#[derive(Debug)]
struct Block {
    id: String,
    name: String,
    feeding: BlockFeed,
    members: Vec<usize>,
}

/// What feeds a block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum BlockFeed {
    AlwaysOn,
    Main,
    Low,
}

/// The blocks of a boat.
#[derive(Debug)]
pub(super) struct Blocks(Vec<Block>);

impl Blocks {
    /// Allots the circuits to blocks.
    pub(super) fn of_circuits(circuits: &Circuits<'_>) -> Self {
        let numbers = |is_one: &dyn Fn(&Planned<'_>) -> bool| -> Vec<usize> {
            let planned = circuits.planned.iter().enumerate();
            planned.filter(|(_, planned)| is_one(planned)).map(|(number, _)| number).collect()
        };
        let mut blocks = Vec::new();
        let always = numbers(&|planned| planned.feeding == Feeding::AlwaysOn);
        add(&mut blocks, circuits, always, ("fb-always", "Always-on fuse block"), BlockFeed::AlwaysOn);
        for (feed, prefix) in [(BlockFeed::Main, ""), (BlockFeed::Low, "12 V ")] {
            let is_of_side = |planned: &Planned<'_>| {
                matches!(planned.feeding, Feeding::Block(_)) && planned.is_low == (feed == BlockFeed::Low)
            };
            let all = numbers(&is_of_side);
            let stem = if feed == BlockFeed::Low { "fb-12" } else { "fb" };
            if all.len() <= MOST_USED && load(circuits, &all) <= MOST_LOAD_A {
                let name = format!("{prefix}fuse block");
                add(&mut blocks, circuits, all, (stem, &capital(&name)), feed);
                continue;
            }
            for (group, id, name) in GROUPS {
                let of_group = numbers(&|planned| {
                    is_of_side(planned) && planned.feeding == Feeding::Block(group_of(planned, group))
                });
                let name = capital(&format!("{prefix}{name} fuse block"));
                add(&mut blocks, circuits, of_group, (&format!("{stem}-{id}"), &name), feed);
            }
        }
        Self(blocks)
    }

    /// How many blocks are fed from behind the battery switch.
    pub(super) fn behind_switch(&self) -> usize {
        self.0.iter().filter(|block| block.feeding == BlockFeed::Main).count()
    }

    /// The block and the negative bar of a circuit.
    pub(super) fn of(&self, number: usize, planned: &Planned<'_>) -> (&str, &str) {
        let block = self.0.iter().find(|block| block.members.contains(&number));
        let home = if planned.is_low { DASH_12 } else { DASH };
        (block.map_or("fb", |block| block.id.as_str()), home)
    }
}

/// The groups that have a block of their own.
const GROUPS: [(Group, &str, &str); 3] = [
    (Group::LightsAndPumps, "lights", "lights and pumps"),
    (Group::Electronics, "electronics", "electronics"),
    (Group::OutletsAndSound, "outlets", "outlets and sound"),
];

/// The group of a circuit, where `group` also takes the groups without a block of their own.
fn group_of(planned: &Planned<'_>, group: Group) -> Group {
    let Feeding::Block(own) = planned.feeding else { return group };
    let has_block = GROUPS.iter().any(|(with, ..)| *with == own);
    if has_block || group != Group::LightsAndPumps { group } else { own }
}

fn capital(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

fn load(circuits: &Circuits<'_>, members: &[usize]) -> f64 {
    members.iter().filter_map(|number| circuits.planned.get(*number)).map(|planned| planned.amperes).sum()
}

/// Adds blocks for these circuits: another one where the positions or the load of one end.
fn add(
    blocks: &mut Vec<Block>,
    circuits: &Circuits<'_>,
    members: Vec<usize>,
    (id, name): (&str, &str),
    feeding: BlockFeed,
) {
    let mut parts: Vec<Vec<usize>> = Vec::new();
    for member in members {
        let fits = |part: &Vec<usize>| {
            part.len() < MOST_USED && load(circuits, part) + load(circuits, &[member]) <= MOST_LOAD_A
        };
        match parts.last_mut().filter(|part| fits(part)) {
            Some(part) => part.push(member),
            None => parts.push(vec![member]),
        }
    }
    for (number, members) in (1..).zip(parts) {
        let (id, name) = match number {
            1 => (id.to_owned(), name.to_owned()),
            _ => (format!("{id}-{number}"), format!("{name} {number}")),
        };
        blocks.push(Block { id, name, feeding, members });
    }
}

/// Adds the blocks with their feeders, and the negative bars.
pub(super) fn draw<'a>(
    outline: &mut Outline<'a>,
    circuits: &Circuits<'a>,
    blocks: &Blocks,
    supply: Supply,
) -> Result<(), BadValue> {
    let returns = |is_low: bool| {
        let lands = |planned: &&Planned<'_>| planned.feeding != Feeding::Bar && planned.is_low == is_low;
        let all: f64 = circuits.planned.iter().filter(lands).map(|planned| planned.amperes).sum();
        (circuits.planned.iter().filter(lands).count(), all)
    };
    if returns(true).0 > 0 {
        converter(outline, circuits)?;
        negative(outline, (DASH_12, "12 V negative bar"), returns(true), CONVERTER)?;
    }
    if returns(false).0 > 0 {
        negative(outline, (DASH, "Negative bar, dash"), returns(false), supply.home)?;
    }
    for block in &blocks.0 {
        let point = outline.point("fuse-block", &block.id, &block.name, HUB)?;
        let mut point = with_bar(point, RATING_A, block.members.len())?;
        point.stud = "1/4 in".parse().ok();
        let rule = match block.feeding {
            BlockFeed::AlwaysOn => Rule::AlwaysOn,
            BlockFeed::Main => Rule::Blocks,
            BlockFeed::Low => Rule::TwoVoltages,
        };
        outline.add_point(point, rule);
        let from = match block.feeding {
            BlockFeed::AlwaysOn => HOUSE,
            BlockFeed::Main => supply.main,
            BlockFeed::Low => CONVERTER,
        };
        let fuse = at_source(Family::BoltDownFuse)?;
        outline.add_feeder(NewFeeder::positive(from, &block.id).fused(fuse), rule)?;
    }
    Ok(())
}

/// The ratings that negative bars come with, A.
const BARS_A: [f64; 5] = [100.0, 150.0, 250.0, 400.0, 600.0];

/// Adds a negative bar behind the dash and its link.
fn negative(
    outline: &mut Outline<'_>,
    (id, name): (&str, &str),
    (used, amperes): (usize, f64),
    home: &str,
) -> Result<(), BadValue> {
    let rating = BARS_A.into_iter().find(|made| *made >= amperes * SURPLUS).unwrap_or(amperes.ceil());
    let point = with_bar(outline.point("negative-bus", id, name, HUB)?, rating, used)?;
    outline.add_point(point, Rule::Negatives);
    outline.add_feeder(NewFeeder::negative(id, home), Rule::Negatives)?;
    Ok(())
}

/// Adds the converter for the 12 V side of a 24 V boat.
fn converter<'a>(outline: &mut Outline<'a>, circuits: &Circuits<'a>) -> Result<(), BadValue> {
    let Some(kind) = outline.catalog.named("converter") else { return Ok(()) };
    let low = || circuits.planned.iter().filter(|planned| planned.is_low);
    let steady: f64 = low().filter(|planned| !planned.kind.short_time).map(|planned| planned.amperes).sum();
    let short = low().filter(|planned| planned.kind.short_time).map(|planned| planned.amperes);
    let all = steady + short.fold(0.0, f64::max);
    let rating = CONVERTERS_A.into_iter().find(|made| *made >= all).unwrap_or(all.ceil());
    let mut point = outline.point("converter", CONVERTER, "Converter, 12 V output", HUB)?;
    if let Body::Converter(own) = &mut point.body {
        own.rating_a = Some(value(rating)?);
    }
    outline.suppose(&point, "rating_a", Rule::TwoVoltages);
    outline.add_point(point, Rule::TwoVoltages);
    let nominal = outline.plan.job.nominal_v;
    let device = kind.device(text("converter")?, text("Converter, input")?, text(HUB)?, nominal);
    let load = Load::ConstantPower(value((rating * CONVERTED_V / EFFICIENCY).round())?);
    let device = Device { load: Some(load), max_fuse_a: None, footprint: None, ..device };
    outline.suppose_load(&device, kind);
    let breaker = at_source(Family::Breaker)?;
    let circuit = circuit::one(outline, &device, kind, POSITIVE, NEGATIVE, breaker)?;
    outline.add_device(device, Rule::TwoVoltages);
    outline.add_circuit(circuit, kind, Rule::TwoVoltages);
    Ok(())
}
