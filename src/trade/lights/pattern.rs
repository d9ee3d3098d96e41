//! The patterns themselves: which lights may burn together.

use uom::si::f64::Length;
use uom::si::length::meter;
use uom::si::velocity::knot;

use super::{Combination, Drive, Fit, Fitted, Kind, Reason, Vessel};
use crate::trade::source::{RULE_20, RULE_21, RULE_23_A, RULE_23_D, RULE_25, RULE_30, Source};

/// How many of each kind of light burn.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Tally {
    masthead: usize,
    red: usize,
    green: usize,
    stern: usize,
    all_round: usize,
}

/// The lights that the rules ask of a boat under way.
pub(super) struct Asked {
    /// The rule as it divides boats.
    pub(super) rule: &'static str,
    /// The lights it asks of this one.
    pub(super) lights: &'static str,
    /// Where it stands.
    pub(super) source: &'static Source,
}

/// The bands of length and speed that rules 23 and 25 divide boats into.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Class {
    /// Under 7 m and at most 7 kn: an all-round white light alone will do.
    SmallAndSlow,
    /// Under 7 m, speed not given.
    SmallOfUnknownSpeed,
    /// Under 12 m: all-round white in place of masthead and stern light.
    Under12,
    /// 12 m to under 50 m.
    Under50,
    /// 50 m and more.
    Large,
    /// Under sail or oars.
    SailOrOars,
}

fn metres(length: f64) -> Length {
    Length::new::<meter>(length)
}

impl Class {
    fn of(vessel: &Vessel) -> Self {
        let slow = vessel.top_speed.map(|speed| speed.get::<knot>() <= 7.0 + 1e-9);
        match (vessel.drive, slow) {
            (Drive::SailOrOars, _) => Self::SailOrOars,
            (Drive::Engine, Some(true)) if vessel.length < metres(7.0) => Self::SmallAndSlow,
            (Drive::Engine, None) if vessel.length < metres(7.0) => Self::SmallOfUnknownSpeed,
            (Drive::Engine, _) if vessel.length < metres(12.0) => Self::Under12,
            (Drive::Engine, _) if vessel.length < metres(50.0) => Self::Under50,
            (Drive::Engine, _) => Self::Large,
        }
    }

    fn takes_all_round(self) -> bool {
        matches!(self, Self::SmallAndSlow | Self::SmallOfUnknownSpeed | Self::Under12)
    }
}

/// What this boat shows under way.
pub(super) fn asked_under_way(vessel: &Vessel) -> Asked {
    const ENGINE: &str = "L < 7 m and at most 7 kn: all-round alone, with sides if practicable; L < 12 m: all-round + sides or masthead + sides + stern; L < 50 m: masthead + sides + stern; L >= 50 m: two mastheads + sides + stern";
    let (rule, lights, source) = match Class::of(vessel) {
        Class::SmallAndSlow => (
            ENGINE,
            "all-round white, with sidelights if practicable; or masthead, sidelights and sternlight",
            &RULE_23_D,
        ),
        Class::SmallOfUnknownSpeed | Class::Under12 => {
            (ENGINE, "all-round white and sidelights; or masthead, sidelights and sternlight", &RULE_23_D)
        }
        Class::Under50 => (ENGINE, "masthead, sidelights and sternlight", &RULE_23_A),
        Class::Large => {
            (ENGINE, "two masthead lights, the after one higher, sidelights and sternlight", &RULE_23_A)
        }
        Class::SailOrOars => (
            "under sail or oars: sides + stern, no masthead; under 7 m if practicable, or a white torch at hand",
            "sidelights and sternlight",
            &RULE_25,
        ),
    };
    Asked { rule, lights, source }
}

/// How many all-round white lights the boat shows at anchor.
pub(super) fn anchor_lights(vessel: &Vessel) -> usize {
    if vessel.length < metres(50.0) { 1 } else { 2 }
}

/// What this boat shows at anchor.
pub(super) fn asked_at_anchor(vessel: &Vessel) -> &'static str {
    if vessel.length < metres(7.0) {
        "one all-round white light where best seen; none is asked under 7 m outside channels, fairways, anchorages and where others pass"
    } else if vessel.length < metres(50.0) {
        "one all-round white light where best seen"
    } else if vessel.length < metres(100.0) {
        "an all-round white light forward and a lower one aft"
    } else {
        "an all-round white light forward, a lower one aft, and the decks lit"
    }
}

