//! Protection of circuits and feeders: its rating, its distance from the source, or its absence.

use uom::si::f64::{ElectricCurrent, ElectricPotential, Length};
use uom::si::length::meter;

use super::context::{CheckContext, amperes, laying};
use super::report::{By, ProtectionReport};
use crate::job::plan::{Circuit, Feeder, Protection};
use crate::job::point::PointKind;
use crate::job::subject::{Subject, SubjectKind};
use crate::job::value::PointId;
use crate::trade::ampacity::Ampacity;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::protection::opening::{self, Opener};
use crate::trade::protection::{
    self, Duty, Family, FittedProtection, PowerSource, ProtectionPosition, ProtectionVerdict, WireLimit,
    distance, range,
};
use crate::trade::say::say;
use crate::trade::units::meters;
use crate::trade::working::{Working, keeps_to};

/// The findings that other protection on the path can settle.
const GAPS: [Code; 4] =
    [Code::FuseFarFromSource, Code::Unprotected, Code::FuseOverWire, Code::FuseOverAmpacity];

/// What the protection must fulfill.
#[derive(Default)]
pub(super) struct ProtectionNeeds<'a> {
    pub(super) load: Option<ElectricCurrent>,
    /// Ampacity of the thinnest conductor.
    pub(super) ampacity: Option<&'a Ampacity>,
    pub(super) device_largest: Option<ElectricCurrent>,
    /// Nominal voltage of its side; `None`: that of the job.
    pub(super) nominal: Option<ElectricPotential>,
    /// The smallest rating to choose.
    pub(super) least_fuse: Option<ElectricCurrent>,
    /// Length of the conductor from the source to its far end.
    pub(super) one_way: Option<Length>,
}

impl ProtectionNeeds<'_> {
    pub(super) fn duty(&self, context: &CheckContext<'_>, family: Option<Family>) -> Duty<'_> {
        Duty {
            rules: context.plan.job.rules,
            family,
            load: self.load,
            wire: self.ampacity.map_or(WireLimit::Unknown, WireLimit::Carries),
            nominal_voltage: Some(self.nominal.unwrap_or_else(|| context.nominal())),
            device_largest: self.device_largest,
            at_least: self.least_fuse,
        }
    }
}

/// The result of checking a protection.
#[derive(Default)]
pub(super) struct Protected {
    pub(super) report: Option<ProtectionReport>,
    pub(super) fitted: Option<Opener>,
    pub(super) workings: Vec<Working>,
    /// The findings that there is no protection, that it is too far from its source, or that it is too large
    /// for the conductor. They count unless other protection covers the conductor, or the part up to the
    /// fuse.
    pub(super) gaps: Vec<RuleFinding>,
}

pub(super) fn circuit(
    context: &mut CheckContext<'_>,
    circuit: &Circuit,
    asked: &ProtectionNeeds<'_>,
) -> Protected {
    let position = position(context, &circuit.from, circuit.protection.as_ref(), circuit.jacketed);
    let subject = Subject::new(SubjectKind::Circuit, &circuit.id);
    let protected = judge(context, &subject, circuit.protection.as_ref(), asked, &position);
    context.say_all(&subject, beyond(circuit.protection.as_ref(), asked.one_way));
    protected
}

pub(super) fn feeder<'a>(
    context: &mut CheckContext<'a>,
    feeder: &'a Feeder,
    asked: &ProtectionNeeds<'_>,
) -> Protected {
    let source = context.power_end(feeder);
    let mut position = position(context, source, feeder.protection.as_ref(), feeder.jacketed);
    if feeder.cranking {
        position.origin = PowerSource::CrankingMotor;
    }
    let subject = Subject::new(SubjectKind::Feeder, &feeder.id);
    context.say_all(&subject, beyond(feeder.protection.as_ref(), asked.one_way));
    let mut protected = judge(context, &subject, feeder.protection.as_ref(), asked, &position);
    let of_place = |gap: &&mut RuleFinding| matches!(gap.code, Code::FuseFarFromSource | Code::Unprotected);
    for gap in protected.gaps.iter_mut().filter(of_place).filter(|_| source != &feeder.from) {
        let source = say!("Its source is {}: a charger limits its own current, a battery does not.", source);
        gap.text = gap.text.clone().then(source);
    }
    protected
}

