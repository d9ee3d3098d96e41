//! Which devices are on one circuit, and how it is fed and switched (P3, P5, P8, P10).

use super::kinds::{LARGE_A, amperes, is_low, side, times};
use super::light_circuits;
use super::outline::{Fitted, Outline};
use super::planned::{Circuits, Feeding, Planned, SwitchFunction};
use crate::job::kind::{Feed, Group, Kind};
use crate::job::plan::{Purpose, Rule};
use crate::job::point::SwitchKind;

/// A chain of lights may use this share of its fuse (P8).
const CHAIN_SHARE: f64 = 0.8;
/// The color of the lighting circuits, which are chained.
const OF_LIGHTING: &str = "dark blue";

/// Plans a circuit for every device that draws current from the boat.
pub(super) fn plan<'a>(outline: &Outline<'a>) -> Circuits<'a> {
    let mut circuits = Circuits::default();
    light_circuits::plan(outline, &mut circuits);
    let is_fed = |fitted: &&Fitted<'_>| {
        fitted.kind.load.is_some() && fitted.kind.light.is_none() && fitted.kind.feed != Feed::Engine
    };
    let fed: Vec<&Fitted<'a>> = outline.fitted.iter().filter(is_fed).collect();
    let mut done: Vec<&Kind> = Vec::new();
    for fitted in &fed {
        if done.iter().any(|kind| kind.id == fitted.kind.id) {
            continue;
        }
        done.push(fitted.kind);
        let same: Vec<&Fitted<'a>> =
            fed.iter().copied().filter(|other| other.kind.id == fitted.kind.id).collect();
        of_kind(outline, &mut circuits, &same);
    }
    circuits
}

/// Plans the circuits of all devices of one kind.
fn of_kind<'a>(outline: &Outline<'a>, circuits: &mut Circuits<'a>, same: &[&Fitted<'a>]) {
    let Some(kind) = same.first().map(|fitted| fitted.kind) else { return };
    let each = amperes(outline, kind);
    let most = if is_chained(kind) { in_a_chain(outline, kind, each) } else { 1 };
    let even = same.len().div_ceil(same.len().div_ceil(most));
    let chains: Vec<&[&Fitted<'a>]> = same.chunks(even).collect();
    let several = chains.len() > 1;
    for (number, chain) in (1..).zip(&chains) {
        let feeding = feeding(outline, kind);
        let function = is_switched(kind, feeding).then(|| {
            let label = if several { format!("{} {number}", kind.label) } else { kind.label.to_string() };
            circuits.functions.push(function(kind, label, each * times(chain.len())));
            (circuits.functions.len() - 1, Vec::new())
        });
        let plural = match kind.name.as_str() {
            name if name.ends_with('s') => name.to_owned(),
            name => format!("{name}s"),
        };
        let name = match chain {
            [one] => one.name.to_string(),
            _ if several => format!("{plural} {number}"),
            _ => plural,
        };
        circuits.planned.push(Planned {
            name,
            devices: chain.iter().map(|fitted| (*fitted).clone()).collect(),
            kind,
            feeding,
            is_low: is_low(outline, kind),
            function,
            amperes: each * times(chain.len()),
            rule: rule(kind, feeding),
        });
    }
}

fn rule(kind: &Kind, feeding: Feeding) -> Rule {
    match (kind.purpose, feeding) {
        (Some(purpose), _) if purpose.is_bilge_pump() => Rule::BilgePumps,
        (_, Feeding::AlwaysOn) => Rule::AlwaysOn,
        (_, Feeding::Bar) => Rule::LargeLoads,
        _ if kind.id.as_str() == "network-backbone" => Rule::Network,
        _ => Rule::Circuits,
    }
}

/// Whether lights of this kind are chained.
fn is_chained(kind: &Kind) -> bool {
    kind.color.as_ref().is_some_and(|color| color.as_str() == OF_LIGHTING)
}

/// How many devices of a kind may be on one chain.
fn in_a_chain(outline: &Outline<'_>, kind: &Kind, each: f64) -> usize {
    let fuse = kind.figures(side(outline, kind)).max_fuse_a.map_or(0.0, |fuse| fuse.number());
    (1..MOST_IN_A_CHAIN).take_while(|count| each * times(*count) <= CHAIN_SHARE * fuse).last().unwrap_or(1)
}

/// The most devices on one chain.
const MOST_IN_A_CHAIN: usize = 40;

/// Where a circuit of this kind begins.
fn feeding(outline: &Outline<'_>, kind: &Kind) -> Feeding {
    match kind.feed {
        Feed::AlwaysOn => Feeding::AlwaysOn,
        _ if is_large(outline, kind) => Feeding::Bar,
        _ if kind.group == Group::LargeLoads => Feeding::Block(Group::LightsAndPumps),
        _ => Feeding::Block(kind.group),
    }
}

/// From this load on a device of the group of large loads has its own breaker at a bar, A.
const LARGE_GROUP_A: f64 = 15.0;

/// Whether a kind has its own breaker at the bar.
pub(super) fn is_large(outline: &Outline<'_>, kind: &Kind) -> bool {
    let from_a = if kind.group == Group::LargeLoads { LARGE_GROUP_A } else { LARGE_A };
    !is_low(outline, kind) && amperes(outline, kind) >= from_a
}

/// Whether a position of the panel works it. A large load has its own control.
fn is_switched(kind: &Kind, feeding: Feeding) -> bool {
    let is_pump_with_float = kind.purpose == Some(Purpose::AutomaticBilgePump);
    is_pump_with_float || (kind.feed == Feed::Switched && matches!(feeding, Feeding::Block(_)))
}

fn function(kind: &Kind, label: String, amperes: f64) -> SwitchFunction {
    let switch = kind.switch.filter(|switch| *switch != SwitchKind::OnOffOn).unwrap_or(SwitchKind::OnOff);
    SwitchFunction { label, switch, throws: Vec::new(), poles: 1, rank: rank(kind), amperes }
}

/// The rank of a kind on the panel: navigation, pumps, lights, wash-down, the rest, electronics, outlets (P11).
fn rank(kind: &Kind) -> u8 {
    let is_washdown = kind.id.as_str().starts_with("washdown");
    let color = kind.color.as_ref().map_or("", |color| color.as_str());
    match kind.group {
        Group::Electronics => 5,
        Group::OutletsAndSound => 6,
        _ if is_washdown => 3,
        _ if color.starts_with("brown") => 1,
        _ if color == OF_LIGHTING => 2,
        _ => 4,
    }
}
