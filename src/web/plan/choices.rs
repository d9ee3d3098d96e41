//! What the fields of the plan's forms offer: things of this job by id and name, and kinds in words.

use super::device::TO_DEVICE;
use super::edit::Edit;
use crate::job::plan::{Fate, HoleFill, Join, Light, PullString, Tested};
use crate::job::point::{Point, PointKind};
use crate::job::value::DeviceId;
use crate::trade::color;
use crate::trade::conductor::{Size, System};
use crate::trade::energy::battery::Chemistry;
use crate::trade::protection::Family;
use crate::trade::route::CableKind;
use crate::trade::terminal::Stud;
use crate::web::kit::form::{capital, word};
use crate::web::parts::raceway::{CONDITIONS, PASSAGE_KINDS};
use crate::web::parts::switches;

/// A choice: the word it is sent as, and what it says.
pub type Choice = (String, String);

/// The choice of nothing, with what that means.
fn none(words: &str) -> Choice {
    (String::new(), words.to_owned())
}

fn listed<T: serde::Serialize + Copy>(kinds: &[(T, &str)]) -> Vec<Choice> {
    kinds.iter().filter_map(|(kind, words)| Some((word(*kind)?, (*words).to_owned()))).collect()
}

/// A point by its id and its name, or what it is.
fn called(point: &Point) -> String {
    let name = point.name.as_ref().map_or(title(point.body.kind()), |name| name.as_str());
    format!("{}: {name}", point.id)
}

impl Edit {
    /// The job's locations.
    pub fn locations(&self) -> Vec<Choice> {
        let locations = self.job.plan.locations.iter();
        let locations = locations
            .map(|location| (location.id.to_string(), format!("{} ({})", location.name, location.id)));
        [none("Choose a location")].into_iter().chain(locations).collect()
    }

    /// The job's locations, or none of them, with what that means.
    pub fn locations_or_none(&self, nothing: &str) -> Vec<Choice> {
        [none(nothing)].into_iter().chain(self.locations().into_iter().skip(1)).collect()
    }

    /// What can become of a thing that came off.
    pub fn fates(&self) -> Vec<Choice> {
        listed(&Fate::ALL.map(|fate| (fate, fate.words())))
    }

    /// What a test of it can show.
    pub fn tests(&self) -> Vec<Choice> {
        let shown = Tested::ALL.map(|tested| (tested, tested.words()));
        [none("Not tested yet")].into_iter().chain(listed(&shown)).collect()
    }

    /// The job's raceways, each with the locations it joins.
    pub fn raceways(&self) -> Vec<Choice> {
        let plan = &self.job.plan;
        let name = |id| plan.location(id).map_or("", |location| location.name.as_str());
        let raceways = plan.raceways.iter().map(|raceway| {
            let [one, other] = &raceway.between;
            (raceway.id.to_string(), format!("{}: {} \u{2013} {}", raceway.id, name(one), name(other)))
        });
        [none("No raceway")].into_iter().chain(raceways).collect()
    }

    /// Where a cable can go: the job's locations, then its devices.
    pub fn cable_ends(&self) -> Vec<Choice> {
        let devices = self.job.plan.devices.iter();
        let devices = devices.map(|device| (format!("{TO_DEVICE}{}", device.id), device.name.to_string()));
        self.locations().into_iter().chain(devices).collect()
    }

    /// What a cable can be for.
    pub fn cables(&self) -> Vec<Choice> {
        let kinds = CableKind::ALL.into_iter().filter_map(|kind| Some((word(kind)?, capital(kind.words()))));
        [none("No cable")].into_iter().chain(kinds).collect()
    }

    /// Points that a conductor of the positive side may land on.
    pub fn positive_points(&self) -> Vec<Choice> {
        self.points("Choose a point", |kind| kind != PointKind::NegativeBus)
    }

    /// Points that a return may land on.
    pub fn negative_points(&self) -> Vec<Choice> {
        self.points("Choose a point", |kind| {
            matches!(kind, PointKind::NegativeBus | PointKind::Battery | PointKind::Charger)
        })
    }

    /// Every point.
    pub fn all_points(&self) -> Vec<Choice> {
        self.points("Choose a point", |_| true)
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
        [none(nothing)].into_iter().chain(points).collect()
    }

    /// Positions of switch panels, each with its label and the circuit that is on it.
    pub fn switches(&self) -> Vec<Choice> {
        let positions = switches::spots(&self.job.plan).map(|spot| {
            let taken = self
                .on_position(spot.panel, spot.at.position)
                .map(|id| format!(" (now {id})"))
                .unwrap_or_default();
            let said = format!("{} {}: {}{taken}", spot.panel.id, spot.at.position, spot.label);
            (switches::write(&spot.at), said)
        });
        [none("Not switched")].into_iter().chain(positions).collect()
    }

    /// The circuit that is on a switch position.
    fn on_position(&self, panel: &Point, number: u16) -> Option<String> {
        let mut on = self.job.plan.on_position(&panel.id, number);
        let on = on.find(|circuit| self.old.as_deref() != Some(circuit.id.as_str()));
        on.map(|circuit| circuit.id.to_string())
    }

    /// The job's devices, each with its location and the circuit that feeds it.
    pub fn devices(&self) -> Vec<Choice> {
        let devices = self.job.plan.devices.iter().map(|device| {
            let fed = self.feeding(&device.id).map(|id| format!(" (now on {id})")).unwrap_or_default();
            (device.id.to_string(), format!("{}, at {}{fed}", device.name, device.location))
        });
        [none("No device")].into_iter().chain(devices).collect()
    }

