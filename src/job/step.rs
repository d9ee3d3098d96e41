//! A step: one thing to be done to one subject.

use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::{Deserialize, Serialize};

use super::phase::Phase;
use super::subject::{Subject, SubjectKind};
use super::value::BadValue;

/// Declares the actions: the phase, the name in keys, the kinds of items, the line on the page, and the finding
/// while the step is open.
macro_rules! actions {
    ($($(#[$doc:meta])* $name:ident = $phase:ident, $word:literal, [$($kind:ident),+], $line:literal, $open:literal;)+) => {
        /// What is done in one step.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Action { $($(#[$doc])* $name,)+ }

        impl Action {
            const ALL: &'static [Self] = &[$(Self::$name),+];

            /// The phase of the action.
            pub fn phase(self) -> Phase {
                match self { $(Self::$name => Phase::$phase,)+ }
            }

            /// The name of the action in keys.
            pub fn word(self) -> &'static str {
                match self { $(Self::$name => $word,)+ }
            }

            /// The text of the action on a page.
            pub fn line(self) -> &'static str {
                match self { $(Self::$name => $line,)+ }
            }

            /// The text of the finding while the step is open.
            pub fn open(self) -> &'static str {
                match self { $(Self::$name => $open,)+ }
            }

            /// Whether it is done to items of this kind.
            pub fn is_done_to(self, kind: SubjectKind) -> bool {
                match self { $(Self::$name => [$(SubjectKind::$kind),+].contains(&kind),)+ }
            }
        }
    };
}

actions! {
    /// The boat isolated. This is a state: it begins with a reading of zero volts, and ends when the battery is
    /// connected.
    Isolate = StripOut, "isolate", [Job], "Isolated: batteries off, shore cord out, posts covered, zero volts read", "not isolated";
    /// A location stripped of all old wiring.
    Strip = StripOut, "strip", [Location], "Old wiring removed, parts to keep set aside", "not stripped";
    /// Pull string left in a raceway.
    PullString = StripOut, "pull-string", [Raceway], "Pull string left in place", "no pull string";
    /// A board made, before anything is mounted on it.
    Cut = Mounting, "cut", [Board], "Cut to size, cut-outs and holes made, edges sealed", "not cut out";
    /// A board fastened in the boat.
    Secure = Mounting, "secure", [Board], "Fastened to solid structure", "board not fastened";
    /// A device or distribution point held in its position, before any hole is drilled.
    Place = Mounting, "place", [Device, Point], "Held in place: it fits, and can be reached and read", "not placed";
    /// Solid backing installed behind it.
    Back = Mounting, "back", [Device, Point], "Solid backing behind it", "not backed";
    /// A device or distribution point fastened.
    Mount = Mounting, "mount", [Device, Point], "Fastened, and tight", "not fastened";
    /// Mounting holes sealed where water reaches.
    Seal = Mounting, "seal", [Device, Point], "Holes bedded in sealant", "not sealed";
    /// Everything below the waterline sealed against the sea.
    SealBelow = Mounting, "seal-below", [Device, Point], "Sealed below the waterline: bedded all round, no thread left bare", "not sealed below the waterline";
    /// Unused holes closed.
    Close = Mounting, "close", [Location], "Old holes closed", "old holes still open";
    /// A conductor or cable pulled.
    Pull = Runs, "pull", [Conductor, Cable], "Pulled from the device back to the console", "not pulled";
    /// A conductor or cable labeled at both ends.
    Label = Runs, "label", [Conductor, Cable], "Labeled at both ends", "not labeled";
    /// An end terminated.
    Terminate = Terminations, "terminate", [End], "Terminal or connector fitted, tugged and covered", "not terminated";
    /// A switch position wired on the bench.
    Wire = Switches, "wire", [Position], "Wired on the bench and label checked", "not wired";
    /// A switch panel fitted after its bench work.
    Fit = Switches, "fit", [Point], "Bench list checked, panel fitted in one piece", "panel not fitted";
    /// Everything inspected before any power.
    LookOver = PowerUpTest, "look-over", [Job], "Looked over: no loose end, no bare strand, every terminal tight and covered", "not looked over";
    /// Every switch off, every fuse of the circuits out.
    AllOff = PowerUpTest, "all-off", [Job], "Every switch off, every circuit\u{2019}s fuse out", "not all switched off";
    /// The negative disconnected from every battery.
    NegativeOff = PowerUpTest, "negative-off", [Job], "Negative off every battery and covered", "battery negative still on";
    /// Resistance between positive and negative, before power.
    BetweenPoles = PowerUpTest, "between-poles", [Job], "Resistance from positive to negative measured with power off: no short circuit", "resistance from positive to negative not measured";
    /// Continuity of a circuit's negative or of a feeder, before power.
    Continuity = PowerUpTest, "continuity", [Circuit, Feeder], "Continuity measured with power off", "continuity not measured";
    /// No short circuit in the wires of a circuit or feeder, before power.
    NoShort = PowerUpTest, "no-short", [Circuit, Feeder], "No short circuit: resistance from positive to negative measured, fuse out, devices unplugged or off", "not measured for a short circuit";
    /// Polarity of the wires of a circuit or feeder, before power.
    Polarity = PowerUpTest, "polarity", [Circuit, Feeder], "Positive and negative traced to the right terminals", "polarity not checked";
    /// The main fuse out before the battery is connected.
    MainFuseOut = PowerUpTest, "main-fuse-out", [Job], "Main fuse out", "main fuse not out";
    /// The battery connected: the boat is no longer isolated.
    Connect = PowerUpTest, "connect", [Job], "Battery connected, posts covered", "battery not connected";
    /// Power for the first time, through a lamp or a current limit.
    FirstPower = PowerUpTest, "first-power", [Job], "First power through a test lamp or a current limit in place of the main fuse: lamp dark, volts on every block; then the fuse in", "no first power yet";
    /// The rating of the fitted fuse or breaker read.
    Fuse = PowerUpTest, "fuse", [Circuit, Feeder], "Fitted fuse read: equal to the plan", "fitted fuse not read";
    /// The fuse of a circuit or feeder out. This is a state: undone means that the fuse is in.
    FuseOut = PowerUpTest, "fuse-out", [Circuit, Feeder], "Fuse out", "fuse in";
    /// A circuit powered and measured, or the far end of a feeder measured under load.
    Test = PowerUpTest, "test", [Circuit, Feeder], "Powered, measured and passed", "not tested";
    /// A cable inspected. Tests of its own kind are not part of the program yet.
    Inspect = PowerUpTest, "inspect", [Cable], "Looked over: connectors tight, no kink, nothing pinched", "not looked over";
    /// Every circuit on at the same time, and the voltage measured at each block.
    AllOn = PowerUpTest, "all-on", [Job], "Everything on: volts measured at each block", "not tested with everything on";
    /// An engine's starter measured while it cranks.
    Crank = PowerUpTest, "crank", [Point], "Starter turned: volts measured while cranking", "not measured while cranking";
    /// A charger or alternator measured while it charges.
    Charge = PowerUpTest, "charge", [Point], "Charging: volts measured at its bank", "charging volts not measured";
    /// A run supported.
    Support = TieDown, "support", [Circuit, Feeder, Cable], "Supported: nothing hangs", "not supported";
    /// A run protected from chafe where it passes an edge.
    Guard = TieDown, "guard", [Circuit, Feeder, Cable], "Protected from chafe at every edge", "edges not guarded";
    /// A drip loop where water could run along the wire to a terminal.
    DripLoop = TieDown, "drip-loop", [Circuit, Feeder, Cable], "Drip loop left before every terminal that water could reach", "no drip loop";
    /// Strain taken off the terminals.
    Relieve = TieDown, "relieve", [Circuit, Feeder, Cable], "Strain relief at every terminal", "strain not relieved";
    /// A run tied down.
    Tie = TieDown, "tie", [Circuit, Feeder, Cable], "Tied down and checked", "not tied down";
    /// A setting made.
    Set = Setup, "set", [Setting], "Set and recorded", "not set";
    /// A device proven at the dock: it does what it is for.
    DockTrial = Setup, "dock-trial", [Device], "Dock trial: switched on, and does what it is for", "no dock trial yet";
    /// The finished boat looked over by somebody who did not do most of the work.
    SecondLook = Setup, "second-look", [Job], "Looked over by a second person of the shop", "not looked over by a second person";
    /// The boat afloat: nothing that was fitted lets water in.
    Afloat = Setup, "afloat", [Job], "Afloat: no water at any seal or closed hole", "not seen afloat";
    /// The trial under way.
    SeaTrial = Setup, "sea-trial", [Job], "Sea trial: depth, pilot and charging right under way", "no sea trial yet";
    /// The boat handed over.
    HandOver = Setup, "hand-over", [Job], "Handed over to the customer", "not handed over";
    /// The boat left the shop although it is not safe to use. This is a state and not work.
    LeaveUnsafe = Setup, "leave-unsafe", [Job], "Left as not safe to use, signed by the customer", "not left as not safe to use";
}

