//! Whether the label of a position describes what its switch controls, and what it should say.
//!
//! The comparison uses a small table of the terms on panels. The table is common practice, no source, from memory.
//! A label that is not in the table is compared letter by letter.

use foldhash::HashSet;

use super::plan::{Circuit, ConductorOverride, Plan, SwitchAt};
use super::point::{Body, Point};
use super::value::{Label, Name, PointId};
use crate::trade::lights::LightKind;

/// How a label matches a circuit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fits {
    /// It describes the circuit.
    Says,
    /// It describes nothing: spare, accessory.
    SaysNothing,
    /// It describes something else.
    SaysOther,
}

/// Labels that can be used for anything.
const ANYTHING: &[&str] =
    &["acc", "aux", "accessory", "accessories", "auxiliary", "spare", "switch", "option"];
/// Terms for a location or a number, and not for a function.
const WHERE: &[&str] = &[
    "fwd",
    "forward",
    "aft",
    "port",
    "stbd",
    "starboard",
    "bow",
    "stern",
    "helm",
    "by",
    "hand",
    "on",
    "off",
    "auto",
    "main",
];
/// Terms that panels use with the same meaning.
const SAME: &[&[&str]] = &[
    &[
        "nav",
        "navigation",
        "running",
        "run",
        "sides",
        "side",
        "masthead",
        "steaming",
        "sternlight",
        "tricolor",
        "sidelights",
    ],
    &["anchor", "anc", "mooring", "all-round"],
    &["pump", "bilge", "livewell", "baitwell", "washdown"],
    &["light", "lights", "lamp", "lamps", "lighting"],
    &["inst", "instrument", "instruments", "gauges", "gauge", "compass"],
    &["plotter", "chartplotter", "chart", "gps", "mfd"],
    &["sounder", "fishfinder", "sonar", "depth"],
    &["autopilot", "pilot"],
    &["network", "nmea", "backbone", "n2k"],
    &["stereo", "radio", "sound", "music", "audio", "head"],
    &["vhf", "radio"],
    &["wiper", "wipers", "windscreen"],
    &["usb", "socket", "sockets", "outlet", "outlets", "12v"],
    &["fridge", "refrigerator", "icebox"],
    &["fan", "blower"],
];

/// Terms that a panel uses for a whole group, with the members of the group.
const GROUPS: &[(&str, &[&str])] = &[(
    "electronics",
    &[
        "plotter",
        "chartplotter",
        "gps",
        "sounder",
        "fishfinder",
        "radar",
        "vhf",
        "autopilot",
        "network",
        "ais",
    ],
)];

/// How a label matches a circuit's name and its devices.
pub fn fits(plan: &Plan, label: &Label, circuit: &Circuit) -> Fits {
    describes(label, &names(plan, circuit))
}

/// How a label matches the terms in a circuit's names.
fn describes(label: &Label, names: &[String]) -> Fits {
    let said: Vec<String> = words(label.as_str()).collect();
    let telling: Vec<&String> = said.iter().filter(|word| !WHERE.contains(&word.as_str())).collect();
    let is_anything = |word: &&String| {
        ANYTHING.contains(&word.as_str()) || word.chars().all(|letter| letter.is_ascii_digit())
    };
    if telling.iter().all(is_anything) {
        return Fits::SaysNothing;
    }
    let is_named = |word: &&String| names.iter().any(|name| is_same(word, name) || covers(word, name));
    if telling.iter().filter(|word| !is_anything(word)).any(is_named) { Fits::Says } else { Fits::SaysOther }
}

/// The free positions of a plan's panels, the first of each label.
pub struct FreePositions<'a> {
    plan: &'a Plan,
    positions: Vec<(&'a Point, u16, &'a Label)>,
}

impl<'a> FreePositions<'a> {
    /// The free positions of a plan.
    pub fn of(plan: &'a Plan) -> Self {
        let used = plan.circuits.iter().filter_map(|circuit| circuit.switch.as_ref());
        let used: HashSet<(&PointId, u16)> = used.map(|at| (&at.panel, at.position)).collect();
        let (mut positions, mut labels) = (Vec::new(), HashSet::default());
        for point in &plan.points {
            let Body::SwitchPanel(panel) = &point.body else { continue };
            for (number, position) in (1u16..).zip(&panel.positions) {
                if !used.contains(&(&point.id, number)) && labels.insert(&position.label) {
                    positions.push((point, number, &position.label));
                }
            }
        }
        Self { plan, positions }
    }

    /// A free position whose label describes the circuit, by panel and label.
    pub fn better(&self, circuit: &Circuit) -> Option<String> {
        let names = names(self.plan, circuit);
        let good = self.positions.iter().find(|(_, _, label)| describes(label, &names) == Fits::Says);
        good.map(|(point, number, label)| format!("{} {number}, {label}", point.called()))
    }
}

