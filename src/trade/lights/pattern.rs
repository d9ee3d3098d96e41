//! The patterns of lights: which lights may be on together.

use uom::si::f64::Length;
use uom::si::length::meter;
use uom::si::velocity::knot;

use super::judged::{Legality, Reason};
use super::vessel::{Doing, LightKind, Vessel};
use crate::trade::source::{
    RULE_20, RULE_21, RULE_23_A, RULE_23_D, RULE_25_A, RULE_25_B, RULE_25_C, RULE_25_D, RULE_30, Source,
};

/// How many lights of each kind are on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) struct LightCount {
    pub(super) masthead: usize,
    pub(super) red: usize,
    pub(super) green: usize,
    pub(super) stern: usize,
    pub(super) all_round: usize,
    pub(super) tricolor: usize,
    pub(super) red_over_green: usize,
}

/// The lights that the rules require of a boat under way.
pub(super) struct RequiredLights {
    /// The class of boat in the rule.
    pub(super) rule: &'static str,
    /// The lights that it requires of this boat.
    pub(super) lights: &'static str,
    /// The source of the rule.
    pub(super) source: &'static Source,
}

/// The classes of length and speed in rule 23.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Class {
    /// Under 7 m and at most 7 kn: an all-round white light alone is sufficient.
    SmallAndSlow,
    /// Under 7 m, speed not given.
    SmallOfUnknownSpeed,
    /// Under 12 m: all-round white in place of masthead light and sternlight.
    Under12,
    /// 12 m to under 50 m.
    Under50,
    /// 50 m and more.
    Large,
}

/// Whether the boat is shorter than this many meters.
pub(super) fn is_under(vessel: &Vessel, meters: f64) -> bool {
    vessel.length < Length::new::<meter>(meters)
}

impl Class {
    fn of(vessel: &Vessel) -> Self {
        let slow = vessel.top_speed.map(|speed| speed.get::<knot>() <= 7.0 + 1e-9);
        match slow {
            Some(true) if is_under(vessel, 7.0) => Self::SmallAndSlow,
            None if is_under(vessel, 7.0) => Self::SmallOfUnknownSpeed,
            _ if is_under(vessel, 12.0) => Self::Under12,
            _ if is_under(vessel, 50.0) => Self::Under50,
            _ => Self::Large,
        }
    }

    fn takes_all_round(self) -> bool {
        matches!(self, Self::SmallAndSlow | Self::SmallOfUnknownSpeed | Self::Under12)
    }
}

/// Whether an all-round white light takes the place of masthead light and sternlight under power.
pub(super) fn takes_all_round_under_power(vessel: &Vessel) -> bool {
    Class::of(vessel).takes_all_round()
}

/// The lights required of this boat under power.
pub(super) fn asked_under_power(vessel: &Vessel) -> RequiredLights {
    let (lights, source) = match Class::of(vessel) {
        Class::SmallAndSlow => (
            "all-round white, with sidelights if practicable; or masthead, sidelights and sternlight",
            &RULE_23_D,
        ),
        Class::SmallOfUnknownSpeed | Class::Under12 => {
            ("all-round white and sidelights; or masthead, sidelights and sternlight", &RULE_23_D)
        }
        Class::Under50 => ("masthead, sidelights and sternlight", &RULE_23_A),
        Class::Large => ("two masthead lights, the after one higher, sidelights and sternlight", &RULE_23_A),
    };
    let rule = "L < 7 m and at most 7 kn: all-round alone, with sides if practicable; L < 12 m: all-round + sides or masthead + sides + stern; L < 50 m: masthead + sides + stern; L >= 50 m: two mastheads + sides + stern";
    RequiredLights { rule, lights, source }
}

/// The lights required of this boat under sail or oars.
pub(super) fn asked_under_sail(vessel: &Vessel, doing: Doing) -> RequiredLights {
    if doing == Doing::UnderOars {
        return RequiredLights {
            rule: "under oars: those of a sailing boat, or a white torch at hand",
            lights: "sidelights and sternlight, or a tricolor lantern alone, may be shown; if not, a white torch or lantern ready at hand",
            source: &RULE_25_D,
        };
    }
    let (lights, source) = if is_under(vessel, 7.0) {
        (
            "sidelights and sternlight, or a tricolor lantern alone, if practicable; if not, a white torch or lantern ready at hand",
            &RULE_25_D,
        )
    } else if is_under(vessel, 20.0) {
        ("sidelights and sternlight; or a tricolor lantern alone", &RULE_25_B)
    } else {
        ("sidelights and sternlight", &RULE_25_A)
    };
    let rule = "under sail: sides + stern, to which red over green may be added; L < 20 m: or a tricolor alone; L < 7 m: if practicable, or a white torch at hand";
    RequiredLights { rule, lights, source }
}

