//! Batteries, battery switches, engines and chargers (P3, P4, P12).

use super::circuit;
use super::kinds::is_charging;
use super::outline::{NewFeeder, Outline, text, value};
use super::planned::{Circuits, Feeding};
use super::said::LeftOut;
use super::site::{BATTERIES, HELM, Site};
use super::wanted::Want;
use crate::job::kind::Kind;
use crate::job::plan::{BankCount, Cable, CableTo, Engine, Fuel, Protection, Purpose, Rule, Setting};
use crate::job::point::{Body, Point};
use crate::job::value::BadValue;
use crate::trade::conductor::Size;
use crate::trade::energy::battery::Chemistry;
use crate::trade::protection::Family;
use crate::trade::route::CableKind;
use uom::si::area::square_millimeter;

/// Interrupt rating of fuses on posts and bars and of breakers, A: read it on the part (common practice).
pub(super) const INTERRUPT_A: f64 = 5000.0;
/// Distance of a fuse from its source, m.
const AT_SOURCE_M: f64 = 0.1;
/// The most terminals on a battery post (ABYC E-11, read second hand).
const MOST_ON_POST: usize = 4;
/// The share of nominal voltage that starter cables are proposed for.
const STARTER_SHARE: f64 = 0.08;
/// The smallest starter cable that is proposed, mm2: 2 AWG, or 35 mm2.
const LEAST_STARTER_MM2: f64 = 33.0;
/// Loads that a starter cable carries beside, A for each mm2: with room for the fuse after it.
const LOADS_A_MM2: f64 = 3.2;
/// Warm copper, ohm mm2 a meter.
const WARM_COPPER: f64 = 0.0215;

/// The parts of the supply that others refer to, by id.
#[derive(Debug, Clone, Copy)]
pub(super) struct Supply {
    /// The point that block feeders begin at.
    pub(super) main: &'static str,
    /// The negative that bars behind the dash lead back to.
    pub(super) home: &'static str,
    /// Whether there is a positive bar beside the batteries.
    pub(super) has_bar: bool,
}

/// The id of the bank that feeds the equipment.
pub(super) const HOUSE: &str = "house";
/// The id of the positive bar beside the batteries.
pub(super) const POSITIVE: &str = "pos-aft";
/// The id of the negative bar beside the batteries.
pub(super) const NEGATIVE: &str = "neg-aft";

/// A fuse or breaker at the source of its wire.
pub(super) fn at_source(kind: Family) -> Result<Protection, BadValue> {
    let interrupt_a = if kind == Family::ClassTFuse { None } else { Some(value(INTERRUPT_A)?) };
    Ok(Protection { from_source_m: Some(value(AT_SOURCE_M)?), interrupt_a, ..Protection::of(kind) })
}

/// Adds banks, switches, engines and chargers. `block_count` blocks are fed from behind the switch.
pub(super) fn add<'a>(
    outline: &mut Outline<'a>,
    wants: &[Want<'a>],
    circuits: &Circuits<'a>,
    block_count: usize,
) -> Result<Supply, BadValue> {
    let has_two = outline.form.has_start_bank();
    let is_twin = outline.form.engine_count() > 1;
    let has_large = circuits.planned.iter().any(|planned| planned.feeding == Feeding::Bar || planned.is_low);
    let has_charger = wants.iter().any(|want| is_charging(want.kind));
    let has_bar = has_two || is_twin || has_large || has_charger || block_count > 1;
    banks(outline, has_two)?;
    let supply = Supply {
        main: if has_bar { POSITIVE } else { "switch" },
        home: if has_bar { NEGATIVE } else { HOUSE },
        has_bar,
    };
    if has_bar {
        bars(outline, circuits, has_two)?;
    }
    let through = if has_bar && !has_two { total(circuits) } else { 0.0 };
    engines(outline, supply, has_two, through)?;
    let always_on = circuits.planned.iter().any(|planned| planned.feeding == Feeding::AlwaysOn);
    chargers(outline, wants, has_two, 1 + usize::from(always_on))?;
    Ok(supply)
}