/// The circuit on another position, or on none. Individual data of its jumpers at the panel move with them to
/// another panel. They are dropped if the circuit has no position.
pub fn hang(circuit: Circuit, switch: Option<SwitchAt>) -> Circuit {
    let old = circuit.switch.as_ref().map(|at| at.panel.as_str().to_owned());
    let new = switch.as_ref().map(|at| at.panel.as_str());
    let moved = |end: Name| match (&old, new) {
        (Some(old), _) if end.as_str() != old => Some(end),
        (Some(_), new) => new?.parse().ok(),
        (None, _) => Some(end),
    };
    let conductors = circuit.conductors.into_iter();
    let conductors = conductors
        .filter_map(|own| Some(ConductorOverride { from: moved(own.from)?, to: moved(own.to)?, ..own }));
    Circuit { conductors: conductors.collect(), switch, ..circuit }
}

/// The text of a plate for a circuit: its name in capitals, as much as fits on a plate.
pub fn plate(circuit: &Circuit) -> String {
    let mut plate = String::new();
    for word in circuit.name.as_str().split_whitespace() {
        let word = word.trim_matches(',').to_uppercase();
        if plate.len() + word.len() + 1 > 18 {
            break;
        }
        if !plate.is_empty() {
            plate.push(' ');
        }
        plate.push_str(&word);
    }
    format!("\u{2018}{plate}\u{2019}")
}

/// All terms in the names of a circuit: its own name, the names of its devices, and the use of its lights.
fn names(plan: &Plan, circuit: &Circuit) -> Vec<String> {
    let devices = circuit.devices().filter_map(|id| plan.device(id));
    let lights = devices.clone().filter_map(|device| device.light).map(|light| match light {
        LightKind::AllRound => "anchor navigation",
        _ => "navigation",
    });
    let device_names = devices.map(|device| device.name.as_str());
    let all = std::iter::once(circuit.name.as_str()).chain(device_names).chain(lights);
    all.flat_map(words).filter(|word| !WHERE.contains(&word.as_str())).collect()
}

fn words(text: &str) -> impl Iterator<Item = String> {
    let split = |letter: char| !letter.is_alphanumeric() && letter != '-';
    text.split(split).filter(|word| !word.is_empty()).map(str::to_lowercase)
}

/// Whether two terms mean the same: one begins with the other (at least three letters), or both are in one row of
/// the table.
fn is_same(one: &str, other: &str) -> bool {
    let (short, long) = if one.len() <= other.len() { (one, other) } else { (other, one) };
    let known = |word: &str, row: &&&[&str]| row.contains(&word);
    (short.len() >= 3 && long.starts_with(short))
        || SAME.iter().any(|row| known(one, &row) && known(other, &row))
}

/// Whether a term of the label is a group that the named thing belongs to.
fn covers(group: &str, name: &str) -> bool {
    GROUPS.iter().any(|(word, members)| *word == group && members.iter().any(|member| is_same(member, name)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::file::JobFile;

    fn plan() -> Plan {
        let text = include_str!("../shop/demo/second-plover.json");
        JobFile::read(text.as_bytes()).unwrap().plan
    }

    #[track_caller]
    fn check(label: &str, circuit: &str, expected: Fits) {
        let plan = plan();
        let circuit = plan.circuit(&circuit.parse().unwrap()).unwrap();
        assert_eq!(fits(&plan, &label.parse().unwrap(), circuit), expected, "{label} on {}", circuit.name);
    }

    #[test]
    fn a_label_says_what_it_works_or_not() {
        check("NAV", "C01", Fits::Says);
        check("ANCHOR", "C02", Fits::Says);
        check("SPREADER", "C04", Fits::Says);
        check("BILGE FWD", "C30", Fits::Says);
        check("INST LIGHTS", "C19", Fits::Says);
        check("NETWORK", "C18", Fits::Says);
        check("ELECTRONICS", "C18", Fits::Says);
        check("ELECTRONICS", "C30", Fits::SaysOther);
        check("ACC", "C05", Fits::SaysNothing);
        check("AUX 2", "C05", Fits::SaysNothing);
        check("HORN", "C12", Fits::SaysOther);
        check("WASHDOWN", "C01", Fits::SaysOther);
    }

    #[test]
    fn a_plate_reads_as_much_of_the_name_as_it_holds() {
        let plan = plan();
        let of = |id: &str| plate(plan.circuit(&id.parse().unwrap()).unwrap());
        assert_eq!(of("C05"), "\u{2018}SPREADER LIGHTS\u{2019}");
        assert_eq!(of("C11"), "\u{2018}HORN\u{2019}");
    }
}
