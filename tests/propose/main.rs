//! Proposed plans: the two boats that matter most, and random boats with random wishes.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

mod again;
mod judge;
mod kinds;
mod random;
mod requests;

use driploop::job::finding::Finding;
use driploop::job::kind::Catalog;
use driploop::job::plan::ProposalRequest;
use driploop::job::propose::{Proposal, propose};
use driploop::trade::finding::{Code, Level};
use driploop::trade::rules::RuleSet;
use driploop::trade::units::Units;

/// Proposes a plan with the kinds of the program.
fn proposed(request: &ProposalRequest) -> Proposal {
    propose(request, Catalog::built_in()).unwrap()
}

/// The text of a finding in metric units.
fn said(finding: &Finding) -> String {
    finding.line().text(Units::of_rules(RuleSet::Iso))
}

/// Whether a finding says only that something is not measured or read yet.
fn is_measurement(finding: &Finding) -> bool {
    let text = said(finding);
    match finding.code {
        Code::NotMeasured | Code::IgnitionProtectionUnknown => true,
        // A distance between parts that are not on boards, such as a compass and a radio in the dash.
        Code::InputMissing => text.contains("where the boards of"),
        _ => false,
    }
}

/// The findings that a proposal must not have.
fn faults(proposal: &Proposal) -> Vec<String> {
    let faults = proposal.plan.faults().into_iter().map(|fault| format!("fault {fault}"));
    let findings = proposal.report.findings.iter();
    let findings = findings.filter(|finding| finding.level > Level::Note && !is_measurement(finding));
    let findings =
        findings.map(|finding| format!("{}: {} {}", finding.subject, finding.code.phrase(), said(finding)));
    faults.chain(findings).collect()
}
