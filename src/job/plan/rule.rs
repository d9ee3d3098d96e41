//! The rules that a plan is proposed by.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Declares the rules: each with its number and its sentence.
macro_rules! rules {
    ($($name:ident = $number:literal, $text:literal;)+) => {
        /// A rule for proposing a plan. Common practice, no source, where the sentence names none.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        pub enum Rule {
            $(
                #[doc = $text]
                #[serde(rename = $number)]
                $name,
            )+
        }

        impl Rule {
            /// Every rule.
            pub const ALL: &'static [Self] = &[$(Self::$name,)+];

            /// Its number.
            pub fn number(self) -> &'static str {
                match self { $(Self::$name => $number,)+ }
            }

            /// Its sentence.
            pub fn sentence(self) -> &'static str {
                match self { $(Self::$name => $text,)+ }
            }
        }
    };
}

rules! {
    Locations = "P1", "The hull pattern gives the locations. Nothing without ignition protection goes where vapor can gather.";
    Raceways = "P2", "The hull pattern gives the raceways. Their lengths and bores are to be measured, and each gets a pull string.";
    AlwaysOn = "P3", "Ahead of the battery switch are only float pumps, alarms for water and carbon monoxide, charging and memory.";
    BatterySwitches = "P4", "Each bank has its own battery switch. Starter cables have no fuse; charge leads are fused at their bank.";
    LargeLoads = "P5", "A large load has its own breaker at the nearest bar, and its control wires have a fuse of 3 to 5 A.";
    Negatives = "P6", "Returns go to the negative bar at the block that feeds them, one for each input of a device.";
    Blocks = "P7", "Each group of circuits has its own block, with one feeder that is fused at its source.";
    Circuits = "P8", "One switch function is one circuit. Lights of one name are chained; critical equipment has its own fuse.";
    Lights = "P9", "A two-pole on-off-on switch shows only legal navigation lights in each throw.";
    BilgePumps = "P10", "One fuse of the rating that the pump's manufacturer gives feeds both the float and the hand switch at the helm.";
    Panel = "P11", "Each switched circuit has one position. A fifth of the positions, and two at least, are spare.";
    Engine = "P12", "Key and gauges come from the start bank by the harness. Safety devices of the engine are items to test.";
    Network = "P13", "The network backbone has its own 12 V feed with 3 A, behind the switch.";
    Cables = "P14", "The kind of a device decides the cables it needs.";
    Sizes = "P15", "Sizes follow from the design load: continuous loads and the largest short one, not everything at once.";
    TwoVoltages = "P16", "Equipment for 12 V only gets a converter, a block and negatives of its own on a 24 V boat.";
    Modes = "P17", "The hull pattern gives the hours of each mode, and the kinds give their shares and settings.";
    Colors = "P18", "Colors follow the table of functions. Labels are the terms that a customer uses.";
}
