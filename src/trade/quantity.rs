//! The quantities that have a working, by key. The displayed title of each is defined only here.

use std::fmt;

use serde::{Serialize, Serializer};

/// Declares the quantities, each with its title.
macro_rules! quantities {
    ($($name:ident = $title:literal;)+) => {
        /// The quantity that a [`Working`](super::working::Working) calculates.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Quantity { $(#[doc = $title] $name,)+ }

        impl Quantity {
            /// Every quantity, in the order of this table.
            pub const ALL: &'static [Self] = &[$(Self::$name),+];

            /// The title as pages and files show it.
            pub fn title(self) -> &'static str {
                match self { $(Self::$name => $title,)+ }
            }
        }
    };
}

quantities! {
    DesignCurrent = "design current";
    DesignLoad = "design load";
    WarmConductor = "temperature of the warm conductor";
    Protection = "protection";
    UpstreamProtection = "upstream protection";
    Copper = "copper of all wires together";
    InternalResistance = "internal resistance";
    OneWay = "length one way";
    ThereAndBack = "length there and back";
    PointShortCircuit = "short-circuit current at the point";
    FaultCurrent = "fault current";
    FaultAtProtection = "fault current at the protection";
    SolvedDrop = "solved drop";
    SolvedDropFromBattery = "solved drop from the battery";
    EnginesCommonConductor = "common conductor of the engines";
    SourceVoltage = "voltage of the source";
    VoltsBetweenBatteries = "volts between batteries that are tied together";
    CrimpPull = "least pull of a crimp";
    FirstPowerVolts = "volts at first power";
    DrawnLength = "length from the drawing";
    ConductorInAll = "total conductor length";
    WireLength = "length of the wire";
    TubeToCut = "heat shrink to cut";
    CableToCut = "cable to cut";
    VoltsExpectedAtSource = "volts expected at the source";
    CurrentExpected = "current expected";
    VoltsExpectedAtLoad = "volts expected at the load";
    DropAllowed = "maximum voltage drop";
    ReturnResistance = "resistance of the return";
    BatteryCurrent = "battery current";
    LostInWire = "voltage drop in the wire";
    CrankingPostVoltage = "voltage at the posts while cranking";
    LostInStarterCables = "voltage drop in the starter cables";
    ContinuousThroughPoint = "continuous current through the point";
    DeviceVoltsOverModes = "volts at the device over all modes";
    ThroughPoint = "current through the point";
    TotalToCut = "total length to cut";
    RouteLength = "length of the route";
    Supports = "supports along open runs";
    Ampacity = "allowable current";
    AmpacityInEngineSpace = "allowable current in an engine space";
    AmpacityInHeat = "allowable current in the heat";
    AmpacityInBundle = "allowable current in the bundle";
    PilotHole = "pilot hole";
    ThreadEngagement = "thread engagement";
    HotClearance = "clearance around a hot part";
    CompassDistance = "distance from a compass";
    Water = "exposure to water";
    Coordination = "coordination of protection";
    HandbookDrop = "voltage drop";
    TimeToEmpty = "time to empty at a steady current";
    LowestCrankingVoltage = "voltage while cranking at the lowest state of charge";
    CapacityAtTemperature = "capacity at the bank's temperature";
    UsableCapacity = "usable capacity at the rated current";
    LargestChargingCurrent = "largest charging current of the bank";
    PeukertLoad = "Peukert-corrected load of a mode";
    ChargeAtEnd = "state of charge at the end of the pattern";
    ModeCharge = "charge used in the mode";
    LoadCurrent = "current of the load";
    LoadCharge = "charge used by the load";
    ContinuousLoads = "continuous loads together";
    ShortTimeLoads = "short-time loads together";
    TimeToMinimum = "time to the minimum state of charge";
    Exemption = "exemption";
    CrankingSection = "smallest section for cranking";
    LightsUnderPower = "lights under power";
    LightsUnderSail = "lights under sail";
    LightsUnderOars = "lights under oars";
    LightsAtAnchor = "lights at anchor";
    LightRange = "minimum range of the light";
    SmallestSize = "smallest size";
    StandardRatings = "standard ratings";
    VoltageRating = "voltage rating";
    InterruptRating = "interrupt rating";
    TimeCurrent = "time-current curve";
    ShortCircuitResponse = "response to a short circuit";
    DistanceFromSource = "distance from the source";
    LargestAfterAlternator = "largest rating after an alternator";
    LargestRating = "largest rating";
    AllowedRatings = "allowed ratings";
    RatingToFit = "rating to fit";
    ContinuousLoad = "continuous load";
    RoomInBore = "space left in the bore";
    CableReach = "reach of the cable";
    LeftAtEnd = "length left at the end";
    LengthToCut = "length to cut";
    RacewayFill = "raceway fill";
    StringToTie = "pull string to tie on";
    StringToFeed = "pull string to feed in";
    Terminal = "terminal";
    HeatShrink = "heat shrink";
    Size = "size";
    PostVolts = "volts at the posts";
    LostOnPart = "voltage drop on it";
    VoltsLeft = "volts left";
    DailyCharge = "charge used in a day";
    StateOfCharge = "state of charge";
    OffSpool = "length off the spool";
    Likelihood = "fit to the readings";
    ExtraDrop = "extra drop";
    IgnitionProtection = "ignition protection";
}

impl fmt::Display for Quantity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.title())
    }
}

impl Serialize for Quantity {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.title())
    }
}

#[cfg(test)]
mod tests {
    use foldhash::HashSet;

    use super::*;

    #[test]
    fn every_title_is_its_own_and_plain() {
        let retired =
            ["stands", "weigh", "asks", "hold of", "let through", "anew", "may carry", "made ", "mended"];
        let mut seen = HashSet::default();
        for quantity in Quantity::ALL {
            let title = quantity.title();
            assert!(seen.insert(title.to_lowercase()), "two quantities are called '{title}'");
            assert!((1..10).contains(&title.split(' ').count()), "'{title}' is no short title");
            assert!(title.trim() == title && !title.ends_with(['.', ':']), "'{title}'");
            assert_eq!(retired.iter().find(|words| title.contains(*words)), None, "'{title}'");
        }
    }
}
