//! The table of all sources: where each figure of the program comes from, and how far it was checked.

use std::fmt;

use serde::Serialize;

/// How binding a source is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum SourceKind {
    /// A public law or regulation.
    Law,
    /// A published standard.
    Standard,
    /// A handbook, advisory circular or textbook.
    Handbook,
    /// Usual practice in the trade, without a document to cite.
    CommonPractice,
}

impl SourceKind {
    /// The kind as text.
    pub fn words(self) -> &'static str {
        match self {
            Self::Law => "law",
            Self::Standard => "standard",
            Self::Handbook => "handbook",
            Self::CommonPractice => "common practice",
        }
    }
}

/// Whether the figures were read in a copy of the source or written from memory.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Checked {
    /// Read in a public copy of the text.
    Read,
    /// From memory: compare it with the document before anybody relies on it.
    Memory,
    /// Arithmetic or physics that needs no document.
    Derived,
}

impl Checked {
    /// The state of checking as text.
    pub fn words(self) -> &'static str {
        match self {
            Self::Read => "checked against the text",
            Self::Memory => "from memory, not checked",
            Self::Derived => "derived",
        }
    }
}

/// A document, or common practice, that a figure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Source {
    /// Its name in this table, by which data files cite it: `RULE_21`.
    #[serde(skip)]
    pub key: &'static str,
    /// Title of the document.
    pub title: &'static str,
    /// Section, table or clause in it.
    pub section: &'static str,
    /// How binding it is.
    pub kind: SourceKind,
    /// How far the figures taken from it were checked.
    pub checked: Checked,
}

/// As pages cite it: `COLREGS and 33 CFR 83.22, rule 22 (law, checked against the text)`.
impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, {} ({}, {})", self.title, self.section, self.kind.words(), self.checked.words())
    }
}

