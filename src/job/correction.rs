//! Where a finding is corrected: the item of the plan, and the field of its form.

use super::checked::Checked;
use super::conductor::{Conductor, Of};
use super::finding::Finding;
use super::run::cable::DeviceCable;
use super::run::{At, Piece};
use super::subject::{Subject, SubjectKind};
use crate::trade::finding::Code;

/// The item of the plan that corrects a finding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Correction {
    /// The item with a form.
    pub item: Subject,
    /// The name of the field in that form, where one field decides: `protection.rating_a`, `positions[2].label`.
    pub field: Option<String>,
}

/// The part of an item that a finding is about: the item itself, or a row of a list in its form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    /// The item as a whole.
    Whole(SubjectKind),
    /// A position of a distribution point.
    Position,
    /// A single conductor of a circuit.
    Conductor,
    /// A cable of a device.
    Cable,
}

/// A part of an item, with its row in the form of the item.
struct Place {
    item: Subject,
    part: Part,
    row: Option<String>,
}

/// The item and the field that correct a finding; `None` if no form of the plan does.
pub fn of(checked: &Checked, finding: &Finding) -> Option<Correction> {
    if matches!(finding.code, Code::RecordWithoutItem | Code::CrimpSampleFailed) {
        return None;
    }
    let job = Part::Whole(SubjectKind::Job);
    let of_whole_job = finding.subject.kind == SubjectKind::Job && field(job, finding).is_none();
    if of_whole_job || matches!(finding.code, Code::BackFeed | Code::LoadCountedTwice) {
        // It names what lacks something, or what is wrong together.
        let first = finding.text.first_named()?;
        let first = Subject::new(first.kind.parse().ok()?, &first.id);
        return Some(Place::of(checked, &first, finding)?.correction(finding));
    }
    Some(Place::of(checked, &finding.subject, finding)?.correction(finding))
}

impl Place {
    fn whole(item: Subject) -> Self {
        Self { part: Part::Whole(item.kind), item, row: None }
    }

    /// The part of an item that a subject is.
    fn of(checked: &Checked, subject: &Subject, finding: &Finding) -> Option<Self> {
        match subject.kind {
            SubjectKind::Position => {
                let (point, number) = subject.id.rsplit_once('-')?;
                let row = number.parse::<usize>().ok()?.checked_sub(1)?;
                let item = Subject::new(SubjectKind::Point, point);
                Some(Self { item, part: Part::Position, row: Some(format!("positions[{row}]")) })
            }
            SubjectKind::Setting => {
                let (device, _) = subject.id.rsplit_once('-')?;
                Some(Self::whole(Subject::new(SubjectKind::Device, device)))
            }
            SubjectKind::Conductor | SubjectKind::Cable | SubjectKind::End => {
                let (piece, end) = checked.pieces().about(subject)?;
                match piece {
                    Piece::Cable(own) => Self::of_cable(own),
                    // A terminal fits a conductor and what it lands on. The size is seldom what is changed.
                    Piece::Wire(_) if finding.code == Code::NoStandardTerminal => {
                        match piece.ends().into_iter().nth(end?)?.at {
                            At::Landing(landing) => Some(Self::whole(landing.subject())),
                            At::Location(_) => None,
                        }
                    }
                    Piece::Wire(wire) => Self::of_wire(checked, wire),
                }
            }
            _ => Some(Self::whole(subject.clone())),
        }
    }

    fn of_cable(own: DeviceCable<'_>) -> Option<Self> {
        let row = own.device.cables.iter().position(|cable| cable.id == own.cable.id)?;
        let item = Subject::new(SubjectKind::Device, &own.device.id);
        Some(Self { item, part: Part::Cable, row: Some(format!("cables[{row}]")) })
    }

    fn of_wire(checked: &Checked, wire: &Conductor) -> Option<Self> {
        let item = wire.of.subject();
        let Of::Circuit(circuit) = &wire.of else { return Some(Self::whole(item)) };
        let row = checked.conductors.of_circuit(circuit).iter().position(|other| other.id == wire.id)?;
        Some(Self { item, part: Part::Conductor, row: Some(format!("conductors[{row}]")) })
    }