/// How many all-round white lights the boat must show at anchor.
pub(super) fn anchor_lights(vessel: &Vessel) -> usize {
    if is_under(vessel, 50.0) { 1 } else { 2 }
}

/// The lights required of this boat at anchor.
pub(super) fn asked_at_anchor(vessel: &Vessel) -> &'static str {
    if is_under(vessel, 7.0) {
        "one all-round white light where best seen; none is asked under 7 m outside channels, fairways, anchorages and where others pass"
    } else if is_under(vessel, 50.0) {
        "one all-round white light where best seen"
    } else if is_under(vessel, 100.0) {
        "an all-round white light forward and a lower one aft"
    } else {
        "an all-round white light forward, a lower one aft, and the decks lit"
    }
}

/// Collects the faults of a pattern, rule by rule.
#[derive(Default)]
struct Faults(Vec<Reason>);

impl Faults {
    fn when(&mut self, wrong: bool, text: &'static str, source: &'static Source) {
        if wrong {
            self.0.push(Reason { text, source });
        }
    }

    fn or_legal(
        self,
        pattern: &'static str,
        remark: Option<&'static str>,
        source: &'static Source,
    ) -> Legality {
        if self.0.is_empty() {
            Legality::Legal { pattern, remark, source }
        } else {
            Legality::Wrong { reasons: self.0 }
        }
    }
}

impl LightCount {
    /// Counts the lights that are on.
    pub(super) fn of(kinds: impl Iterator<Item = LightKind>) -> Self {
        let mut tally = Self::default();
        for kind in kinds {
            match kind {
                LightKind::Masthead => tally.masthead += 1,
                LightKind::Sides => {
                    tally.red += 1;
                    tally.green += 1;
                }
                LightKind::Port => tally.red += 1,
                LightKind::Starboard => tally.green += 1,
                LightKind::Stern => tally.stern += 1,
                LightKind::AllRound => tally.all_round += 1,
                LightKind::Tricolor => tally.tricolor += 1,
                LightKind::RedOverGreen => tally.red_over_green += 1,
            }
        }
        tally
    }

    /// Checks the lights for a boat with this activity.
    pub(super) fn judged(self, vessel: &Vessel, doing: Doing, sides_fitted: bool) -> Legality {
        match doing {
            Doing::AtAnchor => self.at_anchor(vessel),
            _ if self == Self::default() => {
                Legality::Wrong { reasons: vec![Reason { text: "no light is on", source: &RULE_20 }] }
            }
            Doing::UnderPower => self.under_power(vessel, sides_fitted),
            Doing::UnderSail | Doing::UnderOars => self.under_sail(vessel),
        }
    }

    fn under_power(self, vessel: &Vessel, sides_fitted: bool) -> Legality {
        let class = Class::of(vessel);
        if self == (Self { all_round: 1, ..Self::default() }) {
            return all_round_alone(class, sides_fitted);
        }
        let mut faults = Faults::default();
        faults.when(
            self.tricolor > 0,
            "the tricolor lantern says that the boat is under sail: it stands for nothing under power",
            &RULE_25_B,
        );
        faults.when(
            self.red_over_green > 0,
            "red over green says that the boat is under sail: it is not shown under power",
            &RULE_25_C,
        );
        self.check_sides(&RULE_23_A, &mut faults);
        if self.all_round > 0 {
            self.check_all_round(class, &mut faults);
            return faults.or_legal("all-round white and sidelights", None, &RULE_23_D);
        }
        self.check_masthead_and_stern(class, &mut faults);
        faults.or_legal("masthead, sidelights and sternlight", None, &RULE_23_A)
    }

    fn check_sides(self, asked_by: &'static Source, faults: &mut Faults) {
        let none = self.red + self.green == 0;
        faults.when(none, "no sidelight is on", asked_by);
        faults.when(!none && self.red == 0, "the red sidelight is dark", &RULE_21);
        faults.when(!none && self.green == 0, "the green sidelight is dark", &RULE_21);
        faults.when(
            self.red > 1 || self.green > 1,
            "more than one sidelight of the same color is on",
            &RULE_20,
        );
    }

    fn check_all_round(self, class: Class, faults: &mut Faults) {
        faults.when(
            !class.takes_all_round(),
            "an all-round white light does not replace masthead and sternlight on a boat of 12 m or more",
            &RULE_23_D,
        );
        faults.when(self.all_round > 1, "more than one all-round white light is on under way", &RULE_23_D);
        faults.when(
            self.masthead > 0,
            "the all-round white light and the masthead light are on together: it is one or the other",
            &RULE_23_D,
        );
        faults.when(
            self.stern > 0,
            "the sternlight doubles the all-round white light: two white lights are seen from astern",
            &RULE_23_D,
        );
    }

