//! What is wanted: the wishes, what they do not work without, and what the rules add.

use super::draft::Draft;
use super::site::{HELM, HUB, Site};
use super::{LeftOut, ProposeError, lights};
use crate::job::kind::{Feed, Group, Ignition, Kind};
use crate::job::plan::{BoatVoltage, Engine, Fuel, Rule};
use crate::job::point::PointKind;
use crate::job::value::{KindId, NominalV};
use crate::job::wish::{Wanted, Wish, WishLocation, WishReader};
use uom::si::electric_current::ampere;
use uom::si::electric_potential::volt;
use uom::si::f64::ElectricPotential;

/// The most that a converter gives one device, A (common practice).
const MOST_CONVERTED_A: f64 = 24.0;
/// From this load on a device has its own breaker at a bar, A (P5).
pub(super) const LARGE_A: f64 = 24.0;
/// Under this length the federal rule on engine cut-off switches applies, m: 26 ft (from memory).
const CUT_OFF_UNDER_M: f64 = 7.92;

/// A kind that is left out because the boat cannot carry it beside the others.
#[derive(Debug, Clone)]
pub(super) struct PutOff {
    pub(super) kind: KindId,
    pub(super) reason: String,
}

/// What makes a boat carry what is wanted.
#[derive(Debug, Clone)]
pub(super) enum Remedy {
    /// A charger for the nights at the dock.
    ShoreCharger,
    /// A kind is left out.
    PutOff(PutOff),
}

impl Remedy {
    fn put_off(&self) -> Option<&PutOff> {
        if let Self::PutOff(later) = self { Some(later) } else { None }
    }
}

/// Adds a shore charger that nobody wished for.
fn add_shore_charger<'a>(draft: &mut Draft<'a>, wants: &mut Vec<Want<'a>>) {
    let is_there = wants.iter().any(|want| want.kind.id.as_str() == SHORE_CHARGER);
    if let Some(kind) = draft.catalog.named(SHORE_CHARGER).filter(|_| !is_there) {
        wants.push(Want::by_rule(kind, 1, Rule::Modes));
        draft.say(Rule::Modes, "The engine does not charge what a day uses. A shore charger is proposed.");
    }
}

/// The kind of the shore charger.
const SHORE_CHARGER: &str = "shore-charger";

/// The kind of the network backbone.
const NETWORK: &str = "network-backbone";

/// A kind that is wanted.
#[derive(Debug, Clone)]
pub(super) struct Want<'a> {
    pub(super) kind: &'a Kind,
    pub(super) count: u16,
    /// Where, the first one first; empty: at a usual location of the kind.
    pub(super) sites: Vec<Site>,
    pub(super) kept: bool,
    /// The rule that added it, if no wish did.
    pub(super) added_by: Option<Rule>,
}

impl<'a> Want<'a> {
    /// One of a kind that a rule adds.
    pub(super) fn by_rule(kind: &'a Kind, count: u16, rule: Rule) -> Self {
        Self { kind, count, sites: Vec::new(), kept: false, added_by: Some(rule) }
    }
}

/// Reads the wishes and adds what they need and what the rules add.
pub(super) fn wants<'a>(
    draft: &mut Draft<'a>,
    wishes: &str,
    remedies: &[Remedy],
) -> Result<Vec<Want<'a>>, ProposeError> {
    let locations: Vec<_> =
        draft.sites.iter().map(|site| super::place::location(draft, site)).collect::<Result<_, _>>()?;
    let read = WishReader::new(draft.catalog, &locations).read(wishes)?;
    let mut wants = Vec::new();
    for wish in &read {
        let Some(kind) = kind(draft, wish) else { continue };
        let sites = sites(draft, wish);
        let kinds = if kind.is_set() { needed(draft, kind) } else { vec![kind] };
        for kind in kinds {
            if !may_be(draft, kind, wish) {
                continue;
            }
            let put_off =
                remedies.iter().find_map(|remedy| remedy.put_off().filter(|later| later.kind == kind.id));
            if let Some(later) = put_off {
                leave_out(draft, wish, later.reason.clone());
                continue;
            }
            wants.push(Want {
                kind,
                count: wish.count,
                sites: sites.clone(),
                kept: wish.kept,
                added_by: None,
            });
        }
    }
    // A boat has one network.
    let mut networks = 0;
    wants.retain(|want| {
        networks += usize::from(want.kind.id.as_str() == NETWORK);
        want.kind.id.as_str() != NETWORK || networks == 1
    });
    add_needs(draft, &mut wants);
    lights::complete(draft, &mut wants);
    add_by_rules(draft, &mut wants);
    if remedies.iter().any(|remedy| matches!(remedy, Remedy::ShoreCharger)) {
        add_shore_charger(draft, &mut wants);
    }
    Ok(wants)
}

