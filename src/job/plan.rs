//! The job as plain data: the boat, where things are, what is fitted and how it is wired.
//!
//! The field names are the words of the trade with the unit in the name; the same types are the
//! job file, so what is written here is also its reference.

use jiff::civil::Date;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::board::{Board, Footprint, Mounting};
use super::load::Load;
use super::point::Point;
use super::termination::Join;
use super::value::{
    AheadM, AmbientC, BeamM, BoardId, BoatLengthM, CircuitId, CurrentA, DeviceId, DropPct, FeederId, Hours,
    InsulationC, InterruptA, Label, LengthM, Milliohm, ModeId, Money, Name, NominalV, PassageId, PlaceId,
    PointId, Prose, RatingA, RemovalId, Seconds, Share, SizeMm, SpeedKn, StarboardM, TabMm, UpM, WastePct,
};
use crate::trade::conductor::Size;
use crate::trade::protection::Family;
use crate::trade::route::CableKind;
use crate::trade::rules::RuleSet;
use crate::trade::terminal::Stud;

/// Everything planned for one boat. It is written and read as part of a [`JobFile`].
///
/// [`JobFile`]: super::file::JobFile
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What the job as a whole is worked to.
    pub job: Head,
    /// The boat.
    pub boat: Boat,
    /// Who owns the boat.
    pub owner: Option<Owner>,
    /// Named spots where things are mounted or wires end.
    pub places: Vec<Place>,
    /// Ways between two places that wire can take.
    pub passages: Vec<Passage>,
    /// Flat areas that devices and points are mounted on.
    pub boards: Vec<Board>,
    /// Where conductors meet: batteries, switches, bus bars, blocks, panels, junction bars.
    pub points: Vec<Point>,
    /// Conductors between points.
    pub feeders: Vec<Feeder>,
    /// What uses, makes or switches current or signal.
    pub devices: Vec<Device>,
    /// Protected feeds out to devices, and their returns.
    pub circuits: Vec<Circuit>,
    /// The states the boat is used in, with what is on in each.
    pub modes: Vec<Mode>,
    /// What came off the boat at strip-out, and what becomes of it.
    pub removals: Vec<Removal>,
}

impl Plan {
    /// An empty plan for a boat.
    pub fn new(job: Head, boat: Boat) -> Self {
        Self {
            job,
            boat,
            owner: None,
            places: Vec::new(),
            passages: Vec::new(),
            boards: Vec::new(),
            points: Vec::new(),
            feeders: Vec::new(),
            devices: Vec::new(),
            circuits: Vec::new(),
            modes: Vec::new(),
            removals: Vec::new(),
        }
    }

    /// The place with this id.
    pub fn place(&self, id: &PlaceId) -> Option<&Place> {
        self.places.iter().find(|place| place.id == *id)
    }

    /// The board with this id.
    pub fn board(&self, id: &BoardId) -> Option<&Board> {
        self.boards.iter().find(|board| board.id == *id)
    }

    /// The point with this id.
    pub fn point(&self, id: &PointId) -> Option<&Point> {
        self.points.iter().find(|point| point.id == *id)
    }

    /// The feeder with this id.
    pub fn feeder(&self, id: &FeederId) -> Option<&Feeder> {
        self.feeders.iter().find(|feeder| feeder.id == *id)
    }

    /// The device with this id.
    pub fn device(&self, id: &DeviceId) -> Option<&Device> {
        self.devices.iter().find(|device| device.id == *id)
    }

    /// The circuit with this id.
    pub fn circuit(&self, id: &CircuitId) -> Option<&Circuit> {
        self.circuits.iter().find(|circuit| circuit.id == *id)
    }
}

/// What the job as a whole is worked to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// Name of the job.
    pub name: Name,
    /// Rule set the checks follow.
    pub rules: RuleSet,
    /// Nominal direct voltage of the boat.
    pub nominal_v: NominalV,
    /// Temperature the conductors lie in, outside engine spaces.
    pub ambient_c: AmbientC,
    /// Resistance counted for every crimped and bolted end; none counted where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub contact_mohm: Option<Milliohm>,
    /// What is added to the way of a run when it is cut.
    #[serde(default, skip_serializing_if = "is_default")]
    pub allowances: CutAllowances,
    /// What the owner wants.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wishes: Option<Prose>,
    /// What the owner will spend, in the shop's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub budget: Option<Money>,
    /// Day the boat came in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>", extend("format" = "date"))]
    pub received_on: Option<Date>,
    /// Day the boat is promised back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>", extend("format" = "date"))]
    pub promised_on: Option<Date>,
}