    /// Another circuit that feeds a device.
    fn feeding(&self, device: &DeviceId) -> Option<String> {
        let circuits = self.job.plan.circuits.iter();
        let others = circuits.filter(|circuit| self.old.as_deref() != Some(circuit.id.as_str()));
        let ids: Vec<&str> =
            others.filter(|circuit| circuit.feeds(device)).map(|circuit| circuit.id.as_str()).collect();
        (!ids.is_empty()).then(|| ids.join(", "))
    }

    /// Conductor sizes, those of the shop's own system first; `nothing` says what none means.
    pub fn sizes(&self, nothing: &str) -> Vec<Choice> {
        let other = match self.system {
            System::Awg => System::Metric,
            System::Metric => System::Awg,
        };
        let sizes = Size::all(self.system).chain(Size::all(other));
        let sizes = sizes.map(|size| (size.text().to_owned(), size.text().to_owned()));
        [none(nothing)].into_iter().chain(sizes).collect()
    }

    /// Kinds of fuse and breaker.
    pub fn families(&self) -> Vec<Choice> {
        let families = Family::ALL.into_iter().filter_map(|kind| Some((word(kind)?, capital(kind.words()))));
        [none("No fuse or breaker")].into_iter().chain(families).collect()
    }

    /// What a raceway can be.
    pub fn raceway_kinds(&self) -> Vec<Choice> {
        listed(&PASSAGE_KINDS)
    }

    /// Whether a pull string lies in a raceway.
    pub fn pull_strings(&self) -> Vec<Choice> {
        let answers = [
            (PullString::Yes, "Left in place"),
            (PullString::No, "None"),
            (PullString::NotNeeded, "Not needed: open way"),
        ];
        [none("Not looked at yet")].into_iter().chain(listed(&answers)).collect()
    }

    /// The colors of the trade's table, each with what it is used for.
    pub fn colors(&self) -> Vec<(&'static str, &'static str)> {
        color::TABLE.iter().map(|known| (known.color, known.of)).collect()
    }

    /// What closes an old hole.
    pub fn hole_fills(&self) -> Vec<Choice> {
        let means = [
            (HoleFill::Plug, "A plug"),
            (HoleFill::Sealant, "Sealant"),
            (HoleFill::Glass, "Glass and resin"),
        ];
        [none("Not settled yet")].into_iter().chain(listed(&means)).collect()
    }

    /// What a raceway can be found like.
    pub fn conditions(&self) -> Vec<Choice> {
        [none("Not looked at yet")].into_iter().chain(listed(&CONDITIONS)).collect()
    }

    /// What a battery can be made of.
    pub fn chemistries(&self) -> Vec<Choice> {
        let kinds = [
            (Chemistry::Flooded, "Lead, flooded"),
            (Chemistry::Gel, "Lead, gel"),
            (Chemistry::Agm, "Lead, glass mat (AGM)"),
            (Chemistry::Lifepo4, "Lithium iron phosphate (LiFePO4)"),
        ];
        [none("Not known yet")].into_iter().chain(listed(&kinds)).collect()
    }

    /// The studs and screws that terminals are made for.
    pub fn studs(&self) -> Vec<Choice> {
        let studs = Stud::ALL
            .iter()
            .map(|stud| (stud.text().to_owned(), format!("{} ({})", stud.text(), stud.metric())));
        [none("None, or not known yet")].into_iter().chain(studs).collect()
    }

    /// How conductors are joined to a device's own leads.
    pub fn joins(&self) -> Vec<Choice> {
        let joins = Join::ALL.map(|join| (join, join.words()));
        [none("It has no leads, or not known yet")].into_iter().chain(listed(&joins)).collect()
    }

    /// How a device can draw.
    pub fn loads(&self) -> Vec<Choice> {
        [
            ("", "Takes no current"),
            ("constant-current", "Amperes, the same at any voltage"),
            ("constant-power", "Watts, the same at any voltage"),
            ("resistance", "Ohms, a plain resistance"),
        ]
        .map(|(word, words)| (word.to_owned(), words.to_owned()))
        .into()
    }

    /// The parts among the navigation lights.
    pub fn lights(&self) -> Vec<Choice> {
        [none("Not a navigation light")].into_iter().chain(listed(&LIGHTS)).collect()
    }

    /// The two sides of the supply.
    pub fn polarities(&self) -> [(&'static str, &'static str); 2] {
        [("positive", "Positive: the protected side"), ("negative", "Negative: the return")]
    }

    /// How devices can share a circuit's wire.
    pub fn wirings(&self) -> [(&'static str, &'static str); 2] {
        [("chain", "One pair, from device to device"), ("home-runs", "A pair of its own for each device")]
    }
}

/// Navigation lights in words.
pub const LIGHTS: [(Light, &str); 8] = [
    (Light::Masthead, "Masthead light, white, 225° ahead"),
    (Light::Sides, "Both side lights, red and green"),
    (Light::Port, "Port side light, red"),
    (Light::Starboard, "Starboard side light, green"),
    (Light::Stern, "Stern light, white, 135° astern"),
    (Light::AllRound, "All-round light, white"),
    (Light::Tricolor, "Tricolor lantern at the masthead, red, green and white"),
    (Light::RedOverGreen, "Two all-round lights, red over green, for sailing"),
];

/// The kind as pages say it.
pub fn title(kind: PointKind) -> &'static str {
    match kind {
        PointKind::Battery => "Battery",
        PointKind::Charger => "Charger or alternator",
        PointKind::BatterySwitch => "Battery switch",
        PointKind::PositiveBus => "Positive bus bar",
        PointKind::NegativeBus => "Negative bus bar",
        PointKind::FuseBlock => "Fuse block",
        PointKind::SwitchPanel => "Switch panel",
        PointKind::JunctionBar => "Junction bar",
    }
}