    fn check_masthead_and_stern(self, class: Class, faults: &mut Faults) {
        let only_sides = self.masthead + self.stern == 0 && self.red + self.green > 0;
        faults.when(only_sides, "the sidelights are on with no white light", &RULE_23_A);
        faults.when(
            !only_sides && self.masthead == 0,
            "the masthead light is dark: no white light shows ahead",
            &RULE_23_A,
        );
        faults.when(
            !only_sides && self.stern == 0,
            "the sternlight is dark: no light shows astern",
            &RULE_23_A,
        );
        faults.when(
            class == Class::Large && self.masthead == 1,
            "a boat of 50 m or more shows a second masthead light",
            &RULE_23_A,
        );
        faults.when(self.masthead > 2, "more than two masthead lights are on", &RULE_20);
        faults.when(self.stern > 1, "more than one sternlight is on", &RULE_20);
    }

    /// Under oars, the lights allowed are the same as under sail.
    fn under_sail(self, vessel: &Vessel) -> Legality {
        let mut faults = Faults::default();
        faults.when(
            self.masthead > 0,
            "a masthead light says that the boat is under power: not under sail or oars",
            &RULE_25_A,
        );
        faults.when(
            self.all_round > 0,
            "an all-round white light is not shown under sail or oars",
            &RULE_25_A,
        );
        if self.tricolor > 0 {
            self.check_tricolor(vessel, &mut faults);
            return faults.or_legal("tricolor lantern", None, &RULE_25_B);
        }
        self.check_sides(&RULE_25_A, &mut faults);
        faults.when(self.stern == 0, "the sternlight is dark: no light shows astern", &RULE_25_A);
        faults.when(self.stern > 1, "more than one sternlight is on", &RULE_20);
        faults.when(self.red_over_green > 1, "more than one pair of red over green is on", &RULE_20);
        if self.red_over_green == 0 {
            faults.or_legal("sidelights and sternlight", None, &RULE_25_A)
        } else {
            faults.or_legal("sidelights and sternlight, with red over green", None, &RULE_25_C)
        }
    }

    fn check_tricolor(self, vessel: &Vessel, faults: &mut Faults) {
        faults.when(
            !is_under(vessel, 20.0),
            "a tricolor lantern is for boats under 20 m: this one shows sidelights and sternlight",
            &RULE_25_B,
        );
        faults.when(self.tricolor > 1, "more than one tricolor lantern is on", &RULE_20);
        faults.when(
            self.red + self.green + self.stern > 0,
            "the tricolor lantern is on with sidelights or sternlight: it is one or the other",
            &RULE_25_B,
        );
        faults.when(
            self.red_over_green > 0,
            "red over green is not shown with the tricolor lantern",
            &RULE_25_C,
        );
    }

    fn at_anchor(self, vessel: &Vessel) -> Legality {
        let mut faults = Faults::default();
        let needed = anchor_lights(vessel);
        faults.when(self.red + self.green > 0, "sidelights are on: they show a boat under way", &RULE_30);
        faults.when(self.stern > 0, "the sternlight is on: it shows a boat under way", &RULE_30);
        faults.when(
            self.masthead > 0,
            "the masthead light shows over 225 degrees only: it is not an anchor light",
            &RULE_21,
        );
        faults.when(
            self.tricolor + self.red_over_green > 0,
            "a tricolor lantern or red over green is on: it shows a boat under sail",
            &RULE_30,
        );
        faults.when(self.all_round == 0, "no all-round white light is on", &RULE_30);
        faults.when(
            self.all_round > 0 && self.all_round < needed,
            "a boat of 50 m or more shows a second, lower all-round white light aft",
            &RULE_30,
        );
        faults.when(self.all_round > 2, "more than two all-round white lights are on", &RULE_20);
        let pattern = if needed == 1 && self.all_round == 1 {
            "one all-round white light"
        } else {
            "two all-round white lights, the after one lower"
        };
        faults.or_legal(pattern, None, &RULE_30)
    }
}

fn all_round_alone(class: Class, sides_fitted: bool) -> Legality {
    match class {
        Class::SmallAndSlow => Legality::Legal {
            pattern: "all-round white alone",
            remark: sides_fitted
                .then_some("sidelights are fitted, so they are practicable: switch them on as well"),
            source: &RULE_23_D,
        },
        Class::SmallOfUnknownSpeed => Legality::Undecided {
            why: "the top speed is not given: an all-round white light alone is enough under 7 m only up to 7 kn",
            source: &RULE_23_D,
        },
        Class::Under12 => Legality::Wrong {
            reasons: vec![Reason {
                text: "an all-round white light alone is enough only under 7 m and up to 7 kn: the sidelights are dark",
                source: &RULE_23_D,
            }],
        },
        Class::Under50 | Class::Large => Legality::Wrong {
            reasons: vec![Reason {
                text: "an all-round white light alone is an anchor light: masthead, sidelights and sternlight are dark",
                source: &RULE_23_A,
            }],
        },
    }
}
