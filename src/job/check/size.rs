//! The size of a circuit or feeder: the one that is given, judged, or the thinnest that will do.

use uom::si::f64::ElectricCurrent;

use super::desk::Desk;
use crate::job::plan::Protection;
use crate::trade::conductor::Size;
use crate::trade::finding::{Code, Finding};
use crate::trade::protection::{Duty, Family, range};
use crate::trade::sizing::{self, Demand, Governor, Judgement};

/// A size with what there is to say about it.
pub(super) struct Sized {
    pub(super) judgement: Option<Judgement>,
    /// What decided a size that was chosen.
    pub(super) governed_by: Vec<Governor>,
    pub(super) findings: Vec<Finding>,
}

impl Sized {
    pub(super) fn size(&self) -> Option<Size> {
        self.judgement.as_ref().map(|judged| judged.size)
    }
}

/// Judges the size that is given, or chooses one that `fuse` protects as well, be it its own or another's.
pub(super) fn settle(
    desk: &Desk<'_>,
    given: Option<Size>,
    fuse: Option<(Family, ElectricCurrent)>,
    demand: &Demand,
) -> Sized {
    if let Some(given) = given {
        let judgement = sizing::judge(given, demand);
        let findings = judgement.findings.clone();
        return Sized { judgement: Some(judgement), governed_by: Vec::new(), findings };
    }
    match sizing::choose(demand) {
        Ok(sizing) => {
            let thicker = fuse.and_then(|fuse| thick_enough(desk, fuse, demand, sizing.size()));
            let (judgement, governed_by) = match thicker {
                Some(judgement) => (judgement, vec![Governor::Protection]),
                None => (sizing.chosen, sizing.governed_by),
            };
            let findings = judgement.findings.clone();
            Sized { judgement: Some(judgement), governed_by, findings }
        }
        Err(findings) => Sized { judgement: None, governed_by: Vec::new(), findings },
    }
}

/// The protection whose rating is given.
pub(super) fn given(protection: Option<&Protection>) -> Option<(Family, ElectricCurrent)> {
    protection.and_then(|fuse| Some((fuse.kind, fuse.rating_a?.quantity())))
}

/// Where a fuse would not protect the thinnest size, the thinnest that it does protect.
fn thick_enough(
    desk: &Desk<'_>,
    (family, rating): (Family, ElectricCurrent),
    demand: &Demand,
    thinnest: Size,
) -> Option<Judgement> {
    let is_protected = |judgement: &Judgement| {
        let duty = Duty {
            rules: demand.rules,
            family: Some(family),
            load: demand.design_current,
            wire: judgement.wire(),
            nominal_voltage: Some(desk.nominal()),
            device_largest: None,
        };
        range::judge(rating, &duty).iter().all(|finding| finding.code != Code::FuseOverWire)
    };
    let sizes = Size::stocked(demand.rules.system()).filter(|size| *size >= thinnest);
    let enough = sizes.map(|size| sizing::judge(size, demand)).find(is_protected);
    enough.filter(|judgement| judgement.size > thinnest)
}
