//! Navigation lights: what burns in every position of the switches, and whether it is legal.
//!
//! Every combination is judged twice, under way and at anchor, by rules 20 to 30 of COLREGS and their
//! United States twin, 33 CFR part 83. What is judged is which lights burn together. Heights, arcs as
//! mounted, brightness, towing, fishing, pilotage, not under command, aground, and the lights of Inland
//! waters that differ from COLREGS are not.

mod pattern;
mod range;

use serde::Serialize;
use uom::si::f64::{Length, Velocity};
use uom::si::length::meter;
use uom::si::velocity::knot;

use super::finding::{Code, Finding};
use super::source::Source;
use super::working::{Working, figure};

pub use range::{LeastRange, least_range};

/// Switches beyond this many make more combinations than anybody could read.
pub const MOST_SWITCHES: usize = 10;

/// A navigation light by its arc and colour (rule 21).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// White, 225 degrees, ahead.
    Masthead,
    /// Red to port and green to starboard in one lantern or on one wire.
    Sides,
    /// Red, 112.5 degrees to port.
    Port,
    /// Green, 112.5 degrees to starboard.
    Starboard,
    /// White, 135 degrees, astern.
    Stern,
    /// White, all round.
    AllRound,
}

impl Kind {
    /// The light in words: colour and arc.
    pub fn words(self) -> &'static str {
        match self {
            Self::Masthead => "masthead light: white, 225\u{b0} ahead",
            Self::Sides => "sidelights: red and green, 112.5\u{b0} each",
            Self::Port => "sidelight: red, 112.5\u{b0} to port",
            Self::Starboard => "sidelight: green, 112.5\u{b0} to starboard",
            Self::Stern => "sternlight: white, 135\u{b0} astern",
            Self::AllRound => "all-round light: white, 360\u{b0}",
        }
    }
}

/// What drives the boat while its lights are judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Drive {
    /// An engine: a power-driven vessel (rule 23).
    Engine,
    /// Sails or oars alone (rule 25).
    SailOrOars,
}

/// What the rules ask about the boat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vessel {
    /// Length over all.
    pub length: Length,
    /// Greatest speed; it matters under 7 m.
    pub top_speed: Option<Velocity>,
    /// What drives it.
    pub drive: Drive,
}

/// A light as fitted, with the switches that light it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// Its name.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// The switch positions that each light it; with none it burns whenever the boat has power.
    pub switches: Vec<String>,
}

/// Whether a pattern may be shown.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "is")]
pub enum Fit {
    /// It may be shown.
    Legal {
        /// The pattern in words.
        pattern: &'static str,
        /// What else the rule says about it.
        remark: Option<&'static str>,
        /// The rule that allows it.
        source: &'static Source,
    },
    /// It may not be shown.
    Wrong {
        /// Each thing that is wrong with it.
        reasons: Vec<Reason>,
    },
    /// It depends on something that is not given.
    Undecided {
        /// What is missing and what hangs on it.
        why: &'static str,
        /// The rule that asks for it.
        source: &'static Source,
    },
}

impl Fit {
    /// Whether it may be shown.
    pub fn is_legal(&self) -> bool {
        matches!(self, Self::Legal { .. })
    }
}

/// One thing wrong with a pattern, and the rule that says so.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Reason {
    /// What is wrong, in a sentence without a full stop.
    pub text: &'static str,
    /// The rule.
    pub source: &'static Source,
}

/// A combination of switches in one word: what it is known to be legal for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Verdict {
    /// No light burns.
    Dark,
    /// Legal under way.
    UnderWay,
    /// Legal at anchor.
    AtAnchor,
    /// Legal under way and at anchor.
    Both,
    /// Legal neither under way nor at anchor.
    Neither,
}

impl Verdict {
    /// The verdict as pages write it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Dark => "dark",
            Self::UnderWay => "under way",
            Self::AtAnchor => "at anchor",
            Self::Both => "under way and at anchor",
            Self::Neither => "wrong",
        }
    }
}