    fn correction(self, finding: &Finding) -> Correction {
        let field = field(self.part, finding);
        let within = |field: &str| match self.row {
            Some(row) => format!("{row}.{field}"),
            None => field.to_owned(),
        };
        Correction { item: self.item, field: field.map(within) }
    }
}

/// The field that corrects a finding about a part.
fn field(part: Part, finding: &Finding) -> Option<&'static str> {
    let is_it = |row: &&(&[Part], Cause, &'static str)| {
        let cause = match row.1 {
            Cause::Codes(codes) => codes.contains(&finding.code),
            Cause::Lacks(inputs) => finding.lacks.is_some_and(|lacks| inputs.contains(&lacks)),
        };
        cause && row.0.contains(&part)
    };
    FIELDS.iter().find(is_it).map(|row| row.2)
}

/// What a field corrects.
#[derive(Debug, Clone, Copy)]
enum Cause {
    /// Findings with one of these codes.
    Codes(&'static [Code]),
    /// A missing input, in the words of the check that needs it.
    Lacks(&'static [&'static str]),
}

use Cause::{Codes, Lacks};

const JOB: &[Part] = &[Part::Whole(SubjectKind::Job)];
const LOCATION: &[Part] = &[Part::Whole(SubjectKind::Location)];
const RACEWAY: &[Part] = &[Part::Whole(SubjectKind::Raceway)];
const POINT: &[Part] = &[Part::Whole(SubjectKind::Point)];
const DEVICE: &[Part] = &[Part::Whole(SubjectKind::Device)];
const MOUNTED: &[Part] = &[Part::Whole(SubjectKind::Device), Part::Whole(SubjectKind::Point)];
const CIRCUIT: &[Part] = &[Part::Whole(SubjectKind::Circuit)];
const FEEDER: &[Part] = &[Part::Whole(SubjectKind::Feeder)];
const RUN: &[Part] = &[Part::Whole(SubjectKind::Circuit), Part::Whole(SubjectKind::Feeder)];
const WIRE: &[Part] = &[Part::Whole(SubjectKind::Circuit), Part::Whole(SubjectKind::Feeder), Part::Conductor];

