//! The phase in which a finding matters first: the work that it would spoil if nobody read it before.

use super::finding::Finding;
use super::phase::Phase;
use super::subject::SubjectKind;
use crate::trade::finding::Code;

/// The phase of a finding, by its code. A missing input, and what any thing can have, go by the thing.
pub fn phase_of(finding: &Finding) -> Phase {
    use Phase::{Mounting, PowerUpTest, Runs, Setup, Switches, Terminations};
    match finding.code {
        // What is bought and mounted: sources, boards, lights.
        Code::SourceNotNominal
        | Code::BatteryKindsDiffer
        | Code::BankTooSmall
        | Code::CrankingVoltageLow
        | Code::TooColdToCharge
        | Code::NoLightsUnderPower
        | Code::NoLightsUnderSail
        | Code::FlashlightNeeded
        | Code::NoAnchorLight
        | Code::LightsMislead
        | Code::LightsNotChecked
        | Code::PointOverRating
        | Code::TooFewPositions
        | Code::NoSparePosition
        | Code::PositionOverRating
        | Code::NotIgnitionProtected
        | Code::IgnitionProtectionUnknown
        | Code::BoardTooSmall
        | Code::NoLayoutFound
        | Code::PartsOverlap
        | Code::PartOffBoard
        | Code::ClearanceTooSmall
        | Code::TooNearHeat
        | Code::TooNearCompass
        | Code::NotSplashproof
        | Code::ThreadTooShort => Mounting,
        // What must be right before a wire is cut and pulled.
        Code::StarterCableDrop
        | Code::StarterCableOverheats
        | Code::DropOverLimit
        | Code::TotalDrop
        | Code::SolvedDropOverLimit
        | Code::TotalDropNoted
        | Code::UnderLeastVolts
        | Code::CurrentOverAmpacity
        | Code::NoAmpacity
        | Code::UnderMinimumSize
        | Code::ExemptionNotMet
        | Code::NoSizeFits
        | Code::CrankingNotChecked
        | Code::DropLimitAssumed
        | Code::DeviceLengthsAssumed
        | Code::Unfed
        | Code::NoReturn
        | Code::SeveralFeeders
        | Code::EnginesApart
        | Code::DeviceWithoutWire
        | Code::BackFeed
        | Code::NegativesOverInputs
        | Code::LoadCountedTwice
        | Code::AlwaysOnBehindSwitch
        | Code::AheadOfBatterySwitch
        | Code::HouseLoadOnStartBank
        | Code::LengthImplausible
        | Code::NotSolved
        | Code::WorkLimit
        | Code::NoRacewayBetween
        | Code::LengthWithinLocation
        | Code::RouteInvalid
        | Code::LengthUnderRoute
        | Code::LengthWithoutSlack
        | Code::ColorMisleads
        | Code::RacewayOverfilled
        | Code::Rerouted
        | Code::RoutesNotSettled
        | Code::SizesNotSettled
        | Code::CableTooShort
        | Code::ConnectorTooWide
        | Code::PullFirst
        | Code::JoinInWetLocation
        | Code::LabelsAlike => Runs,
        Code::NoStandardTerminal
        | Code::WireNut
        | Code::JoinNotSealed
        | Code::CrimpSampleFailed
        | Code::TerminalsOverStud => Terminations,
        Code::SwitchOverRating
        | Code::FusesOnOneContact
        | Code::SwitchShared
        | Code::LabelWrong
        | Code::LabelUnclear
        | Code::PositionsFree
        | Code::CircuitsUnswitched => Switches,
        // Fuses and batteries: what must be right before power.
        Code::ResistanceSupposed
        | Code::NotMeasured
        | Code::SwitchJoinsBatteries
        | Code::BatteriesFeedEachOther
        | Code::BatteryVoltagesDiffer
        | Code::FuseOverWire
        | Code::FuseOverAmpacity
        | Code::FuseUnderLoad
        | Code::FuseOverDevice
        | Code::FuseNearLoad
        | Code::NoRatingFits
        | Code::FuseVoltageLow
        | Code::CurveImpossible
        | Code::UnfusedToSwitch
        | Code::FuseInNegative
        | Code::DeviceFuseUnknown
        | Code::FuseBeyondWire
        | Code::InrushUnderLoad
        | Code::RatingNotStandard
        | Code::Unprotected
        | Code::FarEndUnprotected
        | Code::FuseOverAlternator
        | Code::FuseFarFromSource
        | Code::NoJacketToFuse
        | Code::InrushBlowsFuse
        | Code::FaultTooLow
        | Code::InterruptUnderFault
        | Code::InterruptUnconfirmed
        | Code::FeederTripsFirst
        | Code::FuseOverHolder
        | Code::BladeFuseAtBattery
        | Code::FeederMayTripToo => PowerUpTest,
        Code::UsePatternInvalid | Code::NeverFull => Setup,
        Code::InputMissing | Code::NotChecked | Code::LawNotBinding | Code::RecordWithoutItem => {
            of_thing(finding.subject.kind)
        }
    }
}

/// The phase in which a thing is first worked on. The boat as a whole is planned before anything is mounted.
fn of_thing(kind: SubjectKind) -> Phase {
    match kind {
        SubjectKind::Location | SubjectKind::Removed | SubjectKind::Proposed => Phase::StripOut,
        SubjectKind::Job | SubjectKind::Point | SubjectKind::Device | SubjectKind::Board => Phase::Mounting,
        SubjectKind::Raceway
        | SubjectKind::Feeder
        | SubjectKind::Circuit
        | SubjectKind::Conductor
        | SubjectKind::Cable => Phase::Runs,
        SubjectKind::End => Phase::Terminations,
        SubjectKind::Position => Phase::Switches,
        SubjectKind::Setting | SubjectKind::Mode | SubjectKind::OpenItem => Phase::Setup,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::subject::Subject;
    use crate::trade::finding::RuleFinding;
    use crate::trade::say::say;

    fn phase(code: Code, kind: SubjectKind) -> Phase {
        phase_of(&Finding::about(Subject::new(kind, "x"), RuleFinding::new(code, say!("Wrong."))))
    }

    #[test]
    fn a_finding_belongs_to_the_work_that_it_would_spoil() {
        for (code, kind, expected) in [
            (Code::DropOverLimit, SubjectKind::Circuit, Phase::Runs),
            (Code::FuseOverWire, SubjectKind::Circuit, Phase::PowerUpTest),
            (Code::FuseOverWire, SubjectKind::Feeder, Phase::PowerUpTest),
            (Code::ThreadTooShort, SubjectKind::Device, Phase::Mounting),
            (Code::SwitchOverRating, SubjectKind::Position, Phase::Switches),
            (Code::CrimpSampleFailed, SubjectKind::End, Phase::Terminations),
        ] {
            assert_eq!(phase(code, kind), expected, "{} of a {}", code.phrase(), kind.word());
        }
    }

    #[test]
    fn a_missing_input_goes_by_the_thing_that_lacks_it() {
        for (kind, expected) in [
            (SubjectKind::Location, Phase::StripOut),
            (SubjectKind::Device, Phase::Mounting),
            (SubjectKind::Circuit, Phase::Runs),
            (SubjectKind::End, Phase::Terminations),
            (SubjectKind::Position, Phase::Switches),
            (SubjectKind::Mode, Phase::Setup),
        ] {
            assert_eq!(phase(Code::InputMissing, kind), expected, "{}", kind.word());
        }
    }
}
