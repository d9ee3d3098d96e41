//! The result of a check: a code, a level, a sentence, the value and its limit.

use serde::{Deserialize, Serialize};

use super::say::{Part, Statement, say};
use super::working::Working;

/// How serious a finding is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// For information.
    Note,
    /// Breaks a rule or good practice, or an input is missing.
    Fix,
    /// Do not energize the circuit and do not hand over the boat.
    Stop,
}

impl Level {
    /// The level as written in files and on pages.
    pub fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Fix => "fix",
            Self::Stop => "stop",
        }
    }
}

/// Declares the codes. Each has a level and a line that says what is wrong.
macro_rules! codes {
    ($($(#[$doc:meta])* $name:ident = $text:literal, $level:ident;)+) => {
        /// A short kebab-case phrase that says what is wrong.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Code { $($(#[$doc])* $name,)+ }

        impl Code {
            /// Every code, in the order of this table.
            pub const ALL: &'static [Code] = &[$(Code::$name),+];

            /// The phrase as written in files and on pages.
            pub fn phrase(self) -> &'static str {
                match self { $(Code::$name => $text,)+ }
            }

            /// The level a finding of this code has.
            pub fn level(self) -> Level {
                match self { $(Code::$name => Level::$level,)+ }
            }
        }
    };
}

codes! {
    /// An input that a check needs is not entered.
    InputMissing = "input-missing", Fix;
    /// A check is not made, because nothing that it needs is entered.
    NotChecked = "not-checked", Note;
    /// Values that a proposal supposed are neither measured nor confirmed.
    NotMeasured = "not-measured", Fix;
    /// The internal resistance of a battery is not entered; a usual figure is supposed.
    ResistanceSupposed = "internal-resistance-supposed", Note;
    /// A battery switch joins batteries that belong apart.
    SwitchJoinsBatteries = "battery-switch-joins-batteries", Fix;
    /// The voltage of a source does not match the voltage of the boat.
    SourceNotNominal = "source-not-nominal", Fix;
    /// Batteries of different chemistry are joined.
    BatteryKindsDiffer = "batteries-of-different-kinds", Fix;
    /// Joined batteries differ in voltage, so that one feeds the other.
    BatteriesFeedEachOther = "batteries-feed-each-other", Fix;
    /// Joined batteries differ in voltage by more than their state of charge explains.
    BatteryVoltagesDiffer = "batteries-of-different-voltage-joined", Stop;
    /// The starter cables lose more voltage than the limit.
    StarterCableDrop = "starter-cable-drop-over-limit", Fix;
    /// No combination of switches gives lights that are legal under power.
    NoLightsUnderPower = "no-legal-lights-under-power", Fix;
    /// No combination of switches gives lights that are legal under sail.
    NoLightsUnderSail = "no-legal-lights-under-sail", Fix;
    /// No lights are legal under sail or oars, on a boat where a flashlight is enough.
    FlashlightNeeded = "flashlight-needed", Note;
    /// The anchor light is missing, or cannot be lit alone.
    NoAnchorLight = "no-anchor-light", Fix;
    /// Some combinations of switches show lights that mislead other boats.
    LightsMislead = "misleading-lights", Note;
    /// The lights have more switches than can be checked in all combinations.
    LightsNotChecked = "lights-not-checked", Fix;
    /// The use pattern cannot be followed.
    UsePatternInvalid = "use-pattern-invalid", Fix;
    /// The bank falls below its minimum state of charge in the use pattern.
    BankTooSmall = "bank-too-small", Fix;
    /// Nothing in the use pattern charges the bank fully.
    NeverFull = "never-fully-charged", Note;
    /// The battery voltage falls below the limit while the engine is cranked.
    CrankingVoltageLow = "cranking-voltage-low", Fix;
    /// The bank is too cold to be charged.
    TooColdToCharge = "too-cold-to-charge", Fix;
    /// The calculated drop is over the limit.
    DropOverLimit = "drop-over-limit", Fix;
    /// The design current is over the ampacity of the conductor.
    CurrentOverAmpacity = "current-over-ampacity", Stop;
    /// The rules have no ampacity for this conductor.
    NoAmpacity = "no-ampacity", Stop;
    /// The conductor is thinner than the smallest size allowed.
    UnderMinimumSize = "under-minimum-size", Fix;
    /// The search for sizes ended before every limit was kept.
    SizesNotSettled = "sizes-not-settled", Note;
    /// An exemption is claimed that the figures of the circuit contradict.
    ExemptionNotMet = "exemption-not-met", Fix;
    /// No standard size meets every limit.
    NoSizeFits = "no-size-fits", Stop;
    /// The fuse or breaker is larger than the conductor allows.
    FuseOverWire = "fuse-over-wire", Stop;
    /// The fuse or breaker is larger than the derated ampacity, though the rule still allows it.
    FuseOverAmpacity = "fuse-over-ampacity", Note;
    /// The fuse or breaker is smaller than the load.
    FuseUnderLoad = "fuse-under-load", Fix;
    /// The fuse or breaker is larger than the manufacturer of the device allows.
    FuseOverDevice = "fuse-over-device", Fix;
    /// The load is over what the fuse or breaker carries for hours.
    FuseNearLoad = "fuse-near-load", Note;
    /// No standard rating lies between the load and what the conductor allows.
    NoRatingFits = "no-standard-rating-fits", Fix;
    /// This kind of fuse or breaker is not usually rated for this voltage.
    FuseVoltageLow = "fuse-voltage-rating-low", Fix;
    /// The time-current curve as entered is impossible.
    CurveImpossible = "time-current-curve-impossible", Fix;
    /// A cable to a battery switch has no protection, and the law requires none.
    UnfusedToSwitch = "unfused-to-battery-switch", Note;
    /// A fuse or breaker is in a negative conductor.
    FuseInNegative = "fuse-in-negative", Fix;
    /// The largest fuse that the manufacturer of a device allows is not entered.
    DeviceFuseUnknown = "device-fuse-unknown", Note;
    /// The distance of the protection along the conductor is more than the conductor's length.
    FuseBeyondWire = "fuse-beyond-wire-end", Fix;
    /// Nothing joins the negatives of two engines.
    EnginesApart = "engines-without-common-negative", Fix;
    /// A starter cable overheats before cranking ends.
    StarterCableOverheats = "starter-cable-overheats", Stop;
    /// The inrush current of a device is below its running current.
    InrushUnderLoad = "inrush-below-running-current", Fix;
    /// The rating is not a standard rating of its kind.
    RatingNotStandard = "rating-not-standard", Fix;
    /// An ungrounded conductor has no protection.
    Unprotected = "unprotected", Stop;
    /// A battery feeds a conductor from its far end without sufficient protection.
    FarEndUnprotected = "far-end-unprotected", Stop;
    /// The protection is far larger than the output of its alternator.
    FuseOverAlternator = "fuse-over-alternator", Note;
    /// The protection is too far from its source of power.
    FuseFarFromSource = "fuse-far-from-source", Stop;
    /// Wire without a jacket lies between a battery and its protection.
    NoJacketToFuse = "no-jacket-to-fuse", Note;
    /// The inrush of a motor may blow its fuse.
    InrushBlowsFuse = "inrush-blows-fuse", Fix;
    /// A short circuit at the far end may not blow the fuse or trip the breaker.
    FaultTooLow = "fault-current-too-low", Fix;
    /// A short circuit can drive more current than the protection can interrupt.
    InterruptUnderFault = "interrupt-rating-under-fault", Stop;
    /// A short circuit can drive more current than this kind usually interrupts. The rating of the part
    /// itself is not entered.
    InterruptUnconfirmed = "interrupt-rating-unconfirmed", Fix;
    /// The protection of the feeder is no larger than that of its branch.
    FeederTripsFirst = "feeder-trips-first", Fix;
    /// The protection of the feeder may trip together with that of its branch.
    FeederMayTripToo = "feeder-may-trip-too", Note;
    /// A device has no drop limit, so the strict limit is used.
    DropLimitAssumed = "drop-limit-assumed", Note;
    /// The lengths between devices on one circuit are not entered; the whole length is used.
    DeviceLengthsAssumed = "device-lengths-assumed", Note;
    /// More current passes a distribution point than its rating.
    PointOverRating = "distribution-point-over-rating", Fix;
    /// More current passes a switch than its rating.
    SwitchOverRating = "switch-over-rating", Fix;
    /// More circuits connect to a distribution point than it has positions.
    TooFewPositions = "too-few-positions", Fix;
    /// One switch position works several circuits.
    SwitchShared = "switch-shared", Note;
    /// The label of a position names something other than what its switch works.
    LabelWrong = "label-wrong", Fix;
    /// The label of a position does not name what its switch works.
    LabelUnclear = "label-unclear", Note;
    /// Positions of a panel switch nothing.
    PositionsFree = "positions-free", Note;
    /// No switch of a panel works these circuits.
    CircuitsUnswitched = "circuits-unswitched", Note;
    /// A device needs a wire and has none.
    DeviceWithoutWire = "device-without-wire", Fix;
    /// Two circuits feed one device from different sides of a battery switch, or from different banks.
    BackFeed = "back-feed", Fix;
    /// More negatives land on a device than it has separate supplies.
    NegativesOverInputs = "negatives-over-inputs", Fix;
    /// The load of a device counts once for each circuit that feeds it.
    LoadCountedTwice = "load-counted-twice", Note;
    /// What must always work can be switched off.
    AlwaysOnBehindSwitch = "always-on-behind-switch", Fix;
    /// A device is fed ahead of the battery switch without a reason.
    AheadOfBatterySwitch = "ahead-of-battery-switch", Fix;
    /// A house load draws from the bank that starts an engine.
    HouseLoadOnStartBank = "house-load-on-start-bank", Fix;
    /// One contact of a switch joins two fuses.
    FusesOnOneContact = "fuses-on-one-contact", Fix;
    /// More terminals are on a stud than it may hold.
    TerminalsOverStud = "terminals-over-stud", Fix;
    /// A circuit needs more than the rating of its position.
    PositionOverRating = "position-over-rating", Fix;
    /// Every position of a bar, block or panel is in use.
    NoSparePosition = "no-spare-position", Note;
    /// A fuse is larger than the rating of its holder.
    FuseOverHolder = "fuse-over-holder", Fix;
    /// A blade fuse sits on the post of a battery whose short-circuit current is not known.
    BladeFuseAtBattery = "blade-fuse-at-battery", Fix;
    /// An entered length is far below the distance between the ends of the wire.
    LengthImplausible = "length-implausible", Fix;
    /// A part is not ignition protected where vapor can gather.
    NotIgnitionProtected = "not-ignition-protected", Stop;
    /// Nobody entered whether a part is ignition protected, where vapor can gather.
    IgnitionProtectionUnknown = "ignition-protection-unknown", Fix;
    /// No feeder leads to it from a source.
    Unfed = "unfed", Fix;
    /// No feeder leads from its negative back to a source.
    NoReturn = "no-return", Fix;
    /// The current can take more than one path.
    SeveralFeeders = "several-feeders", Note;
    /// A calculation was left out because the plan is too large for it.
    WorkLimit = "work-limit", Fix;
    /// The solved drop of a circuit is over the limit of the device, though the calculated drop keeps it.
    SolvedDropOverLimit = "solved-drop-over-limit", Fix;
    /// The total drop, battery to device, is over 6 % for a critical device, or over 13 %.
    TotalDrop = "total-drop-over-limit", Fix;
    /// The total drop, battery to a critical device, is over 3 %.
    TotalDropNoted = "total-drop-over-good-practice", Note;
    /// A device gets less than the least voltage that its manufacturer states.
    UnderLeastVolts = "voltage-under-least", Fix;
    /// The voltages and currents of the network cannot be calculated in a state of the boat.
    NotSolved = "network-not-solved", Stop;
    /// The law does not apply to this boat.
    LawNotBinding = "law-not-mandatory", Note;
    /// The size of a starter cable is left to the manual of the engine.
    CrankingNotChecked = "cranking-not-checked", Note;
    /// A record refers to an item that is not in the plan.
    RecordWithoutItem = "record-without-item", Note;
    /// No raceways lead from one location to another.
    NoRacewayBetween = "no-raceway-between", Fix;
    /// The length of a wire within one location is not known.
    LengthWithinLocation = "length-within-location-unknown", Note;
    /// A route set by hand does not lead to the ends of its wire.
    RouteInvalid = "route-invalid", Fix;
    /// The length entered is less than the length of the route.
    LengthUnderRoute = "length-under-route", Fix;
    /// A wire has a color that could be mistaken for another use.
    ColorMisleads = "color-misleads", Fix;
    /// The length entered covers the route but not the rises and loops at its ends.
    LengthWithoutSlack = "length-without-slack", Note;
    /// A raceway holds more than its limit.
    RacewayOverfilled = "raceway-overfilled", Fix;
    /// A full raceway sends a run along another route.
    Rerouted = "rerouted-around-full-raceway", Note;
    /// Sizes and routes keep changing each other; the larger size is counted.
    RoutesNotSettled = "routes-not-settled", Note;
    /// A factory cable is too short.
    CableTooShort = "cable-too-short", Fix;
    /// A connector does not pass a raceway on its route.
    ConnectorTooWide = "connector-too-wide", Fix;
    /// A cable must be pulled before others, while its connector still passes.
    PullFirst = "pull-first", Note;
    /// A join in a factory cable would be in a wet location.
    JoinInWetLocation = "join-in-wet-location", Fix;
    /// No standard terminal of this kind fits the conductor and the stud.
    NoStandardTerminal = "no-standard-terminal", Fix;
    /// Two labels differ only by a number.
    LabelsAlike = "labels-alike", Note;
    /// The parts of a board do not fit it.
    BoardTooSmall = "board-too-small", Fix;
    /// No layout of a board was found, though one may exist.
    NoLayoutFound = "no-layout-found", Note;
    /// Two parts of a board overlap.
    PartsOverlap = "parts-overlap", Fix;
    /// A part or its clearance extends beyond its board.
    PartOffBoard = "part-off-board", Fix;
    /// A part is in the clearance of another.
    ClearanceTooSmall = "clearance-too-small", Fix;
    /// A part is too near something hot.
    TooNearHeat = "too-near-heat", Fix;
    /// Something magnetic is too near a compass.
    TooNearCompass = "too-near-compass", Fix;
    /// Water reaches a part that is not splashproof.
    NotSplashproof = "not-splashproof", Fix;
    /// The thread engagement of a screw is too short.
    ThreadTooShort = "thread-engagement-too-short", Fix;
    /// Conductors are joined by a twist-on connector.
    WireNut = "wire-nut", Fix;
    /// A join is not sealed where water reaches it.
    JoinNotSealed = "join-not-sealed", Fix;
    /// The latest sample of a group of crimps held less than the required force.
    CrimpSampleFailed = "crimp-sample-failed", Stop;
}

impl Code {
    /// Whether it concerns a board or a part mounted on one.
    pub fn is_of_boards(self) -> bool {
        matches!(
            self,
            Self::BoardTooSmall
                | Self::NoLayoutFound
                | Self::PartsOverlap
                | Self::PartOffBoard
                | Self::ClearanceTooSmall
                | Self::TooNearHeat
                | Self::TooNearCompass
                | Self::NotSplashproof
                | Self::ThreadTooShort
        )
    }
}

impl Serialize for Code {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.phrase())
    }
}