/// What is added to the way of a run when it is cut; what is left out is as the trade usually has it.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CutAllowances {
    /// From the mouth of the passage to where the wire lands, at each end; 0.3 m where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rise_m: Option<LengthM>,
    /// Left coiled at each end, so that a terminal can be made anew; 0.15 m where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub service_loop_m: Option<LengthM>,
    /// The dip before each end, off which water drips; 0.1 m where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drip_loop_m: Option<LengthM>,
    /// What crooked ways and trimming take of it all; 5 % where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub waste_pct: Option<WastePct>,
}

/// The boat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Boat {
    /// Name of the boat.
    pub name: Name,
    /// Length over all.
    pub length_m: BoatLengthM,
    /// Beam.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub beam_m: Option<BeamM>,
    /// How the hull looks from above.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hull: Option<Hull>,
    /// Fuel of the engine.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fuel: Option<Fuel>,
    /// How the engine stands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub engine: Option<Engine>,
    /// Greatest speed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub top_speed_kn: Option<SpeedKn>,
}

/// How a hull looks from above.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Hull {
    /// A pointed bow and a square stern.
    #[default]
    Pointed,
    /// A square bow, as on a punt or a landing craft.
    Square,
    /// Two hulls and a deck between.
    Twin,
    /// Pointed at both ends.
    DoubleEnded,
}

/// Fuel of the engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Fuel {
    /// Petrol (gasoline): ignition protection applies.
    Petrol,
    /// Diesel.
    Diesel,
    /// No fuel: electric propulsion.
    Electric,
}

/// How the engine stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Engine {
    /// On the transom, outside the hull.
    Outboard,
    /// Inside the hull.
    Inboard,
    /// None.
    None,
}

/// Who owns the boat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Owner {
    /// Name of the owner.
    pub name: Name,
    /// How to reach the owner.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub contact: Option<Name>,
}

/// A named spot on the boat where things are mounted or wires end.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// Id of the place.
    pub id: PlaceId,
    /// Name of the place.
    pub name: Name,
    /// Where it is on the boat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Spot>,
    /// From the mouth of a passage to where wires land here; left out: as the job has it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rise_m: Option<LengthM>,
    /// Whether it is in an engine space.
    #[serde(default, skip_serializing_if = "is_false")]
    pub engine_space: bool,
    /// Whether water reaches it.
    #[serde(default, skip_serializing_if = "is_false")]
    pub wet: bool,
}

/// A spot on the boat, measured from the middle of the transom at the keel.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Spot {
    /// Ahead of the transom.
    pub ahead_m: AheadM,
    /// To starboard of the centreline; to port it is negative.
    pub starboard_m: StarboardM,
    /// Above the keel.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub up_m: Option<UpM>,
}

/// A way between two places that wire can take.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Passage {
    /// Id of the passage.
    pub id: PassageId,
    /// The two places it joins.
    pub between: [PlaceId; 2],
    /// What it is called.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Name>,
    /// Its measured length; left out: by where its two places are on the drawing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// Its inner diameter, for a tube or a hole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bore_mm: Option<SizeMm>,
    /// What it is.
    pub kind: PassageKind,
    /// Whether it runs through an engine space.
    #[serde(default, skip_serializing_if = "is_false")]
    pub engine_space: bool,
    /// Whether water stands or runs in it.
    #[serde(default, skip_serializing_if = "is_false")]
    pub wet: bool,
    /// What it was found like.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub condition: Option<Condition>,
    /// Whether a pull string was left in it at strip-out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pull_string: Option<PullString>,
}

/// What a passage is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PassageKind {
    /// A rigging tube.
    Tube,
    /// An open tray.
    Tray,
    /// Under the gunwale.
    Gunwale,
    /// A hole through a bulkhead.
    Bulkhead,
}

/// What a passage was found like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    /// Clear and sound.
    Good,
    /// Usable, with something to mend: a sharp edge, a missing clip.
    Worn,
    /// Nothing more can be pulled through it.
    Blocked,
}

/// Whether a pull string lies in a passage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PullString {
    /// A pull string was left.
    Yes,
    /// None was left.
    No,
    /// None is needed: the way is open.
    NotNeeded,
}

/// Which side of the supply a conductor belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Polarity {
    /// The protected, ungrounded side.
    Positive,
    /// The return.
    Negative,
}

impl Polarity {
    /// The polarity as files and pages write it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Positive => "positive",
            Self::Negative => "negative",
        }
    }
}

