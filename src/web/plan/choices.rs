//! The choices in the plan's forms: things of this job by id and name, and kinds in plain text.

use serde::Serialize;

use super::device::TO_DEVICE;
use super::edit::Edit;
use crate::job::board::{Faces, Side};
use crate::job::plan::{Circuit, Fate, HoleFill, Join, Polarity, PullString, Purpose, Tested, Vapor, Wiring};
use crate::job::point::{BatterySwitchKind, Engraved, Point, PointKind, SwitchKind};
use crate::job::value::{DeviceId, LocationId};
use crate::trade::conductor::{Size, System};
use crate::trade::energy::battery::Chemistry;
use crate::trade::lights::LightKind;
use crate::trade::protection::Family;
use crate::trade::route::CableKind;
use crate::trade::say::capital;
use crate::trade::terminal::Stud;
use crate::web::kit::form::declared::{Choice, listed, or_none};
use crate::web::kit::form::word;
use crate::web::parts::raceway::{CONDITIONS, PASSAGE_KINDS};
use crate::web::parts::switches;

/// A distribution point by its name, or its kind, and its id.
fn called(point: &Point) -> String {
    let name = point.name.as_ref().map_or(title(point.body.kind()), |name| name.as_str());
    format!("{name} ({})", point.id)
}

/// Kinds with their words, each with a capital letter.
fn in_words<T: Serialize + Copy>(all: &[T], words: fn(T) -> &'static str) -> Vec<Choice> {
    all.iter().filter_map(|kind| Some((word(*kind)?, capital(words(*kind))))).collect()
}

impl Edit {
    /// The job's locations.
    pub fn locations(&self) -> Vec<Choice> {
        let locations = self.job.plan.locations.iter();
        let locations = locations
            .map(|location| (location.id.to_string(), format!("{} ({})", location.name, location.id)));
        or_none("Choose a location", locations)
    }

    /// The job's locations and the choice of none, with the text for none.
    pub fn locations_or_none(&self, nothing: &str) -> Vec<Choice> {
        or_none(nothing, self.locations().into_iter().skip(1))
    }

    /// The job's boards, each with its location.
    pub fn boards(&self) -> Vec<Choice> {
        let boards = self.job.plan.boards.iter();
        or_none(
            "No board",
            boards.map(|board| {
                (
                    board.id.to_string(),
                    format!("{}, at {} ({})", board.name, self.location(&board.location), board.id),
                )
            }),
        )
    }

    /// What can become of removed equipment.
    pub fn fates(&self) -> Vec<Choice> {
        listed(&Fate::ALL.map(|fate| (fate, fate.words())))
    }

    /// The results of testing it.
    pub fn tests(&self) -> Vec<Choice> {
        let shown = Tested::ALL.map(|tested| (tested, tested.words()));
        or_none("Not tested yet", listed(&shown))
    }

    /// The job's raceways, each with the locations it joins.
    pub fn raceways(&self) -> Vec<Choice> {
        let plan = &self.job.plan;
        let raceways = plan.raceways.iter().map(|raceway| {
            (raceway.id.to_string(), format!("{} ({})", plan.raceway_name(raceway), raceway.id))
        });
        or_none("No raceway", raceways)
    }

    /// Where a cable can go: the job's locations, then its devices.
    pub fn cable_ends(&self) -> Vec<Choice> {
        let devices = self.job.plan.devices.iter();
        let devices = devices
            .map(|device| (format!("{TO_DEVICE}{}", device.id), format!("{} ({})", device.name, device.id)));
        self.locations().into_iter().chain(devices).collect()
    }

    /// The purposes of a cable.
    pub fn cables(&self) -> Vec<Choice> {
        let kinds = CableKind::ALL.into_iter().filter_map(|kind| Some((word(kind)?, capital(kind.words()))));
        or_none("No cable", kinds)
    }

    /// Distribution points that a positive conductor may land on.
    pub fn positive_points(&self) -> Vec<Choice> {
        self.points("Choose a distribution point", |kind| kind != PointKind::NegativeBus)
    }

    /// Distribution points that a negative may land on.
    pub fn negative_points(&self) -> Vec<Choice> {
        self.points("Choose a distribution point", |kind| kind == PointKind::NegativeBus || kind.is_source())
    }

    /// Every distribution point.
    pub fn all_points(&self) -> Vec<Choice> {
        self.points("Choose a distribution point", |_| true)
    }

    /// Junction bars.
    pub fn junctions(&self) -> Vec<Choice> {
        self.points("No junction bar", |kind| kind == PointKind::JunctionBar)
    }

    /// Chargers and alternators.
    pub fn chargers(&self) -> Vec<Choice> {
        self.points("None", |kind| kind == PointKind::Charger)
    }

