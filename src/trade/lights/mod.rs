//! Navigation lights: what burns in every position of the switches, and whether it is legal.
//!
//! Every combination is judged for each thing the boat can be doing (under power, under sail, under oars, at
//! anchor) by rules 20 to 30 of COLREGS and their United States twin, 33 CFR part 83. What is judged is which
//! lights burn together. Heights, arcs as mounted, brightness, towing, fishing, pilotage, not under command,
//! aground, and the lights of Inland waters that differ from COLREGS are not.

mod lacking;
mod pattern;
mod range;

use serde::Serialize;
use uom::si::f64::{Length, Velocity};
use uom::si::length::meter;
use uom::si::velocity::knot;

use super::finding::Finding;
use super::source::{RULE_30, Source};
use super::working::{Working, figure};

pub use range::{LeastRange, least_range};

/// Switches beyond this many make more combinations than anybody could read.
pub const MOST_SWITCHES: usize = 10;

/// A navigation light by its arc and color (rule 21).
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
    /// Sidelights and sternlight in one lantern at the top of the mast (rule 25 (b)).
    Tricolor,
    /// Two lights all round, red over green, at the top of the mast (rule 25 (c)).
    RedOverGreen,
}

impl Kind {
    /// The light in words: color and arc.
    pub fn words(self) -> &'static str {
        match self {
            Self::Masthead => "masthead light: white, 225\u{b0} ahead",
            Self::Sides => "sidelights: red and green, 112.5\u{b0} each",
            Self::Port => "sidelight: red, 112.5\u{b0} to port",
            Self::Starboard => "sidelight: green, 112.5\u{b0} to starboard",
            Self::Stern => "sternlight: white, 135\u{b0} astern",
            Self::AllRound => "all-round light: white, 360\u{b0}",
            Self::Tricolor => {
                "tricolor lantern: red and green, 112.5\u{b0} each, and white, 135\u{b0} astern, in one"
            }
            Self::RedOverGreen => "all-round lights: red over green, 360\u{b0}",
        }
    }
}

/// What can drive the boat, as far as its lights hang on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Drive {
    /// An engine alone.
    Engine,
    /// An engine, or sails while it is stopped.
    EngineOrSail,
    /// Sails alone.
    Sail,
    /// Neither engine nor sails: oars.
    Oars,
}

impl Drive {
    /// What its lights are judged for.
    pub fn doings(self) -> &'static [Doing] {
        match self {
            Self::Engine => &[Doing::UnderPower, Doing::AtAnchor],
            Self::EngineOrSail => &[Doing::UnderPower, Doing::UnderSail, Doing::AtAnchor],
            Self::Sail => &[Doing::UnderSail, Doing::AtAnchor],
            Self::Oars => &[Doing::UnderOars, Doing::AtAnchor],
        }
    }
}

/// What the boat is doing while its lights are judged. Sailing with the engine in gear is under power.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Doing {
    /// Driven by an engine (rule 23), whether sails are set or not.
    UnderPower,
    /// Driven by sails alone (rule 25).
    UnderSail,
    /// Rowed (rule 25 (d)).
    UnderOars,
    /// Anchored (rule 30).
    AtAnchor,
}

impl Doing {
    /// The doing as pages write it.
    pub fn words(self) -> &'static str {
        match self {
            Self::UnderPower => "under power",
            Self::UnderSail => "under sail",
            Self::UnderOars => "under oars",
            Self::AtAnchor => "at anchor",
        }
    }
}

/// What the rules ask about the boat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vessel {
    /// Length over all.
    pub length: Length,
    /// Greatest speed; it matters under 7 m.
    pub top_speed: Option<Velocity>,
    /// What can drive it.
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

/// A pattern held against the rule for one doing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Judged {
    /// What the boat is supposed to be doing.
    pub doing: Doing,
    /// Whether the pattern may be shown meanwhile.
    pub fit: Fit,
}

/// One combination of switches.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Combination {
    /// The switches that are on.
    pub on: Vec<String>,
    /// The lights that burn, by name.
    pub burning: Vec<String>,
    /// What it is known to be legal for.
    pub good_for: Vec<Doing>,
    /// The pattern held against each rule that is asked about.
    pub judged: Vec<Judged>,
}

impl Combination {
    /// Whether no light burns.
    pub fn is_dark(&self) -> bool {
        self.burning.is_empty()
    }

    /// Whether lights burn that are legal for nothing.
    pub fn is_wrong(&self) -> bool {
        !self.is_dark() && self.good_for.is_empty()
    }

    /// How it stands with one doing; none where the boat cannot do it.
    pub fn fit(&self, doing: Doing) -> Option<&Fit> {
        self.judged.iter().find(|judged| judged.doing == doing).map(|judged| &judged.fit)
    }

    /// What it is good for, as pages write it.
    pub fn words(&self) -> String {
        if self.is_dark() {
            return "dark".to_owned();
        }
        if self.is_wrong() {
            return "wrong".to_owned();
        }
        self.good_for.iter().map(|doing| doing.words()).collect::<Vec<_>>().join(" and ")
    }
}

/// Every combination of the switches, what the rules ask, and what is wrong.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Review {
    /// The switches, in the order of the lights.
    pub switches: Vec<String>,
    /// All combinations, the dark one first.
    pub combinations: Vec<Combination>,
    /// What this boat shows, for each thing it can be doing.
    pub asked: Vec<Working>,
    /// What is wrong as a whole.
    pub findings: Vec<Finding>,
}

/// The lights hang on more switches than can be gone through.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the navigation lights have {0} switches: expected at most {MOST_SWITCHES}")]
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
    let findings = lacking::findings(vessel, lights, &combinations);
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
    let judge = |doing: &Doing| Judged { doing: *doing, fit: tally.judged(vessel, *doing, sides_fitted) };
    let judged: Vec<Judged> = vessel.drive.doings().iter().map(judge).collect();
    let good_for = judged.iter().filter(|judged| judged.fit.is_legal()).map(|judged| judged.doing);
    Combination {
        good_for: good_for.collect(),
        burning: burning.into_iter().map(|light| light.name.clone()).collect(),
        on,
        judged,
    }
}

/// What the rules ask of this boat, for each thing it can be doing.
pub fn asked(vessel: &Vessel) -> Vec<Working> {
    vessel.drive.doings().iter().map(|doing| asked_for(vessel, *doing)).collect()
}

fn asked_for(vessel: &Vessel, doing: Doing) -> Working {
    let meters = format!("L = {} m", figure(vessel.length.get::<meter>()));
    match doing {
        Doing::UnderPower => {
            let speed = vessel.top_speed.map_or_else(
                || "top speed not given".to_owned(),
                |speed| format!("top speed {} kn", figure(speed.get::<knot>())),
            );
            let asked = pattern::asked_under_power(vessel);
            Working {
                what: "lights under power",
                formula: asked.rule,
                numbers: format!("{meters}, {speed}"),
                result: asked.lights.to_owned(),
                source: asked.source,
            }
        }
        Doing::UnderSail | Doing::UnderOars => {
            let asked = pattern::asked_under_sail(vessel, doing);
            Working {
                what: if doing == Doing::UnderSail { "lights under sail" } else { "lights under oars" },
                formula: asked.rule,
                numbers: meters,
                result: asked.lights.to_owned(),
                source: asked.source,
            }
        }
        Doing::AtAnchor => Working {
            what: "lights at anchor",
            formula: "L < 50 m: one all-round white light; L >= 50 m: two",
            numbers: meters,
            result: pattern::asked_at_anchor(vessel).to_owned(),
            source: &RULE_30,
        },
    }
}