/// Adds the banks and their switches.
fn banks(outline: &mut Outline<'_>, has_two: bool) -> Result<(), BadValue> {
    let starts = !has_two && outline.form.engine_count() > 0;
    let is_lithium = outline.form.chemistry == Chemistry::Lifepo4;
    let kind = if is_lithium { "lithium-battery" } else { "battery" };
    let name = if has_two { "House bank" } else { "Battery" };
    let house = outline.point(kind, HOUSE, name, BATTERIES)?;
    let capacity = outline.form.capacity_ah;
    let chemistry = outline.form.chemistry;
    battery(outline, house, chemistry, capacity.map(|given| given.number()), starts && !is_lithium)?;
    let named = if has_two { "House battery switch" } else { "Battery switch" };
    let switch = outline.point("battery-switch", "switch", named, BATTERIES)?;
    outline.add_point(switch, Rule::BatterySwitches);
    if has_two {
        let start = outline.point("start-battery", "start", "Start bank", BATTERIES)?;
        battery(outline, start, Chemistry::Agm, None, true)?;
        let switch = outline.point("battery-switch", "switch-start", "Start battery switch", BATTERIES)?;
        outline.add_point(switch, Rule::BatterySwitches);
        outline.say(
            Rule::BatterySwitches,
            "Fit an emergency link with starter cables between the outputs of both switches. The plan checks it open.",
        );
    }
    if has_two && outline.form.banks == BankCount::One {
        let text = "A lithium bank does not start the engine. The plan has a start bank of its own.";
        outline.say(Rule::BatterySwitches, text);
    }
    if outline.form.engine == Engine::Outboard && outline.form.engine_count() > 0 {
        outline.say(
            Rule::BatterySwitches,
            "The outboard charges through its starter cable. Never turn the battery switch off with the engine running.",
        );
    }
    Ok(())
}

/// Adds a bank with supposed figures.
fn battery(
    outline: &mut Outline<'_>,
    point: Point,
    chemistry: Chemistry,
    capacity: Option<f64>,
    starts: bool,
) -> Result<(), BadValue> {
    let Point { body: Body::Battery(mut own), .. } = point.clone() else { return Ok(()) };
    own.chemistry = Some(chemistry);
    if let Some(capacity) = capacity {
        own.capacity_ah = Some(value(capacity)?);
    }
    own.cranking_a = if starts { Some(value(STARTING_A)?) } else { None };
    let point = Point { body: Body::Battery(own), ..point };
    outline.suppose(&point, "capacity_ah", Rule::Modes);
    if starts {
        outline.suppose(&point, "cranking_a", Rule::BatterySwitches);
    }
    outline.add_point(point, Rule::BatterySwitches);
    Ok(())
}

/// Cold-cranking current of a battery that starts an engine, A (common practice).
const STARTING_A: f64 = 800.0;

/// From this sum of all loads on the main fuse is of the large pattern, A.
const LARGE_FUSE_FROM_A: f64 = 100.0;

/// All loads on the side of the batteries, A.
fn total(circuits: &Circuits<'_>) -> f64 {
    circuits.planned.iter().filter(|planned| !planned.is_low).map(|planned| planned.amperes).sum()
}