    fn points(&self, nothing: &str, fits: impl Fn(PointKind) -> bool) -> Vec<Choice> {
        let points = self.job.plan.points.iter().filter(|point| fits(point.body.kind()));
        let points = points.map(|point| (point.id.to_string(), called(point)));
        or_none(nothing, points)
    }

    /// Positions of switch panels, each with its label and its circuit.
    pub fn switches(&self) -> Vec<Choice> {
        let positions = switches::spots(&self.job.plan).map(|spot| {
            let taken = self
                .on_position(spot.panel, spot.at.position)
                .map(|circuit| format!(", now {circuit}"))
                .unwrap_or_default();
            let said = format!("{} ({} {}){taken}", spot.label, spot.panel.called(), spot.at.position);
            (switches::write(&spot.at), said)
        });
        or_none("Not switched", positions)
    }

    /// The circuit on a switch position.
    fn on_position(&self, panel: &Point, number: u16) -> Option<String> {
        let mut on = self.job.plan.on_position(&panel.id, number);
        let on = on.find(|circuit| self.old.as_deref() != Some(circuit.id.as_str()));
        on.map(Circuit::name_and_label)
    }

    /// The job's devices, each with its location and the circuit that feeds it.
    pub fn devices(&self) -> Vec<Choice> {
        let devices = self.job.plan.devices.iter().map(|device| {
            let fed =
                self.feeding(&device.id).map(|circuits| format!(", now on {circuits}")).unwrap_or_default();
            (
                device.id.to_string(),
                format!("{}, at {} ({}){fed}", device.name, self.location(&device.location), device.id),
            )
        });
        or_none("No device", devices)
    }

    /// Another circuit that feeds a device.
    fn feeding(&self, device: &DeviceId) -> Option<String> {
        let circuits = self.job.plan.circuits.iter();
        let others = circuits.filter(|circuit| self.old.as_deref() != Some(circuit.id.as_str()));
        let feeding: Vec<String> =
            others.filter(|circuit| circuit.feeds(device)).map(Circuit::name_and_label).collect();
        (!feeding.is_empty()).then(|| feeding.join(", "))
    }

    /// The name of a location.
    fn location<'a>(&'a self, id: &'a LocationId) -> &'a str {
        self.job.plan.location(id).map_or(id.as_str(), |location| location.name.as_str())
    }

    /// Conductor sizes, those of the shop's own system first; `nothing` is the text for none.
    pub fn sizes(&self, nothing: &str) -> Vec<Choice> {
        let other = match self.system {
            System::Awg => System::Metric,
            System::Metric => System::Awg,
        };
        let sizes = Size::all(self.system).chain(Size::all(other));
        let sizes = sizes.map(|size| (size.text().to_owned(), size.text().to_owned()));
        or_none(nothing, sizes)
    }

    /// Kinds of fuse and breaker.
    pub fn families(&self) -> Vec<Choice> {
        let families = Family::ALL.into_iter().filter_map(|kind| Some((word(kind)?, capital(kind.words()))));
        or_none("No fuse or breaker", families)
    }

    /// Kinds of raceway.
    pub fn raceway_kinds(&self) -> Vec<Choice> {
        listed(&PASSAGE_KINDS)
    }

    /// Whether a pull string is in a raceway.
    pub fn pull_strings(&self) -> Vec<Choice> {
        let answers = [
            (PullString::Yes, "Left in place"),
            (PullString::No, "None"),
            (PullString::NotNeeded, "Not needed: it is open"),
        ];
        or_none("Not checked yet", listed(&answers))
    }

    /// What an old hole is closed with.
    pub fn hole_fills(&self) -> Vec<Choice> {
        let means = [
            (HoleFill::Plug, "A plug"),
            (HoleFill::Sealant, "Sealant"),
            (HoleFill::Glass, "Glass and resin"),
        ];
        or_none("Not decided yet", listed(&means))
    }

    /// Conditions of a raceway.
    pub fn conditions(&self) -> Vec<Choice> {
        or_none("Not checked yet", listed(&CONDITIONS))
    }

    /// Battery chemistries.
    pub fn chemistries(&self) -> Vec<Choice> {
        let kinds = [
            (Chemistry::Flooded, "Lead, flooded"),
            (Chemistry::Gel, "Lead, gel"),
            (Chemistry::Agm, "Lead, glass mat (AGM)"),
            (Chemistry::Lifepo4, "Lithium iron phosphate (LiFePO4)"),
        ];
        or_none("Not known yet", listed(&kinds))
    }

    /// The studs and screws that terminals are made for.
    pub fn studs(&self) -> Vec<Choice> {
        let studs = Stud::ALL
            .iter()
            .map(|stud| (stud.text().to_owned(), format!("{} ({})", stud.text(), stud.metric())));
        or_none("None, or not known yet", studs)
    }

