//! A plan proposed from a boat form and a list of wishes, by the [rules](crate::job::plan::Rule) of the trade.
//!
//! The proposal is pure: the same request gives the same plan. Each thing says which rules gave it. Nothing proposed
//! counts as measured: lengths, bores, nameplate currents and battery data are on the list of values to measure
//! ([`supposed`](crate::job::supposed)). Sizes and ratings are chosen by the check, which also judges the plan.

mod again;
mod blocks;
mod boards;
mod cables;
mod circuits;
mod draft;
mod draw;
mod feeders;
mod finish;
mod lights;
mod marks;
mod modes;
mod panel;
mod place;
mod site;
mod supply;
mod want;

use serde::Serialize;
use thiserror::Error;

use super::check::Report;
use super::fault::{self, PlanFault};
use super::kind::Catalog;
use super::plan::{Plan, ProposalRequest, Rule};
use super::value::BadValue;
use super::wish::TooManyLines;
pub use again::Present;

use blocks::Blocks;
use draft::Draft;
use panel::Panels;
use want::Remedy;

/// A proposed plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// The plan.
    pub plan: Plan,
    /// Its check.
    pub report: Report,
    /// The wishes that it leaves out.
    pub left_out: Vec<LeftOut>,
    /// What else there is to say about it.
    pub said: Vec<Said>,
}

/// A wish that a proposal leaves out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LeftOut {
    /// The line, from 1, if it was a line.
    pub line: Option<usize>,
    /// The wish.
    pub wish: String,
    /// Why.
    pub reason: String,
}

/// A remark about a proposal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Said {
    /// The rule it follows from.
    pub rule: Rule,
    /// The remark.
    pub text: String,
}

/// Why no plan could be proposed.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ProposeError {
    /// A value that a plan cannot hold.
    #[error(transparent)]
    Value(#[from] BadValue),
    /// Too many wishes.
    #[error(transparent)]
    TooMany(#[from] TooManyLines),
    /// What a person changed does not fit the new proposal.
    #[error("what was changed by hand does not fit the new proposal: {}", fault::lines(.0))]
    DoesNotFit(Vec<PlanFault>),
}

/// Proposes a plan.
///
/// # Errors
///
/// [`ProposeError`] if the wishes are too many, or if a value follows from the form that a plan cannot hold.
pub fn propose(request: &ProposalRequest, catalog: &Catalog) -> Result<Proposal, ProposeError> {
    propose_for(request, catalog, None)
}

/// Proposes a plan for a boat that may have one. What a person changed, confirmed, added or removed stays.
///
/// # Errors
///
/// As [`propose`], and if what stays does not fit the proposal.
pub fn propose_for(
    request: &ProposalRequest,
    catalog: &Catalog,
    present: Option<Present<'_>>,
) -> Result<Proposal, ProposeError> {
    let mut remedies = Vec::new();
    loop {
        let (mut draft, remedy) = drafted(request, catalog, &remedies)?;
        match remedy.filter(|_| remedies.len() < MOST_REMEDIES) {
            Some(remedy) => remedies.push(remedy),
            None => {
                let kept =
                    present.map(|present| again::keep(&mut draft, present)).transpose()?.unwrap_or_default();
                let faults = draft.plan.faults();
                if !faults.is_empty() {
                    return Err(ProposeError::DoesNotFit(faults));
                }
                let report = finish::settle(&mut draft, &kept)?;
                let report = marks::put(&mut draft, report, &kept, present)?;
                let Draft { plan, left_out, said, .. } = draft;
                return Ok(Proposal { plan, report, left_out, said });
            }
        }
    }
}

/// The most remedies for a boat that cannot carry what is wanted.
const MOST_REMEDIES: usize = 60;

/// The plan with everything but sizes and ratings, and a remedy if the boat cannot carry it.
fn drafted<'a>(
    request: &'a ProposalRequest,
    catalog: &'a Catalog,
    remedies: &[Remedy],
) -> Result<(Draft<'a>, Option<Remedy>), ProposeError> {
    let mut draft = Draft::new(request, catalog)?;
    let wants = want::wants(&mut draft, request.wishes.as_str(), remedies)?;
    place::devices(&mut draft, &wants)?;
    let circuits = circuits::plan(&draft);
    if let Some(heaviest) = circuits.too_much(request.boat.rules) {
        return Ok((draft, Some(Remedy::PutOff(heaviest))));
    }
    let (blocks, panels) = (Blocks::of_circuits(&circuits), Panels::of(&circuits));
    let supply = supply::add(&mut draft, &wants, &circuits, blocks.behind_switch())?;
    blocks::draw(&mut draft, &circuits, &blocks, supply)?;
    panel::draw(&mut draft, &circuits, &panels)?;
    draw::all(&mut draft, &circuits, &blocks, &panels)?;
    panel::relabel(&mut draft)?;
    cables::add(&mut draft)?;
    place::locations_and_raceways(&mut draft)?;
    boards::add(&mut draft)?;
    modes::add(&mut draft)?;
    let may_charge = !remedies.iter().any(|remedy| matches!(remedy, Remedy::ShoreCharger));
    let remedy = modes::enough_capacity(&mut draft, may_charge)?;
    Ok((draft, remedy))
}
