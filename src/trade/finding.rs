//! What a computed check has to say.

use serde::Serialize;

use super::working::Working;

/// How much a finding holds up.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Level {
    /// Worth knowing.
    Note,
    /// Breaks a rule or good practice, or an input is missing.
    Fix,
    /// Do not energize, do not hand over.
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

/// Declares the codes with the level each one has and a line that says what is wrong.
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
    /// An input that a check needs was not given.
    InputMissing = "input-missing", Fix;
    /// Nothing of what a check goes by is given, so that it was not made at all.
    NotChecked = "not-checked", Note;
    /// A source gives a voltage that is not that of the boat.
    SourceNotNominal = "source-not-nominal", Fix;
    /// Batteries of unlike kinds are tied together.
    BatteryKindsDiffer = "batteries-of-different-kinds", Fix;
    /// Batteries of unlike voltage are tied together.
    BatteriesFeedEachOther = "batteries-feed-each-other", Fix;
    /// Batteries are tied together that stand further apart than any state of charge explains.
    BatteryVoltagesDiffer = "batteries-of-different-voltage-joined", Stop;
    /// The starter cables lose too much.
    StarterCableDrop = "starter-cable-drop-over-limit", Fix;
    /// No combination of switches gives lights that are legal under power.
    NoLightsUnderPower = "no-legal-lights-under-power", Fix;
    /// No combination of switches gives lights that are legal under sail.
    NoLightsUnderSail = "no-legal-lights-under-sail", Fix;
    /// No lights are legal under sail or oars, on a boat that a torch will do for.
    FlashlightNeeded = "flashlight-needed", Note;
    /// The anchor light is not there, or cannot burn alone.
    NoAnchorLight = "no-anchor-light", Fix;
    /// Some combinations of switches show lights that tell other boats something wrong.
    LightsMislead = "misleading-lights", Note;
    /// The lights hang on more switches than can be gone through.
    LightsNotChecked = "lights-not-checked", Fix;
    /// The use pattern is none that can be followed.
    UsePatternInvalid = "use-pattern-invalid", Fix;
    /// The bank falls below its floor in the use pattern.
    BankTooSmall = "bank-too-small", Fix;
    /// Nothing in the use pattern brings the bank back to full.
    NeverFull = "never-fully-charged", Note;
    /// The bank may not start the engine after the use pattern.
    CrankingVoltageLow = "cranking-voltage-low", Fix;
    /// The bank is too cold to be charged.
    TooColdToCharge = "too-cold-to-charge", Fix;
    /// The drop by the handbook way is over the limit.
    DropOverLimit = "drop-over-limit", Fix;
    /// The design current is over what the conductor may carry.
    CurrentOverAmpacity = "current-over-ampacity", Stop;
    /// The rules give no allowable current for this conductor.
    NoAmpacity = "no-ampacity", Stop;
    /// The conductor is thinner than the smallest allowed.
    UnderMinimumSize = "under-minimum-size", Fix;
    /// An exemption is claimed that the circuit's own figures contradict.
    ExemptionNotMet = "exemption-not-met", Fix;
    /// No made size meets every limit.
    NoSizeFits = "no-size-fits", Stop;
    /// The fuse or breaker is larger than the conductor allows.
    FuseOverWire = "fuse-over-wire", Stop;
    /// Larger than the derated ampacity, though the rule still allows it.
    FuseOverAmpacity = "fuse-over-ampacity", Note;
    /// The fuse or breaker is smaller than the load.
    FuseUnderLoad = "fuse-under-load", Fix;
    /// The fuse or breaker is larger than the device's manufacturer allows.
    FuseOverDevice = "fuse-over-device", Fix;
    /// The load is over what the fuse or breaker carries for hours.
    FuseNearLoad = "fuse-near-load", Note;
    /// No made rating lies between the load and what the conductor allows.
    NoRatingFits = "no-standard-rating-fits", Fix;
    /// The kind of fuse or breaker is not usually made for this voltage.
    FuseVoltageLow = "fuse-voltage-rating-low", Fix;
    /// What is given as the manufacturer's curve cannot be so.
    CurveImpossible = "time-current-curve-impossible", Fix;
    /// A cable to a battery switch has no protection, and the law asks none.
    UnfusedToSwitch = "unfused-to-battery-switch", Note;
    /// A fuse or breaker sits in a return.
    FuseInNegative = "fuse-in-negative", Fix;
    /// The largest fuse that a device's manufacturer allows is not given.
    DeviceFuseUnknown = "device-fuse-unknown", Note;
    /// Protection sits farther along than its conductor is long.
    FuseBeyondWire = "fuse-beyond-wire-end", Fix;
    /// Nothing joins the negatives of two engines.
    EnginesApart = "engines-without-common-negative", Fix;
    /// A starter cable would burn before the starter's current is over.
    StarterCableOverheats = "starter-cable-overheats", Stop;
    /// A surge is given that is no surge.
    InrushUnderLoad = "inrush-below-running-current", Fix;
    /// The rating is not one that is made in its family.
    RatingNotStandard = "rating-not-standard", Fix;
    /// An ungrounded conductor has no protection.
    Unprotected = "unprotected", Stop;
    /// A battery feeds a conductor from its far end, past no protection that does for it.
    FarEndUnprotected = "far-end-unprotected", Stop;
    /// The protection is far larger than what its alternator gives.
    FuseOverAlternator = "fuse-over-alternator", Note;
    /// The protection sits too far from its source of power.
    FuseFarFromSource = "fuse-far-from-source", Stop;
    /// A motor's surge may open its fuse.
    InrushBlowsFuse = "inrush-blows-fuse", Fix;
    /// A short circuit at the far end may not open the protection.
    FaultTooLow = "fault-current-too-low", Fix;
    /// A short circuit can drive more than the protection can break.
    InterruptUnderFault = "interrupt-rating-under-fault", Stop;
    /// The same by what its kind usually breaks, the part's own figure not being given.
    InterruptUnconfirmed = "interrupt-rating-unconfirmed", Fix;
    /// The feeder's protection is no larger than its branch's.
    FeederTripsFirst = "feeder-trips-first", Fix;
    /// The feeder's protection may open together with its branch's.
    FeederMayTripToo = "feeder-may-trip-too", Note;
    /// A device states no drop limit, so that the strict one is taken.
    DropLimitAssumed = "drop-limit-assumed", Note;
    /// The length between devices on one wire is not given: the whole length is taken to the first.
    DeviceLengthsAssumed = "device-lengths-assumed", Note;
    /// More current passes a point than it may carry.
    PointOverRating = "distribution-point-over-rating", Fix;
    /// More current passes a switch than it may carry.
    SwitchOverRating = "switch-over-rating", Fix;
    /// More circuits hang on a point than it has positions.
    TooFewPositions = "too-few-positions", Fix;
    /// One switch position works several circuits.
    SwitchShared = "switch-shared", Note;
    /// A position's label says something other than what its switch works.
    LabelWrong = "label-wrong", Fix;
    /// A position's label does not say what its switch works.
    LabelUnclear = "label-unclear", Note;
    /// Positions of a panel that switch nothing.
    PositionsFree = "positions-free", Note;
    /// Circuits that no switch of a panel works.
    CircuitsUnswitched = "circuits-unswitched", Note;
    /// No way leads from a source to it.
    Unfed = "unfed", Fix;
    /// No way leads from its return back to a source, or from what a source feeds back to it.
    NoReturn = "no-return", Fix;
    /// The current can go more than one way.
    SeveralFeeders = "several-feeders", Note;
    /// From the battery, more is lost than the device's limit.
    TotalDrop = "total-drop-over-limit", Note;
    /// The same, and the program chose a size on the way.
    TotalDropOfChosen = "total-drop-of-chosen-sizes-over-limit", Fix;
    /// The network as a whole has no answer.
    NotSolved = "network-not-solved", Fix;
    /// The law does not bind this boat.
    LawNotBinding = "law-not-mandatory", Note;
    /// A cranking feeder is left to the engine manufacturer's manual.
    CrankingNotChecked = "cranking-not-checked", Note;
    /// A record is about something that the plan does not have.
    RecordWithoutItem = "record-without-item", Note;
    /// No raceways lead from one location to another.
    NoRacewayBetween = "no-raceway-between", Fix;
    /// Nothing tells how long a wire within one location is.
    LengthWithinLocation = "length-within-location-unknown", Note;
    /// A route set by hand does not lead where its wire goes.
    RouteInvalid = "route-invalid", Fix;
    /// A length that is given is less than the way along the raceways.
    LengthUnderRoute = "length-under-route", Fix;
    /// A wire has a color that is taken for something else.
    ColorMisleads = "color-misleads", Fix;
    /// A length that is given gets through the raceways, but leaves too little for rises and loops.
    LengthWithoutSlack = "length-without-slack", Note;
    /// More lies in a raceway than it has room for.
    RacewayOverfilled = "raceway-overfilled", Fix;
    /// A full raceway sends a run another way.
    Rerouted = "rerouted-around-full-raceway", Note;
    /// Sizes and ways keep changing each other; the thicker is counted.
    RoutesNotSettled = "routes-not-settled", Note;
    /// A factory cable does not reach.
    CableTooShort = "cable-too-short", Fix;
    /// A connector does not pass a bore on its way.
    ConnectorTooWide = "connector-too-wide", Fix;
    /// A cable has to be pulled before others, while its connector still passes.
    PullFirst = "pull-first", Note;
    /// A join in a factory cable would lie where water gets to it.
    JoinInWetLocation = "join-in-wet-location", Fix;
    /// No terminal of this kind is made for the conductor and the stud.
    NoStandardTerminal = "no-standard-terminal", Fix;
    /// A number alone tells two labels apart that the shop's rule words the same.
    LabelsAlike = "labels-alike", Note;
    /// The parts of a board do not fit it.
    BoardTooSmall = "board-too-small", Fix;
    /// No layout of a board was found, though none is ruled out.
    NoLayoutFound = "no-layout-found", Note;
    /// Two parts of a board stand on the same ground.
    PartsOverlap = "parts-overlap", Fix;
    /// A part, or the free ground it asks for, goes beyond its board.
    PartOffBoard = "part-off-board", Fix;
    /// A part stands in the free ground that another asks for.
    ClearanceTooSmall = "clearance-too-small", Fix;
    /// Something hot is too near another part.
    TooNearHeat = "too-near-heat", Fix;
    /// Something that turns a compass is too near it.
    TooNearCompass = "too-near-compass", Fix;
    /// Water reaches a part that is not made for it.
    NotSplashproof = "not-splashproof", Fix;
    /// What a screw goes into is too thin to hold it.
    ThreadTooShort = "thread-engagement-too-short", Fix;
    /// Conductors are joined by a twist-on connector.
    WireNut = "wire-nut", Fix;
    /// A join where water reaches is not sealed.
    JoinNotSealed = "join-not-sealed", Fix;
    /// The latest sample of a sort of crimp held less than it must.
    CrimpSampleFailed = "crimp-sample-failed", Stop;
}