    /// How conductors are joined to a device's own leads.
    pub fn joins(&self) -> Vec<Choice> {
        let joins = Join::ALL.map(|join| (join, join.words()));
        or_none("It has no leads, or not known yet", listed(&joins))
    }

    /// What the figure of a device's load is: current, power or resistance.
    pub fn loads(&self) -> Vec<Choice> {
        fixed(&[
            ("", "Draws no current"),
            ("constant-current", "Amperes, the same at any voltage"),
            ("constant-power", "Watts, the same at any voltage"),
            ("resistance", "Ohms, a plain resistance"),
        ])
    }

    /// The kinds of navigation light.
    pub fn lights(&self) -> Vec<Choice> {
        or_none("Not a navigation light", listed(&LIGHTS))
    }

    /// The two sides of the supply.
    pub fn polarities(&self) -> Vec<Choice> {
        listed(&[
            (Polarity::Positive, "Positive: the protected side"),
            (Polarity::Negative, "Negative: the return"),
        ])
    }

    /// How devices can share a circuit's wire.
    pub fn wirings(&self) -> Vec<Choice> {
        listed(&[
            (Wiring::Chain, "One pair, from device to device"),
            (Wiring::HomeRuns, "A pair of its own for each device"),
        ])
    }

    /// Whether the label of a position can be changed.
    pub fn engravings(&self) -> Vec<Choice> {
        let labels = [(Engraved::Fixed, "engraved, cannot change"), (Engraved::Free, "a plate, can change")];
        or_none("not known", listed(&labels))
    }

    /// Kinds of switch at a position.
    pub fn switch_kinds(&self) -> Vec<Choice> {
        let kinds = [SwitchKind::OnOff, SwitchKind::Momentary, SwitchKind::OnOffOn, SwitchKind::Breaker];
        or_none("not known", listed(&kinds.map(|kind| (kind, kind.words()))))
    }

    /// Whether vapor can gather at a location.
    pub fn vapors(&self) -> Vec<Choice> {
        or_none("Not known", in_words(&Vapor::ALL, Vapor::words))
    }

    /// The kinds of battery switch.
    pub fn battery_switch_kinds(&self) -> Vec<Choice> {
        or_none("Not known yet", in_words(&BatterySwitchKind::ALL, BatterySwitchKind::words))
    }

    /// What a device is for, where that decides its feed.
    pub fn purposes(&self) -> Vec<Choice> {
        or_none("Any other", in_words(&Purpose::ALL, Purpose::words))
    }

    /// The sides of a part that its wires can leave from.
    pub fn sides(&self) -> Vec<Choice> {
        let sides = [(Side::Top, "At the top"), (Side::Left, "To the left"), (Side::Right, "To the right")];
        or_none("At the bottom", listed(&sides))
    }

    /// The directions that the front of a board can face.
    pub fn faces(&self) -> Vec<Choice> {
        let faces = [
            (Faces::Aft, "Aft"),
            (Faces::Ahead, "Ahead"),
            (Faces::Port, "To port"),
            (Faces::Starboard, "To starboard"),
            (Faces::Up, "Up, its upper edge ahead"),
            (Faces::Down, "Down, its upper edge ahead"),
        ];
        or_none("Not given", listed(&faces))
    }
}

/// Choices with the keys that are sent.
fn fixed(choices: &[(&str, &str)]) -> Vec<Choice> {
    choices.iter().map(|(word, words)| ((*word).to_owned(), (*words).to_owned())).collect()
}

/// Navigation lights in plain text.
pub const LIGHTS: [(LightKind, &str); 8] = [
    (LightKind::Masthead, "Masthead light, white, 225° ahead"),
    (LightKind::Sides, "Both sidelights, red and green"),
    (LightKind::Port, "Port sidelight, red"),
    (LightKind::Starboard, "Starboard sidelight, green"),
    (LightKind::Stern, "Stern light, white, 135° astern"),
    (LightKind::AllRound, "All-round light, white"),
    (LightKind::Tricolor, "Tricolor lantern at the masthead, red, green and white"),
    (LightKind::RedOverGreen, "Two all-round lights, red over green, for sailing"),
];

/// The kind as pages show it.
pub fn title(kind: PointKind) -> &'static str {
    match kind {
        PointKind::Battery => "Battery",
        PointKind::Charger => "Charger or alternator",
        PointKind::Converter => "Converter between two voltages",
        PointKind::BatterySwitch => "Battery switch",
        PointKind::PositiveBus => "Positive bus bar",
        PointKind::NegativeBus => "Negative bus bar",
        PointKind::FuseBlock => "Fuse block",
        PointKind::SwitchPanel => "Switch panel",
        PointKind::JunctionBar => "Junction bar",
    }
}