impl Action {
    /// Whether it is a tie-down step or a part of one.
    pub fn ties(self) -> bool {
        self.phase() == Phase::TieDown
    }
}

/// A step by its subject and action; written `circuit/C01/test`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct StepKey {
    /// What the step is done to.
    pub subject: Subject,
    /// What is done.
    pub action: Action,
}

impl StepKey {
    /// A step by the kind and id of its subject.
    pub fn of(kind: SubjectKind, id: impl fmt::Display, action: Action) -> Self {
        Self { subject: Subject::new(kind, id), action }
    }

    /// A step of the boat as a whole.
    pub fn of_boat(action: Action) -> Self {
        Self::of(SubjectKind::Job, "job", action)
    }

    /// Another step of the same subject.
    pub fn also(&self, action: Action) -> Self {
        Self { subject: self.subject.clone(), action }
    }

    /// Whether this is a state that begins and ends, and not work that has to be done.
    pub fn is_state(&self) -> bool {
        matches!(self.action, Action::FuseOut | Action::LeaveUnsafe)
    }
}

impl fmt::Display for StepKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.subject, self.action.word())
    }
}

impl FromStr for StepKey {
    type Err = BadValue;

    fn from_str(text: &str) -> Result<Self, BadValue> {
        let bad = || BadValue {
            got: text.to_owned(),
            expected: "a step as kind, id and action, such as circuit/C01/test",
        };
        let (subject, word) = text.rsplit_once('/').ok_or_else(bad)?;
        let action = Action::ALL.iter().copied().find(|action| action.word() == word).ok_or_else(bad)?;
        Ok(Self { subject: subject.parse().map_err(|_| bad())?, action })
    }
}

impl TryFrom<String> for StepKey {
    type Error = BadValue;

    fn try_from(text: String) -> Result<Self, BadValue> {
        text.parse()
    }
}

impl From<StepKey> for String {
    fn from(key: StepKey) -> Self {
        key.to_string()
    }
}

impl JsonSchema for StepKey {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> Cow<'static, str> {
        "StepKey".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": "string", "pattern": "^[a-z-]+/[^/]+/[a-z-]+$",
            "description": "a step as kind, id and action, such as circuit/C01/test"
        })
    }
}