/// A conductor between two points.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Feeder {
    /// Id of the feeder.
    pub id: FeederId,
    /// The point the current comes from.
    pub from: PointId,
    /// The point it goes to.
    pub to: PointId,
    /// Which side it belongs to.
    pub polarity: Polarity,
    /// Its size; left out: choose it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<Size>,
    /// What its insulation stands.
    pub insulation_c: InsulationC,
    /// Its length one way; it overrides the route.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// The passages it takes, from its beginning on; left out: choose them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub route: Vec<PassageId>,
    /// Whether it lies in a sheath or enclosure all the way to its protection.
    #[serde(default, skip_serializing_if = "is_false")]
    pub sheathed: bool,
    /// How many current-carrying conductors lie in its bundle, itself counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bundle: Option<u16>,
    /// Whether it feeds a cranking motor, which practice leaves unprotected.
    #[serde(default, skip_serializing_if = "is_false")]
    pub cranking: bool,
    /// Its fuse or breaker.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protection: Option<Protection>,
}

/// A fuse or breaker.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Protection {
    /// Its family.
    pub kind: Family,
    /// Its rating; left out: choose it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rating_a: Option<RatingA>,
    /// How far along the conductor it sits from the source of power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_source_m: Option<LengthM>,
    /// The current it can interrupt.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub interrupt_a: Option<InterruptA>,
    /// Its own resistance with its holder; none counted where left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub resistance_mohm: Option<Milliohm>,
}

/// What uses, makes, carries or switches current or signal and gets mounted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Device {
    /// Id of the device.
    pub id: DeviceId,
    /// Name of the device.
    pub name: Name,
    /// Where it is mounted.
    pub place: PlaceId,
    /// The current it takes; left out for what takes none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load: Option<Load>,
    /// The drop it stands, in percent of nominal voltage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drop_limit_pct: Option<DropPct>,
    /// The largest fuse its maker allows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub max_fuse_a: Option<RatingA>,
    /// The current it takes while it starts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inrush: Option<Inrush>,
    /// The part it plays among the navigation lights.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub light: Option<Light>,
    /// What has to be set on it once it runs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub settings: Vec<Setting>,
    /// The stud or screw its conductors land on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stud: Option<Stud>,
    /// The width of the tab its conductors are pushed on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tab_mm: Option<TabMm>,
    /// How conductors are joined to its own leads.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub join: Option<Join>,
    /// Where it comes from: new, or kept from the boat.
    #[serde(default, skip_serializing_if = "is_false")]
    pub kept: bool,
    /// A cable of fixed length that comes with it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cable: Option<FactoryCable>,
    /// What it takes up where it is mounted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub footprint: Option<Footprint>,
    /// The board it goes on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mounting: Option<Mounting>,
}

/// A cable that comes from the maker with its length, from its device to a place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FactoryCable {
    /// What it is for.
    pub kind: CableKind,
    /// How long it is.
    pub length_m: LengthM,
    /// Where its other end goes.
    pub to: PlaceId,
    /// How wide its connector is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub connector_mm: Option<SizeMm>,
    /// Its outside diameter; left out: what is usual for its kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_mm: Option<SizeMm>,
    /// The length its maker allows it to be shortened to; left out: it is not shortened.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_length_m: Option<LengthM>,
    /// Whether a join in it is sealed against water.
    #[serde(default, skip_serializing_if = "is_false")]
    pub sealed_join: bool,
}

impl Device {
    /// A device of which no more is known than what it is and where it goes.
    pub fn new(id: DeviceId, name: Name, place: PlaceId) -> Self {
        Self {
            id,
            name,
            place,
            load: None,
            drop_limit_pct: None,
            max_fuse_a: None,
            inrush: None,
            light: None,
            settings: Vec::new(),
            stud: None,
            tab_mm: None,
            join: None,
            kept: false,
            cable: None,
            footprint: None,
            mounting: None,
        }
    }
}

/// What a device takes while it starts.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Inrush {
    /// The current.
    pub a: CurrentA,
    /// How long.
    pub s: Seconds,
}

/// A navigation light, by its arc and colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Light {
    /// White, 225 degrees, ahead.
    Masthead,
    /// Red to port and green to starboard, each 112.5 degrees, together or apart.
    Sides,
    /// Red, 112.5 degrees to port.
    Port,
    /// Green, 112.5 degrees to starboard.
    Starboard,
    /// White, 135 degrees, astern.
    Stern,
    /// White, all round.
    AllRound,
}

/// One thing to set on a device.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Setting {
    /// What is set.
    pub name: Name,
    /// What it is set to, once known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<Name>,
}