/// Adds the bars beside the batteries and what feeds them.
fn bars(outline: &mut Outline<'_>, circuits: &Circuits<'_>, has_two: bool) -> Result<(), BadValue> {
    let at_bar = circuits.planned.iter().filter(|planned| planned.feeding == Feeding::Bar);
    let (count, largest) =
        at_bar.fold((0, 0.0_f64), |(count, most), next| (count + 1, most.max(next.amperes)));
    let all = total(circuits);
    let made = |least: f64| BARS_A.into_iter().find(|made| *made >= least).unwrap_or(least.ceil());
    let positive = outline.point("positive-bus", POSITIVE, "Positive bar", BATTERIES)?;
    let positive = with_bar(positive, made(all * SURPLUS), count + 8)?;
    let negative = outline.point("negative-bus", NEGATIVE, "Negative bar, batteries", BATTERIES)?;
    let negative = with_bar(negative, made(all * SURPLUS), count + 12)?;
    outline.add_point(positive, Rule::LargeLoads);
    outline.add_point(negative, Rule::Negatives);
    let family = if largest > 30.0 || all > LARGE_FUSE_FROM_A {
        Family::LargeBoltDownFuse
    } else {
        Family::BoltDownFuse
    };
    let fuse = at_source(family)?;
    for point in &mut outline.plan.points {
        if let ("switch", Body::BatterySwitch(switch)) = (point.id.as_str(), &mut point.body) {
            switch.bar.rating_a =
                Some(value(SWITCHES_A.into_iter().find(|made| *made >= all * SURPLUS).unwrap_or(all))?);
        }
    }
    if has_two {
        outline.add_feeder(NewFeeder::positive(HOUSE, "switch").fused(fuse), Rule::BatterySwitches)?;
        outline.add_feeder(NewFeeder::positive("switch", POSITIVE), Rule::BatterySwitches)?;
    } else {
        outline.add_feeder(NewFeeder::positive("switch", POSITIVE).fused(fuse), Rule::BatterySwitches)?;
    }
    Ok(())
}

/// The ratings that battery switches come with, A.
const SWITCHES_A: [f64; 3] = [300.0, 450.0, 600.0];
/// The ratings that bars come with, A.
const BARS_A: [f64; 5] = [250.0, 400.0, 600.0, 800.0, 1000.0];
/// What a bar carries beside the loads, as a factor: charging, and voltages over the nominal one.
pub(super) const SURPLUS: f64 = 1.25;

/// A bar with this rating, and a position for each of these terminals with spare ones.
pub(super) fn with_bar(point: Point, rating: f64, used: usize) -> Result<Point, BadValue> {
    let mut point = point;
    if let Body::PositiveBus(bar) | Body::NegativeBus(bar) | Body::JunctionBar(bar) | Body::FuseBlock(bar) =
        &mut point.body
    {
        bar.rating_a = Some(value(rating)?);
        bar.positions = u16::try_from(with_spares(used)).ok();
    }
    point.screw = "#8".parse().ok();
    Ok(point)
}

/// The positions that parts come with.
const MADE_POSITIONS: [usize; 10] = [4, 6, 8, 10, 12, 16, 20, 24, 30, 40];

/// The positions for so many, with a fifth and at least two to spare (P11).
pub(super) fn with_spares(used: usize) -> usize {
    let needed = used + used.div_ceil(5).max(2);
    MADE_POSITIONS.into_iter().find(|made| *made >= needed).unwrap_or(needed)
}

/// The site of the engines.
fn engine_site(outline: &Outline<'_>) -> Option<Site> {
    outline.site(if outline.form.is_inboard() { "engine-space" } else { "transom" })
}

