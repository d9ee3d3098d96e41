//! Mounted equipment: devices, their cables and their settings.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use uom::si::f64::{Length, Ratio};

use super::join::Join;
use crate::job::board::{Footprint, Mounting};
use crate::job::load::Load;
use crate::job::value::is_default;
use crate::job::value::{
    CableId, CurrentA, DeviceId, DropPct, Label, LeastV, LengthM, LocationId, Name, RatingA, Seconds, SizeMm,
    TabMm,
};
use crate::trade::drop;
use crate::trade::lights::LightKind;
use crate::trade::route::CableKind;
use crate::trade::rules::RuleSet;
use crate::trade::terminal::Stud;

/// A device: mounted equipment that uses, makes, carries or switches current or signal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Device {
    /// Id of the device.
    pub id: DeviceId,
    /// Name of the device.
    pub name: Name,
    /// Where it is mounted.
    pub location: LocationId,
    /// What it is for, where that decides how it is fed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub purpose: Option<Purpose>,
    /// How many separate supplies it takes, isolated from each other, each with its own negative; left out:
    /// one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inputs: Option<u16>,
    /// Whether it needs no wire at all.
    #[serde(default, skip_serializing_if = "is_default")]
    pub needs_no_wire: bool,
    /// Whether it is marked as ignition protected; left out: not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ignition_protected: Option<bool>,
    /// The current it draws; left out if it draws none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub load: Option<Load>,
    /// Its maximum voltage drop, in percent of nominal voltage.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drop_limit_pct: Option<DropPct>,
    /// The least voltage that it needs, as its manufacturer states it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_v: Option<LeastV>,
    /// The largest fuse its manufacturer allows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub max_fuse_a: Option<RatingA>,
    /// The current it draws while it starts.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inrush: Option<Inrush>,
    /// Its function as a navigation light.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub light: Option<LightKind>,
    /// What must be set on it once it runs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub settings: Vec<Setting>,
    /// The stud or screw its conductors land on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stud: Option<Stud>,
    /// The width of the tab its conductors push onto.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tab_mm: Option<TabMm>,
    /// How conductors are joined to its own leads.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub join: Option<Join>,
    /// Whether it is kept from the boat, instead of new.
    #[serde(default, skip_serializing_if = "is_default")]
    pub kept: bool,
    /// Whether it is fitted through the hull below the waterline.
    #[serde(default, skip_serializing_if = "is_default")]
    pub through_hull: bool,
    /// Its signal cables, harnesses and leads.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub cables: Vec<Cable>,
    /// Its footprint where it is mounted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub footprint: Option<Footprint>,
    /// The board it is mounted on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mounting: Option<Mounting>,
}

/// What a device is for, where that decides how it is fed: ahead of the battery switch, or from the start
/// bank. Common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Purpose {
    /// A bilge pump with a float or a sensor that starts it.
    AutomaticBilgePump,
    /// A bilge pump that only a hand switch starts.
    HandBilgePump,
    /// A high-water alarm.
    HighWaterAlarm,
    /// A carbon monoxide alarm.
    CarbonMonoxideAlarm,
    /// The input of a charger or converter that charges a bank.
    Charging,
    /// The memory of a radio or another device.
    Memory,
    /// The key, the gauges and the trim of an engine.
    Engine,
}

impl Purpose {
    /// Every purpose.
    pub const ALL: [Self; 7] = [
        Self::AutomaticBilgePump,
        Self::HandBilgePump,
        Self::HighWaterAlarm,
        Self::CarbonMonoxideAlarm,
        Self::Charging,
        Self::Memory,
        Self::Engine,
    ];

    /// Whether it is a bilge pump of either kind.
    pub fn is_bilge_pump(self) -> bool {
        matches!(self, Self::AutomaticBilgePump | Self::HandBilgePump)
    }