/// Which field corrects what. The first line that fits decides.
const FIELDS: &[(&[Part], Cause, &str)] = &[
    (
        WIRE,
        Codes(&[
            Code::DropOverLimit,
            Code::TotalDrop,
            Code::SolvedDropOverLimit,
            Code::TotalDropNoted,
            Code::UnderLeastVolts,
            Code::CurrentOverAmpacity,
            Code::NoAmpacity,
            Code::UnderMinimumSize,
            Code::NoSizeFits,
            Code::StarterCableDrop,
            Code::StarterCableOverheats,
            Code::FaultTooLow,
        ]),
        "size",
    ),
    (WIRE, Lacks(&["the ampacity", "the ampacity of the conductor", "the size of this feeder"]), "size"),
    (
        WIRE,
        Codes(&[
            Code::LengthUnderRoute,
            Code::LengthWithoutSlack,
            Code::LengthWithinLocation,
            Code::DeviceLengthsAssumed,
            Code::LengthImplausible,
        ]),
        "length_m",
    ),
    (WIRE, Lacks(&["the length"]), "length_m"),
    (
        RUN,
        Codes(&[
            Code::FuseOverWire,
            Code::FuseOverAmpacity,
            Code::FuseUnderLoad,
            Code::FuseOverDevice,
            Code::FuseNearLoad,
            Code::NoRatingFits,
            Code::RatingNotStandard,
            Code::InrushBlowsFuse,
            Code::FeederTripsFirst,
            Code::FeederMayTripToo,
            Code::FuseOverAlternator,
            Code::FarEndUnprotected,
        ]),
        "protection.rating_a",
    ),
    (RUN, Lacks(&["the protection rating"]), "protection.rating_a"),
    (
        RUN,
        Codes(&[Code::FuseVoltageLow, Code::Unprotected, Code::UnfusedToSwitch, Code::FuseInNegative]),
        "protection.kind",
    ),
    (RUN, Lacks(&["the kind of fuse or breaker"]), "protection.kind"),
    (RUN, Codes(&[Code::FuseFarFromSource, Code::FuseBeyondWire]), "protection.from_source_m"),
    (RUN, Codes(&[Code::NoJacketToFuse]), "jacketed"),
    (RUN, Lacks(&["the distance of the protection from its source of power"]), "protection.from_source_m"),
    (RUN, Codes(&[Code::InterruptUnderFault, Code::InterruptUnconfirmed]), "protection.interrupt_a"),
    (RUN, Lacks(&["the interrupt rating of the protection"]), "protection.interrupt_a"),
    (RUN, Codes(&[Code::CurveImpossible]), "protection.carries.a"),
    (RUN, Lacks(&["from the manufacturer's data {}"]), "protection.carries.a"),
    (RUN, Lacks(&["the insulation temperature rating"]), "insulation_c"),
    (RUN, Lacks(&["the number of conductors in the bundle"]), "bundle"),
    (RUN, Codes(&[Code::ColorMisleads]), "color"),
    (RUN, Codes(&[Code::RouteInvalid, Code::NoRacewayBetween, Code::Rerouted]), "route[0]"),
    (RUN, Codes(&[Code::Unfed]), "from"),
    (RUN, Codes(&[Code::FuseOverHolder]), "protection.holder_a"),
    (RUN, Lacks(&["the rating of the fuse holder"]), "protection.holder_a"),
    (RUN, Codes(&[Code::BladeFuseAtBattery]), "protection.kind"),
    (
        RUN,
        Codes(&[Code::NotIgnitionProtected, Code::IgnitionProtectionUnknown]),
        "protection.ignition_protected",
    ),
    (
        CIRCUIT,
        Codes(&[
            Code::BackFeed,
            Code::AheadOfBatterySwitch,
            Code::AlwaysOnBehindSwitch,
            Code::HouseLoadOnStartBank,
        ]),
        "from",
    ),
    (CIRCUIT, Codes(&[Code::LoadCountedTwice]), "legs[0].device"),
    (CIRCUIT, Codes(&[Code::NoReturn]), "return"),
    (CIRCUIT, Codes(&[Code::SwitchShared, Code::CircuitsUnswitched]), "switch"),
    (FEEDER, Codes(&[Code::CrankingNotChecked]), "cranking"),
    (DEVICE, Codes(&[Code::NegativesOverInputs]), "inputs"),
    (DEVICE, Codes(&[Code::DeviceWithoutWire]), "needs_no_wire"),
    (DEVICE, Lacks(&["what it is for"]), "purpose"),
    (MOUNTED, Codes(&[Code::NotIgnitionProtected, Code::IgnitionProtectionUnknown]), "ignition_protected"),
    (DEVICE, Lacks(&["the load of this device"]), "load.figure"),
    (DEVICE, Codes(&[Code::DropLimitAssumed]), "drop_limit_pct"),
    (DEVICE, Codes(&[Code::DeviceFuseUnknown]), "max_fuse_a"),
    (DEVICE, Codes(&[Code::InrushUnderLoad]), "inrush.a"),
    (DEVICE, Codes(&[Code::WireNut, Code::JoinNotSealed]), "join"),
    (&[Part::Cable], Codes(&[Code::CableTooShort]), "length_m"),
    (&[Part::Cable], Codes(&[Code::ConnectorTooWide]), "connector.width_mm"),
    (&[Part::Cable], Codes(&[Code::JoinInWetLocation, Code::JoinNotSealed]), "sealed_join"),
    (&[Part::Cable], Lacks(&["the connectors at {}"]), "connector.name"),
    (MOUNTED, Lacks(&["the footprint of {}"]), "footprint.width_mm"),
    (MOUNTED, Codes(&[Code::ThreadTooShort]), "footprint.screw_mm"),
    (MOUNTED, Codes(&[Code::NotSplashproof]), "footprint.splash_ok"),
    (
        MOUNTED,
        Codes(&[
            Code::PartsOverlap,
            Code::PartOffBoard,
            Code::ClearanceTooSmall,
            Code::TooNearHeat,
            Code::TooNearCompass,
        ]),
        "mounting.at.x_mm",
    ),
    (MOUNTED, Codes(&[Code::NoStandardTerminal]), "stud"),
    (MOUNTED, Lacks(&["the studs, screws or tabs at {}", "{}; and {}"]), "stud"),
    (
        POINT,
        Codes(&[Code::SourceNotNominal, Code::BatteriesFeedEachOther, Code::BatteryVoltagesDiffer]),
        "open_circuit_v",
    ),
    (
        POINT,
        Lacks(&[
            "the internal resistance",
            "the internal resistance of the bank",
            "the internal resistance or the cold-cranking rating of the bank",
        ]),
        "internal_mohm",
    ),
    (POINT, Codes(&[Code::ResistanceSupposed]), "internal_mohm"),
    (POINT, Codes(&[Code::SwitchJoinsBatteries]), "switch_kind"),
    (POINT, Lacks(&["the kind of this battery switch"]), "switch_kind"),
    (POINT, Codes(&[Code::BankTooSmall]), "capacity_ah"),
    (POINT, Lacks(&["the capacity of the bank"]), "capacity_ah"),
    (POINT, Codes(&[Code::BatteryKindsDiffer]), "chemistry"),
    (POINT, Lacks(&["the chemistry of the bank"]), "chemistry"),
    (
        POINT,
        Lacks(&["the low voltage of the lithium bank and the discharge voltages from its manufacturer"]),
        "low_v",
    ),
    (POINT, Codes(&[Code::PointOverRating]), "rating_a"),
    (POINT, Lacks(&["its rating"]), "rating_a"),
    (POINT, Codes(&[Code::TooFewPositions, Code::NoSparePosition]), "positions"),
    (POINT, Lacks(&["how many positions it has"]), "positions"),
    (POINT, Codes(&[Code::PositionOverRating]), "position_a"),
    (POINT, Lacks(&["the rating of each position"]), "position_a"),
    (&[Part::Position], Codes(&[Code::SwitchOverRating]), "rating_a"),
    (&[Part::Position], Lacks(&["the rating of the switch"]), "rating_a"),
    (&[Part::Position], Codes(&[Code::FusesOnOneContact]), "poles"),
    (&[Part::Position], Lacks(&["the number of poles of the switch"]), "poles"),
    (&[Part::Position], Codes(&[Code::LabelWrong, Code::LabelUnclear]), "label"),
    (LOCATION, Lacks(&["whether gasoline or propane vapor can gather at {}"]), "vapor"),
    (RACEWAY, Codes(&[Code::RacewayOverfilled]), "bore_mm"),
    (RACEWAY, Lacks(&["the inner diameter"]), "bore_mm"),
    (RACEWAY, Lacks(&["the length of this raceway"]), "length_m"),
    (&[Part::Whole(SubjectKind::Board)], Codes(&[Code::BoardTooSmall]), "width_mm"),
    (JOB, Lacks(&["the top speed"]), "boat.top_speed_kn"),
    (JOB, Lacks(&["the fuel and whether propane is aboard"]), "boat.fuel"),
];