/// Adds the engines with their starter cables, keys and harnesses.
fn engines<'a>(
    outline: &mut Outline<'a>,
    supply: Supply,
    has_two: bool,
    through: f64,
) -> Result<(), BadValue> {
    let (bank, switch) = if has_two { ("start", "switch-start") } else { (HOUSE, "switch") };
    let (count, Some(site)) = (outline.form.engine_count(), engine_site(outline)) else { return Ok(()) };
    let starter_a = starter_a(outline);
    let size = starter_size(outline, &site, starter_a, through);
    let cable = |feeder: NewFeeder<'static>| feeder.starter(size);
    if count > 0 {
        outline.add_feeder(cable(NewFeeder::positive(bank, switch)), Rule::BatterySwitches)?;
    } else {
        let fuse = at_source(Family::BoltDownFuse)?;
        outline.add_feeder(NewFeeder::positive(HOUSE, "switch").fused(fuse), Rule::BatterySwitches)?;
    }
    if supply.has_bar {
        for bank in if has_two { &[HOUSE, "start"][..] } else { &[HOUSE] } {
            let starts = *bank == "start" || (!has_two && count > 0);
            let feeder = NewFeeder::negative(NEGATIVE, bank);
            outline.add_feeder(if starts { feeder.starter(size) } else { feeder }, Rule::Negatives)?;
        }
    }
    for number in 1..=count {
        let id: &'static str = ["engine", "engine-2"][usize::from(number > 1)];
        let name = match count {
            1 => "Engine, starter and alternator".to_owned(),
            _ => format!("Engine {number}, starter and alternator"),
        };
        engine(outline, id, &name, &site, starter_a)?;
        outline.add_feeder(cable(NewFeeder::positive(switch, id)), Rule::BatterySwitches)?;
        outline.add_feeder(cable(NewFeeder::negative(id, supply.home)), Rule::Negatives)?;
        key(outline, number, &site, if has_two { switch } else { supply.main }, supply.home)?;
    }
    Ok(())
}

/// Adds one engine.
fn engine(
    outline: &mut Outline<'_>,
    id: &str,
    name: &str,
    site: &Site,
    starter_a: f64,
) -> Result<(), BadValue> {
    let mut point = outline.point("alternator", id, name, site.id)?;
    if let Body::Charger(charger) = &mut point.body {
        charger.starter_a = Some(value(starter_a)?);
        charger.internal_mohm = Some(value(40.0)?);
    }
    outline.suppose(&point, "starter_a", Rule::BatterySwitches);
    outline.suppose(&point, "rating_a", Rule::BatterySwitches);
    outline.add_point(point, Rule::Engine);
    Ok(())
}

/// What a starter draws, A (common practice).
fn starter_a(outline: &Outline<'_>) -> f64 {
    let at_12 = match (outline.form.engine, outline.form.fuel) {
        (Engine::Inboard, Fuel::Diesel) => 250.0,
        (Engine::Inboard, _) => 180.0,
        _ => 150.0,
    };
    at_12 * 12.0 / outline.form.nominal()
}

/// The starter cable from the batteries to the engine and back. `through`: the loads that pass it too, if the bank
/// that starts the engine feeds everything.
fn starter_size(outline: &Outline<'_>, site: &Site, starter_a: f64, through: f64) -> Size {
    let length = outline.form.length_m.number();
    let batteries = outline.site(BATTERIES).map_or([0.0; 3], |site| site.at);
    let apart = (batteries[0] - site.at[0]).abs() * length + (batteries[1] - site.at[1]).abs() + 0.5;
    let loop_m = 2.0 * (1.2 * apart + 1.2) + 1.5;
    let needed = WARM_COPPER * loop_m * starter_a / (STARTER_SHARE * outline.form.nominal());
    let fits = |size: &Size| {
        size.area().get::<square_millimeter>() >= needed.max(LEAST_STARTER_MM2).max(through / LOADS_A_MM2)
    };
    let mut sizes = Size::stocked(outline.form.rules.system());
    sizes.clone().find(fits).or(sizes.next_back()).unwrap_or(Size::Awg4_0)
}

/// What the customer with an outboard is shown: it charges through its starter cable (P4).
const NEVER_OFF: &str = "Shown to the customer: battery switch stays on while the engine runs";