    /// The text for this purpose.
    pub fn words(self) -> &'static str {
        match self {
            Self::AutomaticBilgePump => "automatic bilge pump",
            Self::HandBilgePump => "bilge pump, by hand only",
            Self::HighWaterAlarm => "high-water alarm",
            Self::CarbonMonoxideAlarm => "carbon monoxide alarm",
            Self::Charging => "charging",
            Self::Memory => "memory",
            Self::Engine => "engine key, gauges and trim",
        }
    }

    /// Whether it must work with the battery switch off.
    pub fn is_always_on(self) -> bool {
        matches!(self, Self::AutomaticBilgePump | Self::HighWaterAlarm | Self::CarbonMonoxideAlarm)
    }

    /// Whether it may be fed ahead of the battery switch.
    pub fn may_be_ahead(self) -> bool {
        self.is_always_on() || matches!(self, Self::Charging | Self::Memory)
    }

    /// Whether it may draw from the start bank where there is a house bank.
    pub fn may_use_start_bank(self) -> bool {
        matches!(self, Self::Engine | Self::Charging)
    }
}

/// A cable of a device: to its antenna, sender or speaker, to a network, to another device.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Cable {
    /// Id of the cable, used by its steps and route.
    pub id: CableId,
    /// The label on the cable and in lists; left out: its id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<Label>,
    /// What it is for.
    pub kind: CableKind,
    /// Where its other end goes.
    pub to: CableTo,
    /// The length it comes in, with both ends; left out: it is cut to length, and its ends are made in the boat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// The connector at its device.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub connector: Option<Connector>,
    /// The connector at its other end, which goes first when the cable is pulled.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub far_connector: Option<Connector>,
    /// Its outside diameter; left out: the usual one of its kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub outside_mm: Option<SizeMm>,
    /// The shortest length that its manufacturer allows; left out: it must not be shortened.
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
    /// A location, if the cable plugs into no device of the plan.
    Location(LocationId),
    /// Another device.
    Device(DeviceId),
}

/// A connector at an end of a cable.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Connector {
    /// Its type.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<Name>,
    /// Its width.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width_mm: Option<SizeMm>,
}

impl Cable {
    /// The label on the cable and in lists: its own, or else its id.
    pub fn label_text(&self) -> &str {
        self.label.as_ref().map_or(self.id.as_str(), Label::as_str)
    }

    /// Its outside diameter: the given one, or the usual one of its kind.
    pub fn outside(&self) -> Length {
        self.outside_mm.map_or_else(|| self.kind.usual_diameter(), SizeMm::quantity)
    }

    /// The width of the connector that is pulled through the boat with it, if known.
    pub fn hauled_mm(&self) -> Option<SizeMm> {
        self.far_connector.as_ref().and_then(|connector| connector.width_mm)
    }
}

impl Device {
    /// How many separate supplies it takes.
    pub fn input_count(&self) -> usize {
        self.inputs.map_or(1, usize::from)
    }

    /// The share of nominal voltage that its circuit may lose: its own limit, or the strict limit. A
    /// navigation light always has the strict limit at least. So has a bilge pump by the ISO rules
    /// (ISO 10133, 4.8); in other jobs the shop decides.
    pub fn drop_limit(&self, rules: RuleSet) -> Ratio {
        let own = self.drop_limit_pct.map_or_else(drop::critical_limit, DropPct::quantity);
        let is_pump = self.purpose.is_some_and(Purpose::is_bilge_pump) && rules == RuleSet::Iso;
        if self.light.is_some() || is_pump { own.min(drop::critical_limit()) } else { own }
    }

    /// A device with only a name and a location.
    pub fn new(id: DeviceId, name: Name, location: LocationId) -> Self {
        Self {
            id,
            name,
            location,
            purpose: None,
            inputs: None,
            needs_no_wire: false,
            ignition_protected: None,
            load: None,
            drop_limit_pct: None,
            least_v: None,
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

/// The starting current of a device.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Inrush {
    /// The current.
    pub a: CurrentA,
    /// How long it lasts.
    pub s: Seconds,
}

/// One thing to set on a device.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Setting {
    /// What to set.
    pub name: Name,
    /// The value to set, once known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub value: Option<Name>,
}
