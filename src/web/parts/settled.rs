//! The size and the fuse of a circuit or feeder in lists; each opens on the reason.

use super::workings::{AMPACITY, HANDBOOK, PROTECTION};
use crate::job::check::{By, CircuitReport, ConductorReport, FeederReport, ProtectionReport};
use crate::trade::conductor::Size;
use crate::trade::quantity::Quantity;
use crate::trade::sizing::Governor;
use crate::trade::source::{NOMINAL_AREA, Source};
use crate::trade::working::{Working, figure};
use crate::web::kit::figure::Figure;
use crate::web::kit::figure::fine;
use crate::web::kit::opens::{Cell, Sentence};

/// The workings of the smallest size that is allowed at all.
const MINIMUM: &[Quantity] = &[Quantity::SmallestSize, Quantity::Exemption];

/// What the check settled for a circuit or feeder, and the limits it used.
pub struct SettledSize<'r> {
    of: &'r str,
    size: Option<Size>,
    by: Option<By>,
    governed_by: &'r [Governor],
    asked_a: Option<f64>,
    may_carry_a: Option<f64>,
    drop_pct: Option<f64>,
    limit_pct: Option<f64>,
    protection: Option<&'r ProtectionReport>,
    workings: &'r [Working],
}

impl<'r> SettledSize<'r> {
    /// The size and fuse of a circuit.
    pub fn circuit(id: &'r str, report: &'r CircuitReport) -> Self {
        Self::conductor(id, &report.conductor, report.drop_limit_pct)
    }

    /// The size and fuse of a feeder, which has no drop limit of its own.
    pub fn feeder(id: &'r str, report: &'r FeederReport) -> Self {
        Self::conductor(id, &report.conductor, None)
    }

    fn conductor(id: &'r str, report: &'r ConductorReport, limit_pct: Option<f64>) -> Self {
        Self {
            of: id,
            size: report.size,
            by: report.size_by,
            governed_by: &report.governed_by,
            asked_a: report.design_current_a,
            may_carry_a: report.derated_ampacity_a,
            drop_pct: report.handbook_drop_pct,
            limit_pct,
            protection: report.protection.as_ref(),
            workings: &report.workings,
        }
    }

    /// Whether this is the settled size.
    pub fn is(&self, size: Size) -> bool {
        self.size == Some(size)
    }

    /// The size, which opens on what decided it; `None` if no size is settled.
    pub fn size(&self) -> Option<Cell> {
        Some(Cell::by(self.of, "size", Figure::new(self.size?.text(), ""), self.why_size()))
    }

    /// The same, with a note if the size was chosen by the check.
    pub fn size_said(&self) -> Option<Sentence> {
        let size = Sentence::default().figure(self.size()?);
        Some(if self.by == Some(By::Chosen) { size.words(", chosen") } else { size })
    }

    /// The rating of its fuse or breaker, which opens on the range it was chosen from; `None` if it has none.
    pub fn rating(&self) -> Option<Sentence> {
        let Some(rating) = self.protection?.rating_a else { return Some("rating not set".into()) };
        let value = Figure::new(figure(rating), "A");
        Some(Sentence::default().figure(Cell::new(self.of, "rating", value, self.workings, PROTECTION)))
    }

    /// The fuse or breaker; its rating opens on the range it was chosen from. `None` if it has none.
    pub fn fuse(&self) -> Option<Sentence> {
        let fitted = self.protection?;
        let kind = fitted.kind.words();
        match fitted.rating_a {
            None => Some(format!("{kind}, rating not set").into()),
            Some(_) => self.rating().map(|rating| rating.words(format!(" {kind}"))),
        }
    }

    /// The same, with a note if its rating was chosen by the check.
    pub fn fuse_said(&self) -> Option<Sentence> {
        let chosen = self.protection?.rating_by == Some(By::Chosen);
        self.fuse().map(|fuse| if chosen { fuse.words(", chosen") } else { fuse })
    }

    /// What the size was checked against, with the workings of what decided it. For a size given in the plan, the
    /// workings of its ampacity.
    pub fn why_size(&self) -> Vec<Working> {
        let Some(size) = self.size else { return Vec::new() };
        let mut names: Vec<Quantity> = match self.by {
            Some(By::Chosen) => {
                self.governed_by.iter().flat_map(|governor| rule(*governor)).copied().collect()
            }
            _ => AMPACITY.to_vec(),
        };
        names.extend(MINIMUM);
        let rules = self.workings.iter().filter(|working| names.contains(&working.what));
        let source = rules.clone().next().map_or(&NOMINAL_AREA, |rule| rule.source);
        std::iter::once(self.held_against(size, source)).chain(rules.cloned()).collect()
    }

    fn held_against(&self, size: Size, source: &'static Source) -> Working {
        let formula = match self.by {
            Some(By::Chosen) => "the smallest stocked size that meets every rule",
            _ => "from the plan, checked against every rule",
        };
        let carries = self.asked_a.zip(self.may_carry_a);
        let carries = carries.map(|(asked, may)| format!("{} A of {} A ampacity", fine(asked), fine(may)));
        let loses = match (self.drop_pct, self.limit_pct) {
            (Some(drop), Some(limit)) => Some(format!("{} % drop of {} %", fine(drop), fine(limit))),
            (Some(drop), None) => Some(format!("{} % drop", fine(drop))),
            (None, _) => None,
        };
        let decided: Vec<&str> = self.governed_by.iter().map(|governor| governor.words()).collect();
        let decided = (!decided.is_empty()).then(|| format!("decided by {}", decided.join(" and ")));
        let numbers: Vec<String> = [carries, loses, decided].into_iter().flatten().collect();
        Working {
            what: Quantity::Size,
            formula,
            numbers: if numbers.is_empty() {
                "nothing to check it against".into()
            } else {
                numbers.join("; ").into()
            },
            result: size.to_string().into(),
            source,
        }
    }
}

/// The quantities of the workings of a rule that decides sizes.
fn rule(governor: Governor) -> &'static [Quantity] {
    match governor {
        Governor::Ampacity => AMPACITY,
        Governor::Drop => HANDBOOK,
        Governor::Minimum => MINIMUM,
        Governor::Protection => PROTECTION,
        Governor::Network | Governor::Stock => &[],
    }
}