/// Adds the key of an engine, with its harness to the helm.
fn key(outline: &mut Outline<'_>, number: u16, site: &Site, from: &str, home: &str) -> Result<(), BadValue> {
    let Some(kind) = outline.catalog.named("engine-key") else { return Ok(()) };
    let (id, name) = match number {
        1 => ("engine-key".to_owned(), kind.name.to_string()),
        _ => (format!("engine-key-{number}"), format!("{} {number}", kind.name)),
    };
    let mut device = kind.device(text(&id)?, text(&name)?, text(site.id)?, outline.plan.job.nominal_v);
    let harness = kind.cables.iter().find(|cable| cable.kind == CableKind::EngineHarness);
    if let Some(need) = harness {
        let to = CableTo::Location(text(HELM)?);
        device.cables = vec![Cable { label: None, ..need.cable(text(format!("{id}-harness"))?, to) }];
    }
    if outline.form.engine == Engine::Outboard {
        device.settings.push(Setting { name: text(NEVER_OFF)?, value: None });
    }
    outline.suppose_load(&device, kind);
    let circuit = circuit::one(outline, &device, kind, from, home, at_source(Family::Breaker)?)?;
    outline.add_device(device, Rule::Engine);
    outline.add_circuit(circuit, kind, Rule::Engine);
    Ok(())
}

/// Adds the chargers. `taken`: terminals on the post of the house bank.
fn chargers<'a>(
    outline: &mut Outline<'a>,
    wants: &[Want<'a>],
    has_two: bool,
    taken: usize,
) -> Result<(), BadValue> {
    let mut kinds: Vec<&'a Kind> =
        wants.iter().map(|want| want.kind).filter(|kind| is_charging(kind)).collect();
    kinds.dedup_by_key(|kind| &kind.id);
    let is_dc_dc = |kind: &&'a Kind| kind.load.is_some();
    if has_two && !kinds.iter().any(is_dc_dc) {
        kinds.splice(0..0, outline.catalog.named("dc-dc-charger"));
    }
    let mut on_post = taken;
    for kind in kinds {
        let reason = if is_dc_dc(&kind) && !has_two {
            Some("It charges one bank from another, and this boat has one bank.")
        } else if on_post >= MOST_ON_POST {
            Some("The post of the bank has no place for another terminal. Add a bar for the chargers.")
        } else {
            None
        };
        match reason {
            None => charger(outline, kind)?,
            Some(reason) => {
                let (wish, reason) = (kind.name.to_string(), reason.to_owned());
                outline.left_out.push(LeftOut { line: None, wish, reason });
                continue;
            }
        }
        on_post += 1;
    }
    Ok(())
}

/// Adds one charger: its output to the house bank, and its input if it is fed from the start bank.
fn charger<'a>(outline: &mut Outline<'a>, kind: &'a Kind) -> Result<(), BadValue> {
    let nominal = outline.plan.job.nominal_v;
    let output = format!("{}-output", kind.id);
    let name = format!("{}, output", kind.name);
    if let Some(mut point) = kind.point(text(&output)?, text(name)?, text(BATTERIES)?, nominal) {
        if let Body::Charger(charger) = &mut point.body {
            charger.internal_mohm = Some(value(60.0)?);
        }
        outline.suppose(&point, "rating_a", Rule::AlwaysOn);
        outline.add_point(point, Rule::AlwaysOn);
    }
    let fuse = at_source(Family::BoltDownFuse)?;
    outline.add_feeder(NewFeeder::positive(&output, HOUSE).fused(fuse), Rule::BatterySwitches)?;
    outline.add_feeder(NewFeeder::negative(NEGATIVE, &output), Rule::Negatives)?;
    if kind.load.is_some() {
        let device =
            kind.device(text(&kind.id)?, text(format!("{}, input", kind.name))?, text(BATTERIES)?, nominal);
        let device = crate::job::plan::Device { purpose: Some(Purpose::Charging), ..device };
        outline.suppose_load(&device, kind);
        let least = Family::BoltDownFuse.made().first().copied().unwrap_or_default();
        let suits = device.max_fuse_a.is_none_or(|most| most.number() >= least);
        let fuse = at_source(if suits { Family::BoltDownFuse } else { Family::Breaker })?;
        let circuit = circuit::one(outline, &device, kind, "start", NEGATIVE, fuse)?;
        outline.add_device(device, Rule::AlwaysOn);
        outline.add_circuit(circuit, kind, Rule::AlwaysOn);
    }
    Ok(())
}