/// A protected feed out to one or more devices, and its return.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Circuit {
    /// Id of the circuit.
    pub id: CircuitId,
    /// Name of the circuit.
    pub name: Name,
    /// The devices it feeds, in order along the wire.
    pub devices: Vec<DeviceId>,
    /// The point it is fed from.
    pub from: PointId,
    /// Its fuse or breaker.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protection: Option<Protection>,
    /// The switch it passes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub switch: Option<SwitchAt>,
    /// The junction bar it passes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub junction: Option<PointId>,
    /// The point its return lands on.
    pub r#return: PointId,
    /// How the devices share the wire.
    #[serde(default, skip_serializing_if = "is_default")]
    pub wiring: Wiring,
    /// The size of its conductors; left out: choose it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<Size>,
    /// What its insulation stands.
    pub insulation_c: InsulationC,
    /// Its length one way, from `from` to the farthest device; it overrides the route.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// The passages it takes, from its source to its last device; left out: choose them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub route: Vec<PassageId>,
    /// Whether its conductors lie in a sheath (duplex and other cable).
    #[serde(default, skip_serializing_if = "is_false")]
    pub sheathed: bool,
    /// How many current-carrying conductors lie in its bundle, its own counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bundle: Option<u16>,
    /// Colour of its positive conductors, in words; left out: by the table of the trade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub colour: Option<Label>,
    /// Conductors that differ from the circuit in length or size.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conductors: Vec<ConductorOverride>,
}

/// One position of a switch panel, counted from 1.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SwitchAt {
    /// The switch panel.
    pub panel: PointId,
    /// The position on it, from 1.
    pub position: u16,
}

/// How several devices share a circuit's wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Wiring {
    /// One pair passes from device to device.
    #[default]
    Chain,
    /// Each device has a pair of its own back to the junction bar, switch or source.
    HomeRuns,
}

/// A conductor named by its two ends, with what differs from its circuit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ConductorOverride {
    /// Id of the point or device it comes from.
    pub from: Name,
    /// Id of the point or device it goes to.
    pub to: Name,
    /// Its own length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// Its own size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<Size>,
}

/// A state the boat is used in, such as running or anchored overnight.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Mode {
    /// Id of the mode.
    pub id: ModeId,
    /// Name of the mode.
    pub name: Name,
    /// Hours of a day spent in it.
    pub hours: Hours,
    /// What is on, and for what share of the time.
    pub on: Vec<InUse>,
    /// The chargers and alternators that run in it, whose posts then hold their charging voltage.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub charging: Vec<PointId>,
}

/// A circuit in use during a mode.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct InUse {
    /// The circuit.
    pub circuit: CircuitId,
    /// The share of the time it is on; all of it where left out.
    #[serde(default, skip_serializing_if = "is_default")]
    pub share: Share,
}

/// One thing that came off the boat, and what becomes of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Removal {
    /// Its id, for its tag.
    pub id: RemovalId,
    /// What it is.
    pub name: Name,
    /// Where it came off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<PlaceId>,
    /// What becomes of it.
    #[serde(default, skip_serializing_if = "is_default")]
    pub fate: Fate,
    /// Whether it works; left out: not tested yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tested: Option<Tested>,
    /// What the test or a look at it showed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub notes: Option<Prose>,
    /// What it costs new, in the shop's currency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub worth_new: Option<Money>,
    /// The device that it is on the boat again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub device: Option<DeviceId>,
}

/// What becomes of a thing that came off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Fate {
    /// Nobody has decided.
    #[default]
    Unsure,
    /// Cleaned, and fitted again.
    Keep,
    /// Sold for the boat's owner.
    Sell,
    /// Thrown away.
    Scrap,
}

impl Fate {
    /// All, in the order they are asked about.
    pub const ALL: [Self; 4] = [Self::Unsure, Self::Keep, Self::Sell, Self::Scrap];

    /// The same in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Unsure => "Not decided yet",
            Self::Keep => "Keep and clean",
            Self::Sell => "Sell",
            Self::Scrap => "Scrap",
        }
    }
}

/// What a test of a thing that came off showed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Tested {
    /// It works.
    Works,
    /// It works in part, or only now and then.
    Doubtful,
    /// It does not work.
    Dead,
}

impl Tested {
    /// All.
    pub const ALL: [Self; 3] = [Self::Works, Self::Doubtful, Self::Dead];

    /// The same in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Works => "Works",
            Self::Doubtful => "Doubtful",
            Self::Dead => "Does not work",
        }
    }
}

pub(super) fn is_false(flag: &bool) -> bool {
    !flag
}

fn is_default<T: Default + PartialEq>(value: &T) -> bool {
    *value == T::default()
}
