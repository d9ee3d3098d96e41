//! Which devices are on one circuit, and how it is fed and switched (P3, P5, P8, P10).

use super::draft::{Draft, Fitted};
use super::lights;
use super::modes::may_wait;
use super::want::{LARGE_A, PutOff, amperes, is_low, side};
use crate::job::kind::{Feed, Group, Kind};
use crate::job::plan::{Purpose, Rule};
use crate::job::point::SwitchKind;
use crate::trade::rules::RuleSet;

/// A chain of lights may use this share of its fuse (P8).
const CHAIN_SHARE: f64 = 0.8;
/// The color of the lighting circuits, which are chained.
const OF_LIGHTING: &str = "dark blue";

/// Where a circuit begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Feeding {
    /// At the block ahead of the battery switch.
    AlwaysOn,
    /// At a block for this group.
    Block(Group),
    /// At the positive bar, by a breaker of its own.
    Bar,
}

/// A circuit to be drawn.
#[derive(Debug, Clone)]
pub(super) struct Planned<'a> {
    pub(super) name: String,
    /// The devices, in order along the wire.
    pub(super) devices: Vec<Fitted<'a>>,
    /// The kind that decides how it is fed.
    pub(super) kind: &'a Kind,
    pub(super) feeding: Feeding,
    /// Whether it is on the 12 V side of a boat of 24 V.
    pub(super) is_low: bool,
    /// Its position on the panel, by number in [`Circuits::spots`], and the throws in which it is on.
    pub(super) spot: Option<(usize, Vec<u16>)>,
    /// What it draws, A.
    pub(super) amperes: f64,
    pub(super) rule: Rule,
}

/// A position of a switch panel to be drawn.
#[derive(Debug, Clone)]
pub(super) struct Spot {
    pub(super) label: String,
    pub(super) switch: SwitchKind,
    pub(super) throws: Vec<&'static str>,
    pub(super) poles: u16,
    /// Its rank on the panel: navigation first.
    pub(super) rank: u8,
    /// What its circuits draw together, A.
    pub(super) amperes: f64,
}

/// The circuits and the positions that work them.
#[derive(Debug, Default)]
pub(super) struct Circuits<'a> {
    pub(super) planned: Vec<Planned<'a>>,
    pub(super) spots: Vec<Spot>,
}

/// What one main feeder carries at most, A, so that standard cables and fuses suit it.
const MOST_MAIN_A: f64 = 280.0;
/// The same by the ISO rules, where a fuse is never over the ampacity of its cable, A.
const MOST_MAIN_ISO_A: f64 = 200.0;

impl Circuits<'_> {
    /// The kind with the largest load, if all loads together are too much for one main feeder.
    pub(super) fn too_much(&self, rules: RuleSet) -> Option<PutOff> {
        let most = if rules == RuleSet::Iso { MOST_MAIN_ISO_A } else { MOST_MAIN_A };
        let all: f64 =
            self.planned.iter().filter(|planned| !planned.is_low).map(|planned| planned.amperes).sum();
        let may_wait = self.planned.iter().filter(|planned| may_wait(planned.kind) && !planned.is_low);
        let heaviest = may_wait.max_by(|one, other| one.amperes.total_cmp(&other.amperes))?;
        let reason = format!(
            "All loads together need more than {most} A, which one main feeder carries. Give it a bank of its own."
        );
        (all > most).then(|| PutOff { kind: heaviest.kind.id.clone(), reason })
    }
}

impl<'a> Planned<'a> {
    /// One circuit for navigation lights.
    pub(super) fn of_lights(
        draft: &Draft<'a>,
        lights: &[&Fitted<'a>],
        spot: usize,
        throws: &[u16],
    ) -> Option<Self> {
        let kind = lights.first()?.kind;
        let names: Vec<&str> = lights.iter().map(|fitted| fitted.name.as_str()).collect();
        Some(Self {
            name: joined(&names),
            devices: lights.iter().map(|fitted| (*fitted).clone()).collect(),
            kind,
            feeding: Feeding::Block(Group::LightsAndPumps),
            is_low: is_low(draft, kind),
            spot: Some((spot, throws.to_vec())),
            amperes: lights.iter().map(|fitted| amperes(draft, fitted.kind)).sum(),
            rule: Rule::Lights,
        })
    }
}

/// Names joined as in a sentence: `Sidelights and sternlight`.
fn joined(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [rest @ .., last] => format!("{} and {}", rest.join(", "), last.to_lowercase()),
    }
}

