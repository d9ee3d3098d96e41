//! Circuits: a protected feed, its return, and how several devices share it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::feeder::Protection;
use crate::job::value::is_default;
use crate::job::value::{CircuitId, DeviceId, InsulationC, Label, LengthM, Name, PointId, RacewayId};
use crate::trade::conductor::Size;

/// A protected feed out to one or more devices, and its return.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Circuit {
    /// Id of the circuit.
    pub id: CircuitId,
    /// What its wires and lists show; left out: its id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<Label>,
    /// Name of the circuit.
    pub name: Name,
    /// The devices it feeds, in order along the wire, each on a leg of its own.
    pub legs: Vec<Leg>,
    /// The highest number that a leg was ever given, where that leg is there no more.
    #[serde(default, skip_serializing_if = "is_default")]
    pub legs_given: u16,
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
    /// The raceways it takes, from its source to its last device; left out: choose them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub route: Vec<RacewayId>,
    /// Whether its conductors lie in a jacket (duplex and other cable).
    #[serde(default, skip_serializing_if = "is_default")]
    pub jacketed: bool,
    /// How many current-carrying conductors lie in its bundle, its own counted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bundle: Option<u16>,
    /// Color of its positive conductors, in words; left out: by the table of the trade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub color: Option<Label>,
    /// Color of its returns, in words; left out: black.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub return_color: Option<Label>,
    /// Conductors that differ from the circuit in length or size.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conductors: Vec<ConductorOverride>,
}

/// What a circuit has for one of its devices: a positive and a return, labeled by the number of the leg.
///
/// The number is given once. It stays when other legs come and go, and goes to no other leg afterwards.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Leg {
    /// Its number, from 1.
    pub number: u16,
    /// The device.
    pub device: DeviceId,
}

impl Circuit {
    /// The highest number of a leg. A number takes two labels of wires.
    pub const MOST_LEGS: u16 = 10_000;

    /// What its wires and lists show: its label, or else its id.
    pub fn label_text(&self) -> &str {
        self.label.as_ref().map_or(self.id.as_str(), Label::as_str)
    }

    /// The devices it feeds, in order along the wire.
    pub fn devices(&self) -> impl DoubleEndedIterator<Item = &DeviceId> + ExactSizeIterator + Clone {
        self.legs.iter().map(|leg| &leg.device)
    }

    /// Whether it feeds a device.
    pub fn feeds(&self, device: &DeviceId) -> bool {
        self.devices().any(|fed| fed == device)
    }

    /// Feeds these devices from now on, in this order along the wire. A device that is fed already keeps its
    /// leg; any other gets a number that no leg of this circuit ever had.
    pub fn feed(&mut self, devices: impl IntoIterator<Item = DeviceId>) {
        let before = std::mem::take(&mut self.legs);
        let mut given = before.iter().map(|leg| leg.number).fold(self.legs_given, u16::max);
        for device in devices {
            let kept = before.iter().find(|leg| leg.device == device).map(|leg| leg.number);
            let number = kept.unwrap_or_else(|| {
                given = given.saturating_add(1);
                given
            });
            self.legs.push(Leg { number, device });
        }
        let highest = self.legs.iter().map(|leg| leg.number).max();
        self.legs_given = if highest == Some(given) { 0 } else { given };
    }
}

/// One position of a switch panel, counted from 1.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SwitchAt {
    /// The switch panel.
    pub panel: PointId,
    /// The position on it, from 1.
    pub position: u16,
    /// The throws in which it is on, counted from 1, where the switch is on both ways.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub throws: Vec<u16>,
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