/// The kind of a wish; `None` if the line says none, which is then left out.
fn kind<'a>(draft: &mut Draft<'a>, wish: &Wish) -> Option<&'a Kind> {
    let names = |kinds: &[KindId]| {
        let names = kinds.iter().filter_map(|id| draft.catalog.kind(id)).map(|kind| kind.name.to_string());
        names.collect::<Vec<_>>().join(", ")
    };
    let reason = match &wish.wanted {
        Wanted::Kind(id) => return draft.catalog.kind(id),
        Wanted::DidYouMean(kinds) => format!("Not certain. Did you mean: {}?", names(kinds)),
        Wanted::NotWanted(_) => "The line says that it is not wanted.".to_owned(),
        Wanted::NotUnderstood => "Not understood. Name one kind of equipment.".to_owned(),
        Wanted::TooLong => "The line is too long to be read.".to_owned(),
    };
    leave_out(draft, wish, reason);
    None
}

fn leave_out(draft: &mut Draft<'_>, wish: &Wish, reason: impl Into<String>) {
    draft.left_out.push(LeftOut { line: Some(wish.line), wish: wish.text.clone(), reason: reason.into() });
}

/// The devices that only the rules give.
const OF_THE_RULES: [&str; 4] = ["alternator", "engine-key", "converter", "isolated-converter"];

/// Whether a kind can be proposed on this boat. If not, it says why.
fn may_be(draft: &mut Draft<'_>, kind: &Kind, wish: &Wish) -> bool {
    let reason = if !kind.is_device() && !is_charging(kind) {
        "The rules give the parts of the distribution. Do not list them as wishes.".to_owned()
    } else if OF_THE_RULES.contains(&kind.id.as_str()) {
        "The rules give it where the boat needs one. Do not list it as a wish.".to_owned()
    } else if kind.light.is_some() {
        match lights::why_not(draft, kind) {
            None => return true,
            Some(reason) => reason,
        }
    } else if is_low(draft, kind) && kind.feed == Feed::AlwaysOn {
        "It needs 12 V ahead of the battery switch, and the batteries have 24 V.".to_owned()
    } else if is_low(draft, kind) && amperes(draft, kind) > MOST_CONVERTED_A {
        format!("It is made for 12 V only, and draws more than {MOST_CONVERTED_A} A. Choose one for 24 V.")
    } else {
        return true;
    };
    leave_out(draft, wish, reason);
    false
}

/// Whether a kind is a source that charges a bank.
pub(super) fn is_charging(kind: &Kind) -> bool {
    kind.point.as_ref().is_some_and(|point| point.kind == PointKind::Charger)
}

/// Whether a kind is fed with 12 V on a boat of 24 V.
pub(super) fn is_low(draft: &Draft<'_>, kind: &Kind) -> bool {
    let nominal = draft.plan.job.nominal_v;
    let is_small = matches!(kind.group, Group::Electronics | Group::OutletsAndSound) || kind.start.is_none();
    let by_choice = draft.form.voltage == BoatVoltage::V24And12
        && is_small
        && kind.load.is_some()
        && kind.feed != Feed::AlwaysOn
        && !matches!(kind.group, Group::Engine | Group::LargeLoads | Group::Distribution);
    kind.needs_12_v(nominal) || by_choice
}

/// The nominal voltage of the side that feeds a kind.
pub(super) fn side(draft: &Draft<'_>, kind: &Kind) -> NominalV {
    let twelve = 12.0.try_into().ok().filter(|_| is_low(draft, kind));
    twelve.unwrap_or(draft.plan.job.nominal_v)
}

/// What the usual one of a kind draws on its side, A.
pub(super) fn amperes(draft: &Draft<'_>, kind: &Kind) -> f64 {
    let side = side(draft, kind);
    let volts = ElectricPotential::new::<volt>(side.number());
    kind.figures(side).load.map_or(0.0, |load| load.typical.current_at(volts).get::<ampere>())
}

/// The sites that a wish names.
fn sites(draft: &mut Draft<'_>, wish: &Wish) -> Vec<Site> {
    match &wish.location {
        WishLocation::NotSaid => Vec::new(),
        WishLocation::At { locations, phrase, .. } => {
            let sites: Vec<Site> = locations.iter().filter_map(|id| draft.site(id.as_str())).collect();
            if sites.is_empty() {
                let name = wish.text.trim();
                draft.say(
                    Rule::Locations,
                    format!("This hull pattern has no \u{2018}{phrase}\u{2019}. \u{2018}{name}\u{2019} goes to its usual location."),
                );
            }
            sites
        }
        WishLocation::Unclear { phrase, .. } => {
            let name = wish.text.trim();
            draft.say(
                Rule::Locations,
                format!("No location is named \u{2018}{phrase}\u{2019}. \u{2018}{name}\u{2019} goes to its usual location."),
            );
            Vec::new()
        }
    }
}

