//! The circuits and the switch functions of a proposal, before they are drawn.

use super::kinds::{amperes, is_low, may_wait};
use super::outline::{Fitted, Outline};
use super::wanted::PutOff;
use crate::job::kind::{Group, Kind};
use crate::job::plan::Rule;
use crate::job::point::SwitchKind;
use crate::trade::rules::RuleSet;

/// Where a circuit begins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Feeding {
    /// At the block ahead of the battery switch.
    AlwaysOn,
    /// At a block for this group.
    Block(Group),
    /// At the positive bar, by a breaker of its own.
    Bar,
}

/// A circuit to be drawn.
#[derive(Debug, Clone)]
pub(super) struct Planned<'a> {
    pub(super) name: String,
    /// The devices, in order along the wire.
    pub(super) devices: Vec<Fitted<'a>>,
    /// The kind that decides how it is fed.
    pub(super) kind: &'a Kind,
    pub(super) feeding: Feeding,
    /// Whether it is on the 12 V side of a boat of 24 V.
    pub(super) is_low: bool,
    /// Its position on the panel, by number in [`Circuits::functions`], and the throws in which it is on.
    pub(super) function: Option<(usize, Vec<u16>)>,
    /// What it draws, A.
    pub(super) amperes: f64,
    pub(super) rule: Rule,
}

/// A position of a switch panel to be drawn.
#[derive(Debug, Clone)]
pub(super) struct SwitchFunction {
    pub(super) label: String,
    pub(super) switch: SwitchKind,
    pub(super) throws: Vec<&'static str>,
    pub(super) poles: u16,
    /// Its rank on the panel: navigation first.
    pub(super) rank: u8,
    /// What its circuits draw together, A.
    pub(super) amperes: f64,
}

/// The circuits and the positions that work them.
#[derive(Debug, Default)]
pub(super) struct Circuits<'a> {
    pub(super) planned: Vec<Planned<'a>>,
    pub(super) functions: Vec<SwitchFunction>,
}

/// What one main feeder carries at most, A, so that standard cables and fuses suit it.
const MOST_MAIN_A: f64 = 280.0;
/// The same by the ISO rules, where a fuse is never over the ampacity of its cable, A.
const MOST_MAIN_ISO_A: f64 = 200.0;

impl Circuits<'_> {
    /// The kind with the largest load, if all loads together are too much for one main feeder.
    pub(super) fn too_much(&self, rules: RuleSet) -> Option<PutOff> {
        let most = if rules == RuleSet::Iso { MOST_MAIN_ISO_A } else { MOST_MAIN_A };
        let all: f64 =
            self.planned.iter().filter(|planned| !planned.is_low).map(|planned| planned.amperes).sum();
        let may_wait = self.planned.iter().filter(|planned| may_wait(planned.kind) && !planned.is_low);
        let heaviest = may_wait.max_by(|one, other| one.amperes.total_cmp(&other.amperes))?;
        let reason = format!(
            "All loads together need more than {most} A, which one main feeder carries. Give it a bank of its own."
        );
        (all > most).then(|| PutOff { kind: heaviest.kind.id.clone(), reason })
    }
}

impl<'a> Planned<'a> {
    /// One circuit for navigation lights.
    pub(super) fn of_lights(
        outline: &Outline<'a>,
        lights: &[&Fitted<'a>],
        function: usize,
        throws: &[u16],
    ) -> Option<Self> {
        let kind = lights.first()?.kind;
        let names: Vec<&str> = lights.iter().map(|fitted| fitted.name.as_str()).collect();
        Some(Self {
            name: joined(&names),
            devices: lights.iter().map(|fitted| (*fitted).clone()).collect(),
            kind,
            feeding: Feeding::Block(Group::LightsAndPumps),
            is_low: is_low(outline, kind),
            function: Some((function, throws.to_vec())),
            amperes: lights.iter().map(|fitted| amperes(outline, fitted.kind)).sum(),
            rule: Rule::Lights,
        })
    }
}

/// Names joined as in a sentence: `Sidelights and sternlight`.
fn joined(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [rest @ .., last] => format!("{} and {}", rest.join(", "), last.to_lowercase()),
    }
}
