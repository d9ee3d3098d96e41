//! A plan proposed from a boat form and a list of wishes, by the [rules](crate::job::plan::Rule) of the trade.
//!
//! The proposal is pure: the same request gives the same plan. Each thing says which rules gave it. Nothing proposed
//! counts as measured: lengths, bores, nameplate currents and battery data are on the list of values to measure
//! ([`supposed`](crate::job::supposed)). Sizes and ratings are chosen by the check, which also judges the plan.

mod again;
mod blocks;
mod boards;
mod cables;
mod circuit;
mod circuits;
mod draw;
mod feeders;
mod finish;
mod kinds;
mod light_circuits;
mod lights;
mod marks;
mod modes;
mod mount;
mod outline;
mod panel;
mod place;
mod planned;
mod position;
mod said;
mod site;
mod supply;
mod want;
mod wanted;

use super::check::Report;
use super::kind::Catalog;
use super::plan::{Plan, ProposalRequest};
pub use again::Present;
pub use said::{LeftOut, ProposeError, Said};

use blocks::Blocks;
use outline::Outline;
use panel::Panels;
use wanted::Remedy;

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
        let (mut outline, remedy) = outlined(request, catalog, &remedies)?;
        match remedy.filter(|_| remedies.len() < MOST_REMEDIES) {
            Some(remedy) => remedies.push(remedy),
            None => {
                let kept = present
                    .map(|present| again::keep(&mut outline, present))
                    .transpose()?
                    .unwrap_or_default();
                let faults = outline.plan.faults();
                if !faults.is_empty() {
                    return Err(ProposeError::DoesNotFit(faults));
                }
                let report = finish::settle(&mut outline, &kept)?;
                let report = marks::put(&mut outline, report, &kept, present)?;
                let Outline { plan, left_out, said, .. } = outline;
                return Ok(Proposal { plan, report, left_out, said });
            }
        }
    }
}

/// The most remedies for a boat that cannot carry what is wanted.
const MOST_REMEDIES: usize = 60;

/// The plan with everything but sizes and ratings, and a remedy if the boat cannot carry it.
fn outlined<'a>(
    request: &'a ProposalRequest,
    catalog: &'a Catalog,
    remedies: &[Remedy],
) -> Result<(Outline<'a>, Option<Remedy>), ProposeError> {
    let mut outline = Outline::new(request, catalog)?;
    let wants = want::wants(&mut outline, request.wishes.as_str(), remedies)?;
    place::devices(&mut outline, &wants)?;
    let circuits = circuits::plan(&outline);
    if let Some(heaviest) = circuits.too_much(request.boat.rules) {
        return Ok((outline, Some(Remedy::PutOff(heaviest))));
    }
    let (blocks, panels) = (Blocks::of_circuits(&circuits), Panels::of(&circuits));
    let supply = supply::add(&mut outline, &wants, &circuits, blocks.behind_switch())?;
    blocks::draw(&mut outline, &circuits, &blocks, supply)?;
    panel::draw(&mut outline, &circuits, &panels)?;
    draw::all(&mut outline, &circuits, &blocks, &panels)?;
    panel::relabel(&mut outline)?;
    cables::add(&mut outline)?;
    place::locations_and_raceways(&mut outline)?;
    boards::add(&mut outline)?;
    modes::add(&mut outline)?;
    let may_charge = !remedies.iter().any(|remedy| matches!(remedy, Remedy::ShoreCharger));
    let remedy = modes::enough_capacity(&mut outline, may_charge)?;
    Ok((outline, remedy))
}