/// The kinds that a kind does not work without.
fn needed<'a>(draft: &Draft<'a>, kind: &Kind) -> Vec<&'a Kind> {
    kind.needs.iter().filter_map(|id| draft.catalog.kind(id)).collect()
}

/// Adds what the wanted kinds do not work without.
fn add_needs<'a>(draft: &Draft<'a>, wants: &mut Vec<Want<'a>>) {
    let mut at = 0;
    while let Some(want) = wants.get(at).cloned() {
        at += 1;
        for kind in needed(draft, want.kind) {
            let is_there = wants.iter().any(|other| other.kind.id == kind.id);
            let is_other_light = kind.light.is_some();
            if !is_there && !is_other_light {
                wants.push(Want::by_rule(kind, 1, Rule::Cables));
            }
        }
    }
}

/// Adds what the rules add: safety devices of the engine, a blower, a backbone.
fn add_by_rules<'a>(draft: &Draft<'a>, wants: &mut Vec<Want<'a>>) {
    let form = draft.form;
    let is_gasoline = form.fuel == Fuel::Gasoline;
    let engines = form.engine_count();
    let of_network = |want: &&Want<'_>| {
        want.kind.cables.iter().any(|cable| cable.to.iter().any(|to| to.as_str() == NETWORK))
    };
    let on_network: u16 = wants.iter().filter(of_network).map(|want| want.count).sum();
    let is_outboard = form.engine == Engine::Outboard && engines > 0;
    let adds = [
        ("kill-switch", is_gasoline && engines > 0 && form.length_m.number() < CUT_OFF_UNDER_M, Rule::Engine),
        ("neutral-switch", is_outboard, Rule::Engine),
        ("blower", is_gasoline && form.is_inboard(), Rule::Engine),
        (NETWORK, on_network > 1, Rule::Network),
    ];
    for (id, is_needed, rule) in adds {
        let is_there = wants.iter().any(|want| want.kind.id.as_str() == id);
        if let Some(kind) = draft.catalog.named(id).filter(|_| is_needed && !is_there) {
            wants.push(Want::by_rule(kind, 1, rule));
        }
    }
}

/// The sites of a want: where the wish says, or at a usual location, but never without ignition protection where
/// vapor can gather.
pub(super) fn sites_of(draft: &mut Draft<'_>, want: &Want<'_>) -> Vec<Site> {
    let kind = want.kind;
    let may = |site: &Site| !draft.gathers(site) || kind.ignition != Ignition::SeldomMarked;
    let wished: Vec<Site> = want.sites.iter().copied().filter(may).collect();
    if !wished.is_empty() {
        return wished;
    }
    let is_compass = kind.space.as_ref().is_some_and(|space| space.compass && !space.flush);
    if let Some(site) = farthest(draft).filter(|_| is_compass) {
        return vec![site];
    }
    let at = |usual| {
        draft.sites.iter().copied().filter(|site| site.usual == usual && may(site)).collect::<Vec<_>>()
    };
    let usual = kind.usually_at.iter().map(|usual| at(*usual)).find(|sites| !sites.is_empty());
    let is_flush = kind.space.as_ref().is_some_and(|space| space.flush);
    let other = draft.site(if is_flush { HELM } else { HUB });
    let chosen = usual.unwrap_or_else(|| other.into_iter().collect());
    if let (Some(at), false) = (chosen.first(), want.sites.is_empty()) {
        let text = format!(
            "{} is seldom ignition protected. It goes to {}, where no vapor gathers.",
            kind.name, at.name
        );
        draft.say(Rule::Locations, text);
    }
    chosen
}

/// Sites where a heading sensor can be mounted.
const STILL: [&str; 6] = ["cabin", "locker", "bow-seat", "galley", "head", "water-tank"];
/// Sites with magnets and displays.
const MAGNETIC: [&str; 5] = [HUB, HELM, "leaning-post", "cockpit", "top"];

/// The site for a heading sensor: the farthest from magnets and displays.
fn farthest(draft: &Draft<'_>) -> Option<Site> {
    let spots: Vec<[f64; 3]> = MAGNETIC
        .iter()
        .filter_map(|id| draft.site(id))
        .map(|site| super::place::position(draft, &site))
        .collect();
    let nearest = |site: &Site| {
        let here = super::place::position(draft, site);
        let apart = spots.iter().map(|there| {
            let squares = here.iter().zip(there).map(|(one, other)| (one - other).powi(2));
            squares.sum::<f64>().sqrt()
        });
        apart.fold(f64::INFINITY, f64::min)
    };
    let still = STILL.iter().filter_map(|id| draft.site(id));
    still.max_by(|one, other| nearest(one).total_cmp(&nearest(other)))
}
