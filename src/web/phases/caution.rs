//! Cautions, each on the page where its danger is. Common practice, no source, unless one is named.

use crate::job::phase::Phase;
use crate::job::plan::{Fuel, Plan};

/// The dangers of a phase on this boat, the worst first.
pub fn of(phase: Phase, plan: &Plan) -> Vec<&'static str> {
    let gasoline = plan.boat.fuel.is_none_or(|fuel| fuel == Fuel::Gasoline);
    let vapor = gasoline.then(|| vapor(phase)).flatten();
    always(phase).iter().copied().chain(vapor).collect()
}

fn always(phase: Phase) -> &'static [&'static str] {
    match phase {
        Phase::StripOut => &[
            "Batteries off before you start: negative first, then cover every post. A second battery, charger or solar panel can keep wires live.",
            "Shore power (AC) is not part of this work. Unplug it and leave it to a licensed electrician.",
        ],
        Phase::Mounting => &["Look behind before drilling: tanks, hoses, the hull itself."],
        Phase::Runs => {
            &["Batteries stay off. Keep wires clear of exhaust, moving parts, fuel lines and bilge water."]
        }
        Phase::Terminations => {
            &["Batteries stay off until the power-up test: a ring terminal on a live post can weld and burn."]
        }
        Phase::Switches => {
            &["On the bench, with no battery: the panel is wired and checked before it goes in."]
        }
        Phase::PowerUpTest => &[
            "Fuses out, every switch off, then the battery. One circuit at a time; a smell, heat or a spark means off at once.",
            "Rings and bracelets off. Cover live parts you are not measuring.",
            "Cranking and charging: everybody clear of the propeller, cooling water on, gearbox in neutral. A battery that charges gives off gas that can explode: air it.",
        ],
        Phase::TieDown => &[
            "Never tie a run that has not passed its test: a repair would mean cutting it open.",
            "Batteries off again while ties and clamps go on.",
        ],
        Phase::Setup => &[
            "The manufacturer\u{2019}s manual comes before any figure here. Some radios accept an MMSI only once: read it back before you save it.",
            "Sea trial: a crew that knows the boat, lifejackets, kill cord on. Stop at the first smell, heat or water.",
        ],
    }
}

fn vapor(phase: Phase) -> Option<&'static str> {
    match phase {
        Phase::StripOut => Some(
            "Gasoline vapor collects low in the boat. Air the bilge and sniff before you use tools that spark.",
        ),
        Phase::Mounting => {
            Some("Where gasoline vapor can gather, mount only ignition-protected parts (33 CFR 183.410).")
        }
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
