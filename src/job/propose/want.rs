//! What is wanted: the wishes, what they do not work without, and what the rules add.

use super::kinds::{amperes, is_charging, is_low};
use super::lights;
use super::outline::Outline;
use super::position::location;
use super::said::{LeftOut, ProposeError};
use super::site::Site;
use super::wanted::{Remedy, Want};
use crate::job::kind::{Feed, Kind};
use crate::job::plan::{Engine, Fuel, Rule};
use crate::job::value::KindId;
use crate::job::wish::{Wanted, Wish, WishLocation, WishReader};

/// The most that a converter gives one device, A (common practice).
const MOST_CONVERTED_A: f64 = 24.0;
/// Under this length the federal rule on engine cut-off switches applies, m: 26 ft (from memory).
const CUT_OFF_UNDER_M: f64 = 7.92;

/// Adds a shore charger that nobody wished for.
fn add_shore_charger<'a>(outline: &mut Outline<'a>, wants: &mut Vec<Want<'a>>) {
    let is_there = wants.iter().any(|want| want.kind.id.as_str() == SHORE_CHARGER);
    if let Some(kind) = outline.catalog.named(SHORE_CHARGER).filter(|_| !is_there) {
        wants.push(Want::by_rule(kind, 1, Rule::Modes));
        outline.say(Rule::Modes, "The engine does not charge what a day uses. A shore charger is proposed.");
    }
}

/// The kind of the shore charger.
const SHORE_CHARGER: &str = "shore-charger";

/// The kind of the network backbone.
const NETWORK: &str = "network-backbone";

/// Reads the wishes and adds what they need and what the rules add.
pub(super) fn wants<'a>(
    outline: &mut Outline<'a>,
    wishes: &str,
    remedies: &[Remedy],
) -> Result<Vec<Want<'a>>, ProposeError> {
    let locations: Vec<_> =
        outline.sites.iter().map(|site| location(outline, site)).collect::<Result<_, _>>()?;
    let read = WishReader::new(outline.catalog, &locations).read(wishes)?;
    let mut wants = Vec::new();
    for wish in &read {
        let Some(kind) = kind(outline, wish) else { continue };
        let sites = sites(outline, wish);
        let kinds = if kind.is_set() { needed(outline, kind) } else { vec![kind] };
        for kind in kinds {
            if !may_be(outline, kind, wish) {
                continue;
            }
            let put_off =
                remedies.iter().find_map(|remedy| remedy.put_off().filter(|later| later.kind == kind.id));
            if let Some(later) = put_off {
                leave_out(outline, wish, later.reason.clone());
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
    add_needs(outline, &mut wants);
    lights::complete(outline, &mut wants);
    add_by_rules(outline, &mut wants);
    if remedies.iter().any(|remedy| matches!(remedy, Remedy::ShoreCharger)) {
        add_shore_charger(outline, &mut wants);
    }
    Ok(wants)
}

/// The kind of a wish; `None` if the line says none, which is then left out.
fn kind<'a>(outline: &mut Outline<'a>, wish: &Wish) -> Option<&'a Kind> {
    let names = |kinds: &[KindId]| {
        let names = kinds.iter().filter_map(|id| outline.catalog.kind(id)).map(|kind| kind.name.to_string());
        names.collect::<Vec<_>>().join(", ")
    };
    let reason = match &wish.wanted {
        Wanted::Kind(id) => return outline.catalog.kind(id),
        Wanted::DidYouMean(kinds) => format!("Not certain. Did you mean: {}?", names(kinds)),
        Wanted::NotWanted(_) => "The line says that it is not wanted.".to_owned(),
        Wanted::NotUnderstood => "Not understood. Name one kind of equipment.".to_owned(),
        Wanted::TooLong => "The line is too long to be read.".to_owned(),
    };
    leave_out(outline, wish, reason);
    None
}

fn leave_out(outline: &mut Outline<'_>, wish: &Wish, reason: impl Into<String>) {
    outline.left_out.push(LeftOut { line: Some(wish.line), wish: wish.text.clone(), reason: reason.into() });
}

/// The devices that only the rules give.
const OF_THE_RULES: [&str; 4] = ["alternator", "engine-key", "converter", "isolated-converter"];

/// Whether a kind can be proposed on this boat. If not, it says why.
fn may_be(outline: &mut Outline<'_>, kind: &Kind, wish: &Wish) -> bool {
    let reason = if !kind.is_device() && !is_charging(kind) {
        "The rules give the parts of the distribution. Do not list them as wishes.".to_owned()
    } else if OF_THE_RULES.contains(&kind.id.as_str()) {
        "The rules give it where the boat needs one. Do not list it as a wish.".to_owned()
    } else if kind.light.is_some() {
        match lights::why_not(outline, kind) {
            None => return true,
            Some(reason) => reason,
        }
    } else if is_low(outline, kind) && kind.feed == Feed::AlwaysOn {
        "It needs 12 V ahead of the battery switch, and the batteries have 24 V.".to_owned()
    } else if is_low(outline, kind) && amperes(outline, kind) > MOST_CONVERTED_A {
        format!("It is made for 12 V only, and draws more than {MOST_CONVERTED_A} A. Choose one for 24 V.")
    } else {
        return true;
    };
    leave_out(outline, wish, reason);
    false
}

/// The sites that a wish names.
fn sites(outline: &mut Outline<'_>, wish: &Wish) -> Vec<Site> {
    match &wish.location {
        WishLocation::NotSaid => Vec::new(),
        WishLocation::At { locations, phrase, .. } => {
            let sites: Vec<Site> = locations.iter().filter_map(|id| outline.site(id.as_str())).collect();
            if sites.is_empty() {
                let name = wish.text.trim();
                outline.say(
                    Rule::Locations,
                    format!("This hull pattern has no \u{2018}{phrase}\u{2019}. \u{2018}{name}\u{2019} goes to its usual location."),
                );
            }
            sites
        }
        WishLocation::Unclear { phrase, .. } => {
            let name = wish.text.trim();
            outline.say(
                Rule::Locations,
                format!("No location is named \u{2018}{phrase}\u{2019}. \u{2018}{name}\u{2019} goes to its usual location."),
            );
            Vec::new()
        }
    }
}

/// The kinds that a kind does not work without.
fn needed<'a>(outline: &Outline<'a>, kind: &Kind) -> Vec<&'a Kind> {
    kind.needs.iter().filter_map(|id| outline.catalog.kind(id)).collect()
}

/// Adds what the wanted kinds do not work without.
fn add_needs<'a>(outline: &Outline<'a>, wants: &mut Vec<Want<'a>>) {
    let mut at = 0;
    while let Some(want) = wants.get(at).cloned() {
        at += 1;
        for kind in needed(outline, want.kind) {
            let is_there = wants.iter().any(|other| other.kind.id == kind.id);
            let is_other_light = kind.light.is_some();
            if !is_there && !is_other_light {
                wants.push(Want::by_rule(kind, 1, Rule::Cables));
            }
        }
    }
}

/// Adds what the rules add: safety devices of the engine, a blower, a backbone.
fn add_by_rules<'a>(outline: &Outline<'a>, wants: &mut Vec<Want<'a>>) {
    let form = outline.form;
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
        if let Some(kind) = outline.catalog.named(id).filter(|_| is_needed && !is_there) {
            wants.push(Want::by_rule(kind, 1, rule));
        }
    }
}
