//! The kinds of work that a report speaks of, and the words for each.

use crate::job::phase::Phase;
use crate::job::step::{Action, StepKey};
use crate::job::subject::SubjectKind;

/// One kind of work. Every step of a job belongs to exactly one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Topic {
    /// The boat isolated.
    Isolation,
    /// Old wiring removed.
    StripOut,
    /// Pull strings left in place.
    PullStrings,
    /// Boards made and fastened.
    Boards,
    /// Devices and distribution points mounted.
    Mounting,
    /// Mounting holes sealed.
    Sealing,
    /// Old holes closed.
    OldHoles,
    /// Wires and cables pulled.
    Pulling,
    /// Wires and cables labeled.
    Labels,
    /// Ends terminated.
    Ends,
    /// Switch positions wired.
    Switches,
    /// Panels fitted.
    Panels,
    /// The wiring looked over before power.
    LookOver,
    /// No short circuit before power.
    BetweenPoles,
    /// Circuits and feeders tested without power.
    BeforePower,
    /// First power.
    FirstPower,
    /// Fitted fuses and breakers read.
    Fuses,
    /// Circuits tested under power.
    Circuits,
    /// Signal cables looked over.
    Cables,
    /// Everything on at the same time.
    AllOn,
    /// Feeders tested under load.
    Feeders,
    /// Starters and chargers measured while they run.
    Engines,
    /// Runs tied down.
    TieDown,
    /// Devices set up.
    Settings,
    /// Devices tried at the dock.
    DockTrials,
    /// The boat looked over by a second person.
    SecondLook,
    /// The boat afloat and under way.
    Afloat,
    /// The boat handed over.
    HandOver,
}

/// The words of a topic.
pub(super) enum Words {
    /// Work on several things: what they are called, and what is done to them.
    Things {
        /// One of them.
        one: &'static str,
        /// Several.
        many: &'static str,
        /// What is done: "labeled at both ends".
        done: &'static str,
    },
    /// Work on the boat as a whole.
    Boat {
        /// The sentence when all is done.
        done: &'static str,
        /// The sentence when it is not.
        not_done: &'static str,
    },
}

impl Topic {
    /// All topics, in the order of work.
    pub const ALL: [Self; 28] = [
        Self::Isolation,
        Self::StripOut,
        Self::PullStrings,
        Self::Boards,
        Self::Mounting,
        Self::Sealing,
        Self::OldHoles,
        Self::Pulling,
        Self::Labels,
        Self::Ends,
        Self::Switches,
        Self::Panels,
        Self::LookOver,
        Self::BetweenPoles,
        Self::BeforePower,
        Self::FirstPower,
        Self::Fuses,
        Self::Circuits,
        Self::Cables,
        Self::AllOn,
        Self::Feeders,
        Self::Engines,
        Self::TieDown,
        Self::Settings,
        Self::DockTrials,
        Self::SecondLook,
        Self::Afloat,
        Self::HandOver,
    ];

    /// The topic of a step.
    pub fn of(key: &StepKey) -> Self {
        match key.action {
            Action::Isolate => Self::Isolation,
            Action::Strip => Self::StripOut,
            Action::PullString => Self::PullStrings,
            Action::Cut | Action::Secure => Self::Boards,
            Action::Place | Action::Back | Action::Mount => Self::Mounting,
            Action::Seal | Action::SealBelow => Self::Sealing,
            Action::Close => Self::OldHoles,
            Action::Pull => Self::Pulling,
            Action::Label => Self::Labels,
            Action::Terminate => Self::Ends,
            Action::Wire => Self::Switches,
            Action::Fit => Self::Panels,
            Action::LookOver => Self::LookOver,
            Action::AllOff | Action::NegativeOff | Action::BetweenPoles => Self::BetweenPoles,
            Action::Continuity | Action::Polarity | Action::NoShort => Self::BeforePower,
            Action::MainFuseOut | Action::Connect | Action::FirstPower => Self::FirstPower,
            Action::Fuse | Action::FuseOut => Self::Fuses,
            Action::Test if key.subject.kind == SubjectKind::Feeder => Self::Feeders,
            Action::Test => Self::Circuits,
            Action::Inspect => Self::Cables,
            Action::AllOn => Self::AllOn,
            Action::Crank | Action::Charge => Self::Engines,
            Action::Support | Action::Guard | Action::DripLoop | Action::Relieve | Action::Tie => {
                Self::TieDown
            }
            Action::Set => Self::Settings,
            Action::DockTrial => Self::DockTrials,
            Action::SecondLook => Self::SecondLook,
            Action::Afloat | Action::SeaTrial => Self::Afloat,
            Action::HandOver | Action::LeaveUnsafe => Self::HandOver,
        }
    }