impl Code {
    /// Whether it is about a board or what is mounted on one.
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

/// A value set against its limit, both in one unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Against {
    /// What is.
    pub value: f64,
    /// What may be.
    pub limit: f64,
    /// The unit of both: `A`, `V`, `%`, `m`, `mm2`.
    pub unit: &'static str,
}

/// One thing a check has to say, still without the name of what it is about.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Finding {
    /// What is wrong.
    pub code: Code,
    /// How much it holds up.
    pub level: Level,
    /// A sentence for people: what is wrong and what would put it right.
    pub text: String,
    /// The value and its limit, where the check compared two figures.
    #[serde(flatten)]
    pub against: Option<Against>,
    /// The working of the figure that failed, where there is one.
    pub working: Option<Working>,
}

impl Finding {
    /// A finding at its code's own level.
    pub fn new(code: Code, text: impl Into<String>) -> Self {
        Self { code, level: code.level(), text: text.into(), against: None, working: None }
    }

    /// An input that a check needs and did not get.
    pub fn missing(input: &str, needed_for: &str) -> Self {
        Self::new(Code::InputMissing, format!("{input} is not given: {needed_for} was not checked"))
    }

    /// A check that was not made, because nothing of what it goes by is given.
    pub fn not_checked(lacks: &str, what: &str) -> Self {
        Self::new(Code::NotChecked, format!("{lacks} is not given: {what} was not checked"))
    }

    /// The same finding with the two figures that were compared.
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