/// Protection past the end of a conductor does not protect it.
fn beyond(protection: Option<&Protection>, one_way: Option<Length>) -> Option<RuleFinding> {
    let distance = protection?.from_source_m?.number();
    let length = one_way?.get::<meter>();
    if keeps_to(distance, length) {
        return None;
    }
    let text = say!(
        "Its protection sits {} along, but the conductor is only {} long. Correct one of them.",
        meters(distance).beside(length),
        meters(length)
    );
    Some(RuleFinding::new(Code::FuseBeyondWire, text).against(distance, length, "m"))
}

fn judge(
    context: &mut CheckContext<'_>,
    subject: &Subject,
    protection: Option<&Protection>,
    asked: &ProtectionNeeds<'_>,
    position: &ProtectionPosition,
) -> Protected {
    let family = protection.map(|protection| protection.kind);
    let duty = asked.duty(context, family);
    let rating = protection.and_then(|protection| rating(protection, &duty));
    let is_given = protection.is_some_and(|protection| protection.rating_a.is_some());
    let fitted = family.map(|family| FittedProtection { family, rating });
    let verdict = match (family, rating) {
        // No rating could be chosen; the finding says why.
        (Some(_), None) => {
            let why_not = range::chosen(&duty).err().unwrap_or_default();
            let findings = why_not.into_iter().chain(distance::judge(position, duty.rules)).collect();
            ProtectionVerdict { range: None, findings }
        }
        _ => protection::judge(fitted.as_ref(), &duty, position),
    };
    let word = protection.zip(rating).and_then(|(part, rating)| opening::judge_word(&part.as_said(rating)));
    let is_gap = |finding: &RuleFinding| GAPS.contains(&finding.code);
    let (gaps, findings): (Vec<_>, Vec<_>) = verdict.findings.into_iter().chain(word).partition(is_gap);
    // The size check may already report that no fuse fits.
    let unsaid: Vec<_> = findings.into_iter().filter(|finding| !context.has_said(subject, finding)).collect();
    context.say_all(subject, unsaid);
    let range = verdict.range.as_ref();
    let report = family.map(|kind| ProtectionReport {
        kind,
        rating_a: amperes(rating),
        rating_by: rating.map(|_| if is_given { By::Given } else { By::Chosen }),
        lowest_a: amperes(range.and_then(|range| range.lowest())),
        highest_a: amperes(range.and_then(|range| range.highest())),
        recommended_a: amperes(range.and_then(|range| range.recommended)),
    });
    let workings = verdict.range.filter(|_| family.is_some()).map(|range| range.workings).unwrap_or_default();
    Protected {
        report,
        fitted: protection.zip(rating).map(|(protection, rating)| protection.opener(rating)),
        workings,
        gaps,
    }
}

/// The given rating, or else the one to fit.
fn rating(protection: &Protection, duty: &Duty<'_>) -> Option<ElectricCurrent> {
    let given = protection.rating_a.map(|rating| rating.quantity());
    given.or_else(|| range::chosen(duty).ok())
}

/// The data for when a fuse or breaker trips or blows, at its given or chosen rating.
pub(super) fn opener(
    context: &CheckContext<'_>,
    protection: &Protection,
    asked: &ProtectionNeeds<'_>,
) -> Option<Opener> {
    let rating = rating(protection, &asked.duty(context, Some(protection.kind)))?;
    Some(protection.opener(rating))
}

/// Where the protection sits. The fuses of a fuse block sit on the block itself.
fn position(
    context: &CheckContext<'_>,
    from: &PointId,
    protection: Option<&Protection>,
    jacketed: bool,
) -> ProtectionPosition {
    let kind = context.kind(from);
    let given =
        protection.and_then(|protection| protection.from_source_m).map(|distance| distance.quantity());
    let on_the_block = (kind == Some(PointKind::FuseBlock)).then(|| Length::new::<meter>(0.0));
    ProtectionPosition {
        origin: match kind {
            Some(PointKind::Battery) => PowerSource::Battery,
            Some(PointKind::BatterySwitch) if context.disconnects_batteries(from) => {
                PowerSource::BatterySwitch
            }
            _ => PowerSource::Point,
        },
        from_source: given.or(on_the_block),
        laying: laying(jacketed),
    }
}