/// A value and its limit in one unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Against {
    /// The value.
    pub value: f64,
    /// The limit.
    pub limit: f64,
    /// The unit of both: `A`, `V`, `%`, `m`, `mm2`.
    pub unit: &'static str,
}

/// One result of a check. It does not yet name the item that it concerns.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RuleFinding {
    /// What is wrong.
    pub code: Code,
    /// How serious it is.
    pub level: Level,
    /// What is wrong, the value, the limit, what to do. In JSON its text in metric units.
    pub text: Statement,
    /// The value and its limit, where the check compared two figures.
    #[serde(flatten)]
    pub against: Option<Against>,
    /// The working of the figure that failed, where there is one.
    pub working: Option<Working>,
    /// The input that is missing, in the fixed English of the check, where one is.
    #[serde(skip)]
    pub lacks: Option<&'static str>,
}

impl RuleFinding {
    /// A finding at the level of its code.
    pub fn new(code: Code, text: Statement) -> Self {
        Self { code, level: code.level(), text, against: None, working: None, lacks: None }
    }

    /// A missing input that a check needs. `input`: what to enter, `needed_for`: what is not checked without
    /// it.
    pub fn missing(input: impl Into<Part>, needed_for: impl Into<Part>) -> Self {
        let input = input.into();
        let lacks = input.fixed();
        Self { lacks, ..Self::new(Code::InputMissing, enter(input, needed_for.into())) }
    }

    /// A check that is not made because nothing that it needs is entered.
    pub fn not_checked(lacks: impl Into<Part>, what: impl Into<Part>) -> Self {
        let input = lacks.into();
        let lacks = input.fixed();
        Self { lacks, ..Self::new(Code::NotChecked, enter(input, what.into())) }
    }

    /// The same finding with the value and the limit that were compared.
    pub fn against(mut self, value: f64, limit: f64, unit: &'static str) -> Self {
        self.against = Some(Against { value, limit, unit });
        self
    }

    /// The same finding with the working of the figure that failed.
    pub fn working(mut self, working: Working) -> Self {
        self.working = Some(working);
        self
    }
}

fn enter(input: Part, needed_for: Part) -> Statement {
    say!("Enter {}. This is needed to check {}.", input, needed_for)
}