/// One combination of switches.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Combination {
    /// The switches that are on.
    pub on: Vec<String>,
    /// The lights that burn, by name.
    pub burning: Vec<String>,
    /// In one word.
    pub verdict: Verdict,
    /// Judged as lights of a boat under way.
    pub under_way: Fit,
    /// Judged as lights of a boat at anchor.
    pub at_anchor: Fit,
}

/// Every combination of the switches, what the rules ask, and what is wrong.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Review {
    /// The switches, in the order of the lights.
    pub switches: Vec<String>,
    /// All combinations, the dark one first.
    pub combinations: Vec<Combination>,
    /// What this boat shows under way and at anchor.
    pub asked: Vec<Working>,
    /// What is wrong as a whole.
    pub findings: Vec<Finding>,
}

/// The lights hang on more switches than can be gone through.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the navigation lights hang on {0} switches: expected at most {MOST_SWITCHES}")]
pub struct TooManySwitches(pub usize);

/// Goes through every combination of the switches. Of those that `apart` names together, such as the two
/// throws of one switch, at most one is on.
///
/// # Errors
/// [`TooManySwitches`] where the lights hang on more than [`MOST_SWITCHES`].
pub fn review(vessel: &Vessel, lights: &[Fitted], apart: &[Vec<String>]) -> Result<Review, TooManySwitches> {
    let switches = switches_of(lights);
    if switches.len() > MOST_SWITCHES {
        return Err(TooManySwitches(switches.len()));
    }
    let sides_fitted =
        lights.iter().any(|light| matches!(light.kind, Kind::Sides | Kind::Port | Kind::Starboard));
    let combinations: Vec<_> = subsets(&switches)
        .filter(|on| can_be(on, apart))
        .map(|on| combination(vessel, lights, sides_fitted, on))
        .collect();
    let findings = findings(vessel, lights, &combinations);
    Ok(Review { switches, combinations, asked: asked(vessel), findings })
}

/// Whether switches can be on together.
fn can_be(on: &[String], apart: &[Vec<String>]) -> bool {
    apart.iter().all(|group| on.iter().filter(|switch| group.contains(switch)).count() <= 1)
}

fn switches_of(lights: &[Fitted]) -> Vec<String> {
    let mut switches: Vec<String> = Vec::new();
    for switch in lights.iter().flat_map(|light| &light.switches) {
        if !switches.contains(switch) {
            switches.push(switch.clone());
        }
    }
    switches
}

/// Every choice of switches, fewest first, so that the simple cases are read first.
fn subsets(switches: &[String]) -> impl Iterator<Item = Vec<String>> {
    let mut masks: Vec<u32> = (0..1 << switches.len()).collect();
    masks.sort_by_key(|mask| mask.count_ones());
    masks.into_iter().map(|mask| {
        let is_on = |(position, _): &(usize, &String)| mask >> position & 1 == 1;
        switches.iter().enumerate().filter(is_on).map(|(_, switch)| switch.clone()).collect()
    })
}

fn combination(vessel: &Vessel, lights: &[Fitted], sides_fitted: bool, on: Vec<String>) -> Combination {
    let burns = |light: &&Fitted| {
        light.switches.is_empty() || light.switches.iter().any(|switch| on.contains(switch))
    };
    let burning: Vec<&Fitted> = lights.iter().filter(burns).collect();
    let tally = pattern::Tally::of(burning.iter().map(|light| light.kind));
    let under_way = tally.under_way(vessel, sides_fitted);
    let at_anchor = tally.at_anchor(vessel);
    Combination {
        verdict: verdict(burning.is_empty(), &under_way, &at_anchor),
        burning: burning.into_iter().map(|light| light.name.clone()).collect(),
        on,
        under_way,
        at_anchor,
    }
}

fn verdict(dark: bool, under_way: &Fit, at_anchor: &Fit) -> Verdict {
    match (under_way, at_anchor) {
        _ if dark => Verdict::Dark,
        (Fit::Legal { .. }, Fit::Legal { .. }) => Verdict::Both,
        (Fit::Legal { .. }, _) => Verdict::UnderWay,
        (_, Fit::Legal { .. }) => Verdict::AtAnchor,
        _ => Verdict::Neither,
    }
}

