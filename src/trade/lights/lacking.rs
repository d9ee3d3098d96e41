//! Faults of the lights as a whole: an activity without a legal position of the switches, and positions to
//! avoid.

use super::asked::asked_for;
use super::judged::{Combination, Legality};
use super::pattern::{self, LightCount};
use super::vessel::{Doing, FittedLight, Vessel};
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::say::{Statement, say};
use crate::trade::units::count;

/// The faults of the lights as a whole.
pub(super) fn findings(
    vessel: &Vessel,
    lights: &[FittedLight],
    combinations: &[Combination],
) -> Vec<RuleFinding> {
    if lights.is_empty() {
        return vec![RuleFinding::missing("the navigation lights", "what they show under way and at anchor")];
    }
    let unserved =
        vessel.drive.doings().iter().filter_map(|doing| unserved(vessel, lights, combinations, *doing));
    undecided(combinations).into_iter().chain(unserved).chain(misleading(vessel, combinations)).collect()
}

/// Under 7 m, whether an all-round light alone is legal depends on the top speed.
fn undecided(combinations: &[Combination]) -> Option<RuleFinding> {
    let open = combinations
        .iter()
        .find(|one| one.judged.iter().any(|judged| matches!(judged.fit, Legality::Undecided { .. })))?;
    Some(RuleFinding::missing(
        "the top speed",
        say!(
            "whether {} alone is legal under power; under 7 m it is, up to 7 kn",
            open.burning.join(" with ")
        ),
    ))
}

/// An activity for which no position of the switches is legal.
fn unserved(
    vessel: &Vessel,
    lights: &[FittedLight],
    combinations: &[Combination],
    doing: Doing,
) -> Option<RuleFinding> {
    let may_serve = |fit: &Legality| !matches!(fit, Legality::Wrong { .. });
    if combinations.iter().filter_map(|one| one.fit(doing)).any(may_serve) {
        return None;
    }
    let asked = asked_for(vessel, doing);
    let (code, text) = match doing {
        Doing::AtAnchor => (Code::NoAnchorLight, lacking_at_anchor(vessel, lights)),
        Doing::UnderPower => {
            let why = lacking_under_power(vessel, lights, combinations);
            (Code::NoLightsUnderPower, none_legal(doing, why, &asked.result.to_string()))
        }
        Doing::UnderSail | Doing::UnderOars => {
            let why = lacking_under_sail(vessel, lights, combinations);
            (code_under_sail(vessel, doing), none_legal(doing, why, &asked.result.to_string()))
        }
    };
    Some(RuleFinding::new(code, text).working(asked))
}

fn none_legal(doing: Doing, why: &'static str, asked: &str) -> Statement {
    say!("No switch position is legal {}: {}. Required: {}.", doing.words(), why, asked.to_owned())
}

/// Rule 25 (d) allows a flashlight alone under oars, and under sail on a boat under 7 m.
fn code_under_sail(vessel: &Vessel, doing: Doing) -> Code {
    let torch_will_do = doing == Doing::UnderOars || pattern::is_under(vessel, 7.0);
    if torch_will_do { Code::FlashlightNeeded } else { Code::NoLightsUnderSail }
}

/// Whether lights that pass the test are ever on together.
fn ever(lights: &[FittedLight], combinations: &[Combination], is: impl Fn(LightCount) -> bool) -> bool {
    combinations.iter().any(|combination| {
        let lit = lights.iter().filter(|light| combination.burning.contains(&light.name));
        is(LightCount::of(lit.map(|light| light.kind)))
    })
}

/// Why no combination is legal under power: lights that are not fitted, or that cannot be on together.
fn lacking_under_power(
    vessel: &Vessel,
    lights: &[FittedLight],
    combinations: &[Combination],
) -> &'static str {
    let all = LightCount::of(lights.iter().map(|light| light.kind));
    let white_fitted = (all.masthead > 0 && all.stern > 0)
        || (all.all_round > 0 && pattern::takes_all_round_under_power(vessel));
    let all_round_and_sides = |lit: LightCount| lit.all_round > 0 && lit.red > 0 && lit.green > 0;
    if all.red == 0 || all.green == 0 {
        "the sidelights are not fitted"
    } else if !white_fitted {
        "the white lights that go with the sidelights are not fitted"
    } else if all.all_round > 0 && all.masthead == 0 && !ever(lights, combinations, all_round_and_sides) {
        "the all-round white light stays dark when the sidelights are on"
    } else {
        "the lights that belong together cannot be lit without others, or not together"
    }
}

/// Why no combination is legal under sail or oars.
fn lacking_under_sail(vessel: &Vessel, lights: &[FittedLight], combinations: &[Combination]) -> &'static str {
    let all = LightCount::of(lights.iter().map(|light| light.kind));
    let sides_and_stern = |lit: LightCount| lit.red > 0 && lit.green > 0 && lit.stern > 0;
    if all.tricolor > 0 && pattern::is_under(vessel, 20.0) {
        "the tricolor lantern cannot be lit alone"
    } else if all.red == 0 || all.green == 0 {
        "the sidelights are not fitted"
    } else if all.stern == 0 {
        "the sternlight is not fitted"
    } else if !ever(lights, combinations, sides_and_stern) {
        "the sidelights and the sternlight cannot be lit together"
    } else {
        "the sidelights and the sternlight cannot be lit without a light that is not shown then"
    }
}

fn lacking_at_anchor(vessel: &Vessel, lights: &[FittedLight]) -> Statement {
    let all_round = LightCount::of(lights.iter().map(|light| light.kind)).all_round;
    let needed = pattern::anchor_lights(vessel);
    match all_round {
        0 => say!("No all-round white light is fitted, so there is no anchor light. Fit one."),
        fewer if fewer < needed => say!(
            "At anchor a boat of 50 m or more shows {} all-round white lights; {} is fitted. Fit another.",
            count(needed),
            count(fewer)
        ),
        _ => say!(
            "The anchor light cannot be lit alone. Give the all-round white light its own switch position."
        ),
    }
}

/// One note for all the wrong combinations: they are switch positions to avoid, not faults.
fn misleading(vessel: &Vessel, combinations: &[Combination]) -> Option<RuleFinding> {
    let wrong = combinations.iter().filter(|combination| combination.is_wrong());
    let each = wrong.map(|combination| {
        let (on, why) = (on_words(&combination.on), nearest(vessel, combination));
        say!("{}: {}.", on, why)
    });
    let all = each.reduce(Statement::then)?;
    let text = say!("Some switch positions show no legal lights. Do not use them. {}", all);
    Some(RuleFinding::new(Code::LightsMislead, text))
}

/// The faults of a combination as lights under way, by the rule that it is closest to meeting.
fn nearest(vessel: &Vessel, combination: &Combination) -> String {
    let under_way = || combination.judged.iter().filter(|judged| judged.doing != Doing::AtAnchor);
    let wrong = under_way().filter_map(|judged| match &judged.fit {
        Legality::Wrong { reasons } => Some((judged.doing, reasons)),
        _ => None,
    });
    let Some((doing, reasons)) = wrong.min_by_key(|(_, reasons)| reasons.len()) else {
        return "no legal pattern".to_owned();
    };
    let why = reasons.iter().map(|reason| reason.text).collect::<Vec<_>>().join(", ");
    let is_one_of_several = vessel.drive.doings().len() > 2;
    if is_one_of_several { format!("as lights {}, {why}", doing.words()) } else { why }
}

fn on_words(on: &[String]) -> String {
    if on.is_empty() { "all switches off".to_owned() } else { format!("{} on", on.join(" + ")) }
}
