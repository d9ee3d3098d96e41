//! The job as plain data: the boat, its locations, its equipment and its wiring.
//!
//! The field names are trade terms with the unit in the name. The same types are the job file, so these
//! docs are also its reference.

mod boat;
mod boat_form;
mod circuit;
mod device;
mod feeder;
pub mod item;
mod join;
mod list;
mod location;
mod mode;
mod proposed;
mod removed;
mod rule;

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::job::board::Board;
use crate::job::point::{Body, Point, Position};
use crate::job::value::is_default;
use crate::job::value::{
    AmbientC, BoardId, CircuitId, DeviceId, FeederId, LocationId, Milliohm, Money, Name, NominalV, PointId,
    Prose, RacewayId,
};
use crate::trade::rules::RuleSet;

pub use boat::{Boat, Customer, CutAllowances, Engine, Fuel, Hull};
pub use boat_form::{BankCount, BoatForm, BoatVoltage, EngineCount, HullPattern, ProposalRequest, Top};
pub use circuit::{Circuit, ConductorOverride, Leg, SwitchAt, Wiring};
pub use device::{Cable, CableTo, Connector, Device, Inrush, Purpose, Setting};
pub use feeder::{CurvePoint, Feeder, ManufacturerCurve, Polarity, Protection};
pub use join::Join;
pub use list::{Keyed, List};
pub use location::{Condition, HoleFill, Location, PullString, Raceway, RacewayKind, Spot, Vapor};
pub use mode::{InUse, Mode};
pub use proposed::{Proposed, Supposed};
pub use removed::{Fate, RemovedEquipment, Tested};
pub use rule::Rule;

/// Everything planned for one boat. It is written and read as part of a [`JobFile`].
///
/// [`JobFile`]: super::file::JobFile
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The data of the job as a whole.
    pub job: Head,
    /// The boat.
    pub boat: Boat,
    /// The customer whose boat it is.
    pub customer: Option<Customer>,
    /// Named locations where things are mounted or wires end.
    pub locations: List<Location>,
    /// Paths for wire between two locations.
    pub raceways: List<Raceway>,
    /// Flat areas on which devices and distribution points are mounted.
    pub boards: List<Board>,
    /// Distribution points: batteries, switches, bus bars, blocks, panels, junction bars.
    pub points: List<Point>,
    /// Conductors between distribution points.
    pub feeders: List<Feeder>,
    /// What uses, makes or switches current or signal.
    pub devices: List<Device>,
    /// Protected feeds to devices, and their returns.
    pub circuits: List<Circuit>,
    /// The states the boat is used in, with what is on in each.
    pub modes: List<Mode>,
    /// Equipment removed at strip-out, and what happens to it.
    pub removed: List<RemovedEquipment>,
    /// What a proposal gave, with the values that are still to be measured.
    pub proposed: List<Proposed>,
}

impl Plan {
    /// An empty plan for a boat.
    pub fn new(job: Head, boat: Boat) -> Self {
        Self {
            job,
            boat,
            customer: None,
            locations: List::default(),
            raceways: List::default(),
            boards: List::default(),
            points: List::default(),
            feeders: List::default(),
            devices: List::default(),
            circuits: List::default(),
            modes: List::default(),
            removed: List::default(),
            proposed: List::default(),
        }
    }

    /// The location with this id.
    pub fn location(&self, id: &LocationId) -> Option<&Location> {
        self.locations.with(id.as_str())
    }

    /// The raceway with this id.
    pub fn raceway(&self, id: &RacewayId) -> Option<&Raceway> {
        self.raceways.with(id.as_str())
    }

    /// The board with this id.
    pub fn board(&self, id: &BoardId) -> Option<&Board> {
        self.boards.with(id.as_str())
    }

    /// The point with this id.
    pub fn point(&self, id: &PointId) -> Option<&Point> {
        self.points.with(id.as_str())
    }

    /// The feeder with this id.
    pub fn feeder(&self, id: &FeederId) -> Option<&Feeder> {
        self.feeders.with(id.as_str())
    }

    /// The name of a feeder, from the distribution points at its ends: `House battery to Fuse block`.
    pub fn feeder_name(&self, feeder: &Feeder) -> String {
        let point = |id| self.point(id).map_or_else(|| id.to_string(), |point| point.called().to_owned());
        format!("{} to {}", point(&feeder.from), point(&feeder.to))
    }

    /// The name and the label of a feeder, as lists show it: `House battery to Fuse block (F1)`.
    pub fn feeder_name_and_label(&self, feeder: &Feeder) -> String {
        format!("{} ({})", self.feeder_name(feeder), feeder.label_text())
    }

    /// The name of a raceway, or the locations that it joins: `Helm console to Transom`.
    pub fn raceway_name(&self, raceway: &Raceway) -> String {
        let location = |id| self.location(id).map_or_else(|| id.to_string(), |one| one.name.to_string());
        let ends = || raceway.between.each_ref().map(location).join(" to ");
        raceway.name.as_ref().map_or_else(ends, ToString::to_string)
    }

    /// The device with this id.
    pub fn device(&self, id: &DeviceId) -> Option<&Device> {
        self.devices.with(id.as_str())
    }

    /// The circuit with this id.
    pub fn circuit(&self, id: &CircuitId) -> Option<&Circuit> {
        self.circuits.with(id.as_str())
    }

    /// The circuits on one position of a switch panel.
    pub fn on_position(&self, panel: &PointId, number: u16) -> impl Iterator<Item = &Circuit> {
        let hangs = move |at: &SwitchAt| at.panel == *panel && at.position == number;
        self.circuits.iter().filter(move |circuit| circuit.switch.as_ref().is_some_and(hangs))
    }

    /// The position of a switch panel that a circuit is on.
    pub fn position(&self, at: &SwitchAt) -> Option<&Position> {
        match &self.point(&at.panel)?.body {
            Body::SwitchPanel(panel) => panel.positions.get(usize::from(at.position).checked_sub(1)?),
            _ => None,
        }
    }
}

/// The data of the job as a whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// Name of the job.
    pub name: Name,
    /// The rule set for the checks.
    pub rules: RuleSet,
    /// Nominal direct voltage of the boat.
    pub nominal_v: NominalV,
    /// Ambient temperature of the conductors, outside engine spaces.
    pub ambient_c: AmbientC,
    /// Resistance of every crimped and bolted end; left out: counted as zero.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub contact_mohm: Option<Milliohm>,
    /// What is added to the length of a run when it is cut.
    #[serde(default, skip_serializing_if = "is_default")]
    pub allowances: CutAllowances,
    /// What the customer wants.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wishes: Option<Prose>,
    /// The customer's budget, in the shop's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub budget: Option<Money>,
    /// What the plan was proposed from, if it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub proposed_from: Option<ProposalRequest>,
    /// The date the boat arrived.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>", extend("format" = "date"))]
    pub received_on: Option<Date>,
    /// The promised date of return.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>", extend("format" = "date"))]
    pub promised_on: Option<Date>,
}
