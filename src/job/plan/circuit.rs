//! Circuits: a protected feed, its return, and how several devices share it.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::feeder::Protection;
use crate::job::value::is_default;
use crate::job::value::{CircuitId, DeviceId, InsulationC, Label, LengthM, Name, PointId, RacewayId};
use crate::trade::conductor::Size;

/// A protected feed to one or more devices, and its return.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Circuit {
    /// Id of the circuit.
    pub id: CircuitId,
    /// The label on its wires and lists; left out: its id.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<Label>,
    /// Name of the circuit.
    pub name: Name,
    /// The devices it feeds, in order along the wire, each with a leg of its own.
    pub legs: Vec<Leg>,
    /// The highest number ever given to a leg, if that leg no longer exists.
    #[serde(default, skip_serializing_if = "is_default")]
    pub legs_given: u16,
    /// The distribution point that feeds it.
    pub from: PointId,
    /// Its fuse or breaker.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub protection: Option<Protection>,
    /// The switch in this circuit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub switch: Option<SwitchAt>,
    /// Whether a float switch at its device works it too, on a conductor of its own from the same fuse.
    #[serde(default, skip_serializing_if = "is_default")]
    pub float_switch: bool,
    /// The junction bar in this circuit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub junction: Option<PointId>,
    /// The distribution point its return lands on.
    pub r#return: PointId,
    /// How the devices share the wire.
    #[serde(default, skip_serializing_if = "is_default")]
    pub wiring: Wiring,
    /// The size of its conductors; left out: the program chooses it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<Size>,
    /// Its insulation temperature rating.
    pub insulation_c: InsulationC,
    /// Its length one way, from `from` to the farthest device; it overrides the length of the route.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// The raceways it passes, from its source to its last device; left out: the program chooses them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub route: Vec<RacewayId>,
    /// Whether its conductors have a common jacket (duplex and other cable).
    #[serde(default, skip_serializing_if = "is_default")]
    pub jacketed: bool,
    /// How many current-carrying conductors lie in its bundle, including its own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bundle: Option<u16>,
    /// Color of its positive conductors, as text; left out: from the color table of the trade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub color: Option<Label>,
    /// Color of its returns, as text; left out: black.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub return_color: Option<Label>,
    /// Conductors whose length or size differs from the circuit's.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub conductors: Vec<ConductorOverride>,
}

/// The pair of a circuit for one of its devices: a positive and a return, labeled by the number of the leg.
///
/// The number never changes while other legs are added or removed. It is never given to another leg.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Leg {
    /// Its number, from 1.
    pub number: u16,
    /// The device.
    pub device: DeviceId,
}

impl Circuit {
    /// The highest number of a leg. Each number uses two wire labels.
    pub const MOST_LEGS: u16 = 10_000;

    /// The label on its wires and lists: its own, or else its id.
    pub fn label_text(&self) -> &str {
        self.label.as_ref().map_or(self.id.as_str(), Label::as_str)
    }

    /// Its name and its label, as lists show it: `Forward bilge pump (C06)`.
    pub fn name_and_label(&self) -> String {
        format!("{} ({})", self.name, self.label_text())
    }

    /// The devices it feeds, in order along the wire.
    pub fn devices(&self) -> impl DoubleEndedIterator<Item = &DeviceId> + ExactSizeIterator + Clone {
        self.legs.iter().map(|leg| &leg.device)
    }

    /// Whether it feeds a device.
    pub fn feeds(&self, device: &DeviceId) -> bool {
        self.devices().any(|fed| fed == device)
    }

    /// Sets the devices it feeds, in this order along the wire. A device that is fed already keeps its leg.
    /// Any other gets a number that no leg of this circuit ever had.
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
    /// The panel.
    pub panel: PointId,
    /// The position on the panel, from 1.
    pub position: u16,
    /// The throws in which the circuit is on, counted from 1, if the switch has two on positions.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub throws: Vec<u16>,
}

/// How several devices share a circuit's wire.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Wiring {
    /// One pair runs from device to device.
    #[default]
    Chain,
    /// Each device has its own pair back to the junction bar, switch or source.
    HomeRuns,
}

/// A conductor, named by its two ends, with the values that differ from its circuit's.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ConductorOverride {
    /// Id of the point or device where it begins.
    pub from: Name,
    /// Id of the point or device where it ends.
    pub to: Name,
    /// Its own length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_m: Option<LengthM>,
    /// Its own size.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<Size>,
}