/// What the rules ask of this boat, as two workings: under way and at anchor.
pub fn asked(vessel: &Vessel) -> Vec<Working> {
    let metres = vessel.length.get::<meter>();
    let speed = vessel.top_speed.map_or_else(
        || "top speed not given".to_owned(),
        |speed| format!("top speed {} kn", figure(speed.get::<knot>())),
    );
    let under_way = pattern::asked_under_way(vessel);
    vec![
        Working {
            what: "lights under way",
            formula: under_way.rule,
            numbers: format!("L = {} m, {speed}", figure(metres)),
            result: under_way.lights.to_owned(),
            source: under_way.source,
        },
        Working {
            what: "lights at anchor",
            formula: "L < 50 m: one all-round white light; L >= 50 m: two",
            numbers: format!("L = {} m", figure(metres)),
            result: pattern::asked_at_anchor(vessel).to_owned(),
            source: &super::source::RULE_30,
        },
    ]
}

fn findings(vessel: &Vessel, lights: &[Fitted], combinations: &[Combination]) -> Vec<Finding> {
    if lights.is_empty() {
        return vec![Finding::missing("any navigation light", "what is shown under way and at anchor")];
    }
    [
        undecided(combinations),
        under_way(vessel, lights, combinations),
        at_anchor(vessel, lights, combinations),
        misleading(combinations),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Under 7 m an all-round light alone hangs on the top speed.
fn undecided(combinations: &[Combination]) -> Option<Finding> {
    let open =
        combinations.iter().find(|combination| matches!(combination.under_way, Fit::Undecided { .. }))?;
    Some(Finding::missing(
        "the top speed",
        &format!(
            "whether {} alone will do under way (under 7 m it does up to 7 kn)",
            open.burning.join(" with ")
        ),
    ))
}

fn under_way(vessel: &Vessel, lights: &[Fitted], combinations: &[Combination]) -> Option<Finding> {
    let lit = |fit: &Fit| !matches!(fit, Fit::Wrong { .. });
    if combinations.iter().any(|combination| lit(&combination.under_way)) {
        return None;
    }
    let why = pattern::lacking_under_way(vessel, lights, combinations);
    let asked = pattern::asked_under_way(vessel);
    let text = format!("no position of the switches is legal under way: {why}; asked for: {}", asked.lights);
    Some(Finding::new(Code::NoLightsUnderWay, text).working(self::asked(vessel).swap_remove(0)))
}

fn at_anchor(vessel: &Vessel, lights: &[Fitted], combinations: &[Combination]) -> Option<Finding> {
    if combinations.iter().any(|combination| combination.at_anchor.is_legal()) {
        return None;
    }
    let all_round = lights.iter().filter(|light| light.kind == Kind::AllRound).count();
    let needed = pattern::anchor_lights(vessel);
    let text = match all_round {
        0 => "no all-round white light is fitted: there is no anchor light".to_owned(),
        fewer if fewer < needed => format!(
            "at anchor a boat of 50 m or more shows {needed} all-round white lights, and {fewer} is fitted"
        ),
        _ => "the anchor light cannot be lit alone: give the all-round white light a switch position of its own"
            .to_owned(),
    };
    Some(Finding::new(Code::NoLightAtAnchor, text).working(self::asked(vessel).swap_remove(1)))
}

/// One note for all the wrong combinations: they are switch positions to keep out of, not faults.
fn misleading(combinations: &[Combination]) -> Option<Finding> {
    let wrong: Vec<String> = combinations
        .iter()
        .filter(|combination| combination.verdict == Verdict::Neither)
        .map(|combination| match &combination.under_way {
            Fit::Wrong { reasons } => {
                let why: Vec<_> = reasons.iter().map(|reason| reason.text).collect();
                format!("{}: {}", on_words(&combination.on), why.join(", "))
            }
            _ => on_words(&combination.on),
        })
        .collect();
    (!wrong.is_empty()).then(|| {
        Finding::new(
            Code::LightsMislead,
            format!("positions of the switches that show no legal pattern: {}", wrong.join("; ")),
        )
    })
}

fn on_words(on: &[String]) -> String {
    if on.is_empty() { "all switches off".to_owned() } else { format!("{} on", on.join(" + ")) }
}