/// Why no combination is legal under way: what is not fitted, or what cannot burn together.
pub(super) fn lacking_under_way(
    vessel: &Vessel,
    lights: &[Fitted],
    combinations: &[Combination],
) -> &'static str {
    let all = Tally::of(lights.iter().map(|light| light.kind));
    let white_fitted = (all.masthead > 0 && all.stern > 0)
        || (all.all_round > 0 && Class::of(vessel).takes_all_round())
        || (all.stern > 0 && vessel.drive == Drive::SailOrOars);
    let burn_together = |kinds: &dyn Fn(&Tally) -> bool| {
        combinations.iter().any(|combination| {
            let lit = lights.iter().filter(|light| combination.burning.contains(&light.name));
            kinds(&Tally::of(lit.map(|light| light.kind)))
        })
    };
    if all.red == 0 || all.green == 0 {
        "the sidelights are not fitted"
    } else if !white_fitted {
        "the white lights that go with the sidelights are not fitted"
    } else if all.all_round > 0
        && all.masthead == 0
        && !burn_together(&|tally| tally.all_round > 0 && tally.red > 0 && tally.green > 0)
    {
        "the all-round white light stays dark when the sidelights burn"
    } else {
        "the lights that belong together cannot be lit without others, or not together"
    }
}

/// Collects what is wrong with a pattern, rule by rule.
#[derive(Default)]
struct Faults(Vec<Reason>);

impl Faults {
    fn when(&mut self, wrong: bool, text: &'static str, source: &'static Source) {
        if wrong {
            self.0.push(Reason { text, source });
        }
    }

    fn or_legal(self, pattern: &'static str, remark: Option<&'static str>, source: &'static Source) -> Fit {
        if self.0.is_empty() {
            Fit::Legal { pattern, remark, source }
        } else {
            Fit::Wrong { reasons: self.0 }
        }
    }
}

impl Tally {
    /// Counts the lights that burn.
    pub(super) fn of(kinds: impl Iterator<Item = Kind>) -> Self {
        let mut tally = Self::default();
        for kind in kinds {
            match kind {
                Kind::Masthead => tally.masthead += 1,
                Kind::Sides => {
                    tally.red += 1;
                    tally.green += 1;
                }
                Kind::Port => tally.red += 1,
                Kind::Starboard => tally.green += 1,
                Kind::Stern => tally.stern += 1,
                Kind::AllRound => tally.all_round += 1,
            }
        }
        tally
    }

    fn is_dark(self) -> bool {
        self.masthead + self.red + self.green + self.stern + self.all_round == 0
    }

    fn is_all_round_alone(self) -> bool {
        self.all_round == 1 && self.masthead + self.red + self.green + self.stern == 0
    }

    /// Judges the lights as those of a boat under way.
    pub(super) fn under_way(self, vessel: &Vessel, sides_fitted: bool) -> Fit {
        let class = Class::of(vessel);
        if self.is_dark() {
            return Fit::Wrong { reasons: vec![Reason { text: "no light burns", source: &RULE_20 }] };
        }
        if class == Class::SailOrOars {
            return self.under_sail();
        }
        if self.is_all_round_alone() {
            return all_round_alone(class, sides_fitted);
        }
        let mut faults = Faults::default();
        self.check_sides(&mut faults);
        if self.all_round > 0 {
            self.check_all_round(class, &mut faults);
            return faults.or_legal("all-round white and sidelights", None, &RULE_23_D);
        }
        self.check_masthead_and_stern(class, &mut faults);
        faults.or_legal("masthead, sidelights and sternlight", None, &RULE_23_A)
    }

    fn check_sides(self, faults: &mut Faults) {
        let none = self.red + self.green == 0;
        faults.when(none, "no sidelight burns", &RULE_23_A);
        faults.when(!none && self.red == 0, "the red sidelight is dark", &RULE_21);
        faults.when(!none && self.green == 0, "the green sidelight is dark", &RULE_21);
        faults.when(
            self.red > 1 || self.green > 1,
            "more than one sidelight burns on the same side",
            &RULE_20,
        );
    }

