//! Cautions, each on the page where its danger is. Common practice, no source, unless one is named.

use crate::job::phase::Phase;
use crate::job::plan::{Fuel, Plan};

/// The dangers of a phase on this boat, the worst first.
pub fn of(phase: Phase, plan: &Plan) -> Vec<&'static str> {
    let gasoline = plan.boat.fuel.is_none_or(|fuel| fuel == Fuel::Gasoline);
    let vapor = gasoline.then(|| vapor(phase)).flatten();
    always(phase).iter().copied().chain(vapor).collect()
}

/// Any boat may carry propane, whatever its engine burns.
const PROPANE: &str = "Propane from a stove or heater collects low in any boat. Close the tank valve and air the bilge before heat or sparks.";

fn always(phase: Phase) -> &'static [&'static str] {
    match phase {
        Phase::StripOut => &[
            "Batteries off before you start: negative first, then cover every post. A second battery, charger or solar panel can keep wires live.",
            "Shore power (AC) is not part of this work. Unplug it and leave it to a licensed electrician.",
            "A battery is heavy: lift it with two people or a strap. Its acid burns: wear goggles and gloves.",
            PROPANE,
        ],
        Phase::Mounting => &[
            "Look behind before drilling: tanks, hoses, the hull itself.",
            "Below the waterline, drill only with the boat ashore.",
            "A battery is heavy, and its acid burns. Lift it with two people or a strap, upright, with goggles and gloves.",
            "The mains side of a charger or inverter (AC) is not part of this work. Leave it to a licensed electrician.",
        ],
        Phase::Runs => {
            &["Batteries stay off. Keep wires clear of exhaust, moving parts, fuel lines and bilge water."]
        }
        Phase::Terminations => &[
            "Batteries stay off until the power-up test: a ring terminal on a live post can weld and burn.",
            "A heat gun or soldering iron burns skin and lights what is behind the work. Never leave one switched on.",
            PROPANE,
        ],
        Phase::Switches => {
            &["On the bench, with no battery: the panel is wired and checked before it goes in."]
        }
        Phase::PowerUpTest => &[
            "Fuses out, every switch off, then the battery. One circuit at a time; a smell, heat or a spark means off at once.",
            "Rings and bracelets off. Cover live parts you are not measuring.",
            "Probing a live circuit: insulated probes with short tips, meter on volts. On ohms or amperes it shorts the circuit.",
            "Cranking and charging: everybody clear of the propeller, cooling water on, gearbox in neutral. A battery that charges gives off gas that can explode: air it.",
            "The mains side of a charger (AC) can kill. Leave it closed. It belongs to a licensed electrician.",
            "Never key a radio without its antenna: the transmitter can be destroyed. Keep clear of a radar that sends.",
            PROPANE,
        ],
        Phase::TieDown => &[
            "Never tie a run that has not passed its test: a repair would mean cutting it open.",
            "Batteries off again while ties and clamps go on.",
        ],
        Phase::Setup => &[
            "Never press a distress button for a test, and never test on a distress channel. Use the radio\u{2019}s own test call.",
            "No transmission without an antenna: the transmitter can be destroyed.",
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
        Phase::Terminations => Some(
            "A heat gun or soldering iron lights gasoline vapor. Air the space and sniff before each use.",
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

    /// Each danger, and the phases whose page must name it.
    #[test]
    fn each_danger_is_named_where_it_is() {
        use Phase::{Mounting, PowerUpTest, Setup, StripOut, Terminations};
        let rows: [(&str, &[Phase]); 10] = [
            ("heat gun", &[Terminations]),
            ("soldering iron lights gasoline vapor", &[Terminations]),
            ("Probing a live circuit", &[PowerUpTest]),
            ("battery is heavy", &[StripOut, Mounting]),
            ("acid burns", &[StripOut, Mounting]),
            ("gives off gas that can explode", &[PowerUpTest]),
            ("Below the waterline, drill only with the boat ashore", &[Mounting]),
            ("mains side of a charger", &[Mounting, PowerUpTest]),
            ("antenna", &[PowerUpTest, Setup]),
            ("distress button", &[Setup]),
        ];
        for (danger, phases) in rows {
            for phase in phases {
                let said = of(*phase, &plan(Some(Fuel::Gasoline))).join(" ");
                assert!(said.contains(danger), "{phase}: {danger}");
            }
        }
        for fuel in [Fuel::Diesel, Fuel::Electric, Fuel::Gasoline] {
            for phase in [StripOut, Terminations, PowerUpTest] {
                assert!(of(phase, &plan(Some(fuel))).contains(&PROPANE), "{phase}: propane in any boat");
            }
        }
    }

    #[test]
    fn no_phase_is_without_a_caution() {
        for phase in Phase::ALL {
            assert!(!of(phase, &plan(Some(Fuel::Diesel))).is_empty(), "{phase}");
        }
    }
}