/// Declares each source as a constant and lists them all, so that no source can be forgotten.
macro_rules! sources {
    ($($(#[$doc:meta])* $name:ident = $kind:ident, $checked:ident, $title:literal, $section:literal;)+) => {
        $($(#[$doc])* pub static $name: Source = Source {
            key: stringify!($name), title: $title, section: $section, kind: SourceKind::$kind, checked: Checked::$checked,
        };)+
        /// Every source the program names, in the order of this table.
        pub static ALL: &[&Source] = &[$(&$name),+];
    };
}

/// The source with this name in the table.
pub fn named(key: &str) -> Option<&'static Source> {
    ALL.iter().copied().find(|source| source.key == key)
}

sources! {
    /// Navigation lights: no others that could be mistaken for them, and when they must be on.
    RULE_20 = Law, Memory, "COLREGS and 33 CFR 83.20", "rule 20 (b)";
    /// Arcs and colors of navigation lights.
    RULE_21 = Law, Read, "COLREGS and 33 CFR 83.21", "rule 21";
    /// The minimum range of navigation lights.
    RULE_22 = Law, Read, "COLREGS and 33 CFR 83.22", "rule 22";
    /// Lights of a power-driven vessel under way.
    RULE_23_A = Law, Read, "COLREGS and 33 CFR 83.23", "rule 23 (a)";
    /// Lights of a small power-driven vessel under way.
    RULE_23_D = Law, Read, "COLREGS and 33 CFR 83.23", "rule 23 (d)";
    /// Lights under sail; the text of COLREGS was read. 33 CFR 83.25 is the same rule.
    RULE_25_A = Law, Read, "COLREGS and 33 CFR 83.25", "rule 25 (a)";
    /// The tricolor lantern.
    RULE_25_B = Law, Read, "COLREGS and 33 CFR 83.25", "rule 25 (b)";
    /// Red over green under sail.
    RULE_25_C = Law, Read, "COLREGS and 33 CFR 83.25", "rule 25 (c)";
    /// Under sail below 7 m, and under oars.
    RULE_25_D = Law, Read, "COLREGS and 33 CFR 83.25", "rule 25 (d)";
    /// Lights at anchor.
    RULE_30 = Law, Read, "COLREGS and 33 CFR 83.30", "rule 30";
    /// Equipment for sound signals.
    RULE_33 = Law, Memory, "COLREGS and 33 CFR 83.33", "rule 33";
    /// Capacity against current, for a capacity at one ampere and for a capacity over rated hours. The relation was
    /// read in later texts, the article was not.
    PEUKERT = Handbook, Memory, "W. Peukert, Über die Abhängigkeit der Kapazität von der Entladestromstärke bei Bleiakkumulatoren", "Elektrotechnische Zeitschrift 20 (1897): t = Cp / I^k; over rated hours t = H (C / (I H))^k";
    /// Usual figures of batteries of each chemistry: exponent, acceptance, efficiency, minimum state of
    /// charge.
    BATTERY_PRACTICE = CommonPractice, Memory, "Battery practice", "usual figures by chemistry";
    /// Capacity of lead-acid batteries in the cold.
    LEAD_COLD = CommonPractice, Memory, "Battery practice", "lead-acid: 100 % at 25 C, 85 % at 0 to 5 C, 65 % at -18 C";
    /// Rest voltage of lead-acid batteries.
    LEAD_REST_VOLTAGE = CommonPractice, Memory, "Battery practice", "flooded 12 V at 25 C: 12.65, 12.45, 12.24, 12.06, 11.9 V";
    /// The requirement of a cold-cranking rating: 7.2 V after 30 s at -18 C.
    SAE_J537 = Standard, Memory, "SAE J537", "cold cranking: 7.2 V after 30 s at -18 C";
    /// The internal resistance of a battery where none is given.
    SUPPOSED_RESISTANCE = CommonPractice, Memory, "Battery practice", "from the cold-cranking rating (SAE J537: 7.2 V at -18 C), half of it when warm; or from capacity and chemistry";
    /// Minimum voltage of a 12 V battery while the engine cranks.
    CRANKING_VOLTAGE = CommonPractice, Memory, "Battery practice", "9.6 V at the posts of a 12 V battery while cranking";
    /// The maximum drop of starter cables.
    STARTER_CABLES = CommonPractice, Memory, "Starter cables", "at most a tenth of nominal voltage lost out and back";
    /// The voltage of a source compared with the voltage of the boat.
    NOMINAL_VOLTAGE = CommonPractice, Memory, "Nominal voltage", "a battery at rest within 90 to 120 %, what charges it up to 135 %";
    /// How far the voltages of joined batteries may differ.
    TIED_BATTERIES = CommonPractice, Memory, "Batteries in parallel", "12 V at rest: alike up to 0.05 V apart; over 1 V is no matter of charge";
    /// Sums of the lengths that are given.
    GIVEN_LENGTHS = CommonPractice, Derived, "Lengths given in the plan", "sums and differences of them";
    /// Charge counted in and out.
    CHARGE_BALANCE = Handbook, Derived, "Charge balance", "current x time";
    /// The location of the excess resistance that explains the meter's readings.
    LEAST_SQUARES = Handbook, Derived, "Least squares", "readings weighed by the meter's noise; likelihood e^(-chi-squared / 2)";
    /// Sizes of a tree that need the least copper.
    LEAST_COPPER = Handbook, Derived, "Least copper under limits", "sum of lengths x areas; fronts of a tree, bound by Lagrange multipliers";
    /// Wire gauge diameters and areas.
    ASTM_B258 = Standard, Derived, "ASTM B258", "diameter rule d = 0.127 mm x 92^((36 - n) / 39)";
    /// A metric size is named by its area.
    NOMINAL_AREA = Standard, Memory, "IEC 60228", "nominal cross-sectional area";
    /// Resistance of a size too thin for the tables.
    ANNEALED_COPPER = Standard, Derived, "IEC 60028", "17.241 ohm mm2/km at 20 C x 1.02 for lay x 1.04 for tin";
    /// How full a conduit may be, and what counts as one conductor.
    NEC_9_1 = Standard, Read, "NFPA 70 (NEC)", "chapter 9 table 1 and its note 9, taken as good practice";
    /// Resistance of stranded coated copper at 75 C.
    NEC_9_8 = Standard, Read, "NFPA 70 (NEC)", "chapter 9 table 8, stranded coated copper";
    /// Ampacity at a higher ambient temperature; checked against note 1 of 33 CFR 183.425, all columns.
    AMBIENT_CORRECTION = Standard, Memory, "NFPA 70 (NEC)", "310.15, equation for ambient temperatures";
    /// Resistance of flexible tinned copper in square millimeters.
    IEC_60228 = Standard, Memory, "IEC 60228", "table 3, class 5, metal-coated";
    /// Resistance of copper against temperature.
    COPPER_TEMPERATURE = Handbook, Read, "FAA AC 43.13-1B", "chapter 11, copper: (234.5 + T2) / 254.5";
    /// Thickness of insulation of boat cable.
    UL_1426_WALL = Standard, Memory, "UL 1426", "insulation 0.76, 1.14, 1.52 and 2.03 mm by size";
    /// Thickness of the jacket of boat cable with several conductors.
    UL_1426_JACKET = Standard, Memory, "UL 1426", "jacket 0.76, 1.14 and 1.52 mm by the size of the core";
    /// Lengths left at the ends of a run and lost along it.
    CUT_ALLOWANCES = CommonPractice, Memory, "Length of a run", "rise, service loop and drip loop at each end, and waste";
    /// String that is tied on beside a pull and left at both ends.
    PULL_STRING = CommonPractice, Memory, "Pull string", "one left in every raceway that takes one, with a tail at each end";
    /// Diameter of a bundle of wire.
    BUNDLE_ACROSS = CommonPractice, Memory, "Bundle diameter", "1.2 times the square root of the sum of the squares, as harness manufacturers reckon";
    /// A length from the positions of two locations on the drawing.
    DRAWN_LENGTH = CommonPractice, Memory, "Length from the drawing", "wire follows stringers, frames and bulkheads: along, across and up, one after the other";
    /// Which changes factory cables allow.
    FACTORY_CABLES = CommonPractice, Memory, "Cables", "coax is not shortened below the manufacturer's least length, the rest not at all";
    /// Ampacity by gauge and insulation.
    CFR_425_B = Law, Read, "33 CFR 183.425", "(b), table 5";
    /// Engine-space factor; the rule was read, the factors are from memory.
    CFR_425_C = Law, Memory, "33 CFR 183.425", "(c), note 1 of table 5";
    /// Bundle factor at 50 V and more; the rule was read, the factors are from memory.
    CFR_435_B = Law, Memory, "33 CFR 183.435", "(b), note 2 of table 5";
    /// Smallest conductor inside a jacket.
    CFR_425_D = Law, Read, "33 CFR 183.425", "(d)";
    /// Smallest conductor installed by itself.
    CFR_425_E = Law, Read, "33 CFR 183.425", "(e)";
    /// Conductors that the section does not cover.
    CFR_425_G = Law, Read, "33 CFR 183.425", "(g)";
    /// Ignition protection, and what counts as isolated from a source of gasoline.
    CFR_410 = Law, Read, "33 CFR 183.410", "ignition protection, (a) to (c)";
    /// The cranking circuits of several engines have a common conductor.
    CFR_415 = Law, Read, "33 CFR 183.415", "grounding of more than one engine";
    /// Every ungrounded conductor is protected.
    CFR_455_A = Law, Read, "33 CFR 183.455", "(a)";
    /// The position of the protection.
    CFR_455_B = Law, Read, "33 CFR 183.455", "(b)";
    /// The largest rating of the protection.
    CFR_455_C = Law, Read, "33 CFR 183.455", "(c)";
    /// Voltage rating of the protection; the end of the sentence is from memory.
    CFR_455_D = Law, Memory, "33 CFR 183.455", "(d)";
    /// Battery output conductors.
    CFR_460 = Law, Memory, "33 CFR 183.460", "(a)";
    /// A battery switch in place of the battery, for the position of the protection.
    CFR_460_SWITCH = Law, Memory, "33 CFR 183.460", "within 72 in of a switch that disconnects the battery, letter not known";
    /// The protection of an alternator that does not limit its own output.
    CFR_460_ALTERNATOR = Law, Memory, "33 CFR 183.460", "output of an alternator; letter of the paragraph uncertain";
    /// Blowers of closed gasoline engine spaces.
    CFR_610 = Law, Memory, "33 CFR 183.610", "powered ventilation system";
    /// Engines that do not start in gear.
    CFR_710 = Law, Memory, "33 CFR 183.710", "start-in-gear protection";
    /// Toilets aboard.
    CFR_159 = Law, Memory, "33 CFR 159", "marine sanitation devices";
    /// The switch that stops the engine when the operator leaves the helm.
    CUT_OFF_SWITCH = Law, Memory, "46 USC 4312", "engine cut-off switch, boats under 26 ft";
    /// How a radio is tested on the air.
    RADIO_TEST = Law, Read, "47 CFR 80.101", "radiotelephone testing procedures";
    /// Ampacity by square millimeters.
    ISO_13297_AMPACITY = Standard, Memory, "ISO 13297", "annex A, single conductor at 30 C";
    /// Engine-space factors under the ISO rules.
    ISO_13297_ENGINE_SPACE = Standard, Memory, "ISO 13297", "annex A, engine-space factors";
    /// Smallest conductors under the ISO rules.
    ISO_10133_7_7 = Standard, Read, "ISO 10133", "clause 7.7";
    /// Spacing of supports for conductors without other support; under US rules as common practice.
    ISO_10133_7_3 = Standard, Read, "ISO 10133", "clause 7.3";
    /// Spacing of supports for battery conductors; under US rules as common practice.
    ISO_10133_7_4 = Standard, Read, "ISO 10133", "clause 7.4";
    /// Circuits with a 3 % drop limit under the ISO rules.
    ISO_10133_4_8 = Standard, Read, "ISO 10133", "clause 4.8";
    /// The largest rating of the protection under the ISO rules.
    ISO_10133_FUSE = Standard, Memory, "ISO 10133", "clause 8, rating of overcurrent protection";
    /// Overcurrent protection under the ISO rules.
    ISO_10133_PROTECTION = Standard, Memory, "ISO 10133", "clause 8, each positive conductor has overcurrent protection";
    /// Voltage rating of the protection under the ISO rules.
    ISO_10133_FUSE_VOLTAGE = Standard, Memory, "ISO 10133", "clause 8, voltage rating of overcurrent protection";
    /// Interrupt rating of the protection under the ISO rules.
    ISO_10133_INTERRUPT = Standard, Memory, "ISO 10133", "clause 8, breaking capacity of overcurrent protection";
    /// The protection of an alternator that does not limit its own output, where no rule at hand has a figure.
    ALTERNATOR_PRACTICE = CommonPractice, Memory, "Protection of an alternator", "at most 120 % of its rated current";
    /// The cranking circuits of several engines have a common conductor, where no rule at hand says so.
    COMMON_NEGATIVE = CommonPractice, Memory, "Negatives of several engines", "joined by a conductor for either starter current";
    /// The position of the protection under the ISO rules.
    ISO_10133_FUSE_PLACE = Standard, Memory, "ISO 10133", "clause 8, within 200 mm of the source";
    /// Current that a conductor carries for seconds.
    ADIABATIC = Standard, Memory, "IEC 60364-4-43", "434.5.2, S = I sqrt(t) / k, copper in PVC k = 115";
    /// Blow times of blade fuses.
    ISO_8820_3 = Standard, Memory, "ISO 8820-3", "operating time ratings";
    /// Interrupt rating that covers the short-circuit current of the battery.
    INTERRUPT_RATING = Handbook, Memory, "ABYC E-11", "interrupting capacity";
    /// Wire without a jacket between a battery and its protection.
    JACKET_TO_FUSE = Handbook, Memory, "ABYC E-11", "within 72 in of a battery only in a sheath or enclosure; read second hand";
    /// Voltage drop in circular mils.
    DROP_CIRCULAR_MILS = Handbook, Memory, "ABYC E-11", "CM = K I L / E with K = 10.75";
    /// Voltage drop in square millimeters. The result is up to a third too low.
    DROP_METRIC = Standard, Memory, "ISO 10133", "annex A, E = 0.0164 I L / S";
    /// How much voltage may be lost.
    DROP_LIMITS = Handbook, Memory, "ABYC E-11", "3 % for critical circuits, 10 % for others";
    /// The load of a feeder, at which its drop is judged.
    DESIGN_LOAD = CommonPractice, Memory, "Design load of a feeder", "continuous loads + the larger of the largest short-time load and 10 % of all of them";
    /// The sums of a load worksheet.
    LOAD_WORKSHEET = CommonPractice, Derived, "Load worksheet", "current x hours for each load; continuous and short-time loads summed apart";
    /// How warm a conductor gets under its load.
    WARM_CONDUCTOR = Handbook, Derived, "Heat balance of a conductor", "its rise goes with the square of the current: rated temperature at its ampacity";
    /// The temperatures for the greatest and the least fault current.
    FAULT_TEMPERATURES = Standard, Memory, "IEC 60909-0", "greatest fault current at 20 C, least with warm conductors";
    /// How much voltage may be lost from the battery to a device.
    TOTAL_DROP = CommonPractice, Memory, "Total drop, battery to device", "6 % for critical devices, 13 % for others: that of a feeder and that of a circuit";
    /// Ohm's law and Kirchhoff's laws.
    CIRCUIT_LAWS = Handbook, Derived, "Kirchhoff's laws", "nodal analysis";
    /// Standard ratings.
    MADE_RATINGS = CommonPractice, Memory, "Made fuse and breaker ratings", "by family";
    /// The load that a fuse carries for hours.
    FUSE_MARGIN = CommonPractice, Memory, "Continuous load of a fuse", "80 % of its rating";
    /// Sufficient fault current to open the protection.
    FAR_END_FAULT = CommonPractice, Memory, "Short circuit at the far end", "off within 5 s; six times the rating is enough";
    /// The branch protection trips or blows before its feeder's.
    COORDINATION = CommonPractice, Memory, "Order of opening", "feeder rating at least twice the branch rating";
    /// Colors of insulated terminals and the studs they fit.
    TERMINALS = CommonPractice, Memory, "Terminals", "color bands and stud sizes";
    /// Colors of wire.
    WIRE_COLORS = CommonPractice, Memory, "Wire colors", "direct current under 50 V";
    /// Adhesive-lined tube that shrinks to a third.
    HEAT_SHRINK = CommonPractice, Memory, "Heat shrink", "3:1 adhesive-lined, made diameters";
    /// The force that a crimp must hold in a boat.
    CRIMP_ABYC_E11 = Handbook, Memory, "ABYC E-11", "tensile test of a crimp, one minute";
    /// The force that a crimp must hold by its manufacturer's standard.
    CRIMP_UL_486A = Standard, Memory, "UL 486A", "pull-out test";
    /// The force that a crimp must hold in flight hardware.
    CRIMP_NASA = Standard, Read, "NASA-STD-8739.4", "table 13-1";
    /// Diameters of self-tapping screws.
    ISO_1478 = Standard, Memory, "ISO 1478", "tapping screw threads ST 2.9 to ST 6.3";
    /// Pilot holes for screws.
    PILOT_HOLES = CommonPractice, Memory, "Pilot holes", "by screw size, in plywood and in glass laminate";
    /// The thread engagement that a screw needs.
    SCREW_HOLD = CommonPractice, Memory, "Thread engagement", "3 diameters of board or 1.5 of solid laminate";
    /// Air gap around a hot part.
    HEAT_DISTANCE = CommonPractice, Memory, "Heat", "50 mm beside, 100 mm above";
    /// Magnets near a compass.
    COMPASS_DISTANCE = CommonPractice, Memory, "Compass", "a distance from a speaker or another magnet";
    /// Parts that may be mounted where water reaches.
    SPLASH = CommonPractice, Memory, "Wet locations", "parts that stand splashes";
    /// Figures of equipment where no nameplate has been read.
    KIND_PRACTICE = CommonPractice, Memory, "Equipment of small boats", "usual figures by kind; the nameplate decides";
    /// Figures of equipment that a shop kept from a device.
    SHOP_KIND = CommonPractice, Memory, "Kinds of this shop", "figures kept from a device of an earlier job";
    /// The feed of a network backbone.
    NETWORK_FEED = Handbook, Read, "Installation guides of IEC 61162-3 networks", "own circuit, 3 A fuse, 9.0 V at each device";
    /// The feed of an autopilot's drive.
    PILOT_FEED = Handbook, Read, "Installation guides of autopilot drives", "supply for twice the normal current, and three times for a moment";
    /// Currents of equipment and the duty of an autopilot, in a public handbook.
    ENERGY_HANDBOOK = Handbook, Read, "Handbook on electricity aboard small yachts", "chapter 9.2, equipment of a 12 V yacht: radio 5 A, autopilot 5 A for 30 % of the time";
    /// The pump of trim tabs.
    TRIM_TAB_PUMP = Handbook, Memory, "Manuals of trim tabs", "one hydraulic pump draws 15 to 20 A";
    /// The manual of a device or part.
    MAKERS_MANUAL = CommonPractice, Memory, "Manufacturer's manual", "as given for this device";
}
