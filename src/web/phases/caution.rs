//! Cautions, each where its danger is. Common practice, no source, unless one is named.

use crate::job::phase::Phase;
use crate::job::plan::{Fuel, Plan};

/// What can hurt in a phase on this boat, the worst first.
pub fn of(phase: Phase, plan: &Plan) -> Vec<&'static str> {
    let gasoline = plan.boat.fuel.is_none_or(|fuel| fuel == Fuel::Gasoline);
    let vapour = gasoline.then(|| vapour(phase)).flatten();
    always(phase).iter().copied().chain(vapour).collect()
}

fn always(phase: Phase) -> &'static [&'static str] {
    match phase {
        Phase::StripOut => &[
            "Batteries off before hands go in: take off the negative first, cover every post. A second battery, a charger or a solar panel keeps wires live.",
            "Shore power (AC) is no part of this work. Find it, unplug it, leave it to a licensed electrician.",
        ],
        Phase::Mounting => &["Look behind before drilling: tanks, hoses, the hull itself."],
        Phase::Runs => &[
            "Batteries stay off. Keep wire clear of exhaust, moving parts and fuel lines, and out of the bilge water.",
        ],
        Phase::Terminations => {
            &["Batteries stay off until the power-up test: a bare ring on a live post welds itself on."]
        }
        Phase::Switches => {
            &["On the bench, with no battery: the panel is wired and checked before it goes in."]
        }
        Phase::PowerUpTest => &[
            "Fuses out, every switch off, then the battery. One circuit at a time; a smell, heat or a spark means off at once.",
            "Rings and bracelets off. Cover what is live and not being measured.",
        ],
        Phase::TieDown => &[
            "Never tie what is not proven: what is tied has to be cut open to be mended.",
            "Batteries off again while ties and clamps go on.",
        ],
        Phase::Setup => &[
            "The manufacturer\u{2019}s manual comes before any figure here. Some radios take an MMSI once only: read it back before it is kept.",
        ],
    }
}

fn vapour(phase: Phase) -> Option<&'static str> {
    match phase {
        Phase::StripOut => Some(
            "Gasoline vapour lies low and waits: air the bilge, sniff, and only then work with tools that spark.",
        ),
        Phase::Mounting => Some(
            "Where gasoline vapour can gather, only ignition-protected parts may be mounted (33 CFR 183.410).",
        ),
        Phase::PowerUpTest => Some(
            "Gasoline: run the blower or air the bilge for four minutes and sniff before the battery goes on.",
        ),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::plan::{Boat, Head};

    fn plan(fuel: Option<Fuel>) -> Plan {
        let head: Head =
            serde_json::from_str(r#"{"name":"R","rules":"us","nominal_v":12,"ambient_c":30}"#).unwrap();
        let boat: Boat = serde_json::from_str(r#"{"name":"Skua","length_m":7.1}"#).unwrap();
        Plan::new(head, Boat { fuel, ..boat })
    }

    #[test]
    fn gasoline_is_warned_of_unless_the_boat_is_known_to_carry_none() {
        let said = |fuel| of(Phase::Mounting, &plan(fuel)).join(" ").contains("ignition-protected");
        assert!(said(Some(Fuel::Gasoline)) && said(None));
        assert!(!said(Some(Fuel::Diesel)) && !said(Some(Fuel::Electric)));
    }

    #[test]
    fn no_phase_is_without_a_caution() {
        for phase in Phase::ALL {
            assert!(!of(phase, &plan(Some(Fuel::Diesel))).is_empty(), "{phase}");
        }
    }
}