    fn check_all_round(self, class: Class, faults: &mut Faults) {
        faults.when(
            !class.takes_all_round(),
            "an all-round white light does not replace masthead and sternlight on a boat of 12 m or more",
            &RULE_23_D,
        );
        faults.when(self.all_round > 1, "more than one all-round white light burns under way", &RULE_23_D);
        faults.when(
            self.masthead > 0,
            "the all-round white light and the masthead light burn together: it is one or the other",
            &RULE_23_D,
        );
        faults.when(
            self.stern > 0,
            "the sternlight doubles the all-round white light: two white lights are seen from astern",
            &RULE_23_D,
        );
    }

    fn check_masthead_and_stern(self, class: Class, faults: &mut Faults) {
        if self.masthead + self.stern == 0 {
            faults.when(true, "the sidelights burn with no white light", &RULE_23_A);
        } else {
            faults.when(
                self.masthead == 0,
                "the masthead light is dark: no white light shows ahead",
                &RULE_23_A,
            );
            faults.when(self.stern == 0, "the sternlight is dark: no light shows astern", &RULE_23_A);
        }
        faults.when(
            class == Class::Large && self.masthead == 1,
            "a boat of 50 m or more shows a second masthead light",
            &RULE_23_A,
        );
        faults.when(self.masthead > 2, "more than two masthead lights burn", &RULE_20);
        faults.when(self.stern > 1, "more than one sternlight burns", &RULE_20);
    }

    fn under_sail(self) -> Fit {
        let mut faults = Faults::default();
        self.check_sides(&mut faults);
        faults.when(
            self.masthead > 0,
            "a masthead light says that the boat is under power: not under sail or oars",
            &RULE_25,
        );
        faults.when(self.all_round > 0, "an all-round white light is not shown under sail or oars", &RULE_25);
        faults.when(self.stern == 0, "the sternlight is dark: no light shows astern", &RULE_25);
        faults.when(self.stern > 1, "more than one sternlight burns", &RULE_20);
        faults.or_legal("sidelights and sternlight", None, &RULE_25)
    }

    /// Judges the lights as those of a boat at anchor.
    pub(super) fn at_anchor(self, vessel: &Vessel) -> Fit {
        let mut faults = Faults::default();
        let needed = anchor_lights(vessel);
        faults.when(
            self.red + self.green > 0,
            "sidelights burn: they say that the boat is under way",
            &RULE_30,
        );
        faults.when(self.stern > 0, "the sternlight burns: it says that the boat is under way", &RULE_30);
        faults.when(
            self.masthead > 0,
            "the masthead light shows over 225 degrees only: it is not an anchor light",
            &RULE_21,
        );
        faults.when(self.all_round == 0, "no all-round white light burns", &RULE_30);
        faults.when(
            self.all_round > 0 && self.all_round < needed,
            "a boat of 50 m or more shows a second, lower all-round white light aft",
            &RULE_30,
        );
        faults.when(self.all_round > 2, "more than two all-round white lights burn", &RULE_20);
        let pattern = if needed == 1 && self.all_round == 1 {
            "one all-round white light"
        } else {
            "two all-round white lights, the after one lower"
        };
        faults.or_legal(pattern, None, &RULE_30)
    }
}

fn all_round_alone(class: Class, sides_fitted: bool) -> Fit {
    match class {
        Class::SmallAndSlow => Fit::Legal {
            pattern: "all-round white alone",
            remark: sides_fitted
                .then_some("sidelights are fitted, so they are practicable: burn them as well"),
            source: &RULE_23_D,
        },
        Class::SmallOfUnknownSpeed => Fit::Undecided {
            why: "the top speed is not given: an all-round white light alone will do under 7 m only up to 7 kn",
            source: &RULE_23_D,
        },
        Class::Under12 => Fit::Wrong {
            reasons: vec![Reason {
                text: "an all-round white light alone will do only under 7 m and up to 7 kn: the sidelights are dark",
                source: &RULE_23_D,
            }],
        },
        Class::Under50 | Class::Large | Class::SailOrOars => Fit::Wrong {
            reasons: vec![Reason {
                text: "an all-round white light alone is an anchor light: masthead, sidelights and sternlight are dark",
                source: &RULE_23_A,
            }],
        },
    }
}