    /// The phase of the work.
    pub fn phase(self) -> Phase {
        match self {
            Self::Isolation | Self::StripOut | Self::PullStrings => Phase::StripOut,
            Self::Boards | Self::Mounting | Self::Sealing | Self::OldHoles => Phase::Mounting,
            Self::Pulling | Self::Labels => Phase::Runs,
            Self::Ends => Phase::Terminations,
            Self::Switches | Self::Panels => Phase::Switches,
            Self::LookOver
            | Self::BetweenPoles
            | Self::BeforePower
            | Self::FirstPower
            | Self::Fuses
            | Self::Circuits
            | Self::Cables
            | Self::AllOn
            | Self::Feeders
            | Self::Engines => Phase::PowerUpTest,
            Self::TieDown => Phase::TieDown,
            Self::Settings | Self::DockTrials | Self::SecondLook | Self::Afloat | Self::HandOver => {
                Phase::Setup
            }
        }
    }

    pub(super) fn words(self) -> Words {
        let things = |one, many, done| Words::Things { one, many, done };
        let boat = |done, not_done| Words::Boat { done, not_done };
        match self {
            Self::Isolation => boat(
                "The batteries were switched off, and zero volts were read.",
                "The boat is not recorded as isolated.",
            ),
            Self::StripOut => things("location", "locations", "stripped of old wiring"),
            Self::PullStrings => things("raceway", "raceways", "left with a pull string"),
            Self::Boards => things("board", "boards", "cut out and fastened to solid structure"),
            Self::Mounting => {
                things("part", "parts (devices, batteries, bars, blocks, panels)", "mounted and tight")
            }
            Self::Sealing => things("wet part", "parts at wet places", "sealed against water"),
            Self::OldHoles => things("location", "locations", "free of open old holes"),
            Self::Pulling => things("wire or cable", "wires and cables", "pulled through the boat"),
            Self::Labels => things("wire or cable", "wires and cables", "labeled at both ends"),
            Self::Ends => things(
                "wire or cable end",
                "wire and cable ends",
                "fitted with terminal or connector, tugged and covered",
            ),
            Self::Switches => {
                things("switch position", "switch positions", "wired, and their labels checked")
            }
            Self::Panels => things("switch panel", "switch panels", "checked and fitted"),
            Self::LookOver => boat(
                "The wiring was looked over with power off: no loose end, every terminal tight and covered.",
                "The wiring is not recorded as looked over with power off.",
            ),
            Self::BetweenPoles => boat(
                "Resistance from positive to negative was measured with power off: no short circuit.",
                "The check for a short circuit with power off is not complete.",
            ),
            Self::BeforePower => things(
                "circuit or feeder",
                "circuits and feeders",
                "tested with power off: continuity, polarity and no short circuit",
            ),
            Self::FirstPower => boat(
                "First power was given with care: main fuse out, then through a test lamp or a current limit.",
                "First power is not recorded as done.",
            ),
            Self::Fuses => things("fuse or breaker", "fuses and breakers", "read, and equal to the plan"),
            Self::Circuits => {
                things("circuit", "circuits", "powered and measured at source and load, and passed")
            }
            Self::Cables => {
                things("signal cable", "signal cables", "looked over (its signal is not measured)")
            }
            Self::AllOn => boat(
                "Everything was switched on at the same time, and volts were measured at each block.",
                "The test with everything on is not recorded as passed.",
            ),
            Self::Feeders => things("feeder", "feeders", "measured at the far end under load, and passed"),
            Self::Engines => {
                things("starter or charger", "starters and chargers", "measured while running, and passed")
            }
            Self::TieDown => things("run", "runs", "tied down and checked"),
            Self::Settings => things("setting", "settings", "made and recorded"),
            Self::DockTrials => things("device", "devices", "tried at the dock, and working"),
            Self::SecondLook => boat(
                "The finished boat was looked over by a second person of the shop.",
                "The finished boat is not recorded as looked over by a second person.",
            ),
            Self::Afloat => boat(
                "Afloat no water came in, and the sea trial was passed.",
                "The boat is not recorded as tried afloat and under way.",
            ),
            Self::HandOver => {
                boat("The boat was handed over to its owner.", "The boat is not recorded as handed over.")
            }
        }
    }
}
