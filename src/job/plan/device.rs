//! What is mounted: devices, their cables and what is set on them.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::f64::Length;

use super::join::Join;
use crate::job::board::{Footprint, Mounting};
use crate::job::load::Load;
use crate::job::value::is_default;
use crate::job::value::{
    CableId, CurrentA, DeviceId, DropPct, LengthM, LocationId, Name, RatingA, Seconds, SizeMm, TabMm,
};
use crate::trade::route::CableKind;
use crate::trade::terminal::Stud;

/// What uses, makes, carries or switches current or signal and gets mounted.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Device {
    /// Id of the device.
    pub id: DeviceId,
    /// Name of the device.
    pub name: Name,
    /// Where it is mounted.
    pub location: LocationId,
    /// The current it takes; left out for what takes none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load: Option<Load>,
    /// The drop it stands, in percent of nominal voltage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drop_limit_pct: Option<DropPct>,
    /// The largest fuse its manufacturer allows.
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
    #[serde(default, skip_serializing_if = "is_default")]
    pub kept: bool,
    /// Whether it is fitted through the hull below the waterline.
    #[serde(default, skip_serializing_if = "is_default")]
    pub through_hull: bool,
    /// Its signal cables, harnesses and leads.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cables: Vec<Cable>,
    /// What it takes up where it is mounted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub footprint: Option<Footprint>,
    /// The board it goes on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mounting: Option<Mounting>,
}

/// A cable of a device: to its antenna, sender or speaker, to a network, to another device.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cable {
    /// Id of the cable: what its labels, steps and route are named by.
    pub id: CableId,
    /// What it is for.
    pub kind: CableKind,
    /// Where its other end goes.
    pub to: CableTo,
    /// The length it is made in; left out: it is cut to length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// The connector at its device.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub connector: Option<Connector>,
    /// The connector at its other end, which is pulled in front.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub far_connector: Option<Connector>,
    /// Its outside diameter; left out: what is usual for its kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_mm: Option<SizeMm>,
    /// The length its manufacturer allows it to be shortened to; left out: it is not shortened.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_length_m: Option<LengthM>,
    /// Whether a join in it is sealed against water.
    #[serde(default, skip_serializing_if = "is_default")]
    pub sealed_join: bool,
}

/// Where the other end of a cable goes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CableTo {
    /// A location, where the plan has no device that it is plugged into.
    Location(LocationId),
    /// Another device.
    Device(DeviceId),
}

/// A connector at an end of a cable.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Connector {
    /// What it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Name>,
    /// How wide it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width_mm: Option<SizeMm>,
}

impl Cable {
    /// Its outside diameter: as given, or as is usual for its kind.
    pub fn outside(&self) -> Length {
        self.outside_mm.map_or_else(|| self.kind.usual_diameter(), SizeMm::quantity)
    }

    /// How wide the connector is that goes through the boat with it, where that is known.
    pub fn hauled_mm(&self) -> Option<SizeMm> {
        self.far_connector.as_ref().and_then(|connector| connector.width_mm)
    }
}

impl Device {
    /// A device of which no more is known than what it is and where it goes.
    pub fn new(id: DeviceId, name: Name, location: LocationId) -> Self {
        Self {
            id,
            name,
            location,
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
            through_hull: false,
            cables: Vec::new(),
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

/// A navigation light, by its arc and color.
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
    /// Red, green and white astern in one lantern at the top of the mast, for sailing under 20 m.
    Tricolor,
    /// Two lights all round at the top of the mast, red over green, beside the others under sail.
    RedOverGreen,
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