/// Plans a circuit for every device that draws current from the boat.
pub(super) fn plan<'a>(draft: &Draft<'a>) -> Circuits<'a> {
    let mut circuits = Circuits::default();
    lights::plan(draft, &mut circuits);
    let is_fed = |fitted: &&Fitted<'_>| {
        fitted.kind.load.is_some() && fitted.kind.light.is_none() && fitted.kind.feed != Feed::Engine
    };
    let fed: Vec<&Fitted<'a>> = draft.fitted.iter().filter(is_fed).collect();
    let mut done: Vec<&Kind> = Vec::new();
    for fitted in &fed {
        if done.iter().any(|kind| kind.id == fitted.kind.id) {
            continue;
        }
        done.push(fitted.kind);
        let same: Vec<&Fitted<'a>> =
            fed.iter().copied().filter(|other| other.kind.id == fitted.kind.id).collect();
        of_kind(draft, &mut circuits, &same);
    }
    circuits
}

/// Plans the circuits of all devices of one kind.
fn of_kind<'a>(draft: &Draft<'a>, circuits: &mut Circuits<'a>, same: &[&Fitted<'a>]) {
    let Some(kind) = same.first().map(|fitted| fitted.kind) else { return };
    let each = amperes(draft, kind);
    let most = if is_chained(kind) { in_a_chain(draft, kind, each) } else { 1 };
    let even = same.len().div_ceil(same.len().div_ceil(most));
    let chains: Vec<&[&Fitted<'a>]> = same.chunks(even).collect();
    let several = chains.len() > 1;
    for (number, chain) in (1..).zip(&chains) {
        let feeding = feeding(draft, kind);
        let spot = is_switched(kind, feeding).then(|| {
            let label = if several { format!("{} {number}", kind.label) } else { kind.label.to_string() };
            circuits.spots.push(spot(kind, label, each * times(chain.len())));
            (circuits.spots.len() - 1, Vec::new())
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
            is_low: is_low(draft, kind),
            spot,
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
fn in_a_chain(draft: &Draft<'_>, kind: &Kind, each: f64) -> usize {
    let fuse = kind.figures(side(draft, kind)).max_fuse_a.map_or(0.0, |fuse| fuse.number());
    (1..MOST_IN_A_CHAIN).take_while(|count| each * times(*count) <= CHAIN_SHARE * fuse).last().unwrap_or(1)
}

/// A count as a factor.
pub(super) fn times(count: usize) -> f64 {
    u32::try_from(count).map_or(f64::INFINITY, f64::from)
}

/// The most devices on one chain.
const MOST_IN_A_CHAIN: usize = 40;

/// Where a circuit of this kind begins.
fn feeding(draft: &Draft<'_>, kind: &Kind) -> Feeding {
    match kind.feed {
        Feed::AlwaysOn => Feeding::AlwaysOn,
        _ if is_large(draft, kind) => Feeding::Bar,
        _ if kind.group == Group::LargeLoads => Feeding::Block(Group::LightsAndPumps),
        _ => Feeding::Block(kind.group),
    }
}

/// From this load on a device of the group of large loads has its own breaker at a bar, A.
const LARGE_GROUP_A: f64 = 15.0;

/// Whether a kind has its own breaker at the bar.
pub(super) fn is_large(draft: &Draft<'_>, kind: &Kind) -> bool {
    let from_a = if kind.group == Group::LargeLoads { LARGE_GROUP_A } else { LARGE_A };
    !is_low(draft, kind) && amperes(draft, kind) >= from_a
}

/// Whether a position of the panel works it. A large load has its own control.
fn is_switched(kind: &Kind, feeding: Feeding) -> bool {
    let is_pump_with_float = kind.purpose == Some(Purpose::AutomaticBilgePump);
    is_pump_with_float || (kind.feed == Feed::Switched && matches!(feeding, Feeding::Block(_)))
}

fn spot(kind: &Kind, label: String, amperes: f64) -> Spot {
    let switch = kind.switch.filter(|switch| *switch != SwitchKind::OnOffOn).unwrap_or(SwitchKind::OnOff);
    Spot { label, switch, throws: Vec::new(), poles: 1, rank: rank(kind), amperes }
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
