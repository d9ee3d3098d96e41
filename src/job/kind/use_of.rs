//! How a kind of equipment is used and fed.

use serde::{Deserialize, Serialize};

use crate::job::value::Share;

/// The group of circuits that a kind belongs to. Each group has its own fuse block.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Group {
    /// Navigation and communication.
    Electronics,
    /// Lights, pumps and other small loads.
    LightsAndPumps,
    /// Outlets and sound.
    OutletsAndSound,
    /// Loads with a feeder or breaker of their own.
    LargeLoads,
    /// The engine, its gauges and its safety devices.
    Engine,
    /// Parts that current passes on its path to the devices.
    Distribution,
}

/// How a kind is fed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Feed {
    /// Behind the battery switch, by a position of the switch panel.
    #[default]
    Switched,
    /// Behind the battery switch, without a position: it has its own key or switch.
    OwnKey,
    /// Ahead of the battery switch.
    AlwaysOn,
    /// From the engine by its key and harness.
    Engine,
}

/// Whether a kind needs ignition protection, and whether it usually has it. Only the mark on the part decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ignition {
    /// It is usually mounted where vapor can gather: buy one that is marked.
    Needed,
    /// Usually marked as ignition protected.
    UsuallyMarked,
    /// Seldom marked: keep it out of spaces where vapor can gather.
    #[default]
    SeldomMarked,
}

/// The share of the time that a kind draws its load, in each state of the boat.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(from = "[Share; 4]", into = "[Share; 4]")]
pub struct Duty {
    /// Under way.
    pub under_way: Share,
    /// Drifting or fishing.
    pub drifting: Share,
    /// At anchor overnight.
    pub anchored: Share,
    /// At the dock.
    pub dock: Share,
}

impl From<[Share; 4]> for Duty {
    fn from([under_way, drifting, anchored, dock]: [Share; 4]) -> Self {
        Self { under_way, drifting, anchored, dock }
    }
}

impl From<Duty> for [Share; 4] {
    fn from(Duty { under_way, drifting, anchored, dock }: Duty) -> Self {
        [under_way, drifting, anchored, dock]
    }
}