/// Every field that corrects something, by the kind of item whose form has it.
#[cfg(test)]
pub fn fields() -> Vec<(SubjectKind, String)> {
    let named = |part: &Part, field: &str| match part {
        Part::Whole(kind) => (*kind, field.to_owned()),
        Part::Position => (SubjectKind::Point, format!("positions[0].{field}")),
        Part::Conductor => (SubjectKind::Circuit, format!("conductors[0].{field}")),
        Part::Cable => (SubjectKind::Device, format!("cables[0].{field}")),
    };
    FIELDS.iter().flat_map(|(parts, _, field)| parts.iter().map(move |part| named(part, field))).collect()
}

#[cfg(test)]
mod tests {
    use std::path::{Path, PathBuf};

    use super::*;

    /// All source files below a folder.
    fn sources(folder: &Path) -> Vec<PathBuf> {
        let entries = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
        entries.flat_map(|path| if path.is_dir() { sources(&path) } else { vec![path] }).collect()
    }

    #[test]
    fn every_missing_input_of_the_table_is_one_that_a_check_names() {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
        let checks = ["job", "trade"].iter().flat_map(|floor| sources(&root.join(floor)));
        let checks: Vec<String> = checks
            .filter(|path| !path.ends_with("job/correction.rs"))
            .map(|path| std::fs::read_to_string(path).unwrap())
            .collect();
        let inputs = FIELDS.iter().flat_map(|(_, cause, _)| match cause {
            Lacks(inputs) => inputs.to_vec(),
            Codes(_) => Vec::new(),
        });
        for input in inputs {
            let quoted = format!("\"{input}\"");
            assert!(checks.iter().any(|text| text.contains(&quoted)), "no check misses {input:?}");
        }
    }
}
