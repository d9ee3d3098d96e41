//! The size of a circuit or feeder: checks the given size, or chooses the thinnest that is allowed.

use uom::si::f64::ElectricCurrent;

use crate::job::plan::Protection;
use crate::trade::conductor::Size;
use crate::trade::finding::{Code, RuleFinding};
use crate::trade::protection::{Duty, Family, range};
use crate::trade::sizing::{self, Demand, Governor, Judgement};

/// A size with its findings.
pub(super) struct Sized {
    pub(super) judgment: Option<Judgement>,
    /// Which requirements decided a chosen size.
    pub(super) governed_by: Vec<Governor>,
    pub(super) findings: Vec<RuleFinding>,
}

impl Sized {
    pub(super) fn size(&self) -> Option<Size> {
        self.judgment.as_ref().map(|judged| judged.size)
    }
}

/// Judges the given size, or chooses one that `fuse`, its own or an upstream one, also protects.
pub(super) fn settle(given: Option<Size>, fuse: Option<(Family, ElectricCurrent)>, demand: &Demand) -> Sized {
    if let Some(given) = given {
        let judgment = sizing::judge(given, demand);
        let findings = judgment.findings.clone();
        return Sized { judgment: Some(judgment), governed_by: Vec::new(), findings };
    }
    match sizing::choose(demand) {
        Ok(sizing) => {
            let thicker = fuse.and_then(|fuse| thick_enough(fuse, demand, sizing.size()));
            let (judgment, governed_by) = match thicker {
                Some(judgment) => (judgment, vec![Governor::Protection]),
                None => (sizing.chosen, sizing.governed_by),
            };
            let findings = judgment.findings.clone();
            Sized { judgment: Some(judgment), governed_by, findings }
        }
        Err(findings) => Sized { judgment: None, governed_by: Vec::new(), findings },
    }
}

/// The protection, if its rating is given.
pub(super) fn given(protection: Option<&Protection>) -> Option<(Family, ElectricCurrent)> {
    protection.and_then(|fuse| Some((fuse.kind, fuse.rating_a?.quantity())))
}

/// If a fuse exceeds the ampacity of the thinnest size, the thinnest size that it does not exceed. If it
/// exceeds that of every size, the thinnest that it lawfully protects.
fn thick_enough(
    (family, rating): (Family, ElectricCurrent),
    demand: &Demand,
    thinnest: Size,
) -> Option<Judgement> {
    let is_protected = |judgment: &Judgement, over: &[Code]| {
        let duty = Duty {
            rules: demand.rules,
            family: Some(family),
            load: demand.design_current,
            wire: judgment.wire(),
            nominal_voltage: demand.nominal_voltage,
            device_largest: None,
            at_least: None,
        };
        range::judge(rating, &duty).iter().all(|finding| !over.contains(&finding.code))
    };
    let sizes = Size::stocked(demand.rules.system()).filter(|size| *size >= thinnest);
    let judged: Vec<Judgement> = sizes.map(|size| sizing::judge(size, demand)).collect();
    let within = |over: &[Code]| judged.iter().find(|judgment| is_protected(judgment, over));
    let enough =
        within(&[Code::FuseOverWire, Code::FuseOverAmpacity]).or_else(|| within(&[Code::FuseOverWire]));
    enough.filter(|judgment| judgment.size > thinnest).cloned()
}
